"""The manager's page in a real headless browser: filters, player, sign-off, PIN, phone, print, axe."""

from __future__ import annotations

import base64
import shutil
import subprocess
from collections.abc import Callable, Iterator
from pathlib import Path
from types import ModuleType

import pytest
from selenium.common.exceptions import WebDriverException
from selenium.webdriver import Chrome
from selenium.webdriver.common.by import By
from selenium.webdriver.common.keys import Keys
from selenium.webdriver.support.ui import Select, WebDriverWait

from assistant.logbook import open_views
from assistant.manager.pin import set_pin

pytestmark = pytest.mark.browser
PATHS = (
    "/", "/?day=2026-02-23", "/log", "/week", "/place?name=prep%20cooler", "/places", "/cooling", "/actions",
    "/review?day=2026-02-28", "/kitchen",
    "/phrases", "/worth", "/record", "/entry/40", "/copies", "/say", "/set-up",
)  # fmt: skip
PIN = "4711-basil"


@pytest.fixture(autouse=True)
def _plain_screen(browser: Chrome, browsing: ModuleType) -> None:
    browsing.wide(browser)


@pytest.fixture(scope="module")
def address(browsing: ModuleType, week_once: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """The page over the ordinary week, without a PIN."""
    state = shutil.copytree(week_once, tmp_path_factory.mktemp("served") / "week")
    with browsing.served(state) as running:
        yield running


@pytest.fixture(scope="module")
def locked(browsing: ModuleType, week_once: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """The page over the ordinary week, with a PIN."""
    state = Path(shutil.copytree(week_once, tmp_path_factory.mktemp("locked") / "week"))
    set_pin(state, PIN)
    with browsing.served(state) as running:
        yield running


@pytest.fixture(scope="module")
def terrible(
    browsing: ModuleType, terrible_day: Path, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[str]:
    """The page over one terrible day."""
    state = Path(shutil.copytree(terrible_day, tmp_path_factory.mktemp("terrible") / "day"))
    with browsing.served(state) as running:
        yield running


def follow(browser: Chrome, act: Callable[[], None]) -> None:
    """Do what leads to another page and wait until that page is whole.

    The old page may still answer for a moment after a click; the mark tells the two apart.
    """
    browser.execute_script("window.oldPage = true")
    act()
    WebDriverWait(browser, 30, ignored_exceptions=(WebDriverException,)).until(
        lambda page: page.execute_script("return !window.oldPage && document.readyState === 'complete'")
    )


def main_text(browser: Chrome) -> str:
    """Return the text of the page's main part."""
    return browser.find_element(By.TAG_NAME, "main").text


def test_filters_are_chosen_and_kept(browser: Chrome, address: str) -> None:
    """Choosing a place, a person and "failed only" narrows the log, and the form shows what was chosen."""
    browser.get(f"{address}/log")
    everything = len(browser.find_elements(By.CSS_SELECTOR, ".entry"))
    Select(browser.find_element(By.ID, "place")).select_by_value("chlorine bucket 1")
    browser.find_element(By.ID, "failed").click()
    follow(browser, browser.find_element(By.XPATH, "//button[text()='Show']").click)
    entries = browser.find_elements(By.CSS_SELECTOR, ".entry")
    assert everything == 50
    assert len(entries) == 1
    assert "25 ppm" in entries[0].text
    assert "fail" in entries[0].text
    assert browser.find_element(By.ID, "failed").is_selected()
    follow(browser, browser.find_element(By.LINK_TEXT, "Clear").click)
    assert len(browser.find_elements(By.CSS_SELECTOR, ".entry")) == 50


def test_paging_goes_on_and_back(browser: Chrome, address: str) -> None:
    """The next page has other entries; the first page is one click away."""
    browser.get(f"{address}/log")
    first = browser.find_element(By.CSS_SELECTOR, ".entry").text
    follow(browser, browser.find_element(By.LINK_TEXT, "Next page").click)
    assert browser.find_element(By.CSS_SELECTOR, ".entry").text != first
    follow(browser, browser.find_element(By.LINK_TEXT, "First page").click)
    assert browser.find_element(By.CSS_SELECTOR, ".entry").text == first


def test_a_recording_plays_to_its_end(browser: Chrome, address: str) -> None:
    """The player loads the kept sound, knows its length and plays it."""
    browser.get(f"{address}/log")
    player = browser.find_element(By.TAG_NAME, "audio")
    assert "Recording of entry" in (player.accessible_name or player.get_attribute("aria-label") or "")
    browser.execute_script("arguments[0].play()", player)
    WebDriverWait(browser, 20).until(lambda _: browser.execute_script("return arguments[0].ended", player))
    assert browser.execute_script("return arguments[0].duration", player) == pytest.approx(0.5, abs=0.05)
    assert browser.execute_script("return arguments[0].error", player) is None


def test_a_day_is_signed_off_in_the_browser(browser: Chrome, address: str) -> None:
    """The manager writes her name, sends the form and reads that the day is signed."""
    browser.get(f"{address}/review?day=2026-02-28")
    browser.find_element(By.ID, "person").send_keys("Marlene")
    browser.find_element(By.ID, "note").send_keys("line cooler is being mended")
    follow(browser, browser.find_element(By.XPATH, "//button[contains(text(), 'Sign off')]").click)
    assert "Signed off." in main_text(browser)
    assert "Signed by Marlene" in main_text(browser)
    assert "line cooler is being mended" in main_text(browser)


def test_an_action_is_closed_in_the_browser(browser: Chrome, browsing: ModuleType, week: Path) -> None:
    """Opening the form, writing name and note, closing; then nothing is open."""
    with browsing.served(week) as address:
        browser.get(f"{address}/actions")
        browser.find_element(By.CSS_SELECTOR, "main summary").click()
        browser.find_element(By.NAME, "person").send_keys("Marlene")
        browser.find_element(By.NAME, "note").send_keys("food moved, unit mended")
        follow(browser, browser.find_element(By.XPATH, "//button[text()='Close it']").click)
        assert "Nothing is open." in main_text(browser)
    with open_views(week) as views:
        assert not views.open_actions()


def test_the_pin_is_asked_for_and_remembered(browser: Chrome, locked: str) -> None:
    """A wrong PIN is refused in words, the right one opens the page asked for, locking closes it."""
    browser.delete_all_cookies()
    browser.get(f"{locked}/worth")
    assert "PIN" in browser.title
    follow(browser, lambda: browser.find_element(By.ID, "pin").send_keys("wrong-one", Keys.ENTER))
    assert "That is not the PIN" in main_text(browser)
    follow(browser, lambda: browser.find_element(By.ID, "pin").send_keys(PIN, Keys.ENTER))
    assert "Worth a look" in browser.title
    assert "Looked at:" in main_text(browser)
    assert browser.execute_script("return document.cookie") == ""
    follow(browser, browser.find_element(By.XPATH, "//button[text()='Lock this page']").click)
    browser.get(f"{locked}/log")
    assert "PIN" in browser.title


@pytest.mark.parametrize("width", [320, 390])
@pytest.mark.parametrize("path", PATHS)
def test_pages_fit_a_phone(
    browser: Chrome, browsing: ModuleType, address: str, path: str, width: int
) -> None:
    """Nothing is wider than the screen, so nobody scrolls sideways."""
    browsing.narrow(browser, width)
    browser.get(address + path)
    assert browser.execute_script("return document.documentElement.scrollWidth") <= width


@pytest.mark.parametrize("path", ["/", "/log", "/places", "/cooling", "/actions", "/review"])
def test_a_terrible_day_fits_a_phone(browser: Chrome, browsing: ModuleType, terrible: str, path: str) -> None:
    """Long names and remarks wrap, and no markup from a spoken word gets in."""
    browsing.narrow(browser, 320)
    browser.get(f"{terrible}{path}?day=2026-02-23")
    assert browser.execute_script("return document.documentElement.scrollWidth") <= 320
    assert not browser.find_elements(By.TAG_NAME, "b") or all(
        "bold" not in each.text for each in browser.find_elements(By.TAG_NAME, "b")
    )


def test_on_paper_there_is_the_record_and_no_buttons(browser: Chrome, address: str) -> None:
    """Printing leaves menus, forms and players out, and the entries in."""
    browser.get(f"{address}/log")
    browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": "print"})
    for hidden in ("header nav", ".filters", "audio"):
        assert not browser.find_element(By.CSS_SELECTOR, hidden).is_displayed()
    assert browser.find_element(By.CSS_SELECTOR, ".entry").is_displayed()
    printed = base64.b64decode(browser.execute_cdp_cmd("Page.printToPDF", {})["data"])
    assert printed.startswith(b"%PDF")
    if shutil.which("pdftotext"):
        text = subprocess.run(["pdftotext", "-", "-"], input=printed, capture_output=True, check=True).stdout
        assert "Walk-in" in text.decode()
        assert "Chain head" in text.decode()


def test_the_keyboard_reaches_the_content_first(browser: Chrome, address: str) -> None:
    """The first stop of the tab key skips the menu; every stop shows where one is."""
    browser.get(f"{address}/")
    browser.switch_to.active_element.send_keys(Keys.TAB)
    link = browser.switch_to.active_element
    assert link.text == "Skip to the content"
    assert link.rect["x"] >= 0
    link.send_keys(Keys.ENTER)
    assert browser.switch_to.active_element.get_attribute("id") == "main"
    browser.switch_to.active_element.send_keys(Keys.TAB)
    style = browser.execute_script("return getComputedStyle(document.activeElement).outlineStyle")
    assert style == "solid"


def test_nothing_comes_from_elsewhere_and_nothing_is_refused(browser: Chrome, address: str) -> None:
    """All that a page loads is this page's own; the browser reports no fault."""
    browser.get_log("browser")
    for path in PATHS:
        browser.get(address + path)
        loaded = browser.execute_script("return performance.getEntriesByType('resource').map(e => e.name)")
        assert all(name.startswith(address) for name in loaded)
    assert browser.get_log("browser") == []


@pytest.mark.parametrize(
    "path",
    [
        *PATHS,
        "/log?kind=gossip",
        "phone:/log",
        "phone:/places",
        "phone:/week",
        "phone:/kitchen",
        "terrible:/actions",
    ],
)
def test_axe_finds_no_serious_fault(
    browser: Chrome, browsing: ModuleType, address: str, terrible: str, axe: str, path: str
) -> None:
    """Checked by the rules of WCAG 2.2 A and AA and good practice: nothing serious or critical."""
    if path.startswith("phone:"):
        browsing.narrow(browser, 390)
    where, path = (terrible, path) if path.startswith("terrible:") else (address, path)
    browser.get(where + path.partition(":")[2] if ":" in path else where + path)
    assert browsing.axe_faults(browser, axe) == []


def test_axe_finds_no_serious_fault_before_the_pin(
    browser: Chrome, browsing: ModuleType, locked: str, axe: str
) -> None:
    """The page that asks for the PIN is usable too."""
    browser.delete_all_cookies()
    browser.get(f"{locked}/pin")
    assert browsing.axe_faults(browser, axe) == []


def test_axe_would_find_a_planted_fault(
    browser: Chrome, browsing: ModuleType, address: str, axe: str
) -> None:
    """The check can fail: a field without a label and pale letters are reported."""
    browser.get(f"{address}/")
    browser.execute_script(
        "const main = document.querySelector('main'); main.append(document.createElement('input'));"
        "const pale = document.createElement('p'); pale.textContent = 'pale'; main.append(pale);"
        "pale.style.color = '#ddd'"
    )
    faults = " ".join(browsing.axe_faults(browser, axe))
    assert "label" in faults
    assert "color-contrast" in faults


def test_axe_finds_no_serious_fault_in_spanish(
    browser: Chrome, browsing: ModuleType, address: str, axe: str
) -> None:
    """The Spanish page says that it is Spanish, and is as usable."""
    browser.get(f"{address}/language?to=es")
    assert browser.find_element(By.TAG_NAME, "h1").text == "Hoy"
    assert browsing.axe_faults(browser, axe) == []
    browser.get(f"{address}/language?to=en")
