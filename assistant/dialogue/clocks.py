"""Clocks that run: cooling batches, thawing under water, food held by time, sanitizer buckets.

Each is begun and ended by a ``clock`` entry, so all of them are read from the log and survive a restart.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import Decimal
from fractions import Fraction
from typing import Literal, cast

from assistant.logbook.entry import Draft
from assistant.logbook.query import Filter
from assistant.logbook.views import Line, Views
from assistant.rules.basis import Temperature, TemperatureUnit
from assistant.rules.cooling import CoolingLimits
from assistant.rules.cooling_curve import CoolingReading, hours_between
from assistant.rules.food_names import find_food, same_food
from assistant.rules.profile import Profile

ClockKind = Literal["cooling", "thawing", "time", "sanitizer"]
STARTED, STOPPED = "started", "ended"
"""The first word of a clock entry's note."""
LOOK_BACK = timedelta(hours=36)
"""Older clocks are over: every limit is a day at most."""
MADE_COLD = frozenset({"mixed_rte_salad", "produce_cut_tcs", "plant_protein_tcs", "dressing_acid"})
"""Classes of food that is never cooked as a whole."""
_MOST = 500  # entries read back


@dataclass(frozen=True)
class RunningClock:
    """One clock that nothing has ended: what it measures, of what, since when, and its start entry.

    ``subject`` is the batch's own name ("big pot of chili") where a food has several; ``item`` is the food.
    """

    kind: ClockKind
    subject: str
    start: datetime
    entry_id: int
    item: str = ""

    @property
    def food(self) -> str:
        """The food, whatever its batch is called."""
        return self.item or self.subject

    def hours(self, now: datetime) -> Decimal:
        """Return the exact hours from the start to ``now``, never negative."""
        between = hours_between(self.start, now)
        return max(Decimal(0), Decimal(between.numerator) / Decimal(between.denominator))


def same_subject(one: str, other: str) -> bool:
    """True when two spoken names mean the same food or place ("chili", "the chilis")."""
    return one == other or same_food(one, other)


def name_words(food: str) -> frozenset[str]:
    """Return the words of a food's name, in full where it was named in short: "key lime" is key lime pie."""
    said, known = frozenset(food.split()), find_food(food)
    whole = frozenset(known.name.split()) if known is not None else said
    return whole if said < whole else said


def made_cold(food: str) -> bool:
    """True for food that is put together cold or at room temperature and has the one shorter limit."""
    known = find_food(food)
    return "salad" in food.split() or (known is not None and known.food_class in MADE_COLD)


def clock_draft(
    kind: ClockKind, subject: str, note: str, at: datetime | None = None, item: str = ""
) -> Draft:
    """Return the entry that starts or ends a clock; ``at`` when it started, if not just now.

    ``item`` is the food where ``subject`` is the name of a batch of it.
    """
    return Draft(
        kind="clock",
        subject=subject,
        item="" if kind == "sanitizer" else item or subject,
        measured=kind,
        note=note,
        said_at=at.isoformat(timespec="seconds") if at else None,
    )


def of_new_clock(drafts: Iterable[Draft]) -> tuple[Draft, ...]:
    """Return the drafts behind a new clock's, its first reading naming it."""
    found = tuple(drafts)
    first = found[0].model_copy(update={"refers_to": -1}) if found and found[0].kind == "reading" else None
    return found if first is None else (first, *found[1:])


def moment_of(line: Line) -> datetime:
    """Return when an entry's fact was: as said, else when it was logged."""
    return datetime.fromisoformat(line.now.said_at or line.now.at_local)


def running_clocks(views: Views, now: datetime) -> tuple[RunningClock, ...]:
    """Return the clocks that run at ``now``, in the order of their entries."""
    wanted = Filter(kinds=("clock", "discard"), since=now - LOOK_BACK, standing_only=True)
    lines = sorted(views.lines(wanted, limit=_MOST).lines, key=lambda line: line.entry.id)
    found: list[RunningClock] = []
    for line in lines:
        entry = line.now
        found = [clock for clock in found if not _ends(line, clock)]
        if entry.kind == "clock" and entry.note.startswith(STARTED):
            kind = cast(ClockKind, entry.measured)
            found.append(RunningClock(kind, entry.subject, moment_of(line), entry.id, entry.item))
    return tuple(clock for clock in found if clock.start <= now + timedelta(minutes=5))


def _ends(line: Line, clock: RunningClock) -> bool:
    entry = line.now
    if entry.kind == "discard":
        if entry.refers_to == clock.entry_id:
            return True
        return clock.kind != "sanitizer" and same_subject(entry.subject, clock.subject)
    return entry.measured == clock.kind and same_subject(entry.subject, clock.subject)


def running_clock(views: Views, now: datetime, kind: ClockKind, subject: str = "") -> RunningClock | None:
    """Return the running clock of ``kind`` for ``subject``; without a subject, the only one there is.

    The one of that very name comes before others of the same food.
    """
    clocks = [clock for clock in running_clocks(views, now) if clock.kind == kind]
    if not subject:
        return clocks[0] if len(clocks) == 1 else None
    named = [clock for clock in clocks if same_subject(clock.subject, subject)]
    return next(iter(named or [clock for clock in clocks if same_subject(clock.food, subject)]), None)


def cooling_now(views: Views, now: datetime) -> tuple[str, ...]:
    """Return the foods that are cooling, in the order in which they began."""
    return tuple(clock.subject for clock in running_clocks(views, now) if clock.kind == "cooling")


def batch_readings(views: Views, clock: RunningClock, profile: Profile) -> list[CoolingReading]:
    """Return all readings of a cooling batch, in hours from its start.

    The start counts as the temperature at which the clock begins, unless it was read or the food was
    still hotter later on.
    """
    wanted = Filter(
        kinds=("reading",), measured="cooling", since=clock.start - timedelta(minutes=1), standing_only=True
    )
    series = []
    for line in views.lines(wanted, limit=_MOST).lines:
        temperature = _temperature(line)
        if temperature is not None and _of(line, clock):
            hours = max(hours_between(clock.start, moment_of(line)), Fraction(0))
            series.append(CoolingReading(hours, temperature))
    return with_start(series, profile)


def with_start(series: Iterable[CoolingReading], profile: Profile) -> list[CoolingReading]:
    """Return a batch's readings with its start put in front where none was read then."""
    limit = CoolingLimits.of(profile).start
    start = Temperature(limit.value, "C" if limit.unit == "C" else "F")
    readings = list(series)
    seen = any(r.hours <= 0 or r.temperature.in_unit(start.unit) > limit.value for r in readings)
    return readings if seen else [CoolingReading(Decimal(0), start), *readings]


def _of(line: Line, clock: RunningClock) -> bool:
    """True for a reading that names the clock, or names none and is of its subject."""
    if line.now.refers_to is not None:
        return line.now.refers_to == clock.entry_id
    return line.entry.id > clock.entry_id and same_subject(line.now.subject, clock.subject)


def _temperature(line: Line) -> Temperature | None:
    if line.now.value is None or line.now.unit not in ("F", "C"):
        return None
    return Temperature(Decimal(line.now.value), cast(TemperatureUnit, line.now.unit))
