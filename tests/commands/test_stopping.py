"""Ctrl-C at any moment: no traceback, one line, exit code 130."""

from __future__ import annotations

import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from click.testing import CliRunner

from assistant.door import kitchen

ROOT = Path(__file__).resolve().parents[2]
SLOW = "import time\nprint('loading', flush=True)\ntime.sleep(20)\n"


def stopped(code: str, ready: str) -> subprocess.CompletedProcess[str]:
    """Run Python code, press Ctrl-C when it has printed ``ready``, and return how it ended."""
    process = subprocess.Popen(
        [sys.executable, "-c", code], cwd=ROOT, text=True, stdout=subprocess.PIPE, stderr=subprocess.PIPE
    )
    assert process.stdout is not None
    assert process.stdout.readline().strip() == ready
    process.send_signal(signal.SIGINT)
    out, err = process.communicate(timeout=30)
    return subprocess.CompletedProcess([], process.returncode, out, err)


def test_ctrl_c_while_modules_load(tmp_path: Path) -> None:
    """A library that is just being imported (here one that takes its time) leaves no traceback behind."""
    (tmp_path / "click.py").write_text(SLOW)
    code = f"import sys; sys.path.insert(0, {str(tmp_path)!r}); from assistant.cli import main; main()"
    done = stopped(code, "loading")
    assert done.returncode == 130
    assert done.stderr.split() == ["Stopped."]


@pytest.mark.parametrize("wait", [0.08, 0.2, 0.5])
def test_ctrl_c_early(tmp_path: Path, wait: float) -> None:
    """Whenever it comes while the program starts, there is at most one line and no traceback."""
    process = subprocess.Popen(
        [sys.executable, "-c",
         "print(1, flush=True); from assistant.cli import main; import sys; sys.argv[1:] ="
         f" ['--state', {str(tmp_path)!r}, 'ask', '-']; main()"],
        cwd=ROOT, text=True, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE,
    )  # fmt: skip
    assert process.stdout is not None
    process.stdout.readline()
    time.sleep(wait)
    process.send_signal(signal.SIGINT)
    assert process.wait(timeout=30) == 130
    assert process.stderr is not None
    told = process.stderr.read()
    assert "Traceback" not in told
    lines = [line for line in told.splitlines() if line and "new log" not in line]
    assert len(lines) == 1
    assert lines[0].startswith("Stopped.")
    for stream in (process.stdin, process.stdout, process.stderr):
        assert stream is not None
        stream.close()


def test_ctrl_c_in_a_command(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Later, in the middle of a command, it says that what was logged is kept."""

    def interrupted(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("assistant.dialogue.conversation.Conversation.hear", interrupted)
    result = CliRunner().invoke(kitchen, ["--state", str(tmp_path), "ask", "hello"])
    assert result.exit_code == 130
    assert result.stderr.splitlines()[-1] == "Stopped. What was logged is kept."
