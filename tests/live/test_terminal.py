"""The view in a real terminal: lines stay whole, keys are heard, and the terminal is given back as it was."""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path

import pytest
from rich.console import Console

from assistant.audio.stray_lines import StrayLines
from assistant.dialogue.conversation import Conversation
from assistant.kitchen import Kitchen
from assistant.live.view import TerminalView
from assistant.logbook.clock import SetClock
from assistant.logbook.store import Logbook
from assistant.site import Site
from intents.hypotheses import Hypotheses
from intents.interpret import Interpreter
from tests.sound_server import SoundServer, need_sound_server

if sys.platform == "win32":
    pytest.skip("pseudo-terminals exist on Unix only", allow_module_level=True)

import pty
import termios

PATIENCE_S = 90.0
WAITS = """
import signal, time
from assistant.live.keys import Keys
for each in (signal.SIGTERM, signal.SIGINT):  # whoever runs the tests in the background has it ignored
    signal.signal(each, signal.default_int_handler)
try:
    with Keys() as keys:
        print("ready", flush=True)
        while True:
            if keys.pressed():
                print("a key", flush=True)
            time.sleep(0.01)
except KeyboardInterrupt:
    print("stopped", flush=True)
"""


@dataclass
class Terminal:
    """A pseudo-terminal with a program in it. ``shown`` is what came out so far."""

    command: list[str]
    environment: dict[str, str] = field(default_factory=lambda: dict(os.environ))
    shown: str = ""

    def __post_init__(self) -> None:
        """Start the program."""
        self.ours, self.its = pty.openpty()
        self.before = termios.tcgetattr(self.its)
        self.process = subprocess.Popen(
            self.command, stdin=self.its, stdout=self.its, stderr=self.its, env=self.environment,
            start_new_session=True,
        )  # fmt: skip
        os.set_blocking(self.ours, False)

    def until(self, words: str) -> None:
        """Wait until ``words`` are shown."""
        end = time.monotonic() + PATIENCE_S
        while words not in self.shown:
            assert time.monotonic() < end, f"'{words}' never came: {self.shown!r}"
            self.read()
            time.sleep(0.02)

    def read(self) -> None:
        """Take what has come out."""
        with suppress(BlockingIOError):
            self.shown += os.read(self.ours, 1 << 16).decode("utf-8", "replace")

    def press(self, key: bytes) -> None:
        """Press a key."""
        os.write(self.ours, key)

    def restored(self) -> bool:
        """Whether the terminal works as before the program."""
        return bool(termios.tcgetattr(self.its) == self.before)

    def end(self, how: signal.Signals) -> int:
        """End the program and return its exit code."""
        self.process.send_signal(how)
        code = self.process.wait(timeout=60)
        self.read()
        return code

    def close(self) -> None:
        """Whatever happened: end it."""
        if self.process.poll() is None:
            self.process.kill()
            self.process.wait()
        os.close(self.ours)
        os.close(self.its)


@pytest.fixture
def waiting() -> Iterator[Terminal]:
    """A program that waits for keys."""
    terminal = Terminal([sys.executable, "-c", WAITS])
    yield terminal
    terminal.close()


@pytest.mark.parametrize("how", [signal.SIGTERM, signal.SIGINT])
def test_keys_come_one_by_one_and_the_terminal_is_given_back(waiting: Terminal, how: signal.Signals) -> None:
    """A key needs no Enter and is not shown; line ends stay line ends; whoever ends it, all is as before."""
    waiting.until("ready")
    waiting.press(b"x")
    waiting.until("a key")
    assert not waiting.restored()
    assert waiting.end(how) == 0
    assert waiting.restored()
    assert re.findall(r"(?<!\r)\n", waiting.shown) == [], "a line end without return to the left margin"
    assert "x" not in waiting.shown


def test_ctrl_c_in_the_terminal_ends_it(waiting: Terminal) -> None:
    """The key itself, as the terminal turns it into an interrupt or hands it on."""
    waiting.until("ready")
    waiting.press(b"\x04")
    waiting.until("stopped")
    assert waiting.process.wait(timeout=60) == 0
    assert waiting.restored()


@pytest.mark.live
def test_the_whole_program_in_a_terminal(tmp_path: Path) -> None:
    """``kitchen listen`` with its view, ended by a service manager: no staircase, the terminal whole."""
    need_sound_server()
    server = SoundServer()
    environment = {**server.environment, "TERM": "xterm", "COLUMNS": "100", "LINES": "30"}
    command = [sys.executable, "-m", "assistant.cli", "--state", str(tmp_path / "state"), "listen"]
    terminal = Terminal([*command, "--microphone", "pulse", "--speaker", "pulse"], environment)
    try:
        terminal.until("Say the wake phrase")
        terminal.until("Listening with")
        assert terminal.end(signal.SIGTERM) in (0, 130)
        assert terminal.restored()
        assert re.findall(r"(?<!\r)\n", terminal.shown) == []
    finally:
        terminal.close()
        server.close()


STRAY = """
import os, subprocess, sys, time
from assistant.audio.stray_lines import StrayLines
with StrayLines() as stray:
    os.write(2, b"ALSA lib pcm.c:2660: Unknown PCM\\n")
    subprocess.run(["sh", "-c", "echo from a child >&2"], check=True)
    print("our own sentence", file=sys.stderr)
    while stray.count < 2:
        time.sleep(0.01)
os.write(2, b"let through again\\n")
print(stray.told())
"""


def test_lines_of_libraries_stay_off_the_screen() -> None:
    """What C code and children print is counted; the program's own sentences are shown."""
    terminal = Terminal([sys.executable, "-c", STRAY])
    try:
        terminal.until("from sound or speech libraries")
        assert terminal.process.wait(timeout=60) == 0
        assert "2 lines from sound or speech libraries kept off the screen, the last: from a child" in (
            terminal.shown.replace("\r\n", " ")
        )
        assert "our own sentence" in terminal.shown
        assert "let through again" in terminal.shown
        assert "ALSA" not in terminal.shown
    finally:
        terminal.close()


def test_the_view_shows_time_what_is_due_and_what_is_open(
    site: Site, log: Logbook, clock: SetClock, interpreter: Interpreter
) -> None:
    """A batch that cools is on the screen with its next limit, a failed reading as open."""
    talk = Conversation(site, log, clock, interpreter)
    kitchen = Kitchen(site, clock, log, talk)
    talk.hear(Hypotheses.typed("chili is cooling"))
    talk.hear(Hypotheses.typed("chlorine bucket 2 at 25"))
    console = Console(width=100, record=True, file=open(os.devnull, "w"))  # noqa: SIM115
    with console.file, TerminalView(kitchen, console) as view:
        console.print(view.picture())
    text = console.export_text()
    assert f"{clock.now():%H:%M}" in text
    assert re.search(r"Due: +chili at 70°F by \d\d:\d\d \(cooling\)", text), text
    assert "Open: chlorine bucket" in text


def test_the_clock_goes_on_and_complaints_are_counted(
    site: Site, log: Logbook, clock: SetClock, interpreter: Interpreter
) -> None:
    """Without any event the picture is drawn with the time that it is now."""
    kitchen = Kitchen(site, clock, log, Conversation(site, log, clock, interpreter))
    stray = StrayLines()
    console = Console(width=100, record=True, file=open(os.devnull, "w"))  # noqa: SIM115
    with console.file, TerminalView(kitchen, console, stray) as view:
        clock.move(minutes=7)
        stray.count = 3
        console.print(view._live.get_renderable())
    text = console.export_text()
    assert f"{clock.now():%H:%M}" in text
    assert "Sound:  3 complaints" in text
