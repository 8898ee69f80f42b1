"""Renders answers: the reply with digits for the eye, and the same in words for the voice."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from assistant.dialogue.answer import Answer, Value
from assistant.rules.basis import Citation
from intents.catalogue import Catalogue
from intents.language import language

if TYPE_CHECKING:
    from assistant.dialogue.conversation import Conversation

CAUTIONS = "cautions"
"""The table of short spoken cautions."""
_AFTER_SENTENCE = re.compile(r"(?<=[.?!]) +")
_ADVICE = 6
"""Words of the shortest sentence that is said once (judgement)."""
SAID = frozenset({"value", "call_back", "what"})
"""Values that repeat a reading in the unit in which it was said."""


@dataclass(frozen=True)
class Spoken:
    """One reply twice: ``eye`` to show, ``ear`` for the voice."""

    eye: str
    ear: str


class _Values(dict[str, Value]):
    def __missing__(self, key: str) -> str:
        raise KeyError(f"a reply needs the value '{key}', which its answer did not give")


def fill(template: str, values: Mapping[str, Value]) -> str:
    """Put ``values`` into a reply; raises ``KeyError`` for one that is missing."""
    return template.format_map(_Values(values)).strip()


def worded(values: Mapping[str, Value], catalogue: Catalogue) -> dict[str, Value]:
    """Return values in the language of the replies and the kitchen's degrees; a reading stays as said."""
    figures = {
        k: catalogue.figured(v) if isinstance(v, str) and k not in SAID else v for k, v in values.items()
    }
    return {key: catalogue.shown(v) if isinstance(v, str) else v for key, v in figures.items()}


def spoken(text: str, code: str = "en") -> Spoken:
    """Return a rendered text of a language for eye and ear."""
    spell, text = language(code).spell, _said_once(text)
    return Spoken(spell.for_eye(text), spell.for_ear(text))


def _said_once(text: str) -> str:
    """Return a reply without the sentences that it said before: an advice counts once, whatever asked for it.

    Few words, as those of a reading, may be said of several things.
    """
    said, kept = set[str](), list[str]()
    for sentence in _AFTER_SENTENCE.split(text):
        if sentence not in said or len(sentence.split()) < _ADVICE:
            kept.append(sentence)
        said.add(sentence)
    return " ".join(kept)


def render(answer: Answer, intent: str, catalogue: Catalogue) -> str:
    """Return an answer's words from its intent's table, with the short caution if it asks for one."""
    template = catalogue[answer.intent or intent].replies[answer.reply]
    text = fill(template, worded(answer.values, catalogue))
    if template.startswith("{"):
        text = text[:1].upper() + text[1:]
    if answer.caution:
        text += " " + catalogue[CAUTIONS].replies[answer.caution]
    return f"{answer.about} {text}".strip()


_SENTENCE_END = re.compile(r"[.?!](?=\s|$)")


def reason_aloud(reason: str, sources: Iterable[Citation]) -> str:
    """Return the reason and the documents behind it in at most two sentences, without their sections.

    The documents are left to the screen where the reason takes both sentences.
    """
    if len(_SENTENCE_END.findall(reason)) > 1:
        return reason
    every = list(dict.fromkeys(source.document for source in sources))
    named = [one for one in every if not any(one != other and other.startswith(one) for other in every)]
    return f"{reason} {'; '.join(named[:2])}.".strip() if named else reason


def rule_words(sources: Iterable[Citation]) -> str:
    """Return the sources with their sections as one short sentence for the eye, each document once."""
    parts: dict[str, list[str]] = {}
    for source in sources:
        sections = parts.setdefault(source.document, [])
        if source.section and source.section not in sections:
            sections.append(source.section)
    texts = [
        f"{document}, {' and '.join(sections[:2])}" if sections else document
        for document, sections in parts.items()
    ]
    return "; ".join(texts[:2]) + "." if texts else ""


def sources_json(sources: Iterable[Citation]) -> tuple[dict[str, str], ...]:
    """Return the sources as plain text for the turn, without repeats."""
    found: dict[tuple[str, str], dict[str, str]] = {}
    for source in sources:
        item = {
            "document": source.document,
            "section": source.section,
            "profile": source.profile,
            "flag": source.flag,
        }
        found.setdefault(
            (source.document, source.section), item | ({"note": source.note} if source.note else {})
        )
    return tuple(found.values())


def listed_in(talk: Conversation, parts: Sequence[str]) -> str:
    """Return parts as a list that is said: "a, b and c"."""
    return f" {talk.words('and_word')} ".join(each for each in (", ".join(parts[:-1]), *parts[-1:]) if each)
