"""More signs of made-up readings: fails undone later, whole rounds that repeat, gaps as even as a clock's.

Hints with their evidence like those of ``worth_a_look``, which holds the rates measured on honest kitchens.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import pairwise
from math import exp

from assistant.logbook.entry import Entry
from assistant.logbook.settle import void
from assistant.logbook.views import Line
from assistant.manager import shown
from assistant.manager.hints import SURE, Hint, named, when

LATE = timedelta(minutes=10)
"""A number heard wrongly is put right in the next breath; so much later it is another matter."""
LEAST_UNDONE = 3
ROUND_GAP = timedelta(minutes=10)
LEAST_PLACES, LEAST_SAME = 4, 3
"""A round has so many places with temperatures, and so many rounds have to be alike."""
SHORTEST_GAP = timedelta(minutes=30)
LONGEST_GAP = timedelta(hours=12)
LEAST_GAPS, EVEN_SHARE = 14, 0.6
"""So many gaps of a place between its readings of a day, and so large a share of them within a minute."""


@dataclass(frozen=True, slots=True)
class Undone:
    """A reading that failed when it was said, and the entry that took that away later."""

    first: Entry
    by: Entry

    @property
    def late(self) -> bool:
        """Whether it was more than a slip put right at once."""
        return datetime.fromisoformat(self.by.at_utc) - datetime.fromisoformat(self.first.at_utc) > LATE


def undone_of(lines: Iterable[Line]) -> tuple[Undone, ...]:
    """Return the fails of some lines that do not stand as fails any more, with what first undid each."""
    found = []
    for line in lines:
        if line.entry.kind == "reading" and line.entry.verdict == "fail" and line.amendments:
            gone = void(line.amendments)
            kept = [each for each in line.amendments if each.id not in gone]
            if kept and (line.withdrawn or line.now.verdict != "fail"):
                found.append(Undone(line.entry, kept[0]))
    return tuple(found)


def fails_undone(undone: Sequence[Undone]) -> list[Hint]:
    """Find fails that were corrected into passes or taken back long after they were said."""
    late = [each for each in undone if each.late]
    if len(late) < LEAST_UNDONE:
        return []
    people = Counter(named(each.by.person) for each in late)
    told = ", ".join(f"{name} {count}" for name, count in people.most_common())
    return [Hint(
        "fails undone", "Failed readings that were undone later",
        f"{len(late)} readings failed when they were said and were corrected or taken back more than"
        f" {LATE.seconds // 60} minutes later (by {told}).",
        "A wrong number may be noticed late: listen to the recording of the first one.",
        tuple(number for each in late for number in (each.first.id, each.by.id)),
    )]  # fmt: skip


def same_rounds(readings: Sequence[Entry]) -> list[Hint]:
    """Find whole rounds whose temperatures are all the same as in rounds before."""
    rounds = [each for each in _rounds(readings) if len(each) >= LEAST_PLACES]
    alike: dict[tuple[tuple[str, str], ...], list[list[Entry]]] = defaultdict(list)
    for each in rounds:
        alike[tuple(sorted((entry.subject, entry.value or "") for entry in each))].append(each)
    repeats = _repeat_shares(readings)
    hints = []
    for key, same in alike.items():
        if len(same) < LEAST_SAME:
            continue
        chance = 1.0
        for place, _ in key:
            chance *= repeats[place]
        pairs, expected = len(same) * (len(same) - 1) / 2, chance * len(rounds) * (len(rounds) - 1) / 2
        if _at_least(int(pairs), expected) < SURE / len(rounds):
            hints.append(_same_hint(same))
    return hints


def even_gaps(readings: Sequence[Entry]) -> list[Hint]:
    """Find a place that one person reads at gaps as even as nobody keeps them who also cooks."""
    hints = []
    groups: dict[tuple[str, str], list[Entry]] = defaultdict(list)
    for entry in readings:
        groups[entry.subject, entry.person].append(entry)
    for (place, person), found in groups.items():
        gaps = [
            round((shown.moment(b) - shown.moment(a)).total_seconds() / 60)
            for a, b in pairwise(found)
            if SHORTEST_GAP <= shown.moment(b) - shown.moment(a) <= LONGEST_GAP
        ]
        if len(gaps) < LEAST_GAPS:
            continue
        common, _ = Counter(gaps).most_common(1)[0]
        even = sum(abs(gap - common) <= 1 for gap in gaps)
        if even >= EVEN_SHARE * len(gaps):
            hints.append(Hint(
                "even gaps", f"Read as if by a clock: {place}",
                f"{even} of {len(gaps)} gaps between two readings by {named(person)} are {common} minutes,"
                " give or take one.",
                "An alarm that rings for the round, and is followed at once, does the same.",
                tuple(entry.id for entry in found),
            ))  # fmt: skip
    return hints


def _rounds(readings: Sequence[Entry]) -> list[list[Entry]]:
    """Return runs of one person's temperatures at different places, soon after each other."""
    found: list[list[Entry]] = []
    for entry in readings:
        if entry.unit not in shown.DEGREES:
            continue
        run = found[-1] if found else []
        goes_on = (
            run
            and entry.person == run[-1].person
            and shown.moment(entry) - shown.moment(run[-1]) <= ROUND_GAP
            and entry.subject not in {each.subject for each in run}
        )
        if goes_on:
            run.append(entry)
        else:
            found.append([entry])
    return found


def _repeat_shares(readings: Sequence[Entry]) -> dict[str, float]:
    """Return for each place how often any two of its readings are the same."""
    values: dict[str, Counter[str]] = defaultdict(Counter)
    for entry in readings:
        values[entry.subject][entry.value or ""] += 1
    return {
        place: sum((count / sum(found.values())) ** 2 for count in found.values())
        for place, found in values.items()
    }


def _at_least(count: int, expected: float) -> float:
    """Return the chance of ``count`` rare things or more where ``expected`` are expected (Poisson)."""
    term = total = exp(-expected)
    for number in range(1, count):
        term *= expected / number
        total += term
    return max(0.0, 1.0 - total)


def _same_hint(same: list[list[Entry]]) -> Hint:
    values = ", ".join(f"{entry.subject} {shown.value(entry)}" for entry in same[0][:6])
    people = Counter(named(each[0].person) for each in same)
    told = ", ".join(f"{name} {count}" for name, count in people.most_common())
    return Hint(
        "same rounds", "Whole rounds with the same numbers",
        f"{len(same)} rounds read alike at all {len(same[0])} places ({values}), first {when(same[0][0])},"
        f" last {when(same[-1][0])} (by {told}).",
        "Very steady units with displays of whole degrees do the same now and then.",
        tuple(entry.id for each in same for entry in each),
    )  # fmt: skip
