"""A clock that stands still, an empty log, and short ways to say what was logged."""

from __future__ import annotations

import importlib.util
from collections.abc import Iterator
from datetime import datetime, timedelta, timezone
from pathlib import Path
from types import ModuleType
from uuid import uuid4

import psycopg
import pytest

from assistant.logbook import Draft, Logbook, SetClock


@pytest.fixture
def clock() -> SetClock:
    """Half past nine on a Monday in March, five hours behind UTC."""
    return SetClock(datetime(2026, 3, 2, 9, 30, tzinfo=timezone(timedelta(hours=-5))))


@pytest.fixture
def log(tmp_path: Path, clock: SetClock) -> Iterator[Logbook]:
    """An empty log of a made-up kitchen."""
    with Logbook.open(tmp_path / "state", site="Pine Street", clock=clock) as opened:
        yield opened


@pytest.fixture
def failed() -> Draft:
    """A walk-in that reads too warm."""
    return Draft(
        kind="reading",
        subject="walk-in",
        measured="air",
        value="45",
        unit="F",
        verdict="fail",
        person="Dana",
        words="walk in forty five",
    )


@pytest.fixture
def passed(failed: Draft) -> Draft:
    """The same walk-in, cold again."""
    return failed.model_copy(update={"value": "38", "verdict": "pass", "words": "walk in thirty eight"})


@pytest.fixture
def opened() -> Draft:
    """The corrective action that goes with a failed reading logged just before it."""
    return Draft(kind="action_opened", subject="walk-in", measured="air", refers_to=-1)


def _private_postgres() -> ModuleType:
    path = Path(__file__).with_name("private_postgres.py")
    spec = importlib.util.spec_from_file_location("private_postgres", path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.fixture(scope="session")
def postgres_server() -> Iterator[str]:
    """The URL of a private server, for the whole run; skips where none is installed."""
    server = _private_postgres()
    if server.server_programs() is None or not server.may_run():
        pytest.skip(server.MISSING)
    with server.private_postgres() as url:
        yield url


@pytest.fixture
def office_url(postgres_server: str) -> Iterator[str]:
    """The URL of a fresh database on it."""
    name = f"office_{uuid4().hex}"
    with psycopg.connect(postgres_server, autocommit=True) as connection:
        connection.execute(f"CREATE DATABASE {name}".encode())
    yield postgres_server.replace("/postgres?", f"/{name}?")
    with psycopg.connect(postgres_server, autocommit=True) as connection:
        connection.execute(f"DROP DATABASE {name} WITH (FORCE)".encode())
