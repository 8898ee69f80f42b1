"""A log that was tampered with is told first, on every page, in the report and on paper, with what to do."""

from __future__ import annotations

import shutil
import sqlite3
from contextlib import closing
from datetime import date
from pathlib import Path

import psycopg
import pytest
from click.testing import CliRunner, Result
from starlette.testclient import TestClient

from assistant.door import kitchen
from assistant.logbook import Draft, Logbook, SetClock
from assistant.logbook.database import FILE_NAME
from assistant.logbook.scripts import statements
from assistant.logbook.sending import send
from assistant.manager.app import build
from assistant.manager.desk import LocalDesk, OfficeDesk
from assistant.manager.proof import TITLE
from assistant.site import Site
from tests.manager.pdf_text import pdf_text

AT = "2026-03-01T14:30"


def tamper(folder: Path, entry: int, text: bytes, new: bytes) -> None:
    """Change a stored entry with a database tool, as somebody would who wants a reading to look better."""
    with closing(sqlite3.connect(folder / FILE_NAME, isolation_level=None)) as raw:
        guards = [each for each in statements("schema.sql") if each.startswith("CREATE TRIGGER")]
        for guard in guards:
            raw.execute(f"DROP TRIGGER {guard.split()[2]}")
        (body,) = raw.execute("SELECT body FROM entries WHERE id = ?", [entry]).fetchone()
        assert text in bytes(body)
        raw.execute("UPDATE entries SET body = ? WHERE id = ?", [bytes(body).replace(text, new), entry])
        for guard in guards:
            raw.execute(guard)


def failed_entry(folder: Path, clock: SetClock) -> int:
    """Return the number of a reading that failed."""
    with Logbook.open(folder, clock=clock) as log:
        return next(line.entry.id for line in log.lines() if line.entry.verdict == "fail")


@pytest.fixture
def tampered(week: Path, now: SetClock) -> Path:
    """The week, with a failed reading turned into a passed one."""
    tamper(week, failed_entry(week, now), b'"verdict":"fail"', b'"verdict":"pass"')
    return week


def report(folder: Path, pdf: Path) -> Result:
    """Make the week's report as a manager would."""
    words = ["--state", str(folder), "--at", AT, "report", "--from", "2026-02-23", "--to", "2026-03-01"]
    return CliRunner().invoke(kitchen, [*words, "--pdf", str(pdf)])


def pages_of(pdf: Path) -> list[str]:
    """Return the words of each page; skips where the reader is missing."""
    return [" ".join(page.split()) for page in pdf_text(pdf, "-layout").split("\f")[:-1]]


@pytest.mark.parametrize("path", ["/", "/log", "/review", "/actions", "/record", "/kitchen", "/nowhere"])
def test_every_page_says_so_first(tampered: Path, site: Site, now: SetClock, path: str) -> None:
    """Before the heading stands what is wrong, at which entry, and what to do."""
    text = (
        TestClient(build(LocalDesk(tampered, site, now), tampered), base_url="http://127.0.0.1")
        .get(path)
        .text
    )
    top = text.partition("<h1>")[0]
    assert TITLE in top
    assert "was changed: its text does not give its hash" in top
    assert "Keep a copy" in top
    assert ": as logged" not in text


