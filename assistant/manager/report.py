"""What a report for an inspector holds, gathered from the log; drawing it is ``report_pdf``'s work."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta

from assistant.errors import InputError
from assistant.logbook.query import Filter
from assistant.logbook.signed_days import LATEST_DAYS, days_signed
from assistant.logbook.unjudged import is_unjudged
from assistant.logbook.verify import Report as Check
from assistant.logbook.views import Head, Line, Views
from assistant.manager import shown
from assistant.manager.changes import Change, changed_in
from assistant.manager.cooling_batches import Batch, batches_of
from assistant.manager.notes import is_remark, on_a_day
from assistant.manager.places import Series, series_of
from assistant.manager.round_times import Due, dues_of
from assistant.manager.rounds import RoundState, rounds_of
from assistant.manager.spans import Span, span_of_log
from assistant.manager.stories import story_of
from assistant.site import Site

LONGEST_DAYS = 400
THERMOMETER = ("ice water", "boiling water")


@dataclass(frozen=True, slots=True)
class Exceptional:
    """Something that was not as it should be: the line, what had to be done, and what came of it."""

    line: Line
    todo: str
    outcome: str
    open: bool


@dataclass(frozen=True, slots=True)
class Report:
    """One kitchen's record over a span of days, in the order in which it is printed."""

    kitchen: str
    profile: str
    first: date
    last: date
    made: datetime
    head: Head
    entries: int
    readings: tuple[Line, ...]
    exceptions: tuple[Exceptional, ...]
    unjudged: tuple[Line, ...]
    discards: tuple[Line, ...]
    notes: tuple[Line, ...]
    changes: tuple[Change, ...]
    series: tuple[Series, ...]
    batches: tuple[Batch, ...]
    checks: tuple[Line, ...]
    rounds: tuple[tuple[date, tuple[RoundState, ...], tuple[Due, ...]], ...]
    worked: tuple[tuple[str, int, int], ...]
    """Who logged anything: name, on how many days, how many entries; most first."""
    reviews: tuple[Line, ...]
    unsigned: tuple[date, ...]
    log: Span
    check: Check | None = None
    """What was found when the whole log was held against its chain, just before; ``None``: it was not."""

    def count(self, verdict: str) -> int:
        """Return how many readings have a verdict; "cooling" is one on the way, which is no verdict yet."""
        return sum(shown.verdict(line) == verdict for line in self.readings)

    def not_known(self) -> dict[str, tuple[date, ...]]:
        """Return the days of the span that the log cannot speak of, by why."""
        found: dict[str, list[date]] = {}
        for day in _days(self.first, self.last):
            if state := self.log.state(day):
                found.setdefault(state, []).append(day)
        return {why: tuple(days) for why, days in found.items()}

    @property
    def still_open(self) -> int:
        """How many exceptions of the span are not mended."""
        return sum(each.open for each in self.exceptions)

    @property
    def doubtful(self) -> int:
        """How many readings were logged while the machine's clock could not be trusted."""
        return sum(line.entry.clock_suspect for line in self.readings)


def gather(
    views: Views, site: Site, first: date, last: date, made: datetime, *, kitchen: str = "",
    check: Check | None = None,
) -> Report:  # fmt: skip
    """Return the report of a span of local days; ``kitchen`` names one of several in the office.

    ``check`` is what checking the whole log found; a report of a log that does not check out says so first.

    Raises ``InputError`` for a span that is turned round or longer than ``LONGEST_DAYS``.
    """
    if first > last:
        raise InputError(f"The report begins on {first}, after its end on {last}; swap the two days.")
    if (last - first).days >= LONGEST_DAYS:
        raise InputError(f"A report covers at most {LONGEST_DAYS} days; make several.")
    span = Filter(first_day=first, last_day=last, site=kitchen)
    lines = list(views.each(span))
    readings = [line for line in lines if line.now.kind == "reading" and not line.withdrawn]
    reviews = _reviews(views, span, first, last)
    signed = {each for line in reviews for each in days_signed(line)}
    by_day = _by_day(lines)
    known = span_of_log(views, made.date(), kitchen)
    return Report(
        kitchen or site.kitchen.name, site.profile.title, first, last, made, views.head(kitchen),
        views.count(replace(span, amendments=True)), tuple(readings),
        tuple(_exceptions(views, lines, kitchen, made)),
        tuple(line for line in readings if is_unjudged(line)),
        tuple(line for line in lines if line.now.kind == "discard" and not line.withdrawn),
        tuple(_notes(views, span, first, last)),
        changed_in(views, span, lines), series_of(readings, site),
        batches_of(lines, site, made), tuple(line for line in readings if _is_check(line, site)),
        tuple(
            _rounds(by_day.get(day, []), site, day, made)
            for day in _days(first, last)
            if not known.state(day)
        ) if site.rounds and not kitchen else (),
        _worked(lines), tuple(reviews),
        tuple(day for day in sorted(by_day) if day.isoformat() not in signed), known, check,
    )  # fmt: skip


