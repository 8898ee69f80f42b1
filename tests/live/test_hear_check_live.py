"""``kitchen hear-check`` at a microphone and a speaker made in software: it asks aloud, then hears a clip."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

from tests.live.program import CLIPS, ROOT
from tests.sound_server import SoundServer, need_sound_server

pytestmark = pytest.mark.live
PATIENCE_S = 120


def test_it_asks_and_hears(tmp_path: Path) -> None:
    """The first two prompts are answered by two clips; what the program itself says is not taken for them."""
    need_sound_server()
    server = SoundServer()
    devices = ("--microphone", "pulse", "--speaker", "pulse")
    command = [sys.executable, "-m", "assistant.cli", "--json", "--state", str(tmp_path / "state")]
    running = subprocess.Popen(
        [*command, "hear-check", "--count", "2", *devices],
        cwd=ROOT,
        env=server.environment,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    try:
        assert running.stderr is not None
        clips = iter(("pause/07a_hey_kitchen", "demo/wake_setup_walk_in_38"))
        told = []
        for line in running.stderr:
            told.append(line)
            if "Listening" in line:
                server.say(CLIPS / f"{next(clips)}.flac").wait()
        shown = running.communicate(timeout=PATIENCE_S)[0]
    finally:
        running.kill()
        running.wait()
        server.close()
    lines = [json.loads(line) for line in shown.splitlines()]
    assert [line["called"] for line in lines[:2]] == [True, True], (lines, told)
    assert lines[1]["number"] is True, lines
    assert running.returncode in (0, 1)
    assert not (tmp_path / "state").exists()
