"""Clocks read from the log: what is due and when, for any start, and after a restart."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from assistant.dialogue.clocks import clock_draft, running_clocks
from assistant.dialogue.conversation import Conversation
from assistant.dialogue.due import due
from assistant.logbook.clock import SetClock
from assistant.logbook.entry import Draft
from assistant.logbook.store import Logbook
from assistant.site import Site
from intents.hypotheses import Hypotheses
from intents.interpret import Interpreter

NOON = datetime(2026, 3, 2, 12, 0, tzinfo=UTC)
NO_FIXTURE_CHECK = settings(
    max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
minutes = st.integers(min_value=0, max_value=600)


@NO_FIXTURE_CHECK
@given(ago=minutes)
def test_a_cooling_is_due_two_hours_after_its_start(log: Logbook, site: Site, ago: int) -> None:
    """Without readings: 70 degrees, two hours after the start (FDA Food Code 3-501.14(A)(1))."""
    start = NOON - timedelta(minutes=ago)
    log.append(clock_draft("cooling", "chili", "started", start))
    reminder = next(r for r in due(NOON, log.views, site) if r.kind == "cooling")
    assert reminder.at == start + timedelta(hours=2)
    assert reminder.values["limit"] == "70°F"
    assert reminder.late(NOON) == (ago > 120)
    log.append(clock_draft("cooling", "chili", "ended: test"))
    assert not running_clocks(log.views, NOON)


@NO_FIXTURE_CHECK
@given(degrees=st.integers(min_value=42, max_value=134), after=st.integers(min_value=1, max_value=600))
def test_a_batch_is_never_passed_while_it_is_warm(
    log: Logbook, site: Site, interpreter: Interpreter, degrees: int, after: int
) -> None:
    """No reading above 41 degrees passes, and after two hours none above 70 stays open."""
    clock = SetClock(NOON)
    talk = Conversation(site, log, clock, interpreter)
    talk.hear(Hypotheses.typed("chili is cooling"))
    clock.time = NOON + timedelta(minutes=after)
    turn = talk.hear(Hypotheses.typed(f"chili is {degrees}"))
    assert turn.verdict != "pass"
    if degrees > 70 and after >= 120:
        assert turn.verdict == "fail"
        assert "throw" in turn.reply.lower()
    for clock_left in running_clocks(log.views, clock.time):
        log.append(clock_draft(clock_left.kind, clock_left.subject, "ended: test"))


def test_a_withdrawn_start_is_no_clock(log: Logbook) -> None:
    """A start that was taken back runs no longer."""
    entry = log.append(clock_draft("thawing", "chicken", "started"))[0]
    log.append(Draft(kind="withdrawal", subject="chicken", refers_to=entry.id))
    assert not running_clocks(log.views, NOON)


def test_other_names_of_a_food_are_the_same_batch(log: Logbook) -> None:
    """The shrimp and the prawns are one food of the rules' table."""
    log.append(clock_draft("thawing", "shrimp", "started"))
    log.append(clock_draft("thawing", "prawns", "ended: done"))
    assert not running_clocks(log.views, NOON)


def test_a_reminder_is_said_once_and_never_right_after_talk(talk: Conversation, clock: SetClock) -> None:
    """A limit that is near is spoken of once, at a quiet moment only."""
    talk.hear(Hypotheses.typed("the soup is cooling"))
    clock.time += timedelta(minutes=110)
    talk.hear(Hypotheses.typed("what's due"))
    assert talk.remind() is None
    clock.time += timedelta(minutes=1)
    said = talk.remind()
    assert said is not None
    assert "soup" in said.reply.lower()
    assert talk.remind() is None


def test_what_is_open_too_long_is_told_to_whoever_is_on(talk: Conversation, clock: SetClock) -> None:
    """Once, at a quiet moment, after the time that the site's alerts allow."""
    for place in ("walk-in", "reach-in"):
        talk.log.append([
            Draft(kind="reading", subject=place, measured="air", value="50", unit="F", verdict="fail"),
            Draft(kind="action_opened", subject=place, measured="air", refers_to=-1, note="probe food"),
        ])  # fmt: skip
    clock.time += timedelta(minutes=talk.site.alerts.action_open_minutes - 1)
    assert talk.remind() is None
    clock.time += timedelta(minutes=2)
    said = talk.remind()
    assert said is not None
    assert "walk-in still open since 12:00 pm" in said.reply
    assert "1 more" in said.reply
    assert not said.entries
    assert talk.remind() is None
