"""Signs of made-up readings, as hints with their evidence: something to look at, never a judgement.

Pure functions over entries. How often an honest kitchen gets each hint all the same was measured on
simulated logs (``tests/benchmarks/bench_worth_a_look.py``, on other months than those that the limits below
were tried on) and is shown beside it (``tables/worth_a_look_rates.csv``).

Measured with 1,000 honest kitchen-months (in brackets: where people tell each reading at its place, nobody
rounds and nobody works both shifts), and with 200 months each of somebody who invents readings:

    hint                  honest          seen of inventing
    identical run         0.7 %  (0.2 %)  97 %  one number told again and again
    bursts                8.2 %  (0)      79 %  rounds invented at the desk
    no decimals          25.5 %  (0)      61 %  whole numbers invented at the desk
    never a fail          0.1 %  (0)       6 %  never a bad number invented: weak where little fails
    kitchen never fails   0.3 %  (0.2 %)   -
    every shift           5.1 %  (0)      91 %  one sign-in left standing
    same rounds           2.0 %  (0)      96 %  an earlier round told once more
    even gaps             0.0 %  (0)      75 %  rounds invented by the clock
    fails undone          0.2 %  (0.2 %)  90 %  four of five true fails taken back later
    any of them          36.0 %  (0.7 %)

Measured anew on 29 November 2026: of the same months the same figures to the last digit. Of 1,000 other
months (``--first 3000``) identical run 0.9 %, bursts 8.8 %, no decimals 27.4 %, kitchen never fails 0.6 %,
every shift 3.3 %, same rounds 1.8 %, fails undone 0.3 %, never a fail and even gaps 0, any of them 37.7 %
(1.6 %): the intervals of 95 % overlap each time, and a single rate is known no better than that.

So a hint mostly tells of a habit worth changing (rounding, notes, sign-ins), and only sometimes of inventing.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Callable, Hashable, Iterable, Sequence
from datetime import date, timedelta
from itertools import pairwise
from typing import TypeVar

from assistant.logbook.entry import Entry
from assistant.manager import shown
from assistant.manager.chances import at_most, none_of, run_bound, wilson
from assistant.manager.hints import SURE, Hint, named, when
from assistant.manager.worth_patterns import Undone, even_gaps, fails_undone, same_rounds

Key = TypeVar("Key", bound=Hashable)

DAYS = 28
"""The window that the hints are meant for: all rates are for one kitchen and so many days."""
LEAST_RUN = 6
LEAST_PAIRS = 20
BURST_PLACES, BURST_SECONDS = 5, 6.0
"""So many different places in as many turns, each within seconds of the last: no time to walk and probe."""
LEAST_DECIMALS = 15
LEAST_JUDGED = 60
KITCHEN_JUDGED = 900
SHIFT_DAYS, LONG_DAYS, LONG_DAY = 14, 7, timedelta(hours=13)


def look(entries: Iterable[Entry], undone: Sequence[Undone] = ()) -> tuple[Hint, ...]:
    """Return all hints for one kitchen's standing readings (corrected, none withdrawn) of about a month.

    ``undone`` are the fails of that month that do not stand any more.
    """
    readings = sorted(
        (entry for entry in entries if entry.kind == "reading" and entry.value is not None),
        key=shown.moment,
    )
    checks: tuple[Callable[[Sequence[Entry]], list[Hint]], ...] = (
        identical_runs, bursts, no_decimals, never_a_fail, kitchen_never_fails, every_shift, same_rounds,
        even_gaps,
    )  # fmt: skip
    return (*fails_undone(undone), *(hint for check in checks for hint in check(readings)))


def identical_runs(readings: Sequence[Entry]) -> list[Hint]:
    """Find one temperature repeated at a place far more often than its neighbours there repeat.

    Looked for in each place's readings in a row, and in each person's own at the place. Strips are left
    out: their few colours repeat by nature.
    """
    warm = [entry for entry in readings if _warm(entry)]
    places = list(_by(warm, lambda entry: (entry.subject, entry.measured)).values())
    hints: list[Hint] = []
    for place in places:
        run = _striking_run(place, [place], places, len(places))
        if run:
            hints.append(run)
            continue
        own = list(_by(place, lambda entry: entry.person).values())
        tried = len(places) * len(own)
        hints += [run for each in own if (run := _striking_run(each, own, places, tried))]
    return hints


Groups = Sequence[Sequence[Entry]]


def _striking_run(group: Sequence[Entry], here: Groups, everywhere: Groups, tried: int) -> Hint | None:
    """Return a hint when the longest run in ``group`` is too long for neighbours as equal as elsewhere.

    How often two in a row are equal is counted at the place (``here``), or in the kitchen where that is too
    little, without the run itself; and in whole degrees where ``group`` has no others, as for somebody who
    rounds what others read to the tenth.
    """
    first, length = _longest_run(group)
    if length < LEAST_RUN:
        return None
    whole = not any(map(_has_tenths, group))
    for groups in (here, everywhere):
        pairs, equal = _repeats(groups, whole=whole)
        others, others_equal = pairs - (length + 1), max(equal - (length - 1), 0)
        if others >= LEAST_PAIRS:
            share = (others_equal + 1) / (others + 2)
            if run_bound(len(group) - 1, length, share) < SURE / tried:
                return _run_hint(group[first : first + length], share)
            return None
    return None


def bursts(readings: Sequence[Entry]) -> list[Hint]:
    """Find rounds told place after place faster than anybody walks and a probe settles."""
    found = {person: _bursts_of(group) for person, group in _by(readings, lambda entry: entry.person).items()}
    found = {person: each for person, each in found.items() if len(each) >= 2}
    hints = []
    for person, each in found.items():
        quickest = min(each, key=lambda group: _seconds(group) / len(group))
        hints.append(Hint(
            "bursts", f"Faster than walking: {named(person)}",
            f"{len(each)} times in these days, {BURST_PLACES} or more places followed each other within"
            f" {BURST_SECONDS:g} seconds each; the quickest was {len(quickest)} places in"
            f" {_seconds(quickest):.0f} seconds on {when(quickest[0])}.",
            "The readings may have been taken on a walk and told from memory or a note afterwards; then the"
            " times in the log are not those of measuring.",
            tuple(entry.id for entry in quickest),
        ))  # fmt: skip
    return hints


def no_decimals(readings: Sequence[Entry]) -> list[Hint]:
    """Find a person who never reads the tenths of a display whose tenths everybody else reads."""
    warm = [entry for entry in readings if _warm(entry)]
    people = _by(warm, lambda entry: entry.person or None)
    hints = []
    for person, group in people.items():
        places = {(entry.subject, entry.measured) for entry in group}
        others = [
            entry for entry in warm if entry.person != person and (entry.subject, entry.measured) in places
        ]
        if len(group) < LEAST_DECIMALS or len(others) < LEAST_DECIMALS:
            continue
        theirs = sum(map(_has_tenths, others))
        low, _ = wilson(theirs, len(others))
        own = sum(map(_has_tenths, group))
        if 0.3 <= low < 1 and at_most(own, len(group), low) < SURE / len(people):
            hints.append(Hint(
                "no decimals", f"Whole numbers only: {named(person)}",
                f"{own} of {len(group)} readings have tenths of a degree; of the others' readings at the"
                f" same places {theirs} of {len(others)} have.",
                "Rounding when speaking looks the same: ask for the tenths to be read out.",
                tuple(entry.id for entry in group),
            ))  # fmt: skip
    return hints


def never_a_fail(readings: Sequence[Entry]) -> list[Hint]:
    """Find a person whose readings never fail at places where the others' do."""
    judged = [entry for entry in readings if entry.verdict in ("pass", "fail")]
    people = _by(judged, lambda entry: entry.person or None)
    hints = []
    for person, group in people.items():
        if len(group) < LEAST_JUDGED or any(entry.verdict == "fail" for entry in group):
            continue
        shares, failed, of = _others_fail(judged, person, group)
        chance = none_of(shares)
        if failed and chance < SURE * 10 / len(people):
            hints.append(Hint(
                "never a fail", f"Never a fail: {named(person)}",
                f"None of {len(group)} judged readings failed. At the same places {failed} of {of} readings"
                f" by others failed; with their luck, none in {len(group)} has a chance of about"
                f" {_chance(chance)}.",
                "Somebody who measures at calmer hours, or mends before measuring, may well never see one.",
                tuple(entry.id for entry in group),
            ))  # fmt: skip
    return hints


