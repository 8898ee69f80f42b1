"""From a vocabulary to a grammar that Vosk takes safely: only words it knows, nothing silently dropped.

The library merely logs a word that it lacks and listens for the rest of the phrase, and ends the whole
process on a grammar that is no list of texts; so everything is checked before it sees the grammar.
"""

from __future__ import annotations

import csv
import json
import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from functools import cache
from importlib.resources import files

from assistant.speech.vocabulary import Lack, Vocabulary

_SIGN = re.compile(r"[^\w'.:]|[.:](?!\d)")  # what is not said: commas and question marks, not 11:15

UNKNOWN = "[unk]"
"""What Vosk writes for sound that fits no word of the grammar, if the model has it."""


@dataclass(frozen=True)
class Grammar:
    """``json_text`` for the library (empty: no grammar, listen for anything), and what it cannot hold.

    ``written`` maps what the model listens for back to the word that the vocabulary meant.
    """

    json_text: str
    lacking: tuple[Lack, ...] = ()
    written: dict[str, str] = field(default_factory=dict)

    def restore(self, heard: str) -> str:
        """Return ``heard`` with aliases replaced by the words they stand for."""
        for alias, word in self.written.items():
            heard = re.sub(rf"(?<!\S){re.escape(alias)}(?!\S)", word, heard)
        return heard


@cache
def spoken_aliases(language: str) -> dict[str, tuple[str, ...]]:
    """Return for each trade word the spellings that a model may know instead, best first."""
    table: dict[str, tuple[str, ...]] = {}
    text = (files("assistant.speech") / "spoken_aliases.csv").read_text("utf-8")
    for row in csv.DictReader(text.splitlines()):
        if row["language"] == language:
            table[row["word"]] = (*table.get(row["word"], ()), row["alias"])
    return table


def make_grammar(vocabulary: Vocabulary, knows: Callable[[str], bool], language: str = "en") -> Grammar:
    """Return the grammar for ``vocabulary``; ``knows`` tells whether the model has a word.

    A lacking word is replaced by its first alias that the model knows. Without one, it is reported
    and every phrase that holds it stays out: a shortened phrase would be a different one.
    """
    texts = [" ".join(_SIGN.sub(" ", text.lower()).split()) for text in _texts(vocabulary)]
    if not any(texts):
        return Grammar("")
    instead: dict[str, str] = {}
    for word in dict.fromkeys(word for text in texts for word in text.split()):
        if not knows(word):
            instead[word] = _alias(word, knows, language)
    entries = [
        " ".join(instead.get(word, word) for word in text.split())
        for text in texts
        if all(instead.get(word, word) for word in text.split())
    ]
    listed = [entry for entry in dict.fromkeys(entries) if entry]
    if not listed:
        return Grammar("", tuple(Lack(word) for word in instead))
    said = {word for text in texts for word in text.split()}
    written = {alias: word for word, alias in instead.items() if alias and alias not in said}
    lacking = tuple(Lack(word, alias) for word, alias in instead.items())
    return Grammar(checked_json([*listed, UNKNOWN] if knows(UNKNOWN) else listed), lacking, written)


def checked_json(entries: object) -> str:
    """Return ``entries`` as the JSON the library wants. Raises ``ValueError`` for anything else."""
    if not isinstance(entries, list) or not entries:
        raise ValueError("a grammar is a list of at least one phrase")
    if not all(isinstance(entry, str) and entry.strip() for entry in entries):
        raise ValueError("each phrase of a grammar is a text of at least one word")
    if any(ord(character) < 32 or character == "\x7f" for entry in entries for character in entry):
        raise ValueError("a phrase of a grammar holds a control character")
    return json.dumps(entries, ensure_ascii=False)


def _texts(vocabulary: Vocabulary) -> Iterable[str]:
    return (*vocabulary.words, *vocabulary.phrases, *vocabulary.nouns)


def _alias(word: str, knows: Callable[[str], bool], language: str) -> str:
    for alias in spoken_aliases(language).get(word, ()):
        if all(knows(part) for part in alias.split()):
            return alias
    return ""
