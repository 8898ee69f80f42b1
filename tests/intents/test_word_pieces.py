"""Word pieces and byte pairs, held against the tokenizers library, which only the tests use."""

from __future__ import annotations

import csv
import json
from io import StringIO
from itertools import chain
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tokenizers import Tokenizer
from tokenizers.models import WordPiece
from tokenizers.pre_tokenizers import WhitespaceSplit

from assistant.speech.byte_pairs import BytePairs
from intents.meaning import FOLDER
from intents.word_pieces import WordPieces
from models.manifest import shipped_folder

EXCHANGES = Path(__file__).parents[1] / "dialogue" / "exchanges"
WHISPERS = ("whisper_kitchen", "whisper_kitchen_en")


def sentences() -> list[str]:
    """Every cell of the exchanges: what is said, in both languages, and what is answered."""
    texts = (file.read_text(encoding="utf-8") for file in sorted(EXCHANGES.glob("*.csv")))
    return sorted({cell for text in texts for row in csv.reader(StringIO(text)) for cell in row})


def test_words_are_cut_as_the_net_was_taught() -> None:
    """The net was trained on that library's pieces."""
    pieces = json.loads((FOLDER / "vocabulary.json").read_text(encoding="utf-8"))
    library = Tokenizer(WordPiece({piece: at for at, piece in enumerate(pieces)}, unk_token="[UNK]"))
    library.pre_tokenizer = WhitespaceSplit()
    ours = WordPieces(pieces)
    for words in (*(text.lower().split() for text in sentences()), ["x" * 101], ["☃", "two words"]):
        wanted = library.encode(words, is_pretokenized=True, add_special_tokens=False)
        assert list(chain(*ours.coded(words))) == wanted.ids, words


@pytest.mark.parametrize("name", WHISPERS)
def test_sentences_have_the_tokens_that_whisper_was_taught(name: str) -> None:
    """Both ways, for every sentence of the exchanges, and marks alike."""
    file = shipped_folder() / name / "tokenizer.json"
    library, ours = Tokenizer.from_file(str(file)), BytePairs(file)
    for text in sentences():
        wanted = library.encode(text, add_special_tokens=False).ids
        assert ours.encode(text) == wanted, text
        assert ours.decode(wanted) == library.decode(wanted), text
    for mark in ("<|en|>", "<|endoftext|>", "<|notimestamps|>", "<|xx|>"):
        assert ours.mark(mark) == library.token_to_id(mark)


FILE = shipped_folder() / WHISPERS[0] / "tokenizer.json"
LIBRARY, OURS = Tokenizer.from_file(str(FILE)), BytePairs(FILE)


@given(st.lists(st.integers(0, 26000), max_size=12))
def test_any_tokens_have_a_text(numbers: list[int]) -> None:
    """A model may write bytes that are no letter; nothing of that is an error."""
    assert OURS.decode(numbers) == LIBRARY.decode(numbers)
