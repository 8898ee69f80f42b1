"""The clips' texts, typed, do what the manifest says: the words are right before any sound is heard."""

from __future__ import annotations

import json

import pytest

from audio_fixtures.make_clips import Line, read_lines
from intents.catalogue import load_catalogue
from intents.hypotheses import Hypotheses
from tests.benchmarks.hearing_road import FreshRoad

MEANT = [line for line in read_lines() if line.intent]
CHATTER = [line for line in read_lines() if line.file.startswith("chatter/")]


@pytest.fixture(scope="module")
def road() -> FreshRoad:
    """The example kitchen, built once."""
    return FreshRoad()


@pytest.mark.parametrize("line", MEANT, ids=lambda line: line.file)
def test_typed_text_gives_the_intent_and_slots_of_the_manifest(line: Line, road: FreshRoad) -> None:
    """A clip that is misheard is then the ear's fault, not the table's."""
    turn = road(tuple(words for words in line.before.split(";") if words), Hypotheses.typed(line.text))
    slots = json.loads(line.slots or "{}")
    assert turn.intent == line.intent
    assert json.loads(json.dumps({key: turn.slots.get(key) for key in slots}, default=str)) == slots
    assert turn.reply


def test_every_intent_of_the_manifest_is_in_the_catalogue() -> None:
    """A renamed intent is noticed here."""
    spoken_of = {line.intent for line in MEANT} - {"reading", "correction"}
    assert spoken_of <= set(load_catalogue("en").intents)


@pytest.mark.parametrize("line", CHATTER, ids=lambda line: line.file)
def test_chatter_is_never_logged_even_if_it_were_addressed(line: Line, road: FreshRoad) -> None:
    """Kitchen talk full of numbers leaves no entry."""
    assert not line.intent
    assert not road((), Hypotheses.typed(line.text)).entries
