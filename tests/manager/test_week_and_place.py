"""The week at a glance, a place's own page, the log's filters, and a past day as it was then."""

from __future__ import annotations

from contextlib import ExitStack
from datetime import date, datetime, timedelta, timezone
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from assistant.logbook import Draft, Logbook, SetClock
from assistant.manager.app import build
from assistant.manager.chart import Mark, draw
from assistant.manager.desk import LocalDesk
from assistant.manager.week import rows_of, warning_of
from assistant.site import Site

ZONE = timezone(timedelta(hours=-6))
MONDAY = date(2026, 2, 23)


def air(place: str, value: str, verdict: str, **more: str) -> Draft:
    """A reading of a place."""
    return Draft.model_validate(
        {
            "kind": "reading",
            "subject": place,
            "measured": "air",
            "value": value,
            "unit": "F",
            "verdict": verdict,
            **more,
        }
    )


@pytest.fixture
def fortnight(tmp_path: Path, until_the_end: ExitStack) -> Logbook:
    """Two weeks: the reach-in fails on four days, the walk-in once the week before; one place once only."""
    clock = SetClock(datetime(2026, 2, 16, 8, tzinfo=ZONE))
    log = until_the_end.enter_context(Logbook.open(tmp_path / "log", site="s", clock=clock))
    for number in range(14):
        bad = number in (8, 9, 10, 12)
        log.append(air("reach-in", "47" if bad else "39", "fail" if bad else "pass", words="reach in"))
        log.append(air("walk-in", "44" if number == 2 else "38", "fail" if number == 2 else "pass"))
        clock.move(days=1)
    clock.move(days=-1)
    log.append(air("freezer 1", "-4", "pass", item="peas", words="congelador menos cuatro, José"))
    return log


@pytest.fixture
def page(fortnight: Logbook, site: Site) -> TestClient:
    """The page over it."""
    desk = LocalDesk(fortnight.folder, site, fortnight.clock)
    return TestClient(build(desk, desk.folder), base_url="http://127.0.0.1")


def test_a_week_shows_the_worst_first(fortnight: Logbook, site: Site, page: TestClient) -> None:
    """This week's fails, then last week's; each day with the value that failed."""
    first, second, third = rows_of(fortnight.lines(), site, MONDAY)
    assert (first.subject, first.failed, first.failed_before, first.readings) == ("reach-in", 4, 0, 7)
    assert [cell.word for cell in first.cells] == ["pass", "fail", "fail", "fail", "pass", "fail", "pass"]
    assert (second.subject, second.failed_before) == ("walk-in", 1)
    assert [cell.word for cell in third.cells] == [""] * 6 + ["pass"]
    text = page.get("/week?day=2026-02-25").text
    assert text.index("Reach-in") < text.index("Walk-in")
    assert "47°F" in text
    assert "to come" in page.get("/week?day=2026-03-02").text


def test_a_place_that_fails_often_is_warned_of(fortnight: Logbook, page: TestClient) -> None:
    """Three times in two weeks; once is not often."""
    lines = fortnight.lines()
    assert warning_of([each for each in lines if each.now.subject == "walk-in"], date(2026, 3, 1)) == ""
    text = page.get("/place?name=reach-in").text
    assert "Failed 4 times in 14 days" in text
    assert text.count("<svg") == 1
    assert "No reading of this place" in page.get("/place?name=nowhere").text


def test_one_reading_has_no_chart_and_gaps_break_the_line(page: TestClient) -> None:
    """A point alone says nothing in a chart; a day without readings is no line."""
    assert page.get("/places?from=2026-02-16&to=2026-03-01").text.count("<svg") == 2
    marks = [Mark(x, 1.0) for x in (0.0, 1.0, 2.0, 9.0, 10.0, 20.0)]
    assert [len(piece) for piece in draw(marks, [], (0, 20), [], longest_gap=3).pieces] == [3, 2]


@pytest.mark.parametrize(
    ("asked", "count"),
    [
        ("food=peas", "1 entry fits."),
        ("said=jose+MENOS", "1 entry fits."),
        ("said=reach&failed=1", "4 entries fit."),
        ("said=nothing+like+it", "Nothing fits."),
        ("place=walk-in&said=", "14 entries fit."),
    ],
)
def test_the_log_is_filtered_by_food_and_words(page: TestClient, asked: str, count: str) -> None:
    """Whatever the case and the accents; together with the other filters."""
    assert count in page.get(f"/log?{asked}").text


def test_words_are_looked_for_piecewise(page: TestClient, monkeypatch: pytest.MonkeyPatch) -> None:
    """Over a long log a page comes soon, says how far it looked, and leads on."""
    monkeypatch.setattr("assistant.manager.reading_pages.MOST_SEARCHED", 10)
    text = page.get("/log?said=walk&order=oldest").text
    assert "of the 10 entries looked at so far" in text or "Nothing fits" in text
    assert 'rel="next"' in text


def test_a_past_day_shows_what_was_open_then(fortnight: Logbook, page: TestClient, site: Site) -> None:
    """An action closed on the next day was open at the end of its own; the next day it was not."""
    reading, action = fortnight.append([
        air("walk-in", "50", "fail"),
        Draft(kind="action_opened", subject="walk-in", measured="air", refers_to=-1, note="probe"),
    ])  # fmt: skip
    fortnight.clock.move(days=1)  # type: ignore[attr-defined]
    fortnight.append(air("walk-in", "38", "pass"))
    fortnight.clock.move(days=1)  # type: ignore[attr-defined]
    then, after = page.get("/?day=2026-03-01").text, page.get("/?day=2026-03-02").text
    assert f"#{action.id}" in then.partition("Open at the end")[2].partition("Failed")[0]
    assert "Nothing was open." in after
    assert reading.id < action.id
