"""Words are cut into the net's pieces as the library cut them that taught it (tokenizers, WordPiece)."""

from __future__ import annotations

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tokenizers import Tokenizer
from tokenizers.models import WordPiece
from tokenizers.pre_tokenizers import WhitespaceSplit

from intents.meaning import FOLDER
from intents.pieces import LONGEST_WORD, UNKNOWN, Pieces

LETTERS = "abcdefghijklmnopqrstuvwxyzáñ0123456789.'-[]♥"


def _by_library(pieces: Pieces, words: list[str]) -> tuple[list[int], list[int | None]]:
    library = Tokenizer(WordPiece(pieces.numbers, unk_token=UNKNOWN))
    library.pre_tokenizer = WhitespaceSplit()
    found = library.encode(words, is_pretokenized=True, add_special_tokens=False)
    begins: dict[int, int] = {}
    for at, word in enumerate(found.word_ids):
        if word is not None:
            begins.setdefault(word, at)
    return found.ids, [begins.get(number) for number in range(len(words))]


@pytest.fixture(scope="module")
def pieces() -> Pieces:
    """The pieces of the net in use."""
    return Pieces(json.loads((FOLDER / "vocabulary.json").read_text(encoding="utf-8")))


def test_every_word_that_taught_the_net_is_cut_alike(pieces: Pieces) -> None:
    """In each language, and what is no word: nothing at all, marks, a word that is too long."""
    taught = json.loads((FOLDER / "words.json").read_text(encoding="utf-8"))
    odd = ["", "[SEP]", "[UNK]", "##s", "a" * LONGEST_WORD, "a" * (LONGEST_WORD + 1)]
    words = [word for known in taught.values() for word in known] + odd
    assert pieces.of(words) == _by_library(pieces, words)


@given(words=st.lists(st.text(LETTERS, max_size=14), max_size=6))
def test_any_word_is_cut_alike(pieces: Pieces, words: list[str]) -> None:
    """Made up of letters, numerals and signs at random."""
    assert pieces.of(words) == _by_library(pieces, words)
