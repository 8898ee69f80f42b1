"""The embedded recogniser hears synthetic speech, and makes nothing up where nobody speaks."""

import socket
import subprocess
import sys
import threading

import numpy as np
import pytest

from assistant.audio.utterance import RATE, Utterance
from assistant.errors import MissingError
from assistant.speech.recogniser import recognise
from assistant.speech.vocabulary import Vocabulary
from assistant.speech.whisper import WhisperRecogniser

pytestmark = pytest.mark.sound

NOUNS = ("quat bucket", "chlorine bucket", "walk-in cooler", "ground beef", "freezer")


@pytest.fixture(scope="module")
def whisper() -> WhisperRecogniser:
    """Return one loaded recogniser for all tests here."""
    return WhisperRecogniser(vocabulary=Vocabulary(nouns=NOUNS))


@pytest.mark.parametrize(
    ("text", "heard"),
    [
        ("where does the ground beef go", "where does the ground beef go"),
        ("walk in cooler thirty eight point five degrees", "walk in cooler thirty eight point five degrees"),
        ("freezer minus two degrees", "freezer minus two degrees"),
    ],
)
def test_synthetic_speech_is_heard(whisper, said, text, heard):
    """What the robotic voice says comes back as the best hypothesis."""
    result = recognise(whisper, said(text))
    assert result.best == heard
    assert result.advice == ""
    assert 0.3 < result.confidence <= 1
    assert set(result.timings_ms) == {"features", "encode", "decode"}


def test_shares_add_up_to_one_and_fall(whisper, said):
    """The alternatives are distinct, best first, and share all of the mass."""
    result = recognise(whisper, said("quat bucket two hundred"))
    shares = [hypothesis.share for hypothesis in result.alternatives]
    assert sum(shares) == pytest.approx(1)
    assert shares == sorted(shares, reverse=True)
    assert len({hypothesis.text for hypothesis in result.alternatives}) == len(shares)


def silence_and_noises() -> dict[str, np.ndarray]:
    """Make sounds without speech, seeded."""
    random = np.random.default_rng(7)
    time = np.arange(3 * RATE) / RATE
    hum = 2000 * np.sin(2 * np.pi * 120 * time) + 800 * np.sin(2 * np.pi * 240 * time)
    return {
        "silence": np.zeros(3 * RATE, np.int16),
        "white noise": random.normal(0, 3000, 3 * RATE).astype(np.int16),
        "hum": hum.astype(np.int16),
        "clink": (np.exp(-time * 60) * 20000 * np.sin(2 * np.pi * 3000 * time)).astype(np.int16),
    }


@pytest.mark.parametrize("kind", silence_and_noises())
def test_nothing_is_made_up_without_speech(whisper, kind):
    """Silence and noise give no hypothesis and the advice that nobody spoke."""
    result = recognise(whisper, Utterance(silence_and_noises()[kind]))
    assert result.alternatives == ()
    assert result.advice == "no_speech"


def test_a_very_soft_voice_gets_advice(whisper, said):
    """Speech fifty decibels down is heard as too quiet, or not as speech at all."""
    soft = said("quat bucket two hundred").samples // 300
    assert recognise(whisper, Utterance(soft)).advice in ("too_quiet", "no_speech")


def test_working_ahead_gives_the_same_result(whisper, said):
    """Decoding during the end-of-speech wait changes no word, and leaves nothing to decode."""
    sound = said("walk in cooler thirty eight point five degrees").samples
    plain = recognise(whisper, Utterance(np.append(sound, np.zeros(RATE // 2, np.int16))))
    whisper.start()
    whisper.accept(np.append(sound, np.zeros(RATE // 4, np.int16)))
    ahead = whisper.partial()
    whisper.accept(np.zeros(RATE // 4, np.int16))
    result = whisper.finish()
    assert (ahead, result.best) == (plain.best, plain.best)
    assert set(result.timings_ms) == {"ahead"}


def test_speech_after_working_ahead_is_not_lost(whisper, said):
    """When the cook goes on speaking, the early result is thrown away."""
    whisper.start()
    whisper.accept(np.append(said("quat bucket").samples, np.zeros(RATE // 2, np.int16)))
    whisper.partial()
    whisper.accept(said("two hundred").samples)
    assert "two hundred" in whisper.finish().best


def test_frames_may_come_in_while_it_works_ahead(whisper, said):
    """Another thread may ask for the partial result at any time."""
    sound = said("where does the ground beef go").samples
    whisper.start()
    whisper.accept(sound[: RATE // 2])
    other = threading.Thread(target=whisper.partial)
    other.start()
    for at in range(RATE // 2, len(sound), 512):
        whisper.accept(sound[at : at + 512])
    other.join()
    assert whisper.finish().best == "where does the ground beef go"


def test_more_than_the_window_is_decoded_in_pieces(whisper, said):
    """Forty seconds of speech keep their first and their last words."""
    gap = np.zeros(int(1.5 * RATE), np.int16)
    first, last = said("where does the ground beef go").samples, said("freezer minus two degrees").samples
    middle = [np.append(said("the soup is in the blast chiller").samples, gap)] * 10
    text = recognise(whisper, Utterance(np.concatenate([first, gap, *middle, last]))).best
    assert text.startswith("where does the ground beef go")
    assert text.endswith("degrees")


def test_nouns_without_room_are_reported():
    """A hint that is too long is cut, and what was cut is said."""
    nouns = tuple(f"product {name}" for name in ("alpha", "bravo", "charlie", "delta") * 30)
    small = WhisperRecogniser(vocabulary=Vocabulary(nouns=nouns))
    assert 0 < len(small.unhinted()) < len(nouns)
    assert small.unhinted()[-1] == nouns[-1]
    assert small.lacking() == ()


def test_a_folder_without_a_model_is_refused(tmp_path):
    """A half-copied model is named, with the files that it lacks."""
    (tmp_path / "config.json").write_text("{}")
    with pytest.raises(MissingError, match=r"lacks model\.bin, tokenizer\.json"):
        WhisperRecogniser(tmp_path)


def test_loading_and_listening_ask_no_network(said, monkeypatch):
    """The model comes from its folder: any attempt to connect would fail here."""

    def refused(*_):
        raise AssertionError("the recogniser tried to connect")

    monkeypatch.setattr(socket.socket, "connect", refused)
    monkeypatch.setattr(socket, "getaddrinfo", refused)
    alone = WhisperRecogniser()
    assert recognise(alone, said("what is still open")).alternatives
    alone.close()


def test_the_protocol_alone_loads_no_engine():
    """Typed words must not wait for a speech engine: importing the protocol loads none of them."""
    code = (
        "import sys, assistant.speech.recogniser, assistant.speech.engines, assistant.speech.voice\n"
        "engines = ('ctranslate2', 'tokenizers', 'vosk', 'pyttsx3', 'sounddevice')\n"
        "print([engine for engine in engines if engine in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_a_closed_recogniser_says_so(said):
    """After closing, using it is an error with one sentence."""
    gone = WhisperRecogniser()
    gone.close()
    with pytest.raises(MissingError, match="was closed"):
        recognise(gone, said("hello"))
