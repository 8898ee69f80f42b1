"""The four seconds from the microphone: silence, too quiet, cut off, well; from a device made in software."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

from assistant.audio.devices import Device
from assistant.audio.utterance import RATE
from assistant.speech import doctor
from assistant.speech.microphone_check import judged
from tests.sound_server import SoundServer, need_sound_server

ROOT = Path(__file__).resolve().parents[2]
WAVE = np.sin(np.arange(RATE * 2) / 8)
"""A sine: its effective level is 3 dB below its peak."""


@pytest.mark.parametrize(
    ("peak", "state", "says"),
    [(0, "missing", "silence only"), (60, "warning", "too quiet"), (6000, "ok", "speech reached 1"),
     (60000, "warning", "cut off")],
)  # fmt: skip
def test_what_is_thought_of_the_sound(peak: int, state: str, says: str) -> None:
    """A quiet wave, a good one, and one that goes beyond what 16 bits hold."""
    samples = np.clip(WAVE * peak, -32768, 32767).astype(np.int16)
    check = judged(samples)
    assert (check.state, says in check.says) == (state, True), check
    assert bool(check.fix) == (state != "ok")


def test_a_device_that_the_site_names_and_that_is_gone(monkeypatch: pytest.MonkeyPatch) -> None:
    """It is missing, whatever else is there; one that is there is used."""
    here = Device(0, "Box mic", 1, 0, 48000, default_input=True)
    desk = Device(1, "Desk mic", 1, 0, 48000)
    monkeypatch.setattr(doctor, "list_devices", lambda: (here, desk))
    gone = {check.name: check for check in doctor.check_sound("Pass mic", "")}["microphone"]
    assert (gone.state, "Pass mic" in gone.says, "Desk mic" in gone.says) == ("missing", True, True)
    found = {check.name: check for check in doctor.check_sound("Desk mic", "")}["microphone"]
    assert (found.state, found.says.startswith("'Desk mic'")) == ("ok", True)


@pytest.mark.live
def test_doctor_listens(tmp_path: Path) -> None:
    """The whole command, with a sound server made in software into which a clip is spoken."""
    need_sound_server()
    server = SoundServer()
    site = tmp_path / "site.toml"
    site.write_text((ROOT / "assistant" / "example_site.toml").read_text("utf-8"), "utf-8")
    names = '[sound]\nmicrophone = "pulse"\nspeaker = "pulse"\n'
    site.write_text(f"{site.read_text('utf-8')}\n{names}", "utf-8")
    command = [sys.executable, "-m", "assistant.cli", "--json", "--state", str(tmp_path), "--site", str(site)]
    clip = next((ROOT / "audio_fixtures" / "cooling").glob("*.flac"))
    try:
        process = subprocess.Popen(
            [*command, "doctor", "--listen"], env=server.environment, stdout=subprocess.PIPE,
            stderr=subprocess.PIPE, text=True,
        )  # fmt: skip
        assert process.stderr is not None
        while "Speak for" not in process.stderr.readline():
            assert process.poll() is None
        while process.poll() is None:
            server.say(clip).wait(timeout=60)
        out, _ = process.communicate()
    finally:
        server.close()
    checks = {check["name"]: check for check in map(json.loads, out.splitlines())}
    assert checks["microphone heard"]["state"] == "ok", checks["microphone heard"]
    assert checks["microphone"]["says"].startswith("'pulse'")
