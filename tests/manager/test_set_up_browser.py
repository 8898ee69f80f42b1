"""An owner sets up a kitchen in a real browser: from nothing to a first logged reading, on the page alone."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from importlib.resources import files
from pathlib import Path
from types import ModuleType

import pytest
from selenium.webdriver import Chrome
from selenium.webdriver.common.by import By
from selenium.webdriver.common.keys import Keys
from selenium.webdriver.support.ui import Select

from assistant.logbook import open_views

pytestmark = pytest.mark.browser


def fill(browser: Chrome, **values: str) -> None:
    """Write into the fields of a form by their keys."""
    for key, value in values.items():
        field = browser.find_element(By.NAME, key)
        if field.tag_name == "select":
            Select(field).select_by_value(value)
        elif field.get_attribute("type") == "checkbox":
            field.click()
        else:
            field.clear()
            field.send_keys(value)


def press(browser: Chrome, browsing: ModuleType, text: str) -> str:
    """Press a button and return the text of the page that follows."""
    button = browser.find_element(By.XPATH, f"//main//button[normalize-space()='{text}']")
    browser.execute_script("arguments[0].scrollIntoView({block: 'center'})", button)
    browsing.follow(browser, button.click)
    return str(browser.find_element(By.TAG_NAME, "main").text)


def put(browser: Chrome, browsing: ModuleType, **values: str) -> str:
    """Fill a form, look at what comes of it, sign, put it in force; return what the look said."""
    fill(browser, **values)
    looked = press(browser, browsing, "Look at what can then be said")
    assert "Put it in force" in looked, looked
    browser.find_element(By.NAME, "person").send_keys("Ana")
    done = press(browser, browsing, "Put it in force")
    assert "It is in force and in the log." in done, done
    return looked


def test_from_nothing_to_a_first_reading(browser: Chrome, browsing: ModuleType, tmp_path: Path) -> None:
    """Name, label, places, a person, a round, a dish; then a reading typed and found in the log."""
    browsing.wide(browser)
    site = tmp_path / "config" / "site.toml"
    with browsing.served(tmp_path / "state", site=site) as address:
        browser.get(address)
        assert "invented example kitchen" in browser.find_element(By.TAG_NAME, "main").text
        browsing.follow(browser, browser.find_element(By.LINK_TEXT, "Set up your own kitchen").click)
        browsing.follow(browser, browser.find_element(By.PARTIAL_LINK_TEXT, "Begin").click)
        put(browser, browsing, name="Harbour Street Kitchen", profile="fda_2022")
        browser.get(f"{address}/set-up/products/new")
        put(
            browser, browsing, title="Quat sanitizer", kind="quat", label_min_ppm="150", label_max_ppm="400",
            source="label of the can",
        )  # fmt: skip
        browser.get(f"{address}/set-up")
        fill(browser, **{"place:walk-in": "1", "place:hand sink": "1"})
        assert "fly" not in press(browser, browsing, "Look at what can then be said")
        browser.find_element(By.NAME, "person").send_keys("Ana")
        press(browser, browsing, "Put it in force")
        browser.get(f"{address}/set-up/equipment/new")
        looked = put(
            browser, browsing, name="bar bucket", kind="sanitizer_bucket", product="quat sanitizer",
            also="bucket\nthe bar's bucket",
        )  # fmt: skip
        assert "Bar bucket, 150 ppm. Good." in looked
        assert "75 ppm" in looked
        browser.get(f"{address}/set-up/people/new")
        assert "Ana" in put(browser, browsing, name="Ana", role="lead")
        browser.get(f"{address}/set-up/rounds/new")
        put(browser, browsing, name="morning walk", due="10:30\n4:30 pm",
            **{"places:bar bucket": "1", "places:walk-in": "2"})  # fmt: skip
        browser.get(f"{address}/set-up/menu/new")
        put(browser, browsing, dish="house tartare", food="ground beef")
        browser.get(address)
        typed = browser.find_element(By.ID, "words")
        browsing.follow(
            browser, lambda: typed.send_keys("this is Ana, the walk-in is thirty eight", Keys.ENTER)
        )
        assert "38°F" in browser.find_element(By.TAG_NAME, "main").text
        browsing.follow(
            browser, lambda: browser.find_element(By.ID, "words").send_keys("bar bucket 75", Keys.ENTER)
        )
        browser.get(address)
        assert "Morning walk" in browser.find_element(By.TAG_NAME, "main").text
    kept = tomllib.loads(site.read_text(encoding="utf-8"))
    assert kept["kitchen"]["name"] == "Harbour Street Kitchen"
    assert kept["rounds"] == [
        {"id": "morning walk", "name": "morning walk", "due": ["10:30", "16:30"],
         "places": ["bar bucket", "walk-in"]}
    ]  # fmt: skip
    assert kept["menu"] == {"house tartare": "ground beef"}
    with open_views(tmp_path / "state") as views:
        entries = list(views.entries())
    assert [each.value for each in entries if each.kind == "reading"] == ["38", "75"]
    assert [each.person for each in entries if each.kind == "reading"] == ["Ana", "Ana"]
    assert [each.verdict for each in entries if each.kind == "reading"] == ["pass", "fail"]
    changes = [each for each in entries if each.subject == "set-up"]
    assert len(changes) == 7
    assert all(each.person == "Ana" and each.facts for each in changes)
    assert "Lowest ppm on the label: nothing → 150" in changes[1].note
    assert all(each.site == "Harbour Street Kitchen" for each in entries)


FORMS = (
    "/set-up", "/set-up/kitchen/new", "/set-up/people/0", "/set-up/products/0", "/set-up/equipment/0",
    "/set-up/rounds/0", "/set-up/menu/new", "/set-up/alerts/new", "/say",
)  # fmt: skip


@pytest.fixture(scope="module")
def address(browsing: ModuleType, tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """The page of a kitchen that has a file of its own: the example's."""
    folder = tmp_path_factory.mktemp("own")
    text = (files("assistant") / "example_site.toml").read_text(encoding="utf-8")
    (folder / "site.toml").write_text(text, encoding="utf-8")
    with browsing.served(folder / "state", site=folder / "site.toml") as running:
        yield running


@pytest.mark.parametrize("path", FORMS)
def test_forms_fit_a_phone_and_can_be_used_by_all(
    browser: Chrome, browsing: ModuleType, address: str, axe: str, path: str
) -> None:
    """Nothing is wider than 320 points, and the accessibility checker finds nothing serious."""
    browsing.narrow(browser, 320)
    browser.get(address + path)
    assert browser.execute_script("return document.documentElement.scrollWidth") <= 320
    assert browsing.axe_faults(browser, axe) == []
