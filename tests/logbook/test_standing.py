"""Corrections, withdrawals, and what opens and closes a corrective action."""

from __future__ import annotations

import pytest

from assistant.logbook import Draft, Filter, Line, Logbook
from assistant.logbook.verify import verify


def amend(kind: str, number: int, **fields: str) -> Draft:
    """A correction or withdrawal of entry ``number``."""
    return Draft.model_validate({"kind": kind, "subject": "walk-in", "refers_to": number, **fields})


def line(log: Logbook, number: int) -> Line:
    """The line of one entry."""
    found = log.views.line(number)
    assert found is not None
    return found


def test_a_correction_shows_the_new_value_and_keeps_the_old(log: Logbook, failed: Draft) -> None:
    """Make that thirty nine."""
    log.append([failed, amend("correction", -1, value="39", verdict="pass")])
    found = line(log, 1)
    assert (found.now.value, found.now.verdict) == ("39", "pass")
    assert (found.entry.value, found.entry.verdict) == ("45", "fail")
    assert [each.id for each in found.amendments] == [2]


def test_what_a_correction_leaves_empty_stays(log: Logbook, failed: Draft) -> None:
    """Only the subject was wrong: it's the reach-in, not the walk-in."""
    log.append([failed, Draft(kind="correction", subject="reach-in", refers_to=-1, verdict="fail")])
    now = line(log, 1).now
    assert (now.subject, now.value, now.measured, now.person) == ("reach-in", "45", "air", "Dana")


def test_an_old_pass_never_covers_a_new_value(log: Logbook, passed: Draft) -> None:
    """A correction without a verdict leaves the entry unjudged."""
    log.append([passed, amend("correction", -1, value="48")])
    assert line(log, 1).now.verdict is None


def test_the_last_correction_counts(log: Logbook, failed: Draft) -> None:
    """Also when it corrects the correction."""
    log.append([failed, amend("correction", -1, value="39", verdict="pass")])
    log.append(amend("correction", 2, value="50", verdict="fail"))
    assert line(log, 1).now.value == "50"
    assert log.views.count(Filter(failed=True)) == 1


def test_a_withdrawn_correction_gives_the_old_value_back(log: Logbook, failed: Draft) -> None:
    """Scratch that, after a correction."""
    log.append([failed, amend("correction", -1, value="39", verdict="pass")])
    log.append(amend("withdrawal", 2))
    assert line(log, 1).now.value == "45"
    assert line(log, 2).withdrawn


def test_a_withdrawn_entry_stays_visible_but_fails_no_more(log: Logbook, failed: Draft) -> None:
    """Nothing is erased."""
    log.append([failed, amend("withdrawal", -1)])
    assert log.lines()[0].withdrawn
    assert log.lines(Filter(failed=True)) == ()


def test_a_withdrawal_can_itself_be_withdrawn(log: Logbook, failed: Draft) -> None:
    """No, keep it."""
    log.append([failed, amend("withdrawal", -1)])
    log.append(amend("withdrawal", 2))
    assert not line(log, 1).withdrawn
    assert len(log.lines(Filter(failed=True))) == 1


def test_a_failed_reading_stays_open(log: Logbook, failed: Draft, opened: Draft) -> None:
    """Until something closes it."""
    log.append([failed, opened])
    assert [each.entry.id for each in log.views.open_actions()] == [2]


def test_a_passing_recheck_closes_the_action(
    log: Logbook, failed: Draft, opened: Draft, passed: Draft
) -> None:
    """Same subject, same kind of measurement."""
    log.append([failed, opened])
    log.append(passed)
    assert log.views.open_actions() == ()
    assert line(log, 2).closed_by == 3


@pytest.mark.parametrize(
    "change",
    [{"subject": "reach-in"}, {"measured": "food"}, {"verdict": "fail"}, {"verdict": "cannot judge"}],
)
def test_anything_else_does_not_close_it(
    log: Logbook, failed: Draft, opened: Draft, passed: Draft, change: dict[str, str]
) -> None:
    """Another place, another kind of measurement, another fail, or a reading that cannot be judged."""
    log.append([failed, opened])
    log.append(passed.model_copy(update=change))
    assert len(log.views.open_actions()) == 1


def test_a_pass_before_the_failure_does_not_close_it(
    log: Logbook, failed: Draft, opened: Draft, passed: Draft
) -> None:
    """Only a later reading is a recheck."""
    log.append([passed, failed, opened])
    assert len(log.views.open_actions()) == 1


def test_the_manager_can_close_it(log: Logbook, failed: Draft, opened: Draft) -> None:
    """With a name and a reason."""
    log.append([failed, opened])
    log.append(amend("action_closed", 2, person="Lee", note="door seal replaced"))
    assert log.views.open_actions() == ()
    assert line(log, 2).closed_by == 3


@pytest.mark.parametrize("closer", ["recheck", "manager"])
def test_taking_back_what_closed_it_opens_it_again(
    log: Logbook, failed: Draft, opened: Draft, passed: Draft, closer: str
) -> None:
    """The recheck was misheard, or the manager signed the wrong one."""
    log.append([failed, opened])
    log.append(passed if closer == "recheck" else amend("action_closed", 2))
    log.append(amend("withdrawal", 3))
    assert len(log.views.open_actions()) == 1


def test_a_recheck_corrected_to_a_fail_opens_it_again(
    log: Logbook, failed: Draft, opened: Draft, passed: Draft
) -> None:
    """Fifteen was fifty."""
    log.append([failed, opened])
    log.append(passed)
    log.append(amend("correction", 3, value="50", verdict="fail"))
    assert len(log.views.open_actions()) == 1


def test_a_failure_that_was_misheard_closes_its_action(log: Logbook, failed: Draft, opened: Draft) -> None:
    """Corrected to a pass, or withdrawn: there is nothing to put right."""
    log.append([failed, opened])
    log.append(amend("correction", 1, value="38", verdict="pass"))
    assert line(log, 2).closed_by == 3
    log.append(amend("withdrawal", 3))
    assert line(log, 2).open


def test_an_action_opened_for_a_correction_belongs_to_its_reading(
    log: Logbook, passed: Draft, opened: Draft
) -> None:
    """Make that forty-five: the corrected reading fails and opens the action."""
    log.append(passed)
    log.append([amend("correction", 1, value="45", verdict="fail"), opened])
    assert line(log, 3).open
    log.append(amend("withdrawal", 1))
    assert not line(log, 3).open


def test_the_derived_table_always_agrees_with_the_entries(
    log: Logbook, failed: Draft, opened: Draft, passed: Draft
) -> None:
    """Verify works it out anew after each of the steps above."""
    for turn in (
        [failed, opened],
        [passed],
        [amend("withdrawal", 3)],
        [amend("correction", 1, person="Lee")],
    ):
        log.append(turn)
        assert verify(log.folder).faults == ()
