"""The wake phrase: found at the start of an utterance, also as recognisers mishear it ("hay kitchen")."""

from __future__ import annotations

import re
from dataclasses import replace

from intents.hypotheses import Hypotheses

LEAST_LIKENESS = 75.0
"""Likeness (0 to 100) of the words before the phrase's last word; that word itself has to be exact."""

LEAST_GARBLED = 55.0
"""Likeness of the whole first words where a listener of its own has found the phrase already."""

LEAST_SHARE = 0.05
"""Share of its listener's mass that a hypothesis with the phrase needs to count."""

LEAST_TRACE = 0.8
"""Mass of all hypotheses with the phrase that confirms it: true calls in noise down to 5 dB had more."""

_WORD = re.compile(r"[\w'-]+")


def strip_wake(text: str, phrase: str) -> tuple[str, bool]:
    """Return the rest of ``text`` after the wake phrase, and whether the phrase was there.

    The last word of the phrase has to be heard exactly; the words before it may differ by a sound, unless
    another word comes first: "the day kitchen crew" is talk.
    """
    wanted = [word.lower() for word in _WORD.findall(phrase)]
    spoken = list(_WORD.finditer(text))
    for start in range(min(2, len(spoken))):
        words = [match[0].lower() for match in spoken[start : start + len(wanted)]]
        if words == wanted or (not start and len(words) == len(wanted) and _alike(words, wanted)):
            return text[spoken[start + len(wanted) - 1].end() :].lstrip(" ,.!?:;-"), True
    return text, False


def traced(hypotheses: Hypotheses, phrase: str, later: bool = False) -> bool:
    """Tell whether the phrase stands in the words, too, so that it does not rest on one listener alone.

    To a listener that knows little else, "hey Ken" and six people talking at once now and then sound like
    it. What a second one wrote is the same model's opinion, so it does not count. With ``later`` other words
    have to come before it: of the utterance's opening more is known than how it was written.
    """
    wanted = [word.lower() for word in _WORD.findall(phrase)]
    words = (
        (each.share, [word.lower() for word in _WORD.findall(each.text)]) for each in hypotheses.alternatives
    )
    return sum(share for share, said in words if _stands_in(said, wanted, later)) >= LEAST_TRACE


def _stands_in(words: list[str], wanted: list[str], later: bool) -> bool:
    """Tell whether the phrase opens the words, perhaps misheard, or stands in them exactly."""
    size = len(wanted)
    if later:
        return any(words[at : at + size] == wanted for at in range(1, len(words)))
    opens = len(words) >= size and _alike(words[:size], wanted)
    return opens or any(words[at : at + size] == wanted for at in range(len(words)))


def after_wake(hypotheses: Hypotheses, phrase: str) -> Hypotheses:
    """Return what was said after the phrase, where a listener of its own has heard it (``woken``).

    The words' listener may have written it in any way ("take it, chin"), or with other talk before it.
    """
    if not hypotheses.woken:
        return hypotheses
    strip = [replace(each, text=_after(each.text, phrase)) for each in hypotheses.alternatives]
    second = hypotheses.second
    if second is not None:
        second = tuple(replace(each, text=_after(each.text, phrase)) for each in second)
        second = tuple(each for each in second if each.text)
    return replace(hypotheses, alternatives=tuple(each for each in strip if each.text), second=second)


def _after(text: str, phrase: str) -> str:
    """Return the rest of ``text`` after whatever most resembles the phrase."""
    wanted = [word.lower() for word in _WORD.findall(phrase)]
    spoken = list(_WORD.finditer(text))
    words = [match[0].lower() for match in spoken]
    whole = " ".join(wanted)
    for end in range(len(wanted), len(words) + 1):
        if _alike(words[end - len(wanted) : end], wanted):
            return _rest(text, spoken, end)
    likest = max(
        (
            (_likeness(words[:count], whole), count)
            for count in range(1, min(len(wanted) + 1, len(words)) + 1)
        ),
        default=(0.0, 0),
    )
    return _rest(text, spoken, likest[1]) if likest[0] >= LEAST_GARBLED else text


def _rest(text: str, spoken: list[re.Match[str]], count: int) -> str:
    return text[spoken[count - 1].end() :].lstrip(" ,.!?:;-]")


def _likeness(words: list[str], whole: str) -> float:
    return max(_ratio(" ".join(words), whole), _ratio("".join(words), whole.replace(" ", "")))


def _ratio(one: str, other: str) -> float:
    from rapidfuzz import fuzz  # typed words never need it

    return fuzz.ratio(one, other)


def _alike(words: list[str], wanted: list[str]) -> bool:
    if words[-1].removesuffix("s") != wanted[-1].removesuffix("s"):
        return False
    head, want = " ".join(words[:-1]), " ".join(wanted[:-1])
    return not want or head in HEARD_AS.get(want, ()) or _ratio(head, want) >= LEAST_LIKENESS


HEARD_AS = {
    "hey": (
        "hay",
        "a",
        "ay",
        "eh",
        "8",
        "eight",
        "aid",
        "he",
        "pay",
        "they",
        "cake",
        "hate",
        "okay",
        "hi",
        "egg",
        "take",
        "day",
        "hate",
        "ate",
        "hays",
        "heya",
        "yeah",
    )
}
"""What recognisers made of the first word in the synthetic clips."""
