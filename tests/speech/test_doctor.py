"""The doctor names what works and what to do about what does not, and never falls ill itself."""

from datetime import UTC, datetime

import pytest

from assistant.audio.devices import Device
from assistant.errors import MissingError
from assistant.speech import doctor
from assistant.speech.doctor import (
    Check,
    check_clock,
    check_disk,
    check_models,
    check_sound,
    check_sqlite,
    check_voice,
    check_words,
    examine,
)
from assistant.speech.fake import ScriptedRecogniser
from assistant.speech.vocabulary import Lack
from assistant.speech.voice import SilentVoice


def test_a_whole_examination_has_a_line_for_each_part(tmp_path):
    """Real checks on this machine; each line says something, and each fault says what to do."""
    checks = examine(tmp_path, tmp_path / "models", recogniser=ScriptedRecogniser([]))
    names = {check.name for check in checks}
    assert {
        "sound library",
        "voice",
        "recogniser",
        "words",
        "disk",
        "clock",
        "database",
        "processor",
    } <= names
    assert all(check.says for check in checks)
    assert all(check.fix for check in checks if check.state == "missing")


def test_a_check_that_breaks_becomes_a_line(tmp_path, monkeypatch):
    """The others still run."""

    def broken(*_):
        raise RuntimeError("boom")

    monkeypatch.setattr(doctor, "list_devices", broken)
    checks = examine(tmp_path)
    assert any("boom" in check.says for check in checks)
    assert any(check.name == "database" for check in checks)


def test_no_sound_library(monkeypatch):
    """The package to install is named."""

    def none():
        raise MissingError("the PortAudio library is not on this machine")

    monkeypatch.setattr(doctor, "list_devices", none)
    (check,) = check_sound()
    assert check.state == "missing"
    assert check.fix


def test_devices_are_named(monkeypatch):
    """A microphone but no speaker."""
    devices = (Device(0, "Kitchen microphone", 1, 0, 48000, True),)
    monkeypatch.setattr(doctor, "list_devices", lambda: devices)
    library, microphone, speaker = check_sound()
    assert library.ok
    assert "'Kitchen microphone' at 48000" in microphone.says
    assert (speaker.state, speaker.says) == ("missing", "this machine has no speaker")


def test_the_voice_is_tried_out(monkeypatch):
    """It really speaks here; where there is none, the reason is passed on."""
    assert check_voice().ok
    monkeypatch.setattr(
        doctor, "open_voice", lambda settings: SilentVoice("there is no voice on this machine")
    )
    assert check_voice() == Check(
        "voice", "missing", "there is no voice on this machine", doctor._voice_fix()
    )


def test_models_are_listed_with_licence_and_size(tmp_path):
    """The taught one is used, our own three ship; the others say how to get them."""
    first, taught, both, *others, own = check_models(tmp_path)
    assert "Whisper" in first.says
    assert "licence MIT" in taught.says
    assert "kitchen_en" in own.says
    assert "whisper_kitchen_en" in taught.says
    assert "es, en" in both.says
    assert not any("not installed" in check.says for check in (own, taught, both))
    assert all("not installed" in check.says and "kitchen models get" in check.fix for check in others)


def test_a_language_without_a_model_is_missing(tmp_path):
    """And it is said so; Spanish is heard out of the box."""
    assert check_models(tmp_path, "xx")[0].state == "missing"
    assert "Spanish" in check_models(tmp_path, "es")[0].says


@pytest.mark.parametrize(
    ("lacking", "state", "says"),
    [
        ((), "ok", "knows the words"),
        ((Lack("quat", "quad"),), "ok", "quat as 'quad'"),
        ((Lack("quat", "quad"), Lack("zucchini")), "warning", "does not know: zucchini"),
        ((Lack("luis", written=True),), "ok", "does not know: luis; the other listener writes any word"),
        ((Lack("luis", written=True), Lack("zucchini")), "warning", "does not know: zucchini"),
        ((Lack("luis", learnt="L UW IH S", written=True),), "ok", "has learnt from the site file: luis"),
    ],
)
def test_words(lacking, state, says):
    """A word that nothing hears is a warning; one with a replacement, or written elsewhere, is told."""
    check = check_words(lacking)
    assert check.state == state
    assert says in check.says


def test_disk(tmp_path, monkeypatch):
    """Room, little room, and a folder that cannot be written."""
    assert check_disk(tmp_path / "not" / "yet").ok
    usage = doctor.shutil.disk_usage(tmp_path)._replace(free=1000)
    monkeypatch.setattr(doctor.shutil, "disk_usage", lambda path: usage)
    assert check_disk(tmp_path).state == "warning"
    monkeypatch.setattr(doctor.os, "access", lambda path, how: False)
    assert check_disk(tmp_path).state == "missing"


@pytest.mark.parametrize(("year", "ok"), [(1970, False), (2020, False), (2026, True), (2099, False)])
def test_clock(year, ok):
    """A clock that fell back to its birth, or far ahead, is named."""
    assert check_clock(datetime(year, 12, 1, tzinfo=UTC)).ok is ok


@pytest.mark.parametrize(
    ("version", "state"), [((3, 31, 1), "missing"), ((3, 37, 0), "ok"), ((3, 52, 0), "ok")]
)
def test_sqlite(version, state):
    """Strict tables came with 3.37 (sqlite.org, page "stricttables")."""
    assert check_sqlite(version).state == state
