"""Places over time, cooling batches, rounds and running clocks, found in entries."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime, timedelta, timezone
from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.logbook import Draft, Filter, Limits, Line, Logbook, SetClock, open_views
from assistant.manager import cooling_batches, places
from assistant.manager.chart import Mark, Step, draw, nice_step, y_range
from assistant.manager.rounds import rounds_of
from assistant.manager.running import running
from assistant.site import Site

ZONE = timezone(timedelta(hours=-6))
MONDAY = date(2026, 2, 23)
Write = Callable[..., tuple[Line, ...]]


@pytest.fixture
def write(tmp_path: Path) -> Write:
    """Log drafts at given hours of a Monday, and give the lines back."""

    def log(*timed: tuple[float, Draft]) -> tuple[Line, ...]:
        clock = SetClock(datetime(2026, 2, 23, tzinfo=ZONE))
        with Logbook.open(tmp_path / "log", site="s", clock=clock) as book:
            for hour, draft in timed:
                clock.time = datetime(2026, 2, 23, tzinfo=ZONE) + timedelta(hours=hour)
                book.append(draft)
            return book.lines()

    return log


def cooling(value: str, note: str = "") -> Draft:
    """A reading of chili that cools."""
    return Draft(
        kind="reading", subject="chili", item="chili", measured="cooling", value=value, unit="F", note=note
    )


def read(place: str, value: str = "38", **more: object) -> Draft:
    """A reading of a place."""
    plain = {
        "kind": "reading",
        "subject": place,
        "measured": "air",
        "value": value,
        "unit": "F",
        "verdict": "pass",
    }
    return Draft.model_validate({**plain, **more})


def test_series_keep_places_and_kinds_apart(week_once: Path, site: Site) -> None:
    """Air and food of one cooler are two series; cooling and withdrawn readings are in none."""
    with open_views(week_once) as views:
        found = places.series_of(views.each(), site)
    names = [(each.subject, each.measured) for each in found]
    assert len(set(names)) == len(names)
    assert ("prep cooler", "air") in names
    assert ("prep cooler", "food") in names
    assert not any(measured == "cooling" for _, measured in names)
    with open_views(week_once) as views:
        readings = views.count(Filter(kinds=("reading",), standing_only=True))
        cooled = views.count(Filter(kinds=("reading",), measured="cooling"))
    assert sum(len(each.lines) for each in found) == readings - cooled


def test_a_celsius_reading_is_drawn_on_a_fahrenheit_kitchens_axis(write: Write, site: Site) -> None:
    """5 °C is 41 °F; so is the limit written in Celsius."""
    limits = Limits(high="5", unit="C")
    (series,) = places.series_of(write((8, read("walk-in", "5", unit="C", limits=limits))), site)
    assert series.values == (41.0,)
    chart = places.chart_of(series, datetime(2026, 2, 23, tzinfo=ZONE), datetime(2026, 2, 24, tzinfo=ZONE))
    assert chart.steps[0].y == pytest.approx(chart.marks[0].y)
    assert chart.steps[0].text == "highest 5°C"


def test_a_changed_limit_is_drawn_where_it_was_in_force(write: Write, site: Site) -> None:
    """The step ends where the first reading under the new limit stands."""
    old, new = Limits(high="45", unit="F"), Limits(high="41", unit="F")
    lines = write(
        (6, read("walk-in", limits=old)), (12, read("walk-in", limits=new)), (18, read("walk-in", limits=new))
    )
    (series,) = places.series_of(lines, site)
    chart = places.chart_of(series, datetime(2026, 2, 23, tzinfo=ZONE), datetime(2026, 2, 24, tzinfo=ZONE))
    first, second = chart.steps
    assert first.x1 == second.x0 == chart.marks[1].x
    assert first.y < second.y  # higher on the page is warmer


def test_a_batch_is_judged_by_the_hours_that_were_told(write: Write, site: Site) -> None:
    """Two readings with their hours since 135 °F: cooled in time (Food Code 3-501.14(A), READ)."""
    lines = write((14, cooling("69", "2 h after 135°F")), (18, cooling("40", "6 h after 135°F")))
    (batch,) = cooling_batches.batches_of(lines, site)
    assert batch.verdict == "pass"
    assert batch.clock_said
    assert batch.began == datetime(2026, 2, 23, 12, tzinfo=ZONE)


def test_a_clock_entry_begins_a_batch(write: Write, site: Site) -> None:
    """The start is that of the clock; a second start is a second batch."""
    start = Draft(kind="clock", subject="chili", item="chili", measured="cooling", note="started")
    lines = write((10, start), (12, cooling("69")), (15, cooling("40")), (16, start), (17, cooling("100")))
    first, second = cooling_batches.batches_of(lines, site)
    assert [first.began.hour, second.began.hour] == [10, 16]
    assert (first.verdict, second.verdict) == ("pass", "cannot judge")
    assert second.next_due is not None
    assert second.next_due[1].hour == 18


def test_a_late_batch_fails_and_says_what_to_do(write: Write, site: Site) -> None:
    """Above 70 °F after two hours: the first stage is missed."""
    (batch,) = cooling_batches.batches_of(write((12.5, cooling("112", "2.5 h after 135°F"))), site)
    assert batch.verdict == "fail"
    assert "first stage took too long" in batch.told


def test_a_running_batch_becomes_late_by_the_clock_alone(write: Write, site: Site) -> None:
    """Nothing was read after the first hour; three hours later the present is asked, not the last reading."""
    lines = write((11, cooling("100", "1 h after 135°F")))
    (fresh,) = cooling_batches.batches_of(lines, site, datetime(2026, 2, 23, 11, 30, tzinfo=ZONE))
    (late,) = cooling_batches.batches_of(lines, site, datetime(2026, 2, 23, 15, tzinfo=ZONE))
    assert fresh.judgement.reason == "cooling"
    assert late.judgement.reason == "gap_hides_limit"


def test_the_fitted_curve_passes_by_the_readings(write: Write, site: Site) -> None:
    """Readings made by Newton's law (surroundings 38, rate 0.9 per hour) come back from the fit."""
    from math import exp

    hours = (0.5, 1, 2, 3, 4)
    lines = write(
        *((10 + h, cooling(f"{38 + 97 * exp(-0.9 * h):.1f}", f"{h:g} h after 135°F")) for h in hours)
    )
    (batch,) = cooling_batches.batches_of(lines, site)
    assert batch.fit is not None
    assert batch.fit.rate == pytest.approx(0.9, abs=0.02)
    chart = cooling_batches.chart_of(batch, site)
    for mark in chart.marks:
        near = min(chart.curve, key=lambda point: abs(point[0] - mark.x))
        assert near[1] == pytest.approx(mark.y, abs=4)


