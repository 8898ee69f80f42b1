"""The words that a recogniser should expect, and what it cannot know of them."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Vocabulary:
    """What may be said, derived by the caller from the intents and the site.

    ``words``: every single word of the grammar, numbers included. ``phrases``: whole phrases, for
    recognisers that profit from word order. ``nouns``: names of foods, equipment and products only;
    they may be hinted to a recogniser, numbers never, because hinted numbers come back as results.
    ``wake_phrase``: what a streaming recogniser listens for besides, to tell who is addressed. ``names``:
    each word of the site's own names, and how it is spelled as it is said; our own model is taught them.
    """

    words: tuple[str, ...] = ()
    phrases: tuple[str, ...] = ()
    nouns: tuple[str, ...] = ()
    wake_phrase: str = ""
    names: tuple[tuple[str, str], ...] = ()

    def all_words(self) -> tuple[str, ...]:
        """Return each single word once, in order of first mention."""
        texts = (*self.words, *self.phrases, *self.nouns)
        return tuple(dict.fromkeys(word for text in texts for word in text.split()))


@dataclass(frozen=True)
class Lack:
    """A word that a model does not know; ``instead`` is what it listens for in its place, if anything.

    ``written`` where another listener hears the same sound and can write any word. ``learnt`` are the phones
    by which it was taught to the model when that was loaded, so that it lacks it no more.
    """

    word: str
    instead: str = ""
    written: bool = False
    learnt: str = ""
