"""Ctrl-C at any moment: no traceback, one line, exit code 130."""

from __future__ import annotations

import signal
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner

from assistant.door import kitchen

ROOT = Path(__file__).resolve().parents[2]
SLOW = "import time\nprint('loading', flush=True)\ntime.sleep(20)\n"


def takes_ctrl_c() -> None:
    """Let Ctrl-C through in the child: who starts the tests in the background may have had it ignored."""
    signal.signal(signal.SIGINT, signal.SIG_DFL)


def stopped(code: str, ready: str) -> subprocess.CompletedProcess[str]:
    """Run Python code, press Ctrl-C when it has printed ``ready``, and return how it ended."""
    process = subprocess.Popen(
        [sys.executable, "-c", code], cwd=ROOT, text=True, stdout=subprocess.PIPE, stderr=subprocess.PIPE,
        preexec_fn=takes_ctrl_c,
    )  # fmt: skip
    assert process.stdout is not None
    assert process.stdout.readline().strip() == ready
    process.send_signal(signal.SIGINT)
    out, err = process.communicate(timeout=60)
    return subprocess.CompletedProcess([], process.returncode, out, err)


def test_ctrl_c_while_modules_load(tmp_path: Path) -> None:
    """A library that is just being imported (here one that takes its time) leaves no traceback behind."""
    (tmp_path / "click.py").write_text(SLOW)
    code = f"import sys; sys.path.insert(0, {str(tmp_path)!r}); from assistant.cli import main; main()"
    done = stopped(code, "loading")
    assert done.returncode == 130
    assert done.stderr.split() == ["Stopped."]


def test_ctrl_c_while_it_waits_for_words(tmp_path: Path) -> None:
    """The real program, waiting for a line: one line more, the exit code, and no traceback."""
    command = [sys.executable, "-m", "assistant.cli", "--state", str(tmp_path), "ask", "-"]
    with subprocess.Popen(
        command, cwd=ROOT, text=True, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE,
        preexec_fn=takes_ctrl_c,
    ) as process:  # fmt: skip
        assert process.stderr is not None
        assert "example kitchen" in process.stderr.readline()
        assert "A new log was begun" in process.stderr.readline()
        process.send_signal(signal.SIGINT)
        assert process.wait(timeout=60) == 130
        assert process.stderr.read().split("\n") == ["", "Stopped. What was logged is kept.", ""]


def test_ctrl_c_in_a_command(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Later, in the middle of a command, it says that what was logged is kept."""

    def interrupted(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("assistant.dialogue.conversation.Conversation.hear", interrupted)
    result = CliRunner().invoke(kitchen, ["--state", str(tmp_path), "ask", "hello"])
    assert result.exit_code == 130
    assert result.stderr.splitlines()[-1] == "Stopped. What was logged is kept."
