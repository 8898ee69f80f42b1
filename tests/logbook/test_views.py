"""Looking things up: filters, pages, days, heads."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest

from assistant.errors import InputError
from assistant.logbook import Cursor, Draft, Filter, Head, Logbook, SetClock, Views, open_views, unjudged

MONDAY, TUESDAY = date(2026, 3, 2), date(2026, 3, 3)


def reading(subject: str, value: str, verdict: str | None, **fields: object) -> Draft:
    """A reading in degrees."""
    return Draft.model_validate(
        {"kind": "reading", "subject": subject, "measured": "air", "value": value, "unit": "F",
         "verdict": verdict, **fields}
    )  # fmt: skip


@pytest.fixture
def week(log: Logbook, clock: SetClock) -> Logbook:
    """Monday: a pass, a fail with its action, a blank. Tuesday: the recheck, a discard, the review."""
    log.append(reading("walk-in", "38", "pass", person="Dana"))
    log.append([
        reading("reach-in", "47", "fail", person="Sam"),
        Draft(kind="action_opened", subject="reach-in", measured="air", refers_to=-1),
    ])  # fmt: skip
    log.append(Draft(kind="not_taken", subject="hot well", note="no thermometer"))
    clock.move(days=1)
    log.append(reading("reach-in", "40", "pass", person="Dana", place="line"))
    log.append(
        Draft(kind="discard", subject="reach-in", item="cooked rice", amount="half a pan", person="Dana")
    )
    log.append(Draft(kind="review", subject="day", person="Lee"))
    return log


@pytest.mark.parametrize(
    ("wanted", "numbers"),
    [
        (Filter(), [1, 2, 3, 4, 5, 6, 7]),
        (Filter.on(MONDAY), [1, 2, 3, 4]),
        (Filter.week_of(TUESDAY), [1, 2, 3, 4, 5, 6, 7]),
        (Filter.week_of(MONDAY - timedelta(days=1)), []),
        (Filter(last_day=MONDAY, person="Sam"), [2]),
        (Filter(failed=True), [2]),
        (Filter(open=True), []),
        (Filter(subject="reach-in"), [2, 3, 5, 6]),
        (Filter(subject="reach-in", kinds=("reading",)), [2, 5]),
        (Filter(kinds=("discard", "review")), [6, 7]),
        (Filter(measured="air"), [1, 2, 3, 5]),
        (Filter(item="cooked rice"), [6]),
        (Filter(place="line"), [5]),
        (Filter(since=datetime(2026, 3, 3, 14, tzinfo=UTC)), [5, 6, 7]),
        (Filter(until=datetime(2026, 3, 3, 14, tzinfo=UTC)), [1, 2, 3, 4]),
        (Filter(site="elsewhere"), []),
        (Filter(site="Pine Street", first_day=TUESDAY), [5, 6, 7]),
    ],
)
def test_filters_combine(week: Logbook, wanted: Filter, numbers: list[int]) -> None:
    """Each example names the entries it finds; count agrees with lines."""
    assert [line.entry.id for line in week.lines(wanted)] == numbers
    assert week.views.count(wanted) == len(numbers)


def test_pages_give_every_line_once(week: Logbook) -> None:
    """Two a page, carried on by the cursor's text."""
    seen: list[int] = []
    cursor = None
    while True:
        page = week.views.lines(limit=2, after=cursor)
        seen += [line.entry.id for line in page.lines]
        if page.next is None:
            break
        cursor = Cursor.parse(str(page.next))
    assert seen == [1, 2, 3, 4, 5, 6, 7]


def test_the_newest_come_first_when_asked(week: Logbook) -> None:
    """With pages as well."""
    first = week.views.lines(limit=4, newest_first=True)
    second = week.views.lines(limit=4, newest_first=True, after=first.next)
    assert [line.entry.id for line in (*first.lines, *second.lines)] == [7, 6, 5, 4, 3, 2, 1]
    assert second.next is None


@pytest.mark.parametrize("text", ["", "x", "2026-03-02~x~Pine", "2026-03-02~1"])
def test_a_broken_cursor_is_refused(text: str) -> None:
    """It comes from an address, so anything may be in it."""
    with pytest.raises(InputError, match="begin again"):
        Cursor.parse(text)


def test_a_day_begins_with_what_needs_attention(week: Logbook) -> None:
    """Fails, blanks and open items first, then the numbers."""
    day = week.views.day(MONDAY)
    assert [line.entry.id for line in day.failed] == [2]
    assert [line.entry.id for line in day.not_taken] == [4]
    assert day.open == ()
    assert (day.readings, day.passed, day.entries, day.reviewed_by) == (2, 1, 4, ())
    assert week.views.day(TUESDAY).reviewed_by == ("Lee",)


def test_what_is_open_is_open_on_every_day(log: Logbook, failed: Draft, opened: Draft) -> None:
    """Yesterday's open action shows today."""
    log.append([failed, opened])
    assert [line.entry.id for line in log.views.day(TUESDAY).open] == [2]


