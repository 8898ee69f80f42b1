"""The one protocol of all recognisers: frames go in, n-best words with confidences come out."""

from __future__ import annotations

from typing import Protocol

from assistant.audio.utterance import Samples, Utterance
from assistant.speech.calls import Call
from assistant.speech.vocabulary import Lack
from intents.hypotheses import Hypotheses

_FRAME = 4_000  # samples handed on at a time when a whole utterance is at hand: a quarter of a second


class Recogniser(Protocol):
    """Turns sound into hypotheses; it never decides. One utterance at a time.

    ``start``, any number of ``accept`` and ``partial``, then ``finish``; ``reset`` drops the
    utterance instead. ``accept`` takes mono 16 kHz 16-bit frames of any length. ``partial`` may be
    called from a second thread while frames still come in.
    """

    @property
    def name(self) -> str:
        """The engine's name, as kept in the log."""

    @property
    def model(self) -> str:
        """The model's name, as kept in the log."""

    @property
    def streams(self) -> bool:
        """Whether ``partial`` gives the words within milliseconds, while they are spoken."""

    def warm_up(self) -> None:
        """Pay the price of the first utterance now, so that the cook does not."""

    def start(self) -> None:
        """Begin an utterance; an unfinished one is dropped."""

    def accept(self, frames: bytes | Samples) -> None:
        """Take the next frames. Raises ``ValueError`` for frames that are not 16-bit mono."""

    def partial(self) -> str:
        """Return the words understood so far; an engine that cannot stream works ahead here."""

    def ahead(self) -> None:
        """Start what can be done before the end is declared, if that needs time; returns at once."""

    def ahead_words(self) -> str:
        """Return the words that the last ``ahead`` has worked out; nothing while it is at work."""

    def over(self) -> None:
        """Work ahead as if silence followed: the speaker seems to be done while others talk on."""

    def go_on(self) -> None:
        """Take back ``over``: all the sound since then belongs to the utterance."""

    def woken(self) -> bool:
        """Return whether the vocabulary's wake phrase was heard in this utterance so far."""

    def opening(self, samples: Samples, phrase: str) -> float | None:
        """Return how surely ``samples`` open with ``phrase``, as ``Opinions`` says; None: it cannot tell.

        May be called from any thread, and does not touch the utterance.
        """

    def look(self) -> None:
        """Begin to find out whether the utterance so far opens with the wake phrase; returns at once."""

    def call(self, wait: bool = False) -> Call:
        """Return what the looks so far have shown; with ``wait``, once the last one is done."""

    def finish(self) -> Hypotheses:
        """End the utterance and return what it may have been; called again, it returns nothing heard."""

    def reset(self) -> None:
        """Drop the utterance and all that was learnt from it."""

    def lacking(self) -> tuple[Lack, ...]:
        """Return the words of the vocabulary that the model does not know."""

    def close(self) -> None:
        """Let go of the model; the recogniser is of no use afterwards."""


class Plain:
    """For recognisers with nothing to do ahead of the end and no wake phrase of their own."""

    def ahead(self) -> None:
        """Do nothing."""

    def ahead_words(self) -> str:
        """Return nothing: ``partial`` has all there is."""
        return ""

    def over(self) -> None:
        """Do nothing."""

    def go_on(self) -> None:
        """Do nothing."""

    def woken(self) -> bool:
        """Return False."""
        return False

    def opening(self, samples: Samples, phrase: str) -> float | None:
        """Return None."""
        return None

    def look(self) -> None:
        """Do nothing."""

    def call(self, wait: bool = False) -> Call:
        """Leave it to the words."""
        return Call.BY_WORDS


def recognise(recogniser: Recogniser, utterance: Utterance) -> Hypotheses:
    """Run one whole utterance through ``recogniser``."""
    recogniser.start()
    for at in range(0, len(utterance.samples), _FRAME):
        recogniser.accept(utterance.samples[at : at + _FRAME])
    return recogniser.finish()
