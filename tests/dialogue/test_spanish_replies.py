"""A Spanish kitchen is answered in Spanish: no reply, value, unit, date or name is left in English."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from assistant.dialogue import conversation
from assistant.dialogue.conversation import Conversation
from assistant.logbook.clock import SetClock
from assistant.logbook.store import Logbook
from assistant.site import Site
from intents.catalogue import load_catalogue
from intents.hypotheses import Hypotheses

ENGLISH = re.compile(
    r"\b(the|or|and|with|hours?|minutes?|at|by|of|to|for|is|are|then|raw|cooked|colder|hotter|less|once|until|"
    r"your|it|cook|shelf|today|yesterday|days?|good|fail\w*|pass\w*|pounds?|within|over|under|above|below|"
    r"whole|plate|walk-in|bucket|am tomorrow|between|food|check|probe|use|keep|\w+day)\b",
    re.IGNORECASE,
)
"""Small English words and endings that no Spanish reply has."""
DOCUMENTS = re.compile(r"FDA model Food Code|California Retail Food Code|Poison Help")
"""Proper names stay as they are."""
TOLD = (
    "cuarto frío treinta y ocho a las dos menos diez",
    "cuarto frío cuarenta y cinco",
    "cubeta de cuat uno ciento cincuenta",
    "la cubeta uno está entre cien y doscientos",
    "el enjuague final marca ciento setenta",
    "el pollo lleva quince segundos a ciento cincuenta y cinco",
    "el arroz empezó a enfriarse hace media hora",
    "arroz noventa",
    "tiré dos libras y media de sopa",
    "¿qué está corriendo?",
    "¿qué pendientes hay?",
    "¿qué fue lo último que anoté?",
    "léeme el registro de hoy",
    "¿qué falló hoy?",
    "empieza la ronda de cierre",
    "termina la ronda",
    "sí",
    "¿a cuánto se cocina el pollo en california?",
)
"""Told and asked one after the other, with what the log then holds."""


@pytest.fixture
def kitchen(site: Site) -> Site:
    """The example kitchen, speaking Spanish."""
    return site.model_copy(update={"kitchen": site.kitchen.model_copy(update={"language": "es"})})


def _left(reply: str) -> list[str]:
    return ENGLISH.findall(DOCUMENTS.sub("", reply))


def test_no_answer_to_an_example_is_english(kitchen: Site, tmp_path: Path, clock: SetClock) -> None:
    """The first example of each intent, each said to a fresh conversation."""
    interpreter = conversation.interpreter_for(kitchen)
    with Logbook.open(tmp_path / "log", clock=clock) as log:
        for intent in (each for each in load_catalogue("es").intents.values() if each.examples):
            talk = Conversation(kitchen, log, clock, interpreter)
            turn = talk.hear(Hypotheses.typed(intent.examples[0].say))
            assert not _left(turn.reply), f"{turn.heard!r} -> {turn.reply!r}"
            assert turn.language == "es"


def test_no_word_about_the_log_is_english(kitchen: Site, tmp_path: Path, clock: SetClock) -> None:
    """A shift with readings, a cooling, a discard, a round and the questions about them."""
    with Logbook.open(tmp_path / "log", clock=clock) as log:
        talk = Conversation(kitchen, log, clock, conversation.interpreter_for(kitchen))
        for say in TOLD:
            reply = talk.hear(Hypotheses.typed(say)).reply
            assert not _left(reply), f"{say!r} -> {reply!r}"