def test_the_latest_line_of_a_place(week: Logbook) -> None:
    """What did the reach-in read last."""
    latest = week.views.latest(Filter(subject="reach-in", kinds=("reading",)))
    assert latest is not None
    assert latest.now.value == "40"
    assert week.views.latest(Filter(subject="fryer")) is None


def test_a_corrected_line_is_found_under_what_it_is_now(week: Logbook) -> None:
    """It was the walk-in, not the reach-in."""
    week.append(Draft(kind="correction", subject="walk-in", refers_to=2, verdict="fail"))
    assert [line.entry.id for line in week.lines(Filter(subject="walk-in"))] == [1, 2]


def test_amendments_can_be_listed_themselves(week: Logbook) -> None:
    """By kind, or all."""
    week.append(Draft(kind="withdrawal", subject="walk-in", refers_to=1))
    assert [line.entry.id for line in week.lines(Filter(kinds=("withdrawal",)))] == [8]
    assert week.views.count(Filter(amendments=True)) == week.views.count() + 1
    assert [line.entry.id for line in week.lines(Filter(person="Dana", standing_only=True))] == [5, 6]


def test_the_choices_of_a_filter(week: Logbook) -> None:
    """The different names that occur, sorted; empty ones left out."""
    assert week.views.values_of("person") == ("Dana", "Lee", "Sam")
    assert week.views.values_of("subject") == ("day", "hot well", "reach-in", "walk-in")
    with pytest.raises(InputError, match="cannot list"):
        week.views.values_of("hash")


def test_entries_come_in_the_chains_order(week: Logbook) -> None:
    """Any stretch of it."""
    assert [entry.id for entry in week.views.entries(3, 5)] == [3, 4, 5]
    assert [entry.id for entry in week.views.entries(6)] == [6, 7]


def test_an_empty_log_answers_too(log: Logbook) -> None:
    """Nothing, politely."""
    assert log.views.head() == Head(0, "0" * 64)
    assert log.views.lines().lines == ()
    assert log.views.day(MONDAY).entries == 0
    assert log.views.line(1) is None
    assert log.views.values_of("person") == ()


def test_views_of_one_site_leave_out_the_others(week: Logbook) -> None:
    """The office looks at one kitchen."""
    with open_views(week.folder) as views:
        assert views.line(1, site="elsewhere") is None
        assert views.line(1, site="Pine Street") is not None


OF_THREE = Filter(site="x", refers_to=3, kinds=("action_opened",))


@pytest.mark.parametrize(
    ("ask", "index"),
    [
        (lambda views: views.lines(OF_THREE), "standing_refers"),
        (lambda views: views.tally(Filter(open=True), "subject"), "standing_open"),
        (lambda views: views.count(Filter(open=True)), "standing_open"),
        (lambda views: views.lines(Filter(open=True)), "standing_open"),
        (lambda views: views.lines(Filter(failed=True)), "standing_failed"),
        (lambda views: views.made_until(datetime(2026, 3, 2, tzinfo=UTC)), "standing_entered"),
    ],
)  # fmt: skip
def test_questions_take_the_index_that_finds_few_rows(
    log: Logbook, ask: Callable[[Views], object], index: str
) -> None:
    """A million entries are as fast as few: SQLite says itself which index it takes."""
    plans: list[str] = []

    class Watched:
        def rows(self, sql: str, parameters: Sequence[object] = ()) -> list[tuple[Any, ...]]:
            plans.append(
                " ".join(str(row[3]) for row in log.database.rows(f"EXPLAIN QUERY PLAN {sql}", parameters))
            )
            return log.database.rows(sql, parameters)

        def close(self) -> None:
            """Nothing of its own."""

    ask(Views(Watched()))
    assert index in plans[0], plans


@pytest.mark.parametrize(
    ("verdict", "fields", "why"),
    [
        ("cannot judge", {"limits": {"high": "0", "unit": "F"}}, unjudged.OUTSIDE),
        ("cannot judge", {"limits": {"high": "41", "unit": "F"}}, unjudged.INSIDE),
        ("cannot judge", {}, unjudged.NOTHING),
        (None, {}, unjudged.CHANGED),
        ("cannot judge", {"measured": "cooling"}, ""),  # on its way, judged at the end
        ("pass", {}, ""),
    ],
)
def test_what_was_not_judged_is_found_and_says_why(
    log: Logbook, verdict: str | None, fields: dict[str, object], why: str
) -> None:
    """The query and the pure rule agree; what was taken back is none; the day's counts add up."""
    log.append(reading("freezer", "5", verdict, **fields))
    (line,) = log.lines()
    assert unjudged.is_unjudged(line) is bool(why)
    assert [each.entry.id for each in log.lines(Filter(unjudged=True))] == ([1] if why else [])
    day = log.views.day(MONDAY)
    assert (len(day.unjudged), day.doubts) == ((1, 1) if why else (0, 0))
    if why:
        assert unjudged.why(line.now) == why
    log.append(Draft(kind="withdrawal", subject="freezer", refers_to=1))
    assert log.lines(Filter(unjudged=True)) == ()
