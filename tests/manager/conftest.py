"""An invented week in the example kitchen, and a browser-like client of the manager's page over it."""

from __future__ import annotations

import importlib.util
import re
import shutil
import sys
from collections.abc import Callable, Iterator
from datetime import datetime
from pathlib import Path
from types import ModuleType

import pytest
from selenium.webdriver import Chrome
from starlette.testclient import TestClient

from assistant.logbook import Logbook, SetClock
from assistant.manager import pin
from assistant.manager.app import build
from assistant.manager.desk import LocalDesk
from assistant.manager.pin import set_pin
from assistant.site import Site

PIN = "4711-basil"
COST_IN_USE = pin._COST["n"]


def load(path: Path) -> ModuleType:
    """Import a helper file of the tests by its path."""
    name = f"tests_{path.parent.name}_{path.stem}"
    if name not in sys.modules:
        spec = importlib.util.spec_from_file_location(name, path)
        assert spec is not None
        assert spec.loader is not None
        module = importlib.util.module_from_spec(spec)
        sys.modules[name] = module
        spec.loader.exec_module(module)
    return sys.modules[name]


@pytest.fixture(scope="session", autouse=True)
def _cheap_pins() -> Iterator[None]:
    """Let a PIN's hash take no time: it is made hundreds of times. ``dear_pins`` is as in use."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setitem(pin._COST, "n", 2)
        yield


@pytest.fixture
def dear_pins(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let a PIN's hash cost what it costs in use."""
    monkeypatch.setitem(pin._COST, "n", COST_IN_USE)


@pytest.fixture(scope="session")
def sample() -> ModuleType:
    """The file that makes invented weeks and days."""
    return load(Path(__file__).with_name("sample_log.py"))


@pytest.fixture(scope="module")
def browsing() -> ModuleType:
    """The file that runs browser and page; skips where there is no browser."""
    module = load(Path(__file__).with_name("browsing.py"))
    if module.programs() is None:
        pytest.skip(module.MISSING)
    return module


@pytest.fixture(scope="module")
def browser(browsing: ModuleType, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Chrome]:
    """One browser for all tests of a file."""
    with browsing.chromium(tmp_path_factory.mktemp("profile")) as running:
        yield running


@pytest.fixture(scope="module")
def axe(browsing: ModuleType, request: pytest.FixtureRequest) -> str:
    """The accessibility checker's script; skips where the npm registry cannot be reached."""
    source: str = browsing.axe_source(request.config.cache.mkdir("axe"))
    if not source:
        pytest.skip("axe-core is not here and npm cannot fetch it (apt-get install npm; needs its registry)")
    return source


@pytest.fixture(scope="session")
def week_once(sample: ModuleType, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with an ordinary week, filled once; look, but do not write."""
    folder = tmp_path_factory.mktemp("week")
    sample.ordinary_week(folder)
    return folder


@pytest.fixture(scope="session")
def terrible_day(sample: ModuleType, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with one terrible day, filled once; look, but do not write."""
    folder = tmp_path_factory.mktemp("terrible")
    sample.one_terrible_day(folder)
    return folder


@pytest.fixture
def week(week_once: Path, tmp_path: Path) -> Path:
    """A copy of the ordinary week that a test may write to."""
    return Path(shutil.copytree(week_once, tmp_path / "week"))


@pytest.fixture
def now(sample: ModuleType) -> SetClock:
    """The afternoon of the week's last day."""
    return SetClock(datetime(2026, 3, 1, 14, 30, tzinfo=sample.ZONE))


@pytest.fixture
def desk(week: Path, site: Site, now: SetClock) -> LocalDesk:
    """The desk over the week."""
    return LocalDesk(week, site, now)


@pytest.fixture
def page(desk: LocalDesk) -> TestClient:
    """A client of the page on this machine; no PIN is set."""
    return TestClient(build(desk, desk.folder), base_url="http://127.0.0.1")


@pytest.fixture
def empty_page(tmp_path: Path, site: Site, now: SetClock) -> TestClient:
    """A client of the page over a log without entries."""
    Logbook.open(tmp_path / "empty", site=site.kitchen.name, clock=now).close()
    return TestClient(build(LocalDesk(tmp_path / "empty", site, now), tmp_path), base_url="http://127.0.0.1")


@pytest.fixture
def locked_page(desk: LocalDesk) -> TestClient:
    """A client of the page with a PIN set, not yet signed in."""
    set_pin(desk.folder, PIN)
    return TestClient(build(desk, desk.folder, loopback=False), base_url="http://kitchen.test")


@pytest.fixture
def token() -> Callable[[TestClient, str], str]:
    """Read the token out of a page's form."""

    def read(client: TestClient, path: str) -> str:
        found = re.search(r'name="token" value="([0-9a-f]+)"', client.get(path).text)
        assert found, f"no form on {path}"
        return found[1]

    return read
