"""Days on which everything fails, with people and places of hostile names: every number is the true one.

The log is invented; what counts is counted here from its entries alone.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from html import unescape
from pathlib import Path
from tempfile import TemporaryDirectory
from types import ModuleType
from urllib.parse import quote

import pytest
from selenium.webdriver import Chrome
from starlette.testclient import TestClient

from assistant.logbook import SetClock, open_views
from assistant.logbook.query import Filter
from assistant.manager.app import build
from assistant.manager.desk import LocalDesk
from assistant.manager.reading_pages import SUMMARY_MOST
from assistant.site import Site

DAYS = 3
LAST = "2026-03-01"


@pytest.fixture(scope="module")
def folder(sample: ModuleType) -> Iterator[Path]:
    """Terrible days in a row, written where flushing costs nothing; look, but do not write."""
    with TemporaryDirectory(dir="/dev/shm" if Path("/dev/shm").is_dir() else None) as made:
        sample.month(Path(made), terrible=True, days=DAYS)
        yield Path(made)


@pytest.fixture
def page(folder: Path, site: Site, now: SetClock) -> TestClient:
    """A client of the page over these days."""
    return TestClient(build(LocalDesk(folder, site, now), folder), base_url="http://127.0.0.1")


def open_by_hand(folder: Path) -> list[int]:
    """The actions that nothing closed, from all lines."""
    with open_views(folder) as views:
        return [line.entry.id for line in views.each(Filter(kinds=("action_opened",))) if line.open]


def test_no_count_is_cut_short(folder: Path, page: TestClient) -> None:
    """More is open than a list holds: Today, the day before and the review tell how many all the same."""
    count = len(open_by_hand(folder))
    assert count > SUMMARY_MOST
    assert f"<b>{count}</b>" in page.get("/").text
    assert f"corrective actions open in all: {count}." in page.get("/review").text
    with open_views(folder) as views:
        assert len(views.open_actions()) == count
        failed = views.count(Filter(first_day=None, failed=True))
        days = views.tally(Filter(failed=True), "day")
    assert failed == sum(days.values())
    assert f"<b>{days[(LAST,)]}</b> failed" in page.get("/").text


def test_open_actions_come_in_pages(folder: Path, page: TestClient) -> None:
    """Each action stands on exactly one page, and no page is endless."""
    address, seen = "/actions", []
    while address:
        text = page.get(address).text
        here = [int(each) for each in re.findall(r"<summary>Close action (\d+)</summary>", text)]
        assert len(here) <= 25
        seen += here
        further = re.search(r'<a href="([^"]+)" rel="next">', text)
        address = unescape(further[1]) if further else ""
    assert seen == open_by_hand(folder)


def test_open_actions_of_one_place(folder: Path, page: TestClient, sample: ModuleType) -> None:
    """Every place with what is open there, also one of a hostile name, is one click away."""
    linked = [
        unescape(each) for each in re.findall(r'href="(/actions\?place=[^"]+)"', page.get("/actions").text)
    ]
    for name in sample.HOSTILE:
        address = f"/actions?place={quote(name.strip())}"
        assert address in linked
        assert "#" in page.get(address).text.partition('class="entries plain"')[2]
        assert "<script>alert" not in page.get(address).text
    of_place = page.get("/actions?place=walk-in").text
    with open_views(folder) as views:
        count = views.count(Filter(open=True, subject="walk-in"))
    assert f"{count} open actions: Walk-in" in " ".join(re.sub("<[^>]+>", " ", of_place).split())
    assert f"Close several of Walk-in at once: {count} are open" in of_place


def test_a_place_in_the_log_that_is_none_is_a_page(page: TestClient) -> None:
    """An odd address gets one sentence."""
    assert page.get("/actions?place=nowhere").status_code == 200
    assert page.get("/actions?after=rubbish").status_code == 400


LEGIBLE = """
const faults = [];
for (const chart of document.querySelectorAll('svg.chart')) {
  const frame = chart.getBoundingClientRect();
  const marks = [...chart.querySelectorAll('.m')].map(each => each.getBoundingClientRect());
  for (const text of chart.querySelectorAll('text')) {
    const box = text.getBoundingClientRect();
    if (box.left < frame.left || box.right > frame.right || box.top < frame.top || box.bottom > frame.bottom)
      faults.push('cut off: ' + text.textContent);
    if (!text.classList.contains('limit-text')) continue;
    const inner = {left: box.left, right: box.right, top: box.top + 2, bottom: box.bottom - 2};
    if (marks.some(mark => mark.left < inner.right && mark.right > inner.left
                        && mark.top < inner.bottom && mark.bottom > inner.top))
      faults.push('on a point: ' + text.textContent);
  }
}
return faults;
"""


TOO_WIDE = """
return [...document.querySelectorAll('html, .wide')].filter(each => each.scrollWidth > each.clientWidth + 1)
  .map(each => each.outerHTML.slice(0, 80));
"""


@pytest.fixture(scope="module")
def address(browsing: ModuleType, folder: Path) -> Iterator[str]:
    """These days, served."""
    with browsing.served(folder) as running:
        yield running


@pytest.mark.browser
@pytest.mark.parametrize("width", [1280, 390, 320])
@pytest.mark.parametrize("path", ["/places", "/cooling", "/place?name=walk-in", "/place?name=steam%20table"])
def test_charts_are_legible(
    browser: Chrome, browsing: ModuleType, address: str, path: str, width: int
) -> None:
    """Every digit of an axis is on the chart, and no limit's text lies on a reading."""
    browsing.narrow(browser, width)
    browser.get(address + path)
    assert browser.execute_script("return document.querySelectorAll('svg.chart .m').length") > 3
    assert browser.execute_script(LEGIBLE) == []


@pytest.mark.browser
@pytest.mark.parametrize("width", [1280, 390])
@pytest.mark.parametrize(
    "path", ["/", "/log", "/week", "/places", "/cooling", "/actions", "/review", "/worth", "/kitchen"]
)
def test_nothing_is_wider_than_the_screen(
    browser: Chrome, browsing: ModuleType, address: str, path: str, width: int
) -> None:
    """Hostile names wrap, and no table needs to be pushed sideways on a phone."""
    browsing.narrow(browser, width)
    browser.get(address + path)
    assert browser.execute_script(TOO_WIDE) == []
