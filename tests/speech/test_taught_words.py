"""Names of a site that our streaming model cannot know are taught to it when it is loaded.

Sound: the project's own synthetic clips; voice and licence of each are in audio_fixtures/manifest.csv.
"""

from __future__ import annotations

import json
from pathlib import Path

import pytest
import soundfile
from click.testing import CliRunner

from assistant.commands.site import site
from assistant.options import Options
from assistant.speech.phones import phones, pronounced
from assistant.speech.taught_words import unknown
from assistant.speech.vocabulary import Vocabulary
from assistant.speech.vosk import VoskRecogniser
from assistant.speech.vosk_model import VoskModel
from models.manifest import shipped_folder

MODEL = shipped_folder() / "kitchen_en"
CLIPS = Path(__file__).parents[2] / "audio_fixtures"
NAMES = (("marlene", "marlene"), ("gochujang", "gochujang"), ("walk", "walk"))


@pytest.fixture(scope="module")
def taught() -> VoskModel:
    """The shipped model, with names."""
    return VoskModel(MODEL, names=NAMES)


def heard(model: VoskModel, clip: str) -> str:
    """Return the words of a clip."""
    listener = model.recogniser(16000, alternatives=1)
    listener.accept(soundfile.read(CLIPS / clip, dtype="int16")[0].tobytes())
    return str(listener.final()["alternatives"][0]["text"]).strip()


def test_a_name_is_heard_once_it_is_taught(taught: VoskModel) -> None:
    """Nobody trained the model on "Marlene"."""
    clip = "shifts/11/07_this_is_marlene.flac"
    assert "marlene" in heard(taught, clip)
    assert "marlene" not in heard(VoskModel(MODEL), clip)


@pytest.mark.parametrize("clip", sorted(path.name for path in (CLIPS / "demo").glob("cook_*.flac")))
def test_whatever_else_is_said_is_heard_as_before(taught: VoskModel, clip: str) -> None:
    """A site's file never makes the ears worse."""
    assert heard(taught, f"demo/{clip}") == heard(VoskModel(MODEL), f"demo/{clip}")


def test_only_words_that_it_lacks_are_learnt_and_said(taught: VoskModel) -> None:
    """The model's own files stay as they are; what was learnt is told, for kitchen doctor."""
    assert set(taught.learnt) == {"marlene", "gochujang"}
    assert "marlene" not in (MODEL / "graph" / "words.txt").read_text("utf-8").split()
    told = VoskRecogniser(taught, Vocabulary(), own_phrases=True).lacking()
    assert {each.word: each.learnt for each in told}["marlene"] == "M AA R L IY N"


def test_letters_correct_how_a_name_is_said() -> None:
    """By rule Xavier begins with Z; whoever says it otherwise writes it otherwise."""
    graph = MODEL / "graph"
    assert unknown(graph, [("xavier", "xavier")])["xavier"][0] == "Z"
    assert unknown(graph, [("xavier", "havier")])["xavier"][0] == "HH"
    assert set(pronounced(["shivawn"])["shivawn"]) <= set(phones())


def test_the_names_can_be_heard(tmp_path: Path) -> None:
    """The example's own people; the file is sound, and each line has the phones."""
    target = tmp_path / "names.wav"
    done = CliRunner().invoke(
        site, ["names", "--to", str(target)], obj={"options": Options(state=tmp_path), "json": True}
    )
    assert done.exit_code == 0, done.output
    lines = [json.loads(line) for line in done.stdout.splitlines()]
    assert {"dev", "marlene"} <= {line["name"] for line in lines}
    assert soundfile.info(target).duration > 1