def _worked(lines: Iterable[Line]) -> tuple[tuple[str, int, int], ...]:
    days: dict[str, list[str]] = {}
    for line in lines:
        if line.entry.person:
            days.setdefault(line.entry.person, []).append(line.day)
    found = ((name, len(set(each)), len(each)) for name, each in days.items())
    return tuple(sorted(found, key=lambda one: (-one[2], one[0])))


def _is_check(line: Line, site: Site) -> bool:
    return line.now.measured in THERMOMETER or site.kind_of(line.now.subject) == "probe"


def _reviews(views: Views, span: Filter, first: date, last: date) -> list[Line]:
    """Return the standing reviews that cover any day of the span, whenever they were made."""
    wanted = replace(span, last_day=last + timedelta(days=LATEST_DAYS), kinds=("review",), standing_only=True)
    days = {day.isoformat() for day in _days(first, last)}
    return [line for line in views.each(wanted) if days & set(days_signed(line))]


def _rounds(
    lines: list[Line], site: Site, day: date, made: datetime
) -> tuple[date, tuple[RoundState, ...], tuple[Due, ...]]:
    closed = site.kitchen.closed_on(day)
    states = rounds_of(lines, site, over=day < made.date(), closed=closed)
    return day, states, dues_of(lines, site, day, made)


def _notes(views: Views, span: Filter, first: date, last: date) -> list[Line]:
    """Return the remarks of a span: those written in it, and those about a day of it, whenever written."""
    wanted = replace(span, last_day=last + timedelta(days=LATEST_DAYS), kinds=("note",), standing_only=True)
    days = {day.isoformat() for day in _days(first, last)}
    return [
        line for line in views.each(wanted)
        if is_remark(line) and (line.now.subject in days or (line.day in days and not on_a_day(line)))
    ]  # fmt: skip


def _days(first: date, last: date) -> list[date]:
    return [first + timedelta(days=n) for n in range((last - first).days + 1)]


def _by_day(lines: Iterable[Line]) -> dict[date, list[Line]]:
    found: dict[date, list[Line]] = {}
    for line in lines:
        found.setdefault(date.fromisoformat(line.day), []).append(line)
    return found


def _exceptions(views: Views, lines: list[Line], kitchen: str, made: datetime) -> list[Exceptional]:
    """Pair what failed or was not taken with its corrective action and what closed that."""
    found: list[Exceptional] = []
    for line in lines:
        if line.withdrawn:
            continue
        if line.now.kind == "not_taken":
            found.append(Exceptional(line, line.now.note, "", open=False))
        elif line.now.kind == "reading" and line.now.verdict == "fail":
            found.append(_failed(views, line, kitchen, made))
    return found


def _failed(views: Views, line: Line, kitchen: str, made: datetime) -> Exceptional:
    story = story_of(views, line)
    if story is None or story.action is None:
        return Exceptional(line, "", "no corrective action was logged", open=False)
    deeds = [
        step.told
        for step in story.steps
        if step.line.entry.id != story.action.closed_by and step.line.now.kind != "reading"
    ]
    closed_by = story.action.closed_by
    closing = views.line(closed_by, kitchen) if closed_by else None
    outcome = f"still {story.lasted(made)}" if story.open else f"{_outcome(closing)}, {story.lasted(made)}"
    return Exceptional(line, story.action.now.note, "; ".join([*deeds, outcome]), open=story.open)


def _outcome(closing: Line | None) -> str:
    if closing is None:
        return "closed"
    at = shown.moment(closing.now)
    when = f"{shown.short_day(at.date())} {shown.clock(at)}"
    if closing.now.kind == "reading":
        return f"rechecked {shown.value(closing.now)}, {closing.now.verdict}, {when} (#{closing.entry.id})"
    if closing.now.kind == "action_closed":
        note = f": {closing.now.note}" if closing.now.note else ""
        return f"closed by {shown.who(closing.now)}, {when}{note} (#{closing.entry.id})"
    return f"the reading was corrected, {when} (#{closing.entry.id})"
