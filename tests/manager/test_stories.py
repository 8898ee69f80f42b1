"""One story per action; corrections as a table; days that the log cannot speak of; batches that ended."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, datetime, timedelta, timezone
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from assistant.logbook import Draft, Filter, Logbook, SetClock
from assistant.logbook.retention import remove_entries
from assistant.manager import cooling_batches
from assistant.manager.app import build
from assistant.manager.changes import changed_in
from assistant.manager.desk import LocalDesk
from assistant.manager.report import gather
from assistant.manager.rounds import rounds_of
from assistant.manager.spans import span_of_log
from assistant.manager.stories import story_of
from assistant.site import Site

ZONE = timezone(timedelta(hours=-6))
DAY = date(2026, 2, 23)


@pytest.fixture
def clock() -> SetClock:
    """Eight on a Monday morning."""
    return SetClock(datetime(2026, 2, 23, 8, tzinfo=ZONE))


@pytest.fixture
def book(tmp_path: Path, clock: SetClock) -> Iterator[Logbook]:
    """An empty log."""
    with Logbook.open(tmp_path / "log", site="s", clock=clock) as opened:
        yield opened


def air(value: str, verdict: str, place: str = "walk-in") -> Draft:
    """A reading of a place."""
    return Draft.model_validate({
        "kind": "reading", "subject": place, "measured": "air", "value": value, "unit": "F",
        "verdict": verdict, "person": "Rosa", "words": f"{place} {value}",
    })  # fmt: skip


def page_of(book: Logbook, site: Site) -> TestClient:
    """The page over the log."""
    return TestClient(
        build(LocalDesk(book.folder, site, book.clock), book.folder), base_url="http://127.0.0.1"
    )


def failed(book: Logbook, clock: SetClock) -> int:
    """A fail at eight, food moved at ten past, thrown out at twenty past, cold again at twenty to nine."""
    reading, action = book.append([
        air("50", "fail"),
        Draft(kind="action_opened", subject="walk-in", measured="air", refers_to=-1, note="probe"),
    ])  # fmt: skip
    clock.move(minutes=10)
    book.append(Draft(
        kind="event", subject="walk-in", measured="air", refers_to=action.id,
        note="done: moved the food", person="Dev",
    ))  # fmt: skip
    clock.move(minutes=10)
    book.append(Draft(kind="discard", subject="walk-in", person="Dev"))
    clock.move(minutes=20)
    book.append(air("39", "pass"))
    return reading.id


def test_an_action_is_one_story(book: Logbook, clock: SetClock, site: Site) -> None:
    """Deed, discard and recheck in order, with how long it was open; the same from the action's own page."""
    number = failed(book, clock)
    for each in (number, number + 1):
        line = book.views.line(each)
        assert line is not None
        story = story_of(book.views, line)
        assert story is not None
        assert [step.told for step in story.steps] == [
            "moved the food", "thrown out: the amount was not said", "read again: 39°F, pass",
        ]  # fmt: skip
        assert story.lasted(clock.now()) == "closed after 40 min"
    page = page_of(book, site)
    for path in ("/", f"/entry/{number}"):
        text = page.get(path).text
        assert "moved the food" in text
        assert "closed after 40 min" in text
    (told,) = gather(book.views, site, DAY, DAY, clock.now()).exceptions
    assert told.outcome.startswith(
        "moved the food; thrown out: the amount was not said; rechecked 39°F, pass"
    )


