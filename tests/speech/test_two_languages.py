"""The model of two languages hears which is spoken. The Spanish clips are Kokoro's, voices it never heard."""

from __future__ import annotations

import shutil
from dataclasses import replace
from pathlib import Path

import pytest

from assistant.audio.sound_files import read_sound
from assistant.errors import MissingError
from assistant.speech.engines import open_engine
from assistant.speech.fake import ScriptedRecogniser
from assistant.speech.pair import PairRecogniser
from assistant.speech.recogniser import Recogniser, recognise
from assistant.speech.whisper import WhisperRecogniser
from assistant.speech.whisper_engine import TAUGHT
from assistant.speech.whisper_files import opened, parts_of
from audio_fixtures.voices import FOLDER
from intents.hypotheses import Hypotheses
from models.manifest import find_entry, shipped_folder
from models.registry import choose, partner_of

HERE = Path(__file__).parent
SPANISH = HERE / "prep_cooler_thirty_seven_es.flac"
ENGLISH = FOLDER / "demo" / "cook_ground_beef.flac"


@pytest.fixture(scope="module")
def ears() -> Recogniser:
    """What a Spanish-speaking kitchen gets."""
    return open_engine(language="es")


@pytest.mark.sound
def test_spanish_is_heard_without_being_told(ears):
    """The words, and the language."""
    heard = recognise(ears, read_sound(SPANISH))
    assert (heard.best, heard.language) == ("refri de preparación treinta y siete", "es")


@pytest.mark.sound
def test_english_is_heard_by_the_same_ears(ears):
    """In the same kitchen."""
    heard = recognise(ears, read_sound(ENGLISH))
    assert (heard.best, heard.language) == ("where does the ground beef go", "en")


@pytest.mark.sound
def test_a_model_of_one_language_is_taken_for_no_other():
    """English ears have marks of a hundred languages in their tokenizer, and were taught to write none."""
    ear = WhisperRecogniser(
        shipped_folder() / "whisper_kitchen_en", settings=replace(TAUGHT, own_language="en")
    )
    heard = recognise(ear, read_sound(ENGLISH))
    ear.close()
    assert (heard.best, heard.language) == ("where does the ground beef go", "")


@pytest.mark.sound
def test_a_short_word_of_either_is_read_in_the_language_of_the_kitchen(ears):
    """By a voice made for Italian "sí" is "see" as well: told no language, the model takes it for that."""
    clip = read_sound(HERE / "yes_es.flac")
    heard = recognise(ears, clip)
    assert (heard.best, heard.language) == ("sí", "es")
    assert "see" in {each.text for each in heard.alternatives}
    untold = WhisperRecogniser(shipped_folder() / "whisper_kitchen", settings=TAUGHT)
    assert recognise(untold, clip).language == "en"
    untold.close()


@pytest.mark.sound
def test_an_opening_may_be_in_either_language(ears):
    """The first words are likely, other words are not."""
    for path, opens in ((SPANISH, "refri de"), (ENGLISH, "where does")):
        samples = read_sound(path).samples
        assert ears.opening(samples, opens) > 0 > ears.opening(samples, "hey kitchen")


def test_a_spanish_kitchen_gets_these_ears_and_no_partner_that_knows_english_only(tmp_path):
    """An English one keeps the pair."""
    spanish, english = choose("es", folder=tmp_path), choose("en", folder=tmp_path)
    assert (spanish.entry.name, english.entry.name) == ("whisper-kitchen-1", "whisper-kitchen-en-3")
    assert partner_of(spanish, tmp_path, "es") is None
    assert partner_of(english, tmp_path, "en") is not None


def test_the_parts_are_below_what_git_hosts_take():
    """45 MB each, and all of them together at most 80."""
    sizes = [part.stat().st_size for part in parts_of(shipped_folder() / "whisper_kitchen")]
    assert len(sizes) == 2
    assert max(sizes) < 45_000_000
    assert find_entry("whisper-kitchen-1").size_bytes < 80_000_000


def test_a_folder_that_lacks_files_is_named(tmp_path):
    """One sentence, with all that lacks."""
    shutil.copy(shipped_folder() / "whisper_kitchen" / "config.json", tmp_path)
    with pytest.raises(MissingError, match=r"lacks model\.bin, tokenizer\.json, vocabulary\.txt"):
        opened(tmp_path)


class Knowing(ScriptedRecogniser):
    """Says in which language it heard."""

    def __init__(self, text: str, language: str) -> None:
        super().__init__([])
        self.text, self.language = text, language

    def finish(self) -> Hypotheses:
        """Return the text."""
        return replace(Hypotheses.typed(self.text), engine=self.name, language=self.language)


@pytest.mark.parametrize(("spoken", "counts"), [("en", True), ("es", False)])
def test_who_does_not_know_the_language_gives_no_second_opinion(spoken, counts):
    """The single listener's gate decides then: what is not sure is read back."""
    pair = PairRecogniser(Knowing("refri cuarenta", spoken), Knowing("free forty", "en"))
    pair.start()
    assert (pair.finish().second is not None) is counts
    pair.close()
