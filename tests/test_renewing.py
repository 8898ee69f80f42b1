"""A log made anew after an update: whoever waits is told how far it is, and systemd waits along."""

from __future__ import annotations

import socket
from collections.abc import Iterator
from pathlib import Path

import pytest

from assistant.kitchen import open_kitchen
from assistant.logbook import Draft, Logbook
from assistant.logbook.database import FILE_NAME
from assistant.options import Options
from assistant.renewing import FEWEST, PATIENCE_S, PAUSE_S, telling
from tests.logbook.test_older_rules import altered

if not hasattr(socket, "AF_UNIX"):
    pytest.skip("systemd exists on Linux only", allow_module_level=True)


def heard(manager: socket.socket) -> list[str]:
    """Return what systemd was told so far."""
    found = []
    manager.setblocking(False)
    while True:
        try:
            found.append(manager.recv(300).decode())
        except BlockingIOError:
            return found


@pytest.fixture
def manager(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[socket.socket]:
    """A socket that stands for systemd's."""
    with socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM) as waits:
        waits.bind(str(tmp_path / "notify"))
        monkeypatch.setenv("NOTIFY_SOCKET", str(tmp_path / "notify"))
        yield waits


def test_each_step_lengthens_the_start(manager: socket.socket, capsys: pytest.CaptureFixture[str]) -> None:
    """EXTEND_TIMEOUT_USEC of sd_notify(3), in microseconds, at every step; a line every five seconds."""
    now = [0.0]
    tell = telling(lambda: now[0])
    for step in range(6):
        tell(step * 20_000, 200_000)
        now[0] += PAUSE_S / 2
    told = heard(manager)
    assert told.count(f"EXTEND_TIMEOUT_USEC={PATIENCE_S * 1_000_000}") == 6
    shares = [line for line in told if line.startswith("STATUS=")]
    assert [line.rpartition(": ")[2] for line in shares] == ["0 %", "20 %", "40 %"]
    assert capsys.readouterr().err.splitlines() == [f"{line.removeprefix('STATUS=')} ..." for line in shares]


def test_what_takes_seconds_is_not_spoken_of(
    manager: socket.socket, capsys: pytest.CaptureFixture[str]
) -> None:
    """The start is lengthened all the same: a machine may be slower than anybody thinks."""
    telling()(1, FEWEST - 1)
    assert len(heard(manager)) == 1
    assert capsys.readouterr().err == ""


def test_a_start_after_an_update_lengthens_it(tmp_path: Path, manager: socket.socket) -> None:
    """The whole road: a log of the older rules, opened as the service opens it; once more needs nothing."""
    options = Options(state=tmp_path / "log")
    site = options.load_site().kitchen.name
    with Logbook.open(tmp_path / "log", site=site) as log:
        log.append([Draft(kind="note", subject="note")] * 5)
    assert (tmp_path / "log" / FILE_NAME).is_file()
    altered(tmp_path / "log", "PRAGMA user_version = 1")
    with open_kitchen(options):
        assert f"EXTEND_TIMEOUT_USEC={PATIENCE_S * 1_000_000}" in heard(manager)
    with open_kitchen(options):
        assert heard(manager) == []