def test_rounds_are_done_in_part_or_missed(week_once: Path, site: Site) -> None:
    """Monday's close left one place; Saturday's second line check was not gone, the first was."""
    with open_views(week_once) as views:
        monday = {each.plan.id: each for each in rounds_of(views.each(Filter.on(MONDAY)), site, over=True)}
    assert monday["opening"].state == "done"
    assert monday["close"].state == "missed"
    assert monday["close"].left == ("dessert cooler",)
    assert monday["cooling check"].state == "done"


def test_a_place_of_two_rounds_counts_for_the_one_begun(write: Write, site: Site) -> None:
    """The walk-in stands in opening and close; while opening runs it is not the close's."""
    lines = write(
        (6, Draft(kind="round", subject="opening", note="begun")), (6.1, read("walk-in")),
        (6.2, Draft(kind="round", subject="opening", note="left")),
    )  # fmt: skip
    states = {each.plan.id: each for each in rounds_of(lines, site, over=False)}
    assert states["opening"].read == ("walk-in",)
    assert states["close"].read == ()


def test_a_numbered_unit_and_a_blank_count_for_their_place(write: Write, site: Site) -> None:
    """ "Freezer 2" serves the freezer; a reading that could not be taken is not forgotten."""
    lines = write(
        (21, read("freezer 2")), (21.1, Draft(kind="not_taken", subject="walk-in", note="no probe"))
    )
    close = next(each for each in rounds_of(lines, site, over=False) if each.plan.id == "close")
    assert close.read == ("walk-in", "freezer")
    assert close.state == "part done"


def test_clocks_run_until_ended_or_thrown_out(write: Write, site: Site) -> None:
    """Time as the control ends after the profile's hours; thrown-out food has no clock."""

    def clock(subject: str, kind: str, note: str) -> Draft:
        return Draft(kind="clock", subject=subject, measured=kind, note=note)

    lines = write(
        (9, clock("pizza", "time", "started")), (9, clock("chicken", "thawing", "started")),
        (9, clock("rice", "time", "started")), (10, clock("chicken", "thawing", "ended")),
        (11, Draft(kind="discard", subject="rice", item="rice", amount="all")),
    )  # fmt: skip
    (pizza,) = running(lines, site.profile, datetime(2026, 2, 23, 12, tzinfo=ZONE))
    hours = site.profile.value("time_control_hours_max")
    assert (pizza.subject, pizza.until) == ("pizza", pizza.since + timedelta(hours=float(hours)))


