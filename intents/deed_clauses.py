"""Which stretches of a breath tell the foods of one deed, and which only tell of others."""

from __future__ import annotations

import re

from intents.deed_marks import WORDS_BETWEEN, Marks, Spans


def its_own(marks: Marks, spans: Spans, verb: range) -> Spans:
    """Return the stretches without the foods of other clauses, that only tell of them.

    Before "tossed the ham" nothing else went out, before "tossed it" only what the clause before names and
    what is listed with it; behind it "the cheese was forty five" is a reading.
    """
    stop = min((at for at in marks.breaks if at >= verb.stop), default=len(marks.words))
    its, lexicon = next((end for start, end in spans if start == verb.stop), verb.stop), marks.lexicon
    own = re.compile(r"[aoLNUKHE.]*F").match(marks.classes, verb.stop, min(stop, its)) is not None
    one = {*marks.words[verb.start : stop]} & lexicon.list("deed_one_thing")
    return [part for span in spans for part in _told_of(marks, span, verb, own=own, one=bool(one))]


def _told_of(marks: Marks, span: tuple[int, int], verb: range, *, own: bool, one: bool) -> Spans:
    start, end = span
    if start >= verb.stop:
        others = (at for at in sorted(marks.breaks) if start < at < end and _only_tells(marks, at, end))
        return [(start, next(others, end))]
    if own and marks.find("F", start, end) >= 0:
        return [(end, end)]
    clauses = [start, *sorted(at for at in marks.breaks if start < at < end)]
    foods = [at for at in clauses if marks.find("F", at, end) >= 0]
    lies = marks.lexicon.list("deed_into")
    if (
        one
        and len(foods) > 1
        and any(marks.classes[i] == "P" or marks.words[i] in lies for i in range(start, foods[-1]))
    ):
        start = foods[-1]  # "limes and beer in there, the milk was fifty"
    return [(start, end)]


def _only_tells(marks: Marks, start: int, end: int) -> bool:
    """True for a clause on other food: "the cheese boards are forty five", "cream's fine"."""
    stop, lexicon = min((at for at in marks.breaks if start < at < end), default=end), marks.lexicon
    food, states = marks.find("F", start, stop), lexicon.list("read_at") | lexicon.list("present_is")
    state = next((i for i in range(food, stop) if marks.words[i] in states), -1) if food >= 0 else -1
    if state < 0:
        return False
    behind = {*marks.words[state + 1 : min(stop, state + 1 + WORDS_BETWEEN)]}
    good = behind & lexicon.list("deed_good") and not behind & lexicon.list("deed_no_good")
    return bool(good or re.compile("N+(?![NUKEaoL]*[UK])").match(marks.classes, state + 1, stop))


def but_behind_into(marks: Marks, spans: Spans, end: int) -> Spans:
    """Return the stretches without the food that another lay in: "the ham in the soup"."""
    found, into = [], marks.lexicon.list("deed_into")
    for start, stop in spans:
        at = start
        for i in range(max(start, end), stop):
            lies = re.compile("[aL]*Ff*").match(marks.classes, i + 1, stop)
            if marks.words[i] in into and lies is not None and i >= at:
                found.append((at, i))
                at = lies.end()
        found.append((at, stop))
    return found


def till_others(marks: Marks, spans: Spans, end: int) -> Spans:
    """Return the stretches up to where somebody did something to other food: "..., she mixed up vinegar"."""
    told = [[i for i in marks.tellings if max(start, end) <= i < stop] for start, stop in spans]
    of_food = (
        [i for i in at if marks.find("F", i, stop) >= 0] for at, (_, stop) in zip(told, spans, strict=True)
    )
    return [(start, min(at, default=stop)) for at, (start, stop) in zip(of_food, spans, strict=True)]
