"""The voice makes sound files in a process of its own, with the system's library or the wheel's."""

import os
import platform
import shutil
import signal
import subprocess
import sys
import time
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
import soundfile

from assistant.speech import spoken_voice as module
from assistant.speech.spoken_voice import SpokenVoice
from assistant.speech.voice import SilentVoice, VoiceError, VoiceSettings, open_voice

linux_only = pytest.mark.skipif(
    platform.system() != "Linux", reason="only Linux takes its voice from a wheel"
)


def loaded_library(voice: SpokenVoice) -> str:
    """Return the path of the voice library that the child process has mapped."""
    voice.start()
    maps = Path(f"/proc/{voice.process_ids()[0]}/maps").read_text().splitlines()
    return next(line.split()[-1] for line in maps if "libespeak-ng" in line)


def test_a_sentence_becomes_audible_sound(voice):
    """A sentence of five words lasts about two seconds and is neither silent nor clipped."""
    samples = voice.samples("two hundred parts per million")
    assert 1 < len(samples) / voice.rate < 4
    assert 3000 < np.abs(samples.astype(int)).max() < 32767


def test_each_sentence_is_its_own(voice):
    """Three sentences in a row give three different sounds, none swallowed."""
    texts = ["walk in, three eight, good", "freezer, minus two, good", "what is still open"]
    sounds = [voice.samples(text) for text in texts]
    assert all(not np.array_equal(one, other) for one, other in pairwise(sounds))


def test_every_sentence_is_whole_in_every_run(voice):
    """A second voice makes the same sentences just as long: none is cut, none is the one before."""
    texts = [f"line {number}, thirty {number} degrees, good" for number in range(1, 9)]
    other = SpokenVoice()
    try:
        lengths = [(len(voice.samples(text)), len(other.samples(text))) for text in texts]
    finally:
        other.close()
    assert all(one == pytest.approx(two, rel=0.02) for one, two in lengths)


def test_blank_text_is_no_sound(voice):
    """Nothing to say is nothing to hear, and the engine is not asked."""
    assert len(voice.samples("  ")) == 0


def test_speak_to_file_writes_a_wav(voice, tmp_path):
    """The file is a mono 16-bit WAV at the voice's rate."""
    assert voice.speak_to_file("ninety nine", tmp_path / "out.wav")
    facts = soundfile.info(tmp_path / "out.wav")
    assert (facts.samplerate, facts.channels, facts.subtype) == (voice.rate, 1, "PCM_16")


def test_faster_speech_is_shorter_and_softer_speech_is_softer(voice):
    """Speed and volume reach the engine."""
    text = "the final rinse is one hundred eighty four degrees"
    plain, fast, soft = (
        voice.samples(text, VoiceSettings(words_a_minute=rate, volume=volume))
        for rate, volume in [(150, 1.0), (250, 1.0), (150, 0.3)]
    )
    assert len(fast) < 0.8 * len(plain)
    assert np.abs(soft.astype(int)).max() < 0.6 * np.abs(plain.astype(int)).max()


def test_spanish_has_its_own_voice(voice):
    """The same letters sound different in the other language."""
    english = voice.samples("doscientas partes por millón")
    assert not np.array_equal(
        english, voice.samples("doscientas partes por millón", VoiceSettings(language="es"))
    )


@linux_only
def test_the_wheel_gives_the_library_when_asked(tmp_path):
    """Proof by the process' own memory map: the library is the one inside the wheel."""
    voice = SpokenVoice(VoiceSettings(library="wheel"))
    try:
        assert "espeakng_loader" in loaded_library(voice)
        assert len(voice.samples("quat bucket two hundred")) > voice.rate
    finally:
        voice.close()


@linux_only
def test_without_a_system_library_the_wheel_is_used_by_itself():
    """With the system's library hidden behind an empty file, the default setting still speaks."""
    lister = shutil.which("ldconfig") or "/sbin/ldconfig"
    system = subprocess.run([lister, "-p"], capture_output=True, text=True, check=False).stdout
    found = [line.split()[-1] for line in system.splitlines() if "libespeak" in line]
    hide = "".join(f"mount --bind /dev/null {os.path.realpath(path)} && " for path in found)
    code = (
        "from assistant.speech.voice import open_voice\n"
        "voice = open_voice()\n"
        "print(len(voice.samples('two hundred')), open(f'/proc/{voice.process_ids()[0]}/maps').read())\n"
        "voice.close()\n"
    )
    command = [sys.executable, "-c", code]
    if found:
        apart = ["unshare", "--mount", "--map-root-user", "sh", "-c"]
        allowed = (
            shutil.which("unshare")
            and not subprocess.run([*apart, f"{hide} true"], capture_output=True, check=False).returncode
        )
        if not allowed:
            pytest.skip("this machine does not let a test hide a system library (no mount namespaces)")
        command = [*apart, f'{hide} exec "$0" -c "$1"', sys.executable, code]
    done = subprocess.run(command, capture_output=True, text=True, check=True)
    assert int(done.stdout.split()[0]) > 5000
    assert "espeakng_loader/libespeak-ng.so" in done.stdout


def test_a_process_that_died_is_replaced(voice):
    """Killing the engine costs nothing but a restart."""
    voice.samples("one")
    for number in voice.process_ids():
        os.kill(number, signal.SIGTERM)
    assert len(voice.samples("a sentence never said before")) > 0


@pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="needs the kill signal, which Windows has not")
def test_no_process_outlives_a_program_that_was_killed():
    """Power switch, kill -9: the engine's process notices that nobody asks any more."""
    code = (
        "import os, signal\n"
        "from assistant.speech.voice import open_voice\n"
        "print(open_voice().process_ids()[0], flush=True)\n"
        "os.kill(os.getpid(), signal.SIGKILL)\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    number = int(done.stdout)
    for _ in range(200):
        if not Path(f"/proc/{number}/cmdline").exists() or "voice_process" not in Path(
            f"/proc/{number}/cmdline"
        ).read_text(errors="replace"):
            return
        time.sleep(0.05)
    pytest.fail("the voice's process still runs after ten seconds")


def test_a_process_that_hangs_is_killed_and_the_caller_told(monkeypatch):
    """A stopped process answers nothing; after two tries the caller gets one sentence."""
    if not hasattr(os, "kill") or platform.system() == "Windows":
        pytest.skip("needs the stop signal, which Windows has not")
    monkeypatch.setattr(module, "_SENTENCE_S", 0.3)
    spoken = SpokenVoice()
    monkeypatch.setattr(
        module.VoiceChild,
        "ask",
        lambda child, request, limit: os.kill(child.pid, signal.SIGSTOP) or child.answer(limit),
    )
    with pytest.raises(VoiceError, match="no answer within"):
        spoken.samples("hello")
    spoken.close()


def test_a_machine_without_a_voice_gets_a_silent_one(monkeypatch):
    """No library at all: the voice says why, writes nothing and raises nothing."""
    monkeypatch.setattr("assistant.audio.child.sys.executable", "/bin/false")
    silent = open_voice()
    assert isinstance(silent, SilentVoice)
    assert "no voice on this machine" in silent.why
    assert len(silent.samples("hello")) == 0
    assert silent.speak_to_file("hello", "/nowhere/at/all.wav") is False


def test_prepared_sentences_come_from_the_cache(voice):
    """The very same array comes back: nothing was made anew."""
    voice.prepare(["ready"])
    assert voice.samples("ready") is voice.samples("ready")
