"""The service: its unit, its signs of life, and the commands that set it up and remove it."""

from __future__ import annotations

import json
import os
import shutil
import signal
import socket
import subprocess
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from assistant.door import kitchen, options_first
from assistant.service_unit import NAME, tell_manager, unit_folder, unit_text
from tests.sound_server import SoundServer, need_sound_server

if not hasattr(socket, "AF_UNIX"):
    pytest.skip("systemd exists on Linux only", allow_module_level=True)


def run(*arguments: str) -> Result:
    """Run the program as from a shell."""
    return CliRunner().invoke(kitchen, options_first(list(arguments)))


@pytest.fixture(autouse=True)
def asked(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A user's folder of units, and a systemctl that only notes what it is asked."""
    tools = tmp_path / "bin"
    tools.mkdir()
    note = tmp_path / "asked"
    (tools / "systemctl").write_text(f'#!/bin/sh\necho "$@" >> {note}\n')
    (tools / "systemctl").chmod(0o755)
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))
    monkeypatch.setenv("PATH", f"{tools}{os.pathsep}{os.environ['PATH']}")
    return note


def test_install_and_remove(tmp_path: Path, asked: Path) -> None:
    """Options given beside it are kept in the unit; removed, nothing is left but the log."""
    done = run("--state", str(tmp_path / "my log"), "service", "install", "--speaker", 'USB 50% "pass"')
    assert done.exit_code == 0, done.output
    unit = unit_folder() / NAME
    text = unit.read_text()
    assert f'--state "{tmp_path}/my log" listen --plain' in text
    assert '--speaker "USB 50%% \\"pass\\""' in text
    assert asked.read_text().splitlines() == ["--user daemon-reload", f"--user enable --now {NAME}"]
    assert json.loads(run("--json", "service").stdout)["installed"] is True
    assert run("service", "remove").exit_code == 0
    assert not unit.exists()
    assert f"--user disable --now {NAME}" in asked.read_text()
    assert json.loads(run("--json", "service").stdout)["installed"] is False


@pytest.mark.parametrize(
    ("words", "says", "code"),
    [
        (("--site", "/nowhere.toml", "service", "install"), "/nowhere.toml", 2),
        (("--state", "/tmp/x", "--at", "2026-03-02T10:00", "service", "install"), "leave out --at", 2),
        (("service", "remove"), "not set up", 2),
    ],
)
def test_what_cannot_be_is_told(words: tuple[str, ...], says: str, code: int) -> None:
    """Before anything is written."""
    result = run(*words)
    assert (result.exit_code, says in result.stderr) == (code, True), result.output
    assert not (unit_folder() / NAME).exists()


def test_without_systemd_it_says_so(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """The unit is written all the same, for whoever copies it to another machine."""
    monkeypatch.setenv("PATH", str(tmp_path / "empty"))
    result = run("service", "install")
    assert result.exit_code == 3
    assert "has no systemd" in result.stderr


def test_systemd_itself_accepts_the_unit(tmp_path: Path) -> None:
    """By systemd's own checker."""
    checker = shutil.which("systemd-analyze")
    if checker is None:
        pytest.skip("needs systemd's checker: install the package systemd")
    (tmp_path / NAME).write_text(unit_text(["--state", "/tmp/my log", "listen"]))
    done = subprocess.run(
        [checker, "verify", "--man=no", str(tmp_path / NAME)], capture_output=True, text=True, timeout=60
    )
    assert NAME not in done.stderr, done.stderr


@pytest.mark.parametrize("abstract", [False, True])
def test_signs_of_life_reach_the_manager(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, abstract: bool
) -> None:
    """systemd's notification protocol: a datagram to the socket that NOTIFY_SOCKET names."""
    name = f"@kitchen-{os.getpid()}" if abstract else str(tmp_path / "notify")
    with socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM) as manager:
        manager.bind(("\0" + name[1:]) if abstract else name)
        manager.settimeout(10)
        monkeypatch.setenv("NOTIFY_SOCKET", name)
        tell_manager("READY=1")
        assert manager.recv(100) == b"READY=1"
    tell_manager("WATCHDOG=1")  # nobody is there any more: nothing happens
    monkeypatch.delenv("NOTIFY_SOCKET")
    tell_manager("WATCHDOG=1")


@pytest.mark.live
def test_the_listening_program_gives_signs_of_life(tmp_path: Path) -> None:
    """Started as the unit starts it: ready once it listens, alive after that."""
    need_sound_server()
    server = SoundServer()
    with socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM) as manager:
        manager.bind(str(tmp_path / "notify"))
        manager.settimeout(90)
        line = next(line for line in unit_text(_listening(tmp_path)).splitlines() if "ExecStart" in line)
        command = line.removeprefix("ExecStart=").split()
        process = subprocess.Popen(
            command, env=server.environment | {"NOTIFY_SOCKET": str(tmp_path / "notify")},
            stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
        )  # fmt: skip
        try:
            told = {manager.recv(100), manager.recv(100)}
            assert told == {b"READY=1", b"WATCHDOG=1"}
            process.send_signal(signal.SIGTERM)
            assert process.wait(timeout=60) in (0, 130)
        finally:
            process.kill()
            process.wait()
            server.close()


def _listening(folder: Path) -> list[str]:
    return [
        "--state",
        str(folder / "log"),
        "listen",
        "--plain",
        "--microphone",
        "pulse",
        "--speaker",
        "pulse",
    ]
