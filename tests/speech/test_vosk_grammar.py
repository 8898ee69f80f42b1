"""The grammar holds only words that the model knows; what it cannot hold is reported, never dropped."""

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.speech.vocabulary import Lack, Vocabulary
from assistant.speech.vosk_grammar import UNKNOWN, Grammar, checked_json, make_grammar, spoken_aliases

KNOWN = {"bucket", "two", "hundred", "p", "m", "quad", "squat", "walk", "in", "cooler", UNKNOWN}


def grammar(*phrases: str, known: set[str] = KNOWN) -> Grammar:
    """Make a grammar of phrases for a model with these words."""
    return make_grammar(Vocabulary(phrases=phrases), known.__contains__)


def entries(made: Grammar) -> list[str]:
    """Return the phrases that the library will see."""
    return json.loads(made.json_text)


def test_a_known_phrase_stays_and_the_way_out_is_added():
    """Without the way out, anything said would be forced onto some phrase."""
    assert entries(grammar("walk in cooler")) == ["walk in cooler", UNKNOWN]


def test_a_model_without_the_way_out_is_not_given_it():
    """Some models lack it, and would only warn."""
    assert entries(grammar("two", known={"two"})) == ["two"]


def test_hyphens_and_capitals_are_written_as_the_model_has_them():
    """The site file may write Walk-in."""
    assert entries(grammar("Walk-in  cooler"))[0] == "walk in cooler"


def test_a_lacking_word_gets_its_alias_and_comes_back_as_itself():
    """Quat is heard as its nearest word and restored in the result."""
    made = grammar("quat bucket two hundred ppm")
    assert entries(made)[0] == "quad bucket two hundred p p m"
    assert made.lacking == (Lack("quat", "quad"), Lack("ppm", "p p m"))
    assert made.restore("quad bucket two hundred p p m") == "quat bucket two hundred ppm"


def test_the_next_alias_is_taken_when_the_first_is_lacking_too():
    """Aliases are tried in the order of the table."""
    assert grammar("quat bucket", known=KNOWN - {"quad"}).lacking == (Lack("quat", "squat"),)


def test_an_alias_that_is_itself_in_the_vocabulary_is_not_restored():
    """Where both words may be said, what was heard stays."""
    assert grammar("quat bucket", "quad").restore("quad") == "quad"


def test_a_phrase_with_an_unknown_word_stays_out_whole_and_is_reported():
    """Shortened, it would be another phrase."""
    made = grammar("zucchini bucket", "two hundred")
    assert entries(made) == ["two hundred", UNKNOWN]
    assert made.lacking == (Lack("zucchini"),)


def test_a_vocabulary_of_unknown_words_only_gives_no_grammar():
    """An empty grammar would end the process; the words are still reported."""
    assert grammar("zucchini") == Grammar("", (Lack("zucchini"),))


def test_restoring_touches_whole_words_only():
    """Quads is not quats."""
    assert grammar("quat bucket").restore("quads squad quad") == "quads squad quat"


@pytest.mark.parametrize(
    "bad", [[], "text", [1], [""], [" "], None, {"a": 1}, ["a\nb"], ["a", None], ["\x00"]]
)
def test_what_would_end_the_process_is_refused(bad):
    """Only a list of at least one text of words ever reaches the library."""
    with pytest.raises(ValueError, match="grammar"):
        checked_json(bad)


def test_accents_are_not_escaped():
    """The library reads no escapes: they would be unknown words."""
    assert checked_json(["도 niño"]) == '["도 niño"]'


@pytest.mark.parametrize("language", ["en", "es"])
def test_every_alias_differs_from_its_word(language):
    """A word cannot stand in for itself."""
    assert all(word not in aliases for word, aliases in spoken_aliases(language).items())


@given(
    st.lists(st.lists(st.sampled_from(["quat", "ppm", "two", "eel", "bucket"]), min_size=1).map(" ".join)),
    st.sets(st.sampled_from([*KNOWN])),
)
def test_the_library_never_sees_an_unknown_word_and_nothing_vanishes(phrases, known):
    """Each word is either known, aliased or reported as lacking, for any model and any phrases."""
    made = grammar(*phrases, known=known)
    seen = " ".join(json.loads(made.json_text or "[]")).split()
    assert all(word in known for word in seen)
    lacking = {lack.word for lack in made.lacking}
    assert all(word in known or word in lacking for phrase in phrases for word in phrase.split())
