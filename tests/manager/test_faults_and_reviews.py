"""Faults that nobody planned for, signatures over several days, and how values are written."""

from __future__ import annotations

from datetime import date, datetime, timedelta, timezone
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from assistant.errors import LogWriteError
from assistant.logbook import Draft, Filter, Limits, Logbook, SetClock, open_views
from assistant.logbook.signed_days import days_signed
from assistant.manager import shown
from assistant.manager.app import build
from assistant.manager.desk import LocalDesk
from assistant.manager.report import gather
from assistant.manager.reviews import reviews_of, signed_by
from assistant.site import Site

MONDAY = date(2026, 2, 23)


@pytest.fixture
def clock() -> SetClock:
    """Monday noon."""
    return SetClock(datetime(2026, 2, 23, 12, tzinfo=timezone(timedelta(hours=-6))))


def test_a_fault_that_nobody_planned_for_is_a_page(desk: LocalDesk, monkeypatch: pytest.MonkeyPatch) -> None:
    """The reader sees one sentence and no inside of the program."""
    page = TestClient(build(desk, desk.folder), base_url="http://127.0.0.1", raise_server_exceptions=False)
    monkeypatch.setattr("assistant.manager.reading_pages.phrase_card", lambda _: 1 / 0)
    answer = page.get("/phrases")
    assert answer.status_code == 500
    assert "Something went wrong here; nothing was logged by it." in answer.text
    assert "ZeroDivision" not in answer.text
    assert answer.headers["x-content-type-options"] == "nosniff"


def test_a_form_that_could_not_be_logged_keeps_its_warning(
    page: TestClient, desk: LocalDesk, monkeypatch: pytest.MonkeyPatch, token: object
) -> None:
    """A full disk is told at once; the warning stays while the log cannot be written, then goes."""
    full = "the disk is full, the log cannot be written: free some space; nothing logged before is lost"

    def refuse(self: LocalDesk, *drafts: Draft, name: str = "") -> None:
        raise LogWriteError(full)

    form = {"token": token(page, "/review"), "person": "Marlene", "day": "2026-02-28"}  # type: ignore[operator]
    with monkeypatch.context() as broken:
        broken.setattr(LocalDesk, "append", refuse)
        broken.setattr(LocalDesk, "trouble", lambda self: full)
        answer = page.post("/review", data=form)
        assert answer.status_code == 500
        assert "disk is full" in answer.text.partition("<h1>")[2]
        assert "What is said now is not recorded" in page.get("/").text
    assert "is not recorded" not in page.get("/").text
    with open_views(desk.folder) as views:
        assert views.count(Filter(kinds=("review",))) == 5


def test_a_full_disk_is_seen_before_it_is_full(page: TestClient, monkeypatch: pytest.MonkeyPatch) -> None:
    """With little space left every page warns."""
    monkeypatch.setattr("assistant.manager.desk.LEAST_FREE_BYTES", 1 << 60)
    assert "MB are left on the disk" in page.get("/").text


def test_one_signature_for_several_days_covers_each(tmp_path: Path, clock: SetClock) -> None:
    """ "Sign off last week" by voice names the first and the last day; nonsense counts for its own day."""
    with Logbook.open(tmp_path, clock=clock) as log:
        log.append(Draft(kind="review", subject="2026-02-16 to 2026-02-22", person="Marlene"))
        log.append(Draft(kind="review", subject="last week", person="Dev"))
        week, odd = log.lines()
        assert len(days_signed(week)) == 7
        assert days_signed(odd) == ("2026-02-23",)
        assert signed_by(reviews_of(log.views, date(2026, 2, 18))) == ("Marlene",)
        assert reviews_of(log.views, date(2026, 2, 24)) == []


def test_outcomes_of_exceptions(tmp_path: Path, clock: SetClock, site: Site) -> None:
    """Closed by the manager with a note, mended by a correction, and a fail without any action."""
    failed = Draft(
        kind="reading", subject="walk-in", measured="air", value="50", unit="F", verdict="fail", person="Rosa"
    )
    action = Draft(kind="action_opened", subject="walk-in", measured="air", refers_to=-1, note="probe food")
    with Logbook.open(tmp_path, clock=clock) as log:
        _, opened = log.append([failed, action])
        log.append(
            Draft(
                kind="action_closed", subject="walk-in", refers_to=opened.id, person="Marlene", note="moved"
            )
        )
        wrong, _ = log.append(
            [
                failed.model_copy(update={"subject": "reach-in"}),
                action.model_copy(update={"subject": "reach-in"}),
            ]
        )
        log.append(
            Draft(
                kind="correction",
                subject="reach-in",
                refers_to=wrong.id,
                value="38",
                unit="F",
                verdict="pass",
            )
        )
        log.append(failed.model_copy(update={"subject": "freezer"}))
        report = gather(log.views, site, MONDAY, MONDAY, clock.now())
    outcomes = {each.line.now.subject: each.outcome for each in report.exceptions}
    assert outcomes["walk-in"] == "closed by Marlene, Mon 23 Feb 12:00 pm: moved (#3), closed after 0 min"
    assert outcomes["freezer"] == "no corrective action was logged"
    assert "reach-in" not in outcomes  # corrected: it never failed
    assert [each.first for each in report.changes] == ["50°F, fail"]


@pytest.mark.parametrize(
    ("limits", "words"),
    [
        (Limits(high="41", unit="F"), "41°F or colder"),
        (Limits(low="57", unit="C"), "57°C or hotter"),
        (Limits(low="200", high="400", unit="ppm"), "200 to 400 ppm"),
        (Limits(low="50", unit="ppm"), "50 ppm or more"),
        (Limits(unit="F"), ""),
        (None, ""),
    ],
)
def test_limits_in_words(limits: Limits | None, words: str) -> None:
    """Each kind of range reads as people say it."""
    assert shown.limits(limits) == words


@pytest.mark.parametrize(
    ("hour", "minute", "words"),
    [(0, 5, "12:05 am"), (12, 0, "12:00 pm"), (13, 30, "1:30 pm"), (23, 59, "11:59 pm")],
)
def test_times_of_day(hour: int, minute: int, words: str) -> None:
    """Midnight and noon are the ones that go wrong."""
    assert shown.clock(datetime(2026, 2, 23, hour, minute)) == words