def test_a_fail_that_was_changed_keeps_its_first_value(book: Logbook, clock: SetClock, site: Site) -> None:
    """Corrected into a pass, or taken back a day later: both stand in the table of either day."""
    number = failed(book, clock)
    (other,) = book.append(air("60", "fail", "reach-in"))
    book.append(Draft(
        kind="correction", subject="walk-in", refers_to=number, value="40", unit="F", verdict="pass",
        person="Dev", words="no, forty",
    ))  # fmt: skip
    clock.move(days=1)
    book.append(Draft(kind="withdrawal", subject="reach-in", refers_to=other.id, person="Sam"))
    report = gather(book.views, site, DAY, DAY, clock.now())
    assert [(each.first, each.instead) for each in report.changes] == [
        ("50°F, fail", "40°F, pass “no, forty”"), ("60°F, fail", "taken back"),
    ]  # fmt: skip
    tuesday = Filter.on(DAY + timedelta(days=1))
    assert [each.first for each in changed_in(book.views, tuesday, book.views.each(tuesday))] == [
        "60°F, fail"
    ]
    page = page_of(book, site)
    assert "50°F, fail" in page.get(f"/?day={DAY}").text
    assert "60°F, fail" in page.get(f"/entry/{other.id}").text
    withdrawal = book.views.head().count
    assert f'Changes <a href="/entry/{other.id}">' in page.get(f"/entry/{withdrawal}").text.replace("\n", "")


def test_days_that_the_log_cannot_speak_of_are_neither_missed_nor_clean(
    book: Logbook, clock: SetClock, site: Site
) -> None:
    """Removed by rule, before the log began, or still to come: said on the page and in the report."""
    page = page_of(book, site)
    for _ in range(30):
        book.append(air("38", "pass"))
        clock.move(days=1)
    clock.move(days=-1)
    assert "had not begun" in page.get("/?day=2026-02-20").text
    remove_entries(book, 10)
    removed, to_come = page.get("/?day=2026-02-25").text, page.get("/?day=2026-04-01").text
    assert "removed by the rule" in removed
    assert "still to come" in to_come
    for text in (removed, to_come):
        assert "missed:" not in text
        assert "No reading failed" not in text
    span = span_of_log(book.views, clock.now().date())
    assert [span.state(DAY + timedelta(days=n)) for n in (0, 18, 19, 29, 30)] == [
        "removed",
        "removed",
        "",
        "",
        "to come",
    ]
    report = gather(book.views, site, DAY, DAY + timedelta(days=30), clock.now())
    assert {why: len(days) for why, days in report.not_known().items()} == {"removed": 19, "to come": 1}
    assert len(report.rounds) == 11


def cooling(value: str, verdict: str = "cannot judge") -> Draft:
    """A reading of chili that cools."""
    return Draft.model_validate({
        "kind": "reading", "subject": "chili", "item": "chili", "measured": "cooling", "value": value,
        "unit": "F", "verdict": verdict,
    })  # fmt: skip


@pytest.mark.parametrize(
    ("end", "says"),
    [(Draft(kind="reading", subject="chili", item="chili", measured="reheating", value="170", unit="F",
            verdict="pass"), "Reheated to 170°F"),
     (Draft(kind="discard", subject="chili", item="chili"), "Thrown out at")],
)  # fmt: skip
def test_a_batch_that_ended_is_not_told_to_be_thrown_out(
    book: Logbook, clock: SetClock, site: Site, end: Draft, says: str
) -> None:
    """No forecast and no order for a batch that was reheated in time, or that is gone; its fail is drawn."""
    for value, verdict in (("135", "cannot judge"), ("90", "fail")):
        book.append(cooling(value, verdict))
        clock.move(hours=2.5)
    book.append(end)
    (batch,) = cooling_batches.batches_of(book.lines(), site, clock.now())
    assert says in batch.told
    assert "Throw it out" not in batch.told
    assert (batch.outlook, batch.next_due) == ("", None)
    assert [mark.verdict for mark in cooling_batches.chart_of(batch, site).marks] == ["", "fail"]


def test_a_round_gone_twice_is_told_twice(book: Logbook, clock: SetClock, site: Site) -> None:
    """Each run with the time at which it was complete."""
    plan = next(each for each in site.rounds if each.places)
    for _ in range(2):
        book.append(Draft(kind="round", subject=plan.id, note="begun"))
        for place in plan.places:
            book.append(air("38", "pass", place))
        book.append(Draft(kind="round", subject=plan.id, note="ended"))
        clock.move(hours=6)
    (state,) = [each for each in rounds_of(book.lines(), site, over=True) if each.plan.id == plan.id]
    assert state.told == "done at 8:00 am and 2:00 pm"
