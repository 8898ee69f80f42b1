"""What one language says, every other says too, or a table tells why it needs none (``not_needed.csv``).

What an answer says of safety is the same in every language: the same replies, values and figures.
"""

from __future__ import annotations

import re
import tomllib
from collections import Counter
from string import Formatter
from typing import Any

import pytest

from assistant.manager import texts, wall_card
from assistant.rules.food_names import find_food
from assistant.rules.foods import all_foods
from assistant.site import Site
from assistant.speech import voice_process
from intents.catalogue import BASE, Catalogue, load_catalogue
from intents.language import data_folder, languages
from intents.lexicon import load_lexicon, not_needed, tables
from intents.names_heard import foods_of
from intents.wording import pairs
from intents.words import tokenise

OTHERS = [code for code in languages() if code != BASE]
ENGLISH = load_catalogue(BASE)
TABLES = ("marks", "hedges", "units", "times", "amounts", "extras", "minutes", "named", "parts", "anchors")
"""The tables of ``quantities.toml`` whose names the program reads."""
_FIGURE = re.compile(r"\d+(?:[.,-]\d+)*")


def _lacking(code: str, kind: str, wanted: set[str], there: set[str]) -> set[str]:
    """Return what is wanted, not there, and not told to be needless."""
    return {name for name in wanted - there if (kind, name) not in not_needed(code)}


def _replies(code: str) -> list[tuple[str, str, str]]:
    """Return intent, key and text of every reply of a language."""
    every = load_catalogue(code).intents.values()
    return [(intent.name, key, text) for intent in every for key, text in intent.replies.items()]


@pytest.mark.parametrize("code", OTHERS)
def test_every_intent_speaks_every_language(code: str) -> None:
    """Replies, examples, the card's line and the words for a question between two are there."""
    catalogue: Catalogue = load_catalogue(code)
    lacking = set()
    for name, intent in ENGLISH.intents.items():
        own = catalogue.intents.get(name)
        lacking |= {f"{name}.{key}" for key in intent.replies if own is None or key not in own.replies}
        if own is None:
            continue
        lacking |= {f"{name} about"} if not own.about else set()
        lacking |= {f"{name} briefly"} if intent.briefly and not own.briefly else set()
        lacking |= {f"{name} examples"} if intent.examples and not own.examples else set()
    assert not _lacking(code, "reply", lacking, set())


@pytest.mark.parametrize("code", languages())
def test_a_complete_language_is_offered_everywhere(code: str) -> None:
    """What still names the languages itself names each: page, voice and wall card."""
    assert code in texts.LANGUAGES
    assert code in voice_process.VOICES
    assert wall_card.list_words(code, "hey kitchen")


@pytest.mark.parametrize("code", OTHERS)
def test_a_reply_says_what_the_english_one_says(code: str) -> None:
    """The same values are filled in and the same figures are written in both."""
    other = []
    for name, key, text in _replies(code):
        english = ENGLISH[name].replies.get(key, "")
        if not english or fields(text) != fields(english) or figures(text) != figures(english):
            other.append(f"{name}: {key}")
    assert not other


def fields(text: str) -> set[str]:
    """Return the values that a reply is filled with ("{A}" begins a sentence, "{a}" does not)."""
    return {field for _, field, _, _ in Formatter().parse(text) if field}


def figures(text: str) -> Counter[str]:
    """Return the figures that a reply writes itself."""
    return Counter(_FIGURE.findall(text.replace(",", "")))


@pytest.mark.parametrize("code", languages())
def test_every_list_and_concept_is_there(code: str) -> None:
    """Both ways: what another language has, this one has, or it is told why not."""
    lexicon = load_lexicon(code)
    for other in map(load_lexicon, languages()):
        assert not _lacking(code, "list", set(other.lists), set(lexicon.lists))
        assert not _lacking(code, "concept", set(other.concepts), set(lexicon.concepts))


@pytest.mark.parametrize("code", languages())
def test_what_is_not_needed_is_not_there(code: str) -> None:
    """A row of ``not_needed.csv`` has a reason, and goes when the words come."""
    said = {name for _, table in tables(data_folder(code) / "concepts") for name in table.get("lists", {})}
    for (kind, name), reason in not_needed(code).items():
        assert reason
        assert not (kind == "list" and name in said)


@pytest.mark.parametrize("code", OTHERS)
@pytest.mark.parametrize("kind", TABLES)
def test_numbers_and_times_have_all_their_words(code: str, kind: str) -> None:
    """Every unit, mark, hedge and event of English has its words."""
    wanted, there = set(_quantities(BASE)[kind]), set(_quantities(code)[kind])
    assert not _lacking(code, kind, wanted, there)


def _quantities(code: str) -> dict[str, Any]:
    return tomllib.loads((data_folder(code) / "quantities.toml").read_text(encoding="utf-8"))


@pytest.mark.parametrize("code", OTHERS)
def test_every_food_has_a_name(code: str) -> None:
    """Each food of the rules' tables can be named."""
    named = {food.name for _, said in foods_of(code) if (food := find_food(said)) is not None}
    assert not _lacking(code, "food", {food.name for food in all_foods()}, named)


@pytest.mark.parametrize("code", OTHERS)
def test_a_name_means_one_food(code: str) -> None:
    """No two rows are the same to the ear, where accents do not count."""
    twice = Counter(tokenise(spoken) for spoken, _ in pairs(code, "foods"))
    assert not [" ".join(words) for words, times in twice.items() if times > 1]


@pytest.mark.parametrize("code", OTHERS)
def test_every_place_has_a_name(code: str, site: Site) -> None:
    """Each thing that the example kitchen has can be named."""
    named = {place for _, place in pairs(code, "equipment")}
    assert not _lacking(code, "place", {item.id for item in site.equipment}, named)


@pytest.mark.parametrize("code", OTHERS)
def test_a_name_means_one_place(code: str) -> None:
    """No two rows are the same to the ear, where accents do not count."""
    twice = Counter(tokenise(spoken) for spoken, _ in pairs(code, "equipment"))
    assert not [" ".join(words) for words, times in twice.items() if times > 1]
