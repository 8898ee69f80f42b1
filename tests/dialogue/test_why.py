"""The reason of an answer: whole for the eye, short enough to listen to for the ear."""

from __future__ import annotations

import re

import pytest

from assistant.dialogue.conversation import Conversation
from assistant.dialogue.say import reason_aloud
from assistant.rules.basis import Citation
from intents.catalogue import load_catalogue
from intents.hypotheses import Hypotheses

SECTION = re.compile(r"\d-\d{3}|one point one|(?<!\w)\([A-Z0-9]\)")
CODE = Citation("FDA Food Code 2022", "3-501.16(A)(2)", "fda_2022", "READ")
LAW = Citation("FDA Food Code", "3-302.11(A)", "any", "READ")


def test_sections_are_on_the_screen_and_not_in_the_ear(talk: Conversation) -> None:
    """The document is named aloud; "say that again" says the same, not what the screen has besides."""
    talk.hear(Hypotheses.typed("where does the ground beef go"))
    told = talk.hear(Hypotheses.typed("why"))
    assert "3-302.11(A)" in told.reply
    assert any(source["section"] == "3-302.11(A)" for source in told.sources)
    assert "FDA Food Code" in told.speech
    assert not SECTION.search(told.speech)
    again = talk.hear(Hypotheses.typed("say that again"))
    assert (again.reply, again.speech) == (told.reply, told.speech)
    after = talk.hear(Hypotheses.typed("where does the salmon go"))
    assert talk.hear(Hypotheses.typed("say that again")).speech == after.speech


@pytest.mark.parametrize("code", ["en", "es"])
def test_no_reason_takes_more_than_two_sentences(code: str) -> None:
    """Every reason of every intent, with the documents that may stand behind it."""
    for intent in load_catalogue(code).intents.values():
        for key, reason in intent.replies.items():
            if key.startswith("why"):
                said = reason_aloud(reason, (CODE, LAW, CODE))
                assert len(re.findall(r"[.?!](?=\s|$)", said)) <= 2, (intent.name, said)
                assert not SECTION.search(said), (intent.name, said)


def test_a_document_is_named_once() -> None:
    """An edition stands for the code as a whole."""
    assert reason_aloud("Because.", (LAW, CODE)) == "Because. FDA Food Code 2022."
    assert reason_aloud("", (LAW,)) == "FDA Food Code."
    assert reason_aloud("Because.", ()) == "Because."
