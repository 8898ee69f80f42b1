"""However entries, corrections and withdrawals follow each other, the derived table agrees with them."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from assistant.logbook import Draft, Entry, Filter, Logbook, SetClock
from assistant.logbook.settle import settle, void
from assistant.logbook.verify import verify

QUICK = "/dev/shm" if Path("/dev/shm").is_dir() else None
SLOW = settings(max_examples=60, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck))

places = st.sampled_from(["walk-in", "reach-in"])
verdicts = st.sampled_from(["pass", "fail", "cannot judge"])
steps = st.lists(
    st.one_of(
        st.tuples(st.just("reading"), places, verdicts, st.integers(0, 30)),
        st.tuples(st.just("action_opened"), places, st.none(), st.integers(0, 30)),
        st.tuples(st.just("action_closed"), places, st.none(), st.integers(0, 30)),
        st.tuples(st.just("correction"), places, verdicts, st.integers(0, 30)),
        st.tuples(st.just("withdrawal"), places, st.none(), st.integers(0, 30)),
    ),
    min_size=4,
    max_size=25,
)


def draft(step: tuple[str, str, str | None, int], entries: list[Entry]) -> Draft | None:
    """The draft of a step, naming an entry that may be named, or ``None`` if there is none."""
    kind, subject, verdict, pick = step
    fields: dict[str, Any] = {"kind": kind, "subject": subject, "measured": "air", "verdict": verdict}
    allowed = {
        "reading": [],
        "action_opened": entries,
        "action_closed": [each for each in entries if each.kind == "action_opened"],
        "correction": [each for each in entries if each.kind != "withdrawal"],
        "withdrawal": entries,
    }[kind]
    if kind != "reading" and not allowed:
        return None
    return Draft(**fields, refers_to=allowed[pick % len(allowed)].id if allowed else None)


def open_by_hand(entries: list[Entry]) -> list[int]:
    """Which actions are open, found the slow way: from all entries, with no table."""
    named = {entry.id: entry for entry in entries}

    def root(number: int) -> int:
        entry = named[number]
        amends = entry.kind in ("correction", "withdrawal") and entry.refers_to
        return root(entry.refers_to) if amends and entry.refers_to else number

    families: dict[int, list[Entry]] = {}
    for entry in entries:
        if root(entry.id) != entry.id:
            families.setdefault(root(entry.id), []).append(entry)
    now = {
        entry.id: settle(entry, families.get(entry.id, [])) for entry in entries if root(entry.id) == entry.id
    }
    gone = void([each for family in families.values() for each in family])
    found = []
    for number, action in now.items():
        if action.now.kind != "action_opened" or number in gone:
            continue
        cause = now[root(action.now.refers_to)] if action.now.refers_to else None
        amended = cause is not None and cause.amended_by is not None
        if cause and amended and (cause.withdrawn or cause.now.verdict == "pass"):
            continue
        closers = [
            each for other, each in now.items()
            if other not in gone and (
                (each.now.kind == "reading" and each.now.verdict == "pass" and other > number
                 and (each.now.subject, each.now.measured) == (action.now.subject, action.now.measured))
                or (each.now.kind == "action_closed" and root(each.now.refers_to or 0) == number)
            )
        ]  # fmt: skip
        if not closers:
            found.append(number)
    return found


@given(steps, st.integers(1, 5))
@SLOW
def test_the_derived_table_agrees_after_any_sequence(
    sequence: list[tuple[str, str, str | None, int]], turn_length: int
) -> None:
    """Verify works each row out anew; open actions are also found by hand, without the table."""
    with TemporaryDirectory(dir=QUICK) as folder:
        with Logbook.open(folder, clock=SetClock(datetime(2026, 3, 2, tzinfo=UTC))) as log:
            entries: list[Entry] = []
            for start in range(0, len(sequence), turn_length):
                turn = [draft(step, entries) for step in sequence[start : start + turn_length]]
                entries += log.append([each for each in turn if each is not None])
            open_now = [line.entry.id for line in log.lines(Filter(open=True))]
        assert verify(folder).faults == ()
        assert sorted(open_now) == open_by_hand(entries)
