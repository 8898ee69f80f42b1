"""The page notices new entries; report, spreadsheet and backup by a button; the menu on a phone."""

from __future__ import annotations

import csv
import io
import shutil
import subprocess
from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from types import ModuleType

import pytest
from selenium.webdriver import Chrome
from selenium.webdriver.common.by import By
from selenium.webdriver.support.ui import WebDriverWait
from starlette.testclient import TestClient

from assistant.commands.doctor import check_backup
from assistant.logbook import Draft, Logbook, SetClock
from assistant.logbook.care import Care, load_care, save_care
from assistant.logbook.verify import verify
from assistant.manager.desk import LocalDesk
from assistant.manager.guard import REFRESH
from assistant.manager.sessions import IDLE_SECONDS, Sessions

Token = Callable[[TestClient, str], str]


def say(folder: Path, note: str) -> None:
    """Log something as another program does meanwhile."""
    clock = SetClock(datetime.fromisoformat("2026-03-01T14:30:30-06:00"))
    with Logbook.open(folder, site="Copper Lane Kitchen (example)", clock=clock) as log:
        log.append(Draft(kind="not_taken", subject="walk-in", note=note))


@pytest.mark.browser
def test_a_new_entry_appears_by_itself(browser: Chrome, browsing: ModuleType, week: Path) -> None:
    """Without a reload; and while somebody writes nothing is replaced, but a line says that there is more."""
    browsing.wide(browser)
    with browsing.served(week) as address:
        browser.get(address)
        browser.execute_script("window.samePage = true")
        say(week, "probe is being mended")
        WebDriverWait(browser, 40).until(lambda page: "probe is being mended" in page.page_source)
        assert browser.execute_script("return window.samePage") is True
        browser.find_element(By.XPATH, "//summary[text()='Add a note']").click()
        browser.find_element(By.ID, "note-text").send_keys("half a sen")
        say(week, "the second one")
        more = browser.find_element(By.ID, "more")
        WebDriverWait(browser, 40).until(lambda _: more.is_displayed())
        assert browser.find_element(By.ID, "note-text").get_attribute("value") == "half a sen"
        assert "the second one" not in browser.page_source


@pytest.mark.browser
@pytest.mark.parametrize("width", [320, 390])
def test_the_menu_is_one_line_on_a_phone(
    browser: Chrome, browsing: ModuleType, week: Path, width: int
) -> None:
    """Closed it takes one line and nothing is cut off; open it shows every page."""
    browsing.narrow(browser, width)
    with browsing.served(week) as address:
        browser.get(address)
        header = browser.find_element(By.TAG_NAME, "header")
        assert header.size["height"] < 90
        assert not browser.find_element(By.CSS_SELECTOR, "nav.row").is_displayed()
        browser.find_element(By.CSS_SELECTOR, "details.menu summary").click()
        links = browser.find_elements(By.CSS_SELECTOR, "details.menu a")
        assert len(links) == len(browser.find_elements(By.CSS_SELECTOR, "nav.row a"))
        assert all(0 <= link.location["x"] <= width - link.size["width"] for link in links)
        browsing.follow(browser, links[1].click)
        assert "Log" in browser.title


def test_looking_for_new_entries_keeps_no_session_open() -> None:
    """What the page asks by itself does not renew; what a person asks does."""
    now = [0.0]
    sessions = Sessions(lambda: now[0])
    token = sessions.begin()
    now[0] = IDLE_SECONDS - 1
    assert sessions.who(token, renew=False) is not None
    now[0] = IDLE_SECONDS + 1
    assert sessions.who(token, renew=False) is None


def test_a_locked_page_tells_no_head(locked_page: TestClient) -> None:
    """Without the PIN even the number of entries is not told."""
    answer = locked_page.get("/head", headers={REFRESH: "1"}, follow_redirects=False)
    assert answer.status_code == 303


def test_the_report_comes_by_a_button(page: TestClient, tmp_path: Path) -> None:
    """A PDF of the days asked for."""
    answer = page.get("/report.pdf?from=2026-02-23&to=2026-02-26&readings=1")
    assert answer.headers["content-type"] == "application/pdf"
    assert "record-2026-02-23-2026-02-26.pdf" in answer.headers["content-disposition"]
    path = tmp_path / "report.pdf"
    path.write_bytes(answer.content)
    if tool := shutil.which("pdftotext"):
        text = subprocess.run([tool, str(path), "-"], capture_output=True, text=True, check=True).stdout
        assert "Food safety record" in text
        assert "Thu 26 Feb" in text or "Thursday 26 February" in text
    assert page.get("/report.pdf?from=2026-03-02&to=2026-03-01").status_code == 400


def test_the_spreadsheet_comes_by_a_button(page: TestClient, desk: LocalDesk) -> None:
    """As many lines as the day has entries."""
    answer = page.get("/log.csv?from=2026-02-26&to=2026-02-26")
    rows = list(csv.DictReader(io.StringIO(answer.content.decode("utf-8-sig"))))
    with desk.views() as views:
        stored = [each.id for each in views.entries() if each.at_local.startswith("2026-02-26")]
    assert [int(row["id"]) for row in rows] == stored


def test_a_backup_by_a_button(page: TestClient, desk: LocalDesk, tmp_path: Path, token: Token) -> None:
    """First where, then at once; what is no folder is refused."""
    said = {"token": token(page, "/copies"), "folder": str(tmp_path / "nowhere")}
    assert "There is no folder" in page.post("/copies", data=said).text
    (tmp_path / "disk").mkdir()
    page.post("/copies", data={**said, "folder": str(tmp_path / "disk")})
    assert load_care(desk.folder).backup_to == str(tmp_path / "disk")
    assert "The backup is made" in page.post("/copies", data={"token": said["token"]}).text
    assert verify(tmp_path / "disk").ok


def test_doctor_tells_the_last_backup(desk: LocalDesk, tmp_path: Path, now: SetClock) -> None:
    """Not set, set and not made, made, and old."""
    from datetime import timedelta

    from assistant.logbook.nightly import nightly

    assert "no backup is made" in check_backup(desk.folder, now.now()).says
    save_care(desk.folder, Care(backup_to=str(tmp_path / "disk")))
    assert "none was made" in check_backup(desk.folder, now.now()).says
    nightly(desk.folder, now.now(), force=True)
    made = check_backup(desk.folder, now.now())
    assert (made.state, "last made 2026-03-01 14:30" in made.says) == ("ok", True)
    assert check_backup(desk.folder, now.now() + timedelta(days=3)).state == "warning"
