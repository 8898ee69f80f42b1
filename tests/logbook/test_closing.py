"""What closes a corrective action: only a passing recheck of the same thing, its discard, or a signature.

The rule is the record's own: HACCP principle 5 asks that what was done about a failure is shown to have
worked on the food or place that failed (FDA Food Code 2022, Annex 4, corrective actions).
"""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from assistant.logbook import Draft, Entry, Logbook, SetClock
from assistant.logbook.verify import verify

QUICK = "/dev/shm" if Path("/dev/shm").is_dir() else None
NOON = datetime(2026, 3, 2, 12, tzinfo=UTC)

STARTED = Draft(kind="clock", subject="chili", item="chili", measured="cooling", note="started")
FAILED = Draft(
    kind="reading", subject="chili", item="chili", measured="food", place="reach-in", verdict="fail"
)
OPENED = Draft(kind="action_opened", subject="chili", measured="food", refers_to=-1, note="chill")
PASSED = FAILED.model_copy(update={"verdict": "pass"})
GONE = Draft(kind="discard", subject="chili", item="chili")
BATCH = FAILED.model_copy(update={"measured": "cooling", "place": "", "refers_to": -1})
OF_BATCH = OPENED.model_copy(update={"measured": "cooling", "note": "reheat or discard"})
COLD = BATCH.model_copy(update={"verdict": "pass"})


def moved(to: str, action: int) -> Draft:
    """What was done: the food was moved to another place."""
    return Draft(kind="event", subject="chili", place=to, refers_to=action, note="done: moved it")


def reheated(verdict: str) -> Draft:
    """A reheating of the food."""
    return FAILED.model_copy(update={"measured": "reheating", "place": "", "verdict": verdict})


def at(place: str) -> Draft:
    """A passing reading of the food in a place."""
    return PASSED.model_copy(update={"place": place})


def batch(clock: int) -> Draft:
    """A passing cooling reading of one batch."""
    return COLD.model_copy(update={"refers_to": clock})


@pytest.mark.parametrize(
    ("turns", "closed"),
    [
        ([[FAILED, OPENED], [PASSED]], True),
        ([[FAILED, OPENED], [at("walk-in")]], False),
        ([[FAILED, OPENED], [at("")]], False),
        ([[FAILED, OPENED], [moved("walk-in", 2)], [at("walk-in")]], True),
        ([[FAILED, OPENED], [at("walk-in")], [moved("walk-in", 2)]], False),
        ([[FAILED, OPENED], [moved("walk-in", 2)], [at("freezer")]], False),
        ([[FAILED, OPENED], [GONE]], True),
        ([[FAILED, OPENED], [GONE.model_copy(update={"amount": "half a pan", "refers_to": 2})]], True),
        ([[FAILED, OPENED], [GONE.model_copy(update={"subject": "gravy"})]], False),
        ([[FAILED, OPENED], [PASSED.model_copy(update={"said_at": "2026-03-02T10:00:00+00:00"})]], False),
        ([[STARTED, BATCH, OF_BATCH], [STARTED], [batch(4)]], False),
        ([[STARTED, BATCH, OF_BATCH], [batch(1)]], True),
        ([[STARTED, BATCH, OF_BATCH], [COLD.model_copy(update={"refers_to": None})]], False),
        ([[STARTED, BATCH, OF_BATCH], [reheated("pass")]], True),
        ([[STARTED, BATCH, OF_BATCH], [reheated("fail")]], False),
        ([[STARTED, BATCH, OF_BATCH], [STARTED], [GONE.model_copy(update={"refers_to": 4})]], False),
        ([[STARTED, BATCH, OF_BATCH], [GONE.model_copy(update={"refers_to": 1})]], True),
        ([[STARTED, BATCH, OF_BATCH], [GONE.model_copy(update={"refers_to": 3})]], True),
    ],
)  # fmt: skip
def test_what_closes_an_action(log: Logbook, turns: list[list[Draft]], closed: bool) -> None:
    """A reading of another batch, another place or an earlier time leaves it open."""
    for turn in turns:
        log.append(turn)
    assert (not log.views.open_actions()) == closed


@pytest.mark.parametrize(("days", "closed"), [(0, True), (1, False)])
def test_another_days_delivery_is_other_food(log: Logbook, clock: SetClock, days: int, closed: bool) -> None:
    """Probed again at the door it is the same food; tomorrow's chicken says nothing about today's."""
    arrived = FAILED.model_copy(update={"measured": "delivery", "place": ""})
    log.append([arrived, OPENED.model_copy(update={"measured": "delivery", "note": "reject"})])
    clock.move(days=days, minutes=5)
    log.append(arrived.model_copy(update={"verdict": "pass"}))
    assert (not log.views.open_actions()) == closed


def test_a_discard_taken_back_opens_it_again(log: Logbook) -> None:
    """Scratch that, after "tossed it"."""
    log.append([FAILED, OPENED])
    log.append(GONE)
    log.append(Draft(kind="withdrawal", subject="chili", refers_to=3))
    assert [each.entry.id for each in log.views.open_actions()] == [2]


