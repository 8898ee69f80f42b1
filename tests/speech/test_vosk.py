"""The Vosk adapter against the real library, with the small model that comes with the program."""

import json
from pathlib import Path

import numpy as np
import pytest

from assistant.audio.sound_files import read_sound
from assistant.audio.utterance import RATE, Utterance
from assistant.errors import MissingError
from assistant.speech.recogniser import recognise
from assistant.speech.vocabulary import Lack, Vocabulary
from assistant.speech.vosk import VoskRecogniser, VoskSettings, _joined, _readings
from assistant.speech.vosk_model import VoskModel, endpoint_settings, feature_settings
from intents.hypotheses import Hypotheses
from models.manifest import shipped_folder

SMALL = shipped_folder() / "kitchen_en"
HERE = Path(__file__).parent


@pytest.fixture(scope="module")
def model() -> VoskModel:
    """Load the model once."""
    return VoskModel(SMALL)


@pytest.fixture(scope="module")
def broken() -> Utterance:
    """Return "freezer thirty degrees" in synthetic speech, with a second of pause in the middle.

    Kept clips of the program's own voice: what that says depends on what the same process has said before and
    on how busy the machine is (its warming up), by whole words of what is heard in noise.
    """
    one, two = (read_sound(HERE / f"{words}.flac").samples for words in ("freezer", "thirty_degrees"))
    quiet = np.zeros(RATE // 4, np.int16)
    return Utterance(np.concatenate([quiet, one, quiet, quiet, quiet, quiet, two, quiet]))


def test_the_model_tells_which_words_it_knows(model):
    """Minus one of the library becomes a plain no."""
    assert model.knows("freezer")
    assert not model.knows("snozzle")
    assert model.knows("[unk]")  # its way out for talk that is not meant


def test_unknown_words_are_reported_by_a_real_recogniser():
    """The list reaches doctor; the known part of the vocabulary works."""
    made = VoskRecogniser(SMALL, Vocabulary(words=("freezer", "snozzle")))
    assert made.lacking() == (Lack("snozzle"),)
    made.close()


def test_a_pause_does_not_end_the_utterance(broken):
    """The library would end it after half a second; our own settings leave that to us."""
    made = VoskRecogniser(SMALL, Vocabulary(words=("freezer", "thirty", "degrees")))
    heard = recognise(made, broken).best
    made.close()
    assert heard.startswith("freezer")
    assert "thirty" in heard


@pytest.fixture(scope="module")
def heard_in(broken) -> dict[str, Hypotheses]:
    """Return what each mode hears, in noise, without a vocabulary."""
    noise = np.random.default_rng(4).normal(0, 6000, len(broken.samples))
    broken = Utterance((broken.samples + noise).clip(-32768, 32767).astype(np.int16))
    heard = {}
    for mode in ("alternatives", "words"):
        made = VoskRecogniser(SMALL, settings=VoskSettings(mode))
        heard[mode] = recognise(made, broken)
        made.close()
    return heard


def test_alternatives_and_words_are_two_modes(heard_in):
    """One gives several texts, the other one text; both in the same form."""
    assert len(heard_in["alternatives"].alternatives) > 1
    assert len(heard_in["words"].alternatives) == 1


@pytest.mark.parametrize("mode", ["alternatives", "words"])
def test_without_a_vocabulary_it_listens_for_anything(heard_in, mode):
    """No grammar: all words of the model may come."""
    assert len(heard_in[mode].best.split()) >= 3


def test_a_closed_recogniser_says_so(broken):
    """After closing, using it is an error with one sentence, and its private folder is gone."""
    made = VoskRecogniser(SMALL, Vocabulary(words=("water",)))
    own = made._model._own
    assert own.is_dir()
    made.close()
    assert not own.exists()
    with pytest.raises(MissingError, match="was closed"):
        recognise(made, broken)


def test_only_whole_samples_as_bytes_reach_the_library(model):
    """The library takes other types as silent nonsense or not at all."""
    stream = model.recogniser(RATE, json.dumps(["water"]))
    for bad in (b"odd", bytearray(4), memoryview(b"abcd"), np.zeros(4, np.int16)):
        with pytest.raises(ValueError, match="whole 16-bit samples"):
            stream.accept(bad)
    assert stream.accept(b"") is None


def test_a_rate_of_nothing_is_refused(model):
    """The library would hang on it."""
    with pytest.raises(ValueError, match="sample rate"):
        model.recogniser(0)


@pytest.mark.parametrize("lost", ["am/final.mdl", "graph/Gr.fst", "conf/model.conf"])
def test_a_half_copied_model_is_refused_before_the_library_sees_it(tmp_path, lost):
    """The library's own answer to a bad folder is a bare exception and noise."""
    for name in ("am/final.mdl", "conf/mfcc.conf", "conf/model.conf", "graph/HCLr.fst", "graph/Gr.fst"):
        path = tmp_path / name
        path.parent.mkdir(exist_ok=True)
        path.write_bytes(b"" if name == lost else b"x")
    with pytest.raises(MissingError, match=lost):
        VoskModel(tmp_path)


def test_a_model_of_rubbish_is_refused_in_one_sentence(tmp_path, capfd):
    """All files are there, but hold nothing of use."""
    for name in ("am/final.mdl", "conf/mfcc.conf", "conf/model.conf", "graph/HCLr.fst", "graph/Gr.fst"):
        path = tmp_path / name
        path.parent.mkdir(exist_ok=True)
        path.write_text("")
    with pytest.raises(MissingError, match="lacks"):
        VoskModel(tmp_path)


def test_a_folder_that_is_not_there_is_refused(tmp_path):
    """And the library's own downloader is never asked."""
    with pytest.raises(MissingError, match="there is no speech model"):
        VoskModel(tmp_path / "none")


def test_our_own_settings_replace_the_library_s_end_of_speech():
    """Each rule is given once, with an hour of silence."""
    text = endpoint_settings("--beam=10\n--endpoint.rule2.min-trailing-silence=0.5\n")
    assert text.startswith("--beam=10\n")
    assert text.count("--endpoint.rule2.min-trailing-silence=") == 1
    assert "rule2.min-trailing-silence=3600" in text
    assert feature_settings("--dither=1.0\n--num-ceps=40\n") == "--num-ceps=40\n--dither=0.0\n"


def test_stretches_of_one_utterance_are_joined():
    """Every reading of one stretch is kept beside the best of the other."""
    first = {"alternatives": [{"text": "a", "confidence": 106.0}, {"text": "b", "confidence": 105.0}]}
    second = {"text": "c", "result": [{"word": "c", "conf": 1.0}]}
    joined = _joined([_readings(first), _readings({"text": ""}), _readings(second)])
    assert [(reading.text, reading.log_weight) for reading in joined] == [("a c", 0.0), ("b c", -1.0)]
