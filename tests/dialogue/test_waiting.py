"""What a question of the assistant waits for exists: a kind of slot or measure, or a concept."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

from assistant.dialogue.pending import MEASURES
from assistant.dialogue.recording import FOOD_PLACES
from intents.interpret import Interpreter

SLOTS = frozenset({"food", "place", "person", "round", "clock", "yes_no"})
SOURCES = sorted((Path(__file__).parents[2] / "assistant" / "dialogue").rglob("*.py"))


def _asked(path: Path) -> set[str]:
    """Return what the answers of a file ask for, as written."""
    text = path.read_text(encoding="utf-8")
    if "ask=" not in text:
        return set()
    calls = (n for n in ast.walk(ast.parse(text)) if isinstance(n, ast.keyword))
    return {n.value.value for n in calls if n.arg == "ask" and isinstance(n.value, ast.Constant)}


WAITED = sorted({FOOD_PLACES, *(each for path in SOURCES for each in _asked(path) if each)})


@pytest.mark.parametrize("waited", WAITED)
def test_what_is_waited_for_can_be_said(waited: str, interpreter: Interpreter) -> None:
    """A name that no table has would make the answer unheard."""
    known = SLOTS | MEASURES | interpreter.lexicon.concepts
    assert set(waited.split("|")) <= known
