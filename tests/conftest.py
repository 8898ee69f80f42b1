"""Shared fixtures: an invented kitchen, a log in a temporary folder, a conversation with a set clock."""

from __future__ import annotations

import gc
import os
import shutil
import tempfile
from collections.abc import Callable, Iterator
from contextlib import ExitStack, closing, contextmanager
from datetime import UTC, datetime
from functools import cache, lru_cache
from pathlib import Path
from uuid import uuid4

import psycopg
import pytest
from hypothesis import settings
from xdist.scheduler import LoadFileScheduling

from assistant.dialogue import conversation
from assistant.dialogue.conversation import Conversation, interpreter_for
from assistant.ear import open_recogniser
from assistant.logbook.clock import SetClock
from assistant.logbook.store import Logbook
from assistant.site import Site, load_site
from intents.interpret import Interpreter
from intents.meaning import meanings
from tests.empty_log import open_empty
from tests.listener import HearsOnce
from tests.logbook import private_postgres
from tests.said_once import SaidOnce

settings.register_profile("kitchen", deadline=None, derandomize=True)
settings.load_profile("kitchen")

NOON = datetime(2026, 3, 2, 12, 0, tzinfo=UTC)

LIVE = ("tests/live/test_live_sound.py", "tests/audio/test_live.py")
HEARING = (
    *LIVE, "tests/live/test_wake_from_sound.py", "tests/test_sound_road.py", "tests/test_spoken_shifts.py",
    "tests/speech/test_recogniser_contract.py", "tests/speech/test_whisper.py",
    "tests/speech/test_human_speech.py", "tests/speech/test_engines.py",
)  # fmt: skip
"""What plays sound in real time, or loads the recogniser that uses every core."""
LONGEST = (
    "tests/understanding/test_unseen.py", "tests/dialogue/test_celsius.py", "tests/test_package.py",
    "tests/understanding/test_metamorphic.py", "tests/dialogue/test_exchanges.py",
    "tests/manager/test_browser.py",
)  # fmt: skip
"""What takes longest of the rest: begun first, so that nothing is waited for at the end."""
SPLIT = "tests/dialogue/test_exchanges.py"
"""Its tables are handed out one by one."""


class OneListener(LoadFileScheduling):
    """Hands out tests by file; all that listens is one piece of work, so that nothing listens beside it."""

    def _split_scope(self, nodeid: str) -> str:
        if nodeid.startswith(HEARING):
            return "hearing"
        return nodeid.partition(": ")[0] if nodeid.startswith(SPLIT) else super()._split_scope(nodeid)


MEMORY = Path("/dev/shm")
"""A folder in memory: a log's every entry is flushed to the disk, and thousands of tests begin one."""
ENOUGH = 2 * 1024**3
"""Bytes that have to be free there."""
DISK = tempfile.gettempdir()


def pytest_configure() -> None:
    """Make temporary folders in memory where there is room; what is about the disk asks for ``on_disk``.

    While 11,000 tests are collected nothing is looked through for rubbish: that took a quarter of it.
    """
    gc.disable()
    if MEMORY.is_dir() and os.access(MEMORY, os.W_OK) and shutil.disk_usage(MEMORY).free > ENOUGH:
        os.environ["TMPDIR"] = tempfile.tempdir = str(MEMORY)


def pytest_collection_finish() -> None:
    """From here on rubbish is looked for again, but never among the tests."""
    gc.freeze()
    gc.enable()


def pytest_xdist_make_scheduler(config: pytest.Config, log: object) -> OneListener | None:
    """Distribute the tests as above, unless another way was asked for."""
    return OneListener(config, log) if config.getvalue("dist") == "loadfile" else None


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Begin with real time, then the rest of listening: it is the longest piece of work."""
    order = (LIVE, HEARING, LONGEST)
    items.sort(key=lambda item: [not item.nodeid.startswith(each) for each in order])


def pytest_runtest_setup(item: pytest.Item) -> None:
    """Where tests run side by side, let those that listen go first: sound in real time does not wait."""
    side_by_side = "PYTEST_XDIST_WORKER" in os.environ and hasattr(os, "nice")
    if side_by_side and not item.nodeid.startswith(HEARING) and not os.nice(0):
        os.nice(10)


@pytest.fixture(scope="session", autouse=True)
def _no_site_of_ones_own(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """Keep whoever runs the tests from having them in their own kitchen."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_CONFIG_HOME", str(tmp_path_factory.mktemp("config")))
        patch.delenv("KITCHEN_SITE", raising=False)
        yield


@pytest.fixture(scope="session")
def site() -> Site:
    """The example kitchen that ships with the program."""
    return load_site()


