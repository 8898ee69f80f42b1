"""Shared fixtures: an invented kitchen, a log in a temporary folder, a conversation with a set clock."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest
from hypothesis import settings

from assistant.dialogue.conversation import Conversation, interpreter_for
from assistant.logbook.clock import SetClock
from assistant.logbook.store import Logbook
from assistant.site import Site, load_site
from intents.interpret import Interpreter

settings.register_profile("kitchen", deadline=None, derandomize=True)
settings.load_profile("kitchen")

NOON = datetime(2026, 3, 2, 12, 0, tzinfo=UTC)


@pytest.fixture(scope="session")
def site() -> Site:
    """The example kitchen that ships with the program."""
    return load_site()


@pytest.fixture(scope="session")
def interpreter(site: Site) -> Interpreter:
    """The English interpreter of the example kitchen, built once."""
    return interpreter_for(site)


@pytest.fixture
def clock() -> SetClock:
    """A clock that stands at noon until a test moves it."""
    return SetClock(NOON)


@pytest.fixture
def log(tmp_path: Path, clock: SetClock) -> Iterator[Logbook]:
    """An empty log."""
    with Logbook.open(tmp_path / "log", clock=clock) as book:
        yield book


@pytest.fixture
def talk(site: Site, log: Logbook, clock: SetClock, interpreter: Interpreter) -> Conversation:
    """A fresh conversation in the example kitchen."""
    return Conversation(site, log, clock, interpreter)


@pytest.fixture
def talk_under(
    tmp_path: Path, site: Site, clock: SetClock, interpreter: Interpreter
) -> Callable[[str], Conversation]:
    """Make a conversation under another jurisdiction."""

    def make(profile: str) -> Conversation:
        book = Logbook.open(tmp_path / profile, clock=clock)
        if not profile:
            return Conversation(site, book, clock, interpreter)
        there = site.with_profile(profile)
        return Conversation(there, book, clock, interpreter_for(there))

    return make
