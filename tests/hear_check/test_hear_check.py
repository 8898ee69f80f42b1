"""The check of a place's hearing: what is asked, what is measured, what is advised; and with real sound."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import soundfile
from click.testing import CliRunner, Result

from assistant.audio.frames import SampleSource
from assistant.audio.sound_files import read_sound
from assistant.audio.utterance import RATE
from assistant.door import kitchen, options_first
from assistant.hear_check.findings import Finding, findings
from assistant.hear_check.measure import Figures, listen_once
from assistant.hear_check.prompts import prompts
from assistant.site import Site
from audio_fixtures.voices import FOLDER
from intents.interpret import Interpreter

GOOD = Figures("hey kitchen, walk-in thirty eight", "walk in 38", True, True, True, -20.0, -50.0, 25.0, False)
PHRASE = FOLDER / "pause" / "07a_hey_kitchen.flac"
BOTH = FOLDER / "demo" / "wake_setup_walk_in_38.flac"
READING = FOLDER / "temperature_reading" / "reach_in_thirty_nine.flac"
OTHER = FOLDER / "temperature_reading" / "walk_in_thirty_seven.flac"


def test_prompts_are_the_sites_own(site: Site, interpreter: Interpreter) -> None:
    """A dozen, several with the phrase, each reading of a place of the site and understood when typed."""
    asked = prompts(site, interpreter)
    assert len(asked) == 12
    assert sum(each.called for each in asked) >= 4
    assert {each.words for each in asked if not each.reading} == {site.kitchen.wake_phrase}
    names = tuple(place.name for place in site.equipment)
    for each in asked:
        assert not each.reading or each.reading.startswith(names)
        assert not each.reading or len(interpreter.interpret(each.reading).readings.options) == 1
    assert len({each.reading for each in asked if each.reading}) >= 8


def test_a_kitchen_without_places_says_its_phrase(interpreter: Interpreter) -> None:
    """There is nothing else to say."""
    assert {each.words for each in prompts(Site(), interpreter, 3)} == {"hey kitchen"}


def _fixes(figures: list[Figures], knows: bool = True) -> dict[str, bool]:
    return {each.name: bool(each.fix) for each in findings(figures, "hey kitchen", knows)}


@pytest.mark.parametrize(
    ("change", "wanted"),
    [
        ({}, set()),
        ({"speech_dbfs": -48.0, "noise_dbfs": -70.0}, {"level"}),
        ({"clipped": True}, {"level"}),
        ({"noise_dbfs": -28.0, "over_noise_db": 8.0}, {"noise"}),
        ({"called": False}, {"wake phrase"}),
        ({"number": False, "sure": False}, {"numbers"}),
        ({"sure": False}, {"numbers"}),
    ],
)
def test_each_fault_has_its_advice(change: dict[str, object], wanted: set[str]) -> None:
    """What is wrong with all prompts is named, and nothing else."""
    fixes = _fixes([replace(GOOD, **change)] * 6)  # type: ignore[arg-type]
    assert {name for name, has in fixes.items() if has} == wanted


def test_one_slip_in_a_dozen_is_no_fault() -> None:
    """People misspeak."""
    slip = replace(GOOD, called=None, number=False, sure=False)
    assert not any(_fixes([GOOD] * 11 + [slip]).values())


def test_a_phrase_that_one_listener_lacks_is_told() -> None:
    """It works, but rhymes are refused by one opinion only."""
    (phrase,) = [each for each in findings([GOOD], "smart mirror", False) if each.name == "wake phrase"]
    assert "rhymes" in phrase.says
    assert not phrase.fix


def test_nobody_spoke() -> None:
    """Then nothing can be said of level and numbers."""
    silent = replace(GOOD, heard="", called=False, number=False, sure=False, speech_dbfs=-120.0)
    assert findings([silent], "hey kitchen") == [
        Finding("speech", "nobody was heard speaking", "Choose the microphone: kitchen doctor lists them.")
    ]


def test_what_sounds_before_is_the_noise() -> None:
    """Two seconds at most, without the speech's own beginning; nobody speaking ends after the wait."""
    noise = np.random.default_rng(0).normal(0, 200, 4 * RATE).astype(np.int16)
    speech = read_sound(READING).samples
    sound = listen_once(SampleSource(np.concatenate([noise, speech, np.zeros(2 * RATE, np.int16)])))
    assert len(sound.before) == 2 * RATE
    assert float(np.sqrt(np.mean(sound.before.astype(float) ** 2))) == pytest.approx(200, rel=0.05)
    assert len(speech) * 0.7 < len(sound.speech) < len(speech) + 1.5 * RATE
    assert not len(listen_once(SampleSource(noise), 2.0).speech)


def run(*arguments: str) -> Result:
    """Run the program as from a shell."""
    return CliRunner().invoke(kitchen, options_first(list(arguments)))


def check(tmp_path: Path, *clips: Path) -> tuple[Result, list[dict[str, object]]]:
    """Check with recorded sound in place of the microphone."""
    given = [part for clip in clips for part in ("--from", str(clip))]
    result = run("--state", str(tmp_path / "log"), "--json", "hear-check", *given)
    return result, [json.loads(line) for line in result.stdout.splitlines()]


@pytest.mark.sound
def test_good_sound_is_found_good(tmp_path: Path) -> None:
    """Three clips of the first three prompts: heard, called, right; nothing is written anywhere."""
    result, lines = check(tmp_path, PHRASE, BOTH, READING)
    assert result.exit_code == 0, result.output
    assert [line["prompt"] for line in lines[:3]] == [
        "hey kitchen",
        "hey kitchen, walk-in thirty eight",
        "reach-in thirty nine",
    ]
    assert [line["called"] for line in lines[:3]] == [True, True, None]
    assert [line["number"] for line in lines[:3]] == [None, True, True]
    assert not any(line.get("fix") for line in lines[3:])
    assert not (tmp_path / "log").exists()


@pytest.mark.sound
def test_what_was_not_said_and_noise_are_found(tmp_path: Path) -> None:
    """No phrase, another number, and noise nearly as loud each have their line; the exit code is 1."""
    speech = read_sound(OTHER).samples.astype(float)
    noisy = tmp_path / "noisy.wav"
    rng = np.random.default_rng(3)
    sound = np.pad(speech * 0.3, (3 * RATE, 0))
    sound += rng.normal(0, float(np.sqrt(np.mean((speech * 0.3) ** 2))) * 0.5, len(sound))
    soundfile.write(noisy, np.clip(sound, -32768, 32767).astype(np.int16), RATE)
    result, lines = check(tmp_path, READING, noisy, noisy)
    assert result.exit_code == 1
    assert [line["called"] for line in lines[:3]] == [False, False, None]
    assert lines[1]["number"] is False
    assert {line["name"] for line in lines[3:] if line["fix"]} >= {"noise", "wake phrase", "numbers"}


def test_the_list_and_a_missing_file(tmp_path: Path) -> None:
    """The sentences can be had beforehand; a file that is not there is one sentence and exit code 2."""
    listed = run("--state", str(tmp_path), "hear-check", "--list", "--count", "3")
    assert listed.stdout.splitlines()[0] == "1 hey kitchen"
    assert len(listed.stdout.splitlines()) == 3
    missing = run("--state", str(tmp_path), "hear-check", "--from", str(tmp_path / "no.wav"))
    assert missing.exit_code == 2
    assert "no.wav" in missing.stderr
