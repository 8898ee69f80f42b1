"""What a sentence means, as the taught net tells it: act, intent, danger, and the role of each word.

The net (``models/understanding``) is a small encoder in 8 bits that CTranslate2 runs, with one linear
layer for each question. It knows words only: no site, no state, no numbers. Its shares are calibrated
on judged sentences of the tests; what follows from them is decided elsewhere.
"""

from __future__ import annotations

import json
import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cache, cached_property, lru_cache
from pathlib import Path
from typing import Any, Literal, cast

import numpy as np
import numpy.typing as npt

Act = Literal["ask", "leave", "tell", "command", "amend", "answer", "talk"]
"""Asks, asks leave, tells, commands, amends what was said, answers a question, or talks to somebody else."""
Role = Literal[
    "other", "food", "above", "below", "first", "next", "place", "value", "limit", "at", "since", "span",
    "count", "reason", "condition", "courtesy", "aside",
]  # fmt: skip
"""What a word does in its sentence; ``other`` for words that carry it."""
NONE = "none"
"""The intent of talk that is not meant for the assistant."""
TALK: Act = "talk"
LEAST = 1e-6
"""Stands for a share of nothing."""
UNSUPPORTED = "unsupported"
"""The intent of fair questions that no answer is made for."""
BETWEEN = "[SEP]"
"""Stands between two turns in the words that were said before."""
OTHER: Role = "other"
KEPT = 5
"""So many of the likeliest intents are kept."""
REMEMBERED = 512
"""Sentences whose meaning is kept: what is heard so far is looked at often while somebody speaks."""
LONGEST = 70
"""Word pieces that are looked at; nobody says more in one breath."""
LONGEST_BEFORE = 56
"""Word pieces, the last ones, that are looked at of what was said before."""

Floats = npt.NDArray[np.float32]


@dataclass(frozen=True, slots=True)
class Guess:
    """An intent and its share, 0 to 1."""

    intent: str
    share: float


@dataclass(frozen=True, slots=True)
class Meaning:
    """What one sentence means: shares of acts and of the likeliest intents, danger, and a role a word.

    ``danger`` is the share of sentences like this one to which a plain "yes" would be unsafe.
    """

    acts: tuple[tuple[Act, float], ...]
    guesses: tuple[Guess, ...]
    danger: float
    roles: tuple[Role, ...]

    @property
    def act(self) -> Act:
        """The likeliest act."""
        return max(self.acts, key=lambda item: self.share_of(item[0]))[0]

    @property
    def talk(self) -> float:
        """The share of words said to somebody else: the mean of what act and intent say of it (geometric)."""
        none = next((guess.share for guess in self.guesses if guess.intent == NONE), 0.0)
        return math.sqrt(self.sounds_like_talk * none)

    @property
    def sounds_like_talk(self) -> float:
        """The share of talk by the act alone: enough to doubt words that nobody said to the assistant."""
        return next(share for act, share in self.acts if act == TALK)

    def share_of(self, *acts: Act) -> float:
        """Return the share of ``acts`` together, where act and intent agree on the talk that is left."""
        told = sum(share for act, share in self.acts if act in acts and act != TALK)
        rest = sum(share for act, share in self.acts if act != TALK)
        return told * (1 - self.talk) / max(rest, LEAST) + (self.talk if TALK in acts else 0.0)

    @property
    def best(self) -> Guess:
        """The likeliest intent."""
        return self.guesses[0]

    def with_best(self, intent: str) -> Meaning:
        """Return this meaning with an intent that is known surely: the words are its own example."""
        others = tuple(Guess(g.intent, 0.0) for g in self.guesses if g.intent != intent)
        return replace(self, guesses=(Guess(intent, 1.0), *others))

    @property
    def lead(self) -> float:
        """By how much the likeliest intent leads the second."""
        return self.guesses[0].share - self.guesses[1].share


@dataclass(frozen=True, slots=True)
class Coded:
    """A sentence in piece numbers: where it begins behind what was said before, and each word in it."""

    ids: list[int]
    begin: int
    starts: list[int]


