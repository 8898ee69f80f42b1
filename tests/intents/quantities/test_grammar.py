"""A fault in a language's table is found when it is loaded, not met as silence."""

from __future__ import annotations

import pytest

from intents.language import languages
from intents.quantities.forms import form
from intents.quantities.grammar import grammar

GROUPS = {"past": (("past",), ("after",))}
READERS = frozenset({"minute", "hour"})


@pytest.mark.parametrize("code", languages())
def test_every_language_has_a_whole_table(code: str) -> None:
    assert grammar(code).vocabulary


@pytest.mark.parametrize(
    ("say", "fault"),
    [
        ("{minute} <before> {hour}", "no group"),
        ("{second} <past> {hour}", "no reader"),
        ("{minute <past>", "no piece"),
    ],
)
def test_a_form_with_a_fault_is_refused(say: str, fault: str) -> None:
    with pytest.raises(ValueError, match=fault):
        form({"say": say}, GROUPS, READERS)


def test_a_list_of_marks_is_a_list() -> None:
    with pytest.raises(ValueError, match="must be a list"):
        form({"say": "{hour}", "marked": "at"}, GROUPS, READERS)
