"""Tells a report ("reheated the soup to one sixty eight") from a question, a wish or an instruction.

"Is one sixty five enough" asks, "reheat the soup to one sixty five" tells what to do: neither was measured.
"""

from __future__ import annotations

from itertools import pairwise

from intents.lexicon import load_lexicon
from intents.meaning import Meaning
from intents.mentions import Measure, Understanding

QUESTION_CONCEPTS = ("question_word", "when", "can", "should", "how_much")
_TOLD = 0.5
"""From this share on the net hears that something is told (judgement)."""
_ASKS_VERDICT = ("asks_verdict", "note_ask_verdict")
_LAST = ("good_word", "note_quality")
"""Said last, these ask for the verdict: "reheated soup is one sixty five, good"."""


def asks(heard: Understanding) -> bool:
    """True when the words ask for something: by a question word, a question mark, or "good?" at the end."""
    words = heard.words
    if not words or heard.text.strip().endswith(("?", "？")):
        return True
    opening = {span.end for span in heard.concepts if span.value == _LAST[0] and span.start == 0}
    asking = (s for s in heard.concepts if s.value in QUESTION_CONCEPTS)  # no "alright, it's purple now"
    if words[0] in load_lexicon(heard.language).list("asking") or any(s.end not in opening for s in asking):
        return True
    ends = {span.value for span in heard.concepts if span.end == len(words)}
    return heard.has(*_ASKS_VERDICT) or bool(ends & set(_LAST))


def measured(heard: Understanding, number: Measure, meaning: Meaning | None = None) -> bool:
    """True when the words tell that ``number`` was read of something, not that it is wanted.

    Before "to" a verb of the past is needed ("reheated ... to"). Without a word of reading before the number
    the net (``meaning``) has to hear that something is told.
    """
    if asks(heard) or wished(heard, number):
        return False
    before, lexicon = heard.words[: number.start][-1:], load_lexicon(heard.language)
    tells = meaning is not None and meaning.share_of("tell", "answer") >= _TOLD
    return tells or bool({*before} & (lexicon.list("read_at") | lexicon.list("up_to")))


def wished(heard: Understanding, number: Measure) -> bool:
    """True for a number that is to be reached: "has to", "need", "reheat ... to"."""
    words, lexicon = heard.words, load_lexicon(heard.language)
    pairs = {" ".join(pair) for pair in pairwise(words)}
    if lexicon.list("wished") & set(words) or lexicon.list("wish_to") & pairs:
        return True
    before = {*words[: number.start][-1:]}
    return bool(before & lexicon.list("up_to")) and not lexicon.list("past_to") & set(words[: number.start])