class Meanings:
    """The net of all languages. ``read`` takes words as ``intents.words.tokenise`` gives them.

    What was said just before may go along: "what if I wear gloves" then means what it means after it.
    """

    def __init__(self, folder: Path) -> None:
        import ctranslate2
        from tokenizers import Tokenizer
        from tokenizers.models import WordPiece
        from tokenizers.pre_tokenizers import WhitespaceSplit

        pieces: list[str] = json.loads((folder / "vocabulary.json").read_text(encoding="utf-8"))
        ids = {piece: number for number, piece in enumerate(pieces)}
        self._folder = folder
        self._tokenizer = Tokenizer(WordPiece(ids, unk_token="[UNK]"))
        self._tokenizer.pre_tokenizer = WhitespaceSplit()
        self._first, self._last = ids["[CLS]"], ids["[SEP]"]
        # Kept in 8 bits, computed in 32: 8-bit sums come out otherwise on another make of processor, and so
        # did answers near a threshold.
        self._encoder = ctranslate2.Encoder(
            str(folder), device="cpu", compute_type="float32", intra_threads=1
        )
        self._storage = ctranslate2.StorageView
        labels: dict[str, list[str]] = json.loads((folder / "labels.json").read_text(encoding="utf-8"))
        self.intents, self.acts, self._roles = (
            labels["intents"],
            labels["acts"],
            cast(list[Role], labels["roles"]),
        )
        calibration = json.loads((folder / "calibration.json").read_text(encoding="utf-8"))
        self._sharpness: dict[str, float] = calibration["sharpness"]
        heads = np.load(folder / "heads.npz")
        self._heads = {name: heads[name].astype(np.float32) for name in heads.files}
        self.meaning_of = lru_cache(maxsize=REMEMBERED)(self.read)

    @cached_property
    def words(self) -> dict[str, frozenset[str]]:
        """The words that the net was taught, by language; read when a word is looked up that no table has."""
        words: dict[str, list[str]] = json.loads((self._folder / "words.json").read_text(encoding="utf-8"))
        return {code: frozenset(known) for code, known in words.items()}

    def read(self, words: tuple[str, ...], before: tuple[str, ...] = ()) -> Meaning:
        """Return the meaning of a sentence, after ``before``; one without words means nothing (``none``)."""
        spoken = words or ("",)
        coded = self.coded(spoken, before)
        return self._meaning(self.vectors([coded])[0], coded.starts, len(spoken))

    def vectors(self, sentences: Sequence[Coded]) -> list[Floats]:
        """Return the encoder's vectors of each sentence itself, one a piece, with its marks."""
        coded = [each.ids for each in sentences]
        padded = np.zeros((len(coded), max(map(len, coded))), np.int32)
        for row, ids in zip(padded, coded, strict=True):
            row[: len(ids)] = ids
        lengths = np.array([len(ids) for ids in coded], np.int32)
        as_storage = self._storage.from_array
        hidden = self._encoder.forward_batch(as_storage(padded), as_storage(lengths))
        vectors = np.array(hidden.last_hidden_state, dtype=np.float32)
        return [vectors[i, each.begin : len(each.ids)] for i, each in enumerate(sentences)]

    def logits(self, head: str, words: tuple[str, ...]) -> Floats:
        """Return what one head says of a sentence before it is made into shares: for the calibration."""
        return self._logits(head, self.vectors([self.coded(words)])[0].mean(axis=0))

    def coded(self, words: tuple[str, ...], before: tuple[str, ...] = ()) -> Coded:
        """Return a sentence in piece numbers, behind those of what was said before it."""
        found = self._tokenizer.encode(list(words), is_pretokenized=True, add_special_tokens=False)
        starts: dict[int, int] = {}
        for at, word in enumerate(found.word_ids):
            if word is not None:
                starts.setdefault(word, at + 1)
        said = self._tokenizer.encode(list(before), is_pretokenized=True, add_special_tokens=False).ids
        past = [self._first, *said[-LONGEST_BEFORE:]] if before else []
        mark = self._last if before else self._first
        ids = [*past, mark, *found.ids[:LONGEST], self._last]
        return Coded(ids, len(past), [starts.get(i, 0) for i in range(len(words))])

    def _meaning(self, vectors: Floats, starts: list[int], count: int) -> Meaning:
        whole = vectors.mean(axis=0)
        shares = self._shares("intents", whole)
        acts = self._shares("acts", whole)
        order = np.argsort(-shares)[:KEPT]
        danger = 1 / (1 + np.exp(-float(self._logits("danger", whole)[0]) * self._sharpness["danger"]))
        roles = self._logits("roles", vectors).argmax(axis=1)
        inside = range(1, len(vectors) - 1)
        told: list[Role] = [self._roles[roles[at]] if at in inside else OTHER for at in starts[:count]]
        return Meaning(
            tuple((cast(Act, name), float(share)) for name, share in zip(self.acts, acts, strict=True)),
            tuple(Guess(self.intents[i], float(shares[i])) for i in order),
            float(danger),
            tuple(told),
        )

    def _logits(self, head: str, vectors: Floats) -> Floats:
        weight, bias = self._heads[f"{head}_weight"], self._heads[f"{head}_bias"]
        return cast(Floats, vectors @ weight.T + bias)

    def _shares(self, head: str, vector: Floats) -> Floats:
        logits = self._logits(head, vector) * self._sharpness[head]
        grown = np.exp(logits - logits.max())
        return cast(Floats, grown / grown.sum())


FOLDER = Path(__file__).resolve().parents[1] / "models" / "understanding"
"""Where the net is. One net knows every language."""


@cache
def meanings() -> Meanings:
    """Return the net, loaded once."""
    return Meanings(FOLDER)


def nothing(words: Sequence[Any]) -> Meaning:
    """Return the meaning of words that nothing can be told of."""
    acts: tuple[Act, ...] = ("ask", "leave", "tell", "command", "amend", "answer", "talk")
    return Meaning(
        tuple((act, 1.0 if act == "talk" else 0.0) for act in acts),
        (Guess(NONE, 1.0), Guess(UNSUPPORTED, 0.0)),
        0.0,
        (OTHER,) * len(words),
    )