def kitchen_never_fails(readings: Sequence[Entry]) -> list[Hint]:
    """Find a kitchen in which nothing has failed for a long time."""
    judged = [entry for entry in readings if entry.verdict in ("pass", "fail")]
    if len(judged) < KITCHEN_JUDGED or any(entry.verdict == "fail" for entry in judged):
        return []
    return [Hint(
        "kitchen never fails", "Nothing ever fails here",
        f"None of {len(judged)} judged readings failed. If one in 200 truly failed, that would happen with a"
        f" chance of about {_chance(0.995 ** len(judged))}; fewer than {300 / len(judged):.1f} in 100 fail"
        " (rule of three).",
        "A kitchen with good equipment and steady habits can look like this.",
        (),
    )]  # fmt: skip


def every_shift(readings: Sequence[Entry]) -> list[Hint]:
    """Find a name that reads early and late on every day: a sign-in that was never changed."""
    hints = []
    for person, group in _by(readings, lambda entry: entry.person or None).items():
        days = _by(group, lambda entry: shown.moment(entry).date())
        for last in sorted(days, reverse=True):
            window = [last - timedelta(days=n) for n in range(SHIFT_DAYS)]
            present = [day for day in window if day in days]
            long = [day for day in present if _length(days[day]) >= LONG_DAY]
            if len(present) == SHIFT_DAYS and len(long) >= LONG_DAYS:
                hints.append(_shift_hint(person, days, present, long))
                break
    return hints