def test_a_deed_taken_back_takes_its_place_with_it(log: Logbook) -> None:
    """It was never moved, so a reading over there is of other food."""
    log.append([FAILED, OPENED])
    log.append(moved("walk-in", 2))
    log.append(at("walk-in"))
    assert not log.views.open_actions()
    log.append(Draft(kind="withdrawal", subject="chili", refers_to=3))
    assert [each.entry.id for each in log.views.open_actions()] == [2]


steps = st.lists(
    st.tuples(
        st.sampled_from(["clock", "fail", "pass", "opened", "discard", "moved", "reheated", "withdrawal"]),
        st.sampled_from(["chili", "gravy"]),
        st.sampled_from(["", "reach-in", "walk-in"]),
        st.integers(0, 30),
        st.integers(0, 90),
    ),
    min_size=4,
    max_size=25,
)


def draft(step: tuple[str, str, str, int, int], entries: list[Entry]) -> Draft | None:
    """The draft of a step, naming an entry that may be named, or ``None`` if there is none."""
    what, food, place, pick, ago = step
    clocks = [None, *(each.id for each in entries if each.kind == "clock" and each.subject == food)]
    actions = [each for each in entries if each.kind == "action_opened"]
    failed = [each for each in entries if each.kind == "reading" and each.verdict == "fail"]
    said = (NOON - timedelta(minutes=ago)).isoformat() if ago > 60 else None
    if what == "clock":
        return STARTED.model_copy(update={"subject": food, "item": food})
    if what in ("fail", "pass"):
        fields = {"subject": food, "item": food, "place": place, "verdict": what, "said_at": said}
        return FAILED.model_copy(update={**fields, "refers_to": clocks[pick % len(clocks)]})
    if what == "reheated":
        return reheated("pass").model_copy(update={"subject": food, "item": food})
    if what == "discard":
        named = [*clocks, *(each.id for each in actions if each.subject == food)]
        return GONE.model_copy(update={"subject": food, "item": food, "refers_to": named[pick % len(named)]})
    if what == "opened" and failed:
        cause = failed[pick % len(failed)]
        note = "reheat or discard" if pick % 2 else "chill"
        return OPENED.model_copy(update={"subject": cause.subject, "refers_to": cause.id, "note": note})
    if what == "moved" and actions:
        action = actions[pick % len(actions)]
        return moved(place, action.id).model_copy(update={"subject": action.subject})
    if what == "withdrawal" and entries:
        return Draft(kind="withdrawal", subject=food, refers_to=entries[pick % len(entries)].id)
    return None


def open_by_hand(entries: list[Entry]) -> list[int]:
    """Which actions are open, found the slow way: from all entries, with no table."""
    named = {entry.id: entry for entry in entries}
    gone: set[int] = set()
    for entry in reversed(entries):
        if entry.kind == "withdrawal" and entry.id not in gone and entry.refers_to:
            gone.add(entry.refers_to)
    found = []
    for action in (e for e in entries if e.kind == "action_opened" and e.id not in gone):
        cause = named[action.refers_to or 0]
        after = [e for e in entries if e.id > action.id and e.id not in gone and e.subject == action.subject]
        moves = [e for e in after if e.kind == "event" and e.refers_to == action.id and e.place]
        if cause.id in gone or any(_closes(e, action, cause, moves, named) for e in after):
            continue
        found.append(action.id)
    return found


def _closes(entry: Entry, action: Entry, cause: Entry, moves: list[Entry], named: dict[int, Entry]) -> bool:
    if entry.kind == "discard":
        of = named[entry.refers_to] if entry.refers_to else None
        if of is None or of.id == action.id:
            return True
        clock = named[of.refers_to or 0].refers_to if of.kind == "action_opened" else of.id
        return clock == cause.refers_to
    if entry.kind != "reading" or entry.verdict != "pass":
        return False
    if datetime.fromisoformat(entry.said_at or entry.at_utc) < datetime.fromisoformat(
        cause.said_at or cause.at_utc
    ):
        return False
    if entry.measured == "reheating":
        return action.note.startswith("reheat")
    here = cause.place in ("", entry.place)
    there = any(move.place == entry.place and move.id < entry.id for move in moves)
    return entry.refers_to == cause.refers_to and (here or there)


@given(steps, st.integers(1, 4))
@settings(max_examples=80, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck))
def test_what_is_open_agrees_after_any_sequence(
    sequence: list[tuple[str, str, str, int, int]], turn_length: int
) -> None:
    """Batches, places, moves, discards and withdrawals in any order: the table and the slow way agree."""
    with TemporaryDirectory(dir=QUICK) as folder:
        with Logbook.open(folder, clock=SetClock(NOON)) as log:
            entries: list[Entry] = []
            for start in range(0, len(sequence), turn_length):
                turn = [draft(step, entries) for step in sequence[start : start + turn_length]]
                entries += log.append([each for each in turn if each is not None])
            open_now = [line.entry.id for line in log.views.open_actions()]
        assert verify(folder).faults == ()
        assert sorted(open_now) == open_by_hand(entries)
