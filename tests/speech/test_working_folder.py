"""What lies in the working folder never stands in for a module of the program or of a library."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from assistant.audio.child import child_command

TRAPS = ("platform", "queue", "models", "assistant", "numpy", "json")


@pytest.fixture
def trapped(tmp_path: Path) -> Path:
    """A folder full of files with the names of modules, each of which fails when it is loaded."""
    for name in TRAPS:
        (tmp_path / f"{name}.py").write_text(f"raise RuntimeError('{name} of the working folder was loaded')")
    return tmp_path


@pytest.mark.parametrize("module", ["assistant.audio.capture_process", "assistant.speech.voice_process"])
def test_children_do_not_look_there(trapped: Path, module: str) -> None:
    """The microphone's and the voice's processes load the program's own modules."""
    code = f"import importlib; importlib.import_module('{module}'); print('loaded')"
    command = [*child_command(module)[:-2], "-c", code]
    done = subprocess.run(command, cwd=trapped, capture_output=True, text=True, check=False)
    assert (done.stdout.strip(), done.stderr) == ("loaded", "")


def test_the_voice_speaks_from_any_folder(trapped: Path) -> None:
    """The whole way, from a program that itself found its modules elsewhere."""
    code = (
        "from assistant.speech.voice import open_voice; v = open_voice(); print(v.why or v.name); v.close()"
    )
    command = [sys.executable, "-P", "-c", code]
    done = subprocess.run(command, cwd=trapped, capture_output=True, text=True, check=False, timeout=120)
    assert done.stderr == ""
    assert "working folder" not in done.stdout
    assert "process ended" not in done.stdout