@pytest.fixture(scope="session", autouse=True)
def _interpreters_once() -> Iterator[None]:
    """Build the interpreter of a site and a language once: it is pure, and building one takes long."""
    made: dict[tuple[str, str], Interpreter] = {}

    def once(site: Site, language: str = "") -> Interpreter:
        key = (site.model_dump_json(), language or site.kitchen.language)
        return made.get(key) or made.setdefault(key, interpreter_for(site, language))

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(conversation, "interpreter_for", once)
        yield


@pytest.fixture(scope="session", autouse=True)
def _sentences_once(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """Ask the net once what a sentence means: it knows words only, and the same are said again and again.

    Processes side by side tell each other, each in a folder of its own below that of the run.
    """
    net = meanings()
    with pytest.MonkeyPatch.context() as patch, ExitStack() as opened:
        ask = net.read
        if "PYTEST_XDIST_WORKER" in os.environ:
            said = SaidOnce(net.read, tmp_path_factory.getbasetemp().parent / "said.sqlite3")
            ask = opened.enter_context(closing(said)).meaning_of
        patch.setattr(net, "meaning_of", lru_cache(maxsize=None)(ask))
        yield


@pytest.fixture(scope="session")
def interpreter(site: Site) -> Interpreter:
    """The English interpreter of the example kitchen, built once."""
    return conversation.interpreter_for(site)


@pytest.fixture(scope="session")
def recogniser(interpreter: Interpreter) -> Iterator[HearsOnce]:
    """The default recogniser with the words of the example kitchen, loaded once."""
    ear = HearsOnce(open_recogniser(interpreter))
    yield ear
    ear.close()


@pytest.fixture
def on_disk() -> Iterator[Path]:
    """An empty folder on the disk, where ``tmp_path`` is in memory."""
    with tempfile.TemporaryDirectory(dir=DISK) as folder:
        yield Path(folder)


@pytest.fixture
def clock() -> SetClock:
    """A clock that stands at noon until a test moves it."""
    return SetClock(NOON)


@pytest.fixture
def until_the_end() -> Iterator[ExitStack]:
    """Closes after a test what it opened: from Python 3.13 on what is left open is warned of."""
    with ExitStack() as opened:
        yield opened


@pytest.fixture
def log(tmp_path: Path, clock: SetClock) -> Iterator[Logbook]:
    """An empty log."""
    with open_empty(tmp_path / "log", clock) as book:
        yield book


@pytest.fixture
def talk(site: Site, log: Logbook, clock: SetClock, interpreter: Interpreter) -> Conversation:
    """A fresh conversation in the example kitchen."""
    return Conversation(site, log, clock, interpreter)


@cache
def _kitchen(name: str) -> tuple[Site, Interpreter]:
    other = load_site(Path(__file__).parent / "dialogue" / "kitchens" / f"{name}.toml")
    return other, conversation.interpreter_for(other)


@pytest.fixture
def talk_under(
    tmp_path: Path, site: Site, clock: SetClock, interpreter: Interpreter, until_the_end: ExitStack
) -> Callable[..., Conversation]:
    """Make a conversation under another jurisdiction, where every place of a numbered kind has its number.

    ``shipped`` takes the example kitchen as it is: one bucket of each kind and a freezer have none.
    ``kitchen`` is another one, a file of ``tests/dialogue/kitchens``.
    """
    places = tuple(item.model_copy(update={"unnumbered": False}) for item in site.equipment)
    numbered = site.model_copy(update={"equipment": places})

    def make(profile: str, *, shipped: bool = False, kitchen: str = "") -> Conversation:
        book = until_the_end.enter_context(open_empty(tmp_path / (profile or "log"), clock))
        if kitchen:
            other, its = _kitchen(kitchen)
            return Conversation(other, book, clock, its)
        example = site if shipped else numbered
        if not profile:
            return Conversation(example, book, clock, interpreter)
        there = example.with_profile(profile)
        return Conversation(there, book, clock, conversation.interpreter_for(there))

    return make


@pytest.fixture(scope="session")
def postgres_server() -> Iterator[str]:
    """The URL of a private server, for the whole run; skips where none is installed."""
    if private_postgres.server_programs() is None or not private_postgres.may_run():
        pytest.skip(private_postgres.MISSING)
    with private_postgres.private_postgres() as url:
        yield url


@contextmanager
def fresh_database(server: str) -> Iterator[str]:
    """Make an office's empty database on a server, give its URL, and drop it afterwards."""
    name = f"office_{uuid4().hex}"
    with psycopg.connect(server, autocommit=True) as connection:
        connection.execute(f"CREATE DATABASE {name}".encode())
    yield server.replace("/postgres?", f"/{name}?")
    with psycopg.connect(server, autocommit=True) as connection:
        connection.execute(f"DROP DATABASE {name} WITH (FORCE)".encode())


@pytest.fixture
def office_url(postgres_server: str) -> Iterator[str]:
    """The URL of a fresh database."""
    with fresh_database(postgres_server) as url:
        yield url
