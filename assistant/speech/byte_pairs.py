"""Whisper's tokens: text as bytes, joined in pairs in the order that they were learnt ("byte-level BPE")."""

from __future__ import annotations

import json
import re
from collections.abc import Iterable
from functools import lru_cache
from itertools import pairwise
from pathlib import Path

_PARTS = re.compile(
    r"'s|'t|'re|'ve|'m|'ll|'d| ?[^\W\d_]+| ?\d+| ?(?:[^\s\w]|_)+|\s+(?!\S)|\s+"  # joined within, never across
)


def _signs() -> list[str]:
    """Return the sign that stands for each byte: itself where it can be seen, else one from 256 on."""
    seen = {*range(33, 127), *range(161, 173), *range(174, 256)}
    hidden = iter(range(256, 512))
    return [chr(byte) if byte in seen else chr(next(hidden)) for byte in range(256)]


class BytePairs:
    """What ``tokenizer.json`` beside a model tells, read without the library that wrote it."""

    def __init__(self, file: Path) -> None:
        told = json.loads(file.read_text(encoding="utf-8"))
        self._ids: dict[str, int] = told["model"]["vocab"]
        pairs = (pair.split(" ") if isinstance(pair, str) else pair for pair in told["model"]["merges"])
        self._rank = {(one, other): rank for rank, (one, other) in enumerate(pairs)}
        self._marks: dict[str, int] = {each["content"]: each["id"] for each in told["added_tokens"]}
        self._signs = _signs()
        self._bytes = {sign: byte for byte, sign in enumerate(self._signs)}
        self._texts = {number: text for text, number in self._ids.items()}
        self._part = lru_cache(maxsize=4096)(self._joined)

    def mark(self, name: str) -> int | None:
        """Return the number of a token that stands for no text ("<|en|>"), or ``None``."""
        return self._marks.get(name)

    def encode(self, text: str) -> list[int]:
        """Return the numbers of ``text``."""
        return [number for part in _PARTS.findall(text) for number in self._part(part)]

    def decode(self, numbers: Iterable[int]) -> str:
        """Return the text of numbers; marks, and numbers of nothing, say nothing."""
        marks = self._marks.values()
        signs = "".join(self._texts.get(number, "") for number in numbers if number not in marks)
        return bytes(self._bytes[sign] for sign in signs).decode("utf-8", "replace")

    def _joined(self, part: str) -> tuple[int, ...]:
        signs = [self._signs[byte] for byte in part.encode()]
        while len(signs) > 1:
            first = min(pairwise(signs), key=lambda pair: self._rank.get(pair, len(self._rank)))
            if first not in self._rank:
                break
            signs = _with_joined(signs, first)
        return tuple(self._ids[sign] for sign in signs if sign in self._ids)


def _with_joined(signs: list[str], pair: tuple[str, str]) -> list[str]:
    joined: list[str] = []
    at = 0
    while at < len(signs):
        both = tuple(signs[at : at + 2]) == pair
        joined.append("".join(pair) if both else signs[at])
        at += 2 if both else 1
    return joined