def test_an_open_page_notices(
    page: TestClient, desk: LocalDesk, now: SetClock, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What happens to the file while the page is open shows on the next one; a new entry is no alarm."""
    monkeypatch.setattr("assistant.manager.proof.REST", 0)
    assert TITLE not in (first := page.get("/").text)
    assert "checked at 2:30 pm: as logged" in first
    entry = failed_entry(desk.folder, now)
    assert TITLE not in page.get("/").text
    tamper(desk.folder, entry, b'"verdict":"fail"', b'"verdict":"pass"')
    assert TITLE in page.get("/").text


def test_a_changed_recording_found_once_stays_told(page: TestClient, desk: LocalDesk, token: object) -> None:
    """Recordings are checked on request; from then on every page tells."""
    clip = next((desk.folder / "clips").rglob("*.flac"))
    clip.write_bytes(clip.read_bytes()[:-1])
    assert TITLE not in page.get("/").text
    assert "was changed" in page.post("/record", data={"token": token(page, "/record")}).text  # type: ignore[operator]
    assert TITLE in page.get("/").text


def test_nobody_without_the_pin_is_told(locked_page: TestClient, tampered: Path) -> None:
    """The page that asks for the PIN shows nothing of the log."""
    assert TITLE not in locked_page.get("/pin").text


def test_the_report_says_so_at_its_top(tampered: Path, tmp_path: Path) -> None:
    """The command ends in a fault, and the first words on paper, and the foot of each page, warn."""
    result = report(tampered, tmp_path / "x.pdf")
    assert result.exit_code == 1
    assert f"{TITLE}, and the report says so at its top. Entry " in result.stderr
    pages = pages_of(tmp_path / "x.pdf")
    assert pages[0].startswith(f"▲ {TITLE} Entry ")
    assert "do not sign it off" in pages[0].partition("Food safety record")[0]
    assert all("does not check out, see page 1" in page for page in pages)


def test_a_sound_log_is_called_checked(week: Path, tmp_path: Path) -> None:
    """An honest week has no alarm, and its record says what was checked."""
    result = report(week, tmp_path / "x.pdf")
    assert result.exit_code == 0
    pages = pages_of(tmp_path / "x.pdf")
    assert TITLE not in "".join(pages)
    assert "recordings are as they were logged" in "".join(pages)


def test_an_entry_made_unreadable_is_a_sentence(
    week: Path, tmp_path: Path, site: Site, now: SetClock
) -> None:
    """Bytes that are no entry any more end page and report in words, never in a fault of the program."""
    entry = failed_entry(week, now)
    tamper(week, entry, b'"kind":"reading"', b'"kind":"r\xff"')
    result = report(week, tmp_path / "x.pdf")
    assert result.exit_code == 1
    assert "was altered and cannot be read" in result.stderr
    page = TestClient(build(LocalDesk(week, site, now), week), base_url="http://127.0.0.1")
    text = page.get(f"/entry/{entry}").text
    assert "was altered and cannot be read" in text
    assert TITLE in text


@pytest.mark.postgres
def test_the_office_checks_the_kitchen_that_it_shows(
    week: Path, office_url: str, site: Site, now: SetClock, tmp_path: Path
) -> None:
    """An entry altered in the office's database is told on that kitchen's pages."""
    send(week, office_url)
    desk = OfficeDesk(office_url, site, now)
    name = desk.kitchens()[0].name
    assert desk.check(name).ok
    with psycopg.connect(office_url, autocommit=True) as raw:
        raw.execute("ALTER TABLE entries DROP CONSTRAINT entries_check")
        raw.execute("ALTER TABLE entries DISABLE TRIGGER ALL")
        raw.execute("UPDATE entries SET body = body || ' '::bytea WHERE id = 3")
        raw.execute("ALTER TABLE entries ENABLE TRIGGER ALL")
    page = TestClient(build(desk, tmp_path), base_url="http://127.0.0.1")
    assert TITLE in page.get("/", params={"kitchen": name, "day": date(2026, 2, 23).isoformat()}).text


def test_a_rollback_while_the_page_runs_is_shouted(desk: LocalDesk, tmp_path: Path) -> None:
    """An older copy put back under a running page: each entry is sound, and yet some are gone."""
    page = TestClient(build(desk, desk.folder), base_url="http://127.0.0.1")
    shutil.copy(desk.folder / FILE_NAME, tmp_path / "older")
    with Logbook.open(desk.folder, site=desk.site.kitchen.name, clock=desk.clock) as log:
        log.append(Draft(kind="note", subject="note"))
    assert TITLE not in page.get("/").text
    shutil.copy(tmp_path / "older", desk.folder / FILE_NAME)
    for path in ("/", "/log", "/record"):
        text = page.get(path).text
        assert TITLE in text
        assert "The log was set back" in text