def _by(readings: Iterable[Entry], key: Callable[[Entry], Key | None]) -> dict[Key, list[Entry]]:
    groups: dict[Key, list[Entry]] = defaultdict(list)
    for entry in readings:
        name = key(entry)
        if name is not None:
            groups[name].append(entry)
    return dict(groups)


def _warm(entry: Entry) -> bool:
    return entry.unit in shown.DEGREES


def _has_tenths(entry: Entry) -> bool:
    return (entry.value or "").partition(".")[2].strip("0") != ""


def _repeats(groups: Groups, *, whole: bool) -> tuple[int, int]:
    """Return how many neighbours there are in ``groups``, and how many are equal (in whole degrees)."""
    pairs = equal = 0
    for group in groups:
        values = [float(entry.value or 0) for entry in group]
        values = [round(value) for value in values] if whole else values
        pairs += max(len(values) - 1, 0)
        equal += sum(a == b for a, b in pairwise(values))
    return pairs, equal


def _same(a: Entry, b: Entry) -> bool:
    return a.unit == b.unit and float(a.value or 0) == float(b.value or 0)


def _longest_run(group: Sequence[Entry]) -> tuple[int, int]:
    """Return where the longest run of equal values begins, and its length."""
    best, first = (0, 1), 0
    for at in range(1, len(group)):
        if not _same(group[at - 1], group[at]):
            first = at
        if at - first + 1 > best[1]:
            best = (first, at - first + 1)
    return best


def _run_hint(run: Sequence[Entry], share: float) -> Hint:
    people = Counter(named(entry.person) for entry in run)
    by = ", ".join(f"{name} {count}" for name, count in people.most_common())
    return Hint(
        "identical run",
        f"The same number again and again: {run[0].subject}",
        f"{shown.value(run[0])} {len(run)} times in a row, {when(run[0])} to {when(run[-1])} (by {by})."
        f" Otherwise two readings in a row are equal {100 * share:.0f} times in 100 here.",
        "A display that hangs, or a very steady unit, does the same: compare it with another thermometer.",
        tuple(entry.id for entry in run),
    )


def _bursts_of(group: Sequence[Entry]) -> list[list[Entry]]:
    """Return runs of turns by one person at different places with too little time between them.

    Several readings in one breath are one turn and count as one place: nothing is known of their times.
    """
    found: list[list[Entry]] = []
    run: list[Entry] = []
    for entry in group:
        if run and entry.at_utc == run[-1].at_utc:
            continue
        gap = (shown.moment(entry) - shown.moment(run[-1])).total_seconds() if run else 0.0
        if run and (gap > BURST_SECONDS or entry.subject in {each.subject for each in run}):
            found.append(run)
            run = []
        run.append(entry)
    return [each for each in [*found, run] if len(each) >= BURST_PLACES]


def _seconds(group: Sequence[Entry]) -> float:
    return (shown.moment(group[-1]) - shown.moment(group[0])).total_seconds()


def _others_fail(
    judged: Sequence[Entry], person: str, group: Sequence[Entry]
) -> tuple[list[float], int, int]:
    """Return for each reading of ``group`` the share of others' readings that fail there, and the sums."""
    counts: dict[tuple[str, str], list[int]] = defaultdict(lambda: [0, 0])
    for entry in judged:
        if entry.person != person:
            count = counts[entry.subject, entry.measured]
            count[0] += entry.verdict == "fail"
            count[1] += 1
    keys = [(entry.subject, entry.measured) for entry in group]
    shares = [counts[key][0] / (counts[key][1] + 1) if key in counts else 0.0 for key in keys]
    used = [counts[key] for key in set(keys) if key in counts]
    return shares, sum(each[0] for each in used), sum(each[1] for each in used)


def _shift_hint(person: str, days: dict[date, list[Entry]], present: list[date], long: list[date]) -> Hint:
    first = min(shown.moment(entry).time() for day in present for entry in days[day])
    last = max(shown.moment(entry).time() for day in present for entry in days[day])
    return Hint(
        "every shift",
        f"One name on every shift: {named(person)}",
        f"Readings on {len(present)} of {SHIFT_DAYS} days up to {shown.short_day(present[0])}, on {len(long)}"
        f" of them over more than {LONG_DAY.total_seconds() / 3600:.0f} hours; earliest {first:%H:%M}, latest"
        f" {last:%H:%M}.",
        "The sign-in may have been left standing while others spoke: have everybody sign in by name.",
        tuple(entry.id for day in long for entry in (days[day][0], days[day][-1])),
    )


def _length(day: Sequence[Entry]) -> timedelta:
    return shown.moment(day[-1]) - shown.moment(day[0])


def _chance(share: float) -> str:
    return f"1 in {round(1 / share):,}" if share > 1e-6 else "less than 1 in a million"