@given(st.floats(0.01, 1e6), st.integers(2, 10))
def test_steps_of_an_axis_are_round_and_few(span: float, most: int) -> None:
    """One, two or five times a power of ten, and no more of them than asked for."""
    step = nice_step(span, most)
    assert span / step <= most * (1 + 1e-6)
    assert Decimal(f"{step:.6e}").normalize().as_tuple().digits in ((1,), (2,), (5,))


@given(st.lists(st.floats(-100, 500), min_size=1, max_size=30))
def test_an_axis_holds_all_its_values(values: list[float]) -> None:
    """Bottom and top enclose the values, and are whole steps."""
    bottom, top, step = y_range(values)
    assert bottom <= min(values) <= max(values) <= top
    assert (top - bottom) / step == pytest.approx(round((top - bottom) / step))


@given(
    st.lists(st.tuples(st.floats(0, 100), st.floats(-60, 250)), min_size=1, max_size=20), st.floats(-60, 250)
)
def test_marks_stay_in_the_plot_and_keep_their_order(points: list[tuple[float, float]], limit: float) -> None:
    """Warmer is higher, later is further right, and nothing lies outside the frame."""
    chart = draw([Mark(x, y) for x, y in points], [Step(0, 100, limit)], (0, 100), [])
    frame = chart.frame
    for mark in chart.marks:
        assert frame.left - 0.1 <= mark.x <= frame.width - frame.right + 0.1
        assert frame.top - 0.1 <= mark.y <= frame.height - frame.bottom + 0.1
    for (_, y), mark in zip(points, chart.marks, strict=True):
        assert (y > limit) <= (mark.y <= chart.steps[0].y + 1e-6)


def test_places_read_in_no_round_are_no_round(write: Write, site: Site) -> None:
    """Each place was read once, while somebody tried the program out: no round was gone, neither of two."""
    plans = {plan.id: plan for plan in site.rounds}
    places = dict.fromkeys((*plans["opening"].places, *plans["close"].places))
    lines = write(*((15 + n / 60, read(place)) for n, place in enumerate(places)))
    states = {each.plan.id: each for each in rounds_of(lines, site, over=True)}
    assert {states["opening"].state, states["close"].state} == {"not begun"}
    assert states["close"].told.startswith("each place read by 3:")
    assert states["close"].told.endswith("but no round was begun")
    begun = write((16, Draft(kind="round", subject="close", note="begun")))
    assert {each.plan.id: each.state for each in rounds_of((*lines, *begun), site, over=False)} == {
        "opening": "not begun", "line check": "part done", "cooling check": "not needed", "close": "not done"
    }  # fmt: skip


def test_what_was_read_before_a_round_is_not_of_it(write: Write, site: Site) -> None:
    """The morning's walk-in stays the morning's; what is read after the round was left may complete it."""
    places = next(plan.places for plan in site.rounds if plan.id == "close")
    lines = write(
        (7, read("walk-in")), (21, Draft(kind="round", subject="close", note="begun")),
        *((21.1, read(place)) for place in places if place != "walk-in"),
        (21.2, Draft(kind="round", subject="close", note="left")),
    )  # fmt: skip
    close = {each.plan.id: each for each in rounds_of(lines, site, over=False)}["close"]
    assert (close.state, close.left) == ("part done", ("walk-in",))
    lines += write((21.5, read("walk-in")))
    assert {each.plan.id: each.state for each in rounds_of(lines, site, over=False)}["close"] == "done"


def test_a_time_set_by_hand_is_a_trial(tmp_path: Path, site: Site) -> None:
    """``--at`` is for tests and demos: what is logged under it stands in the log and does no round."""
    plan = next(plan for plan in site.rounds if plan.id == "close")
    for by_hand, state in ((True, "missed"), (False, "done")):
        clock = SetClock(datetime(2026, 2, 23, 21, tzinfo=ZONE), by_hand=by_hand)
        with Logbook.open(tmp_path / str(by_hand), clock=clock) as log:
            log.append([Draft(kind="round", subject="close", note="begun"), *map(read, plan.places)])
            lines = log.lines()
        assert [each.state for each in rounds_of(lines, site, over=True) if each.plan.id == "close"] == [
            state
        ]
