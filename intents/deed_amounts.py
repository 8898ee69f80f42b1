"""How much of which food was told: runs of number, unit and container words, and their foods."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace

from intents.deed_marks import WORDS_BETWEEN, Marks, Spans

_AMOUNT = re.compile(
    r"E*(?:N+(?:L*K)?oa?N+(?:L*[KU]|(?=F)|(?=oa*F))|HoaN+L*K|[aN]?Hoa?L*[KU]|[aAL]*(?:N+[&a]*HU|N+[&a]*HL*K|[aN]N*[UK]&a*H|HaN?U|HU|Ha?L*K{1,2}|N+UK|N+U|aU|AU|a?N+L*K+|[aAL]+K|L*K(?=oa*F))|[aN]+H|H(?=[oa]*F)|AN+(?![NUKHLFo])|N+|A+)"
)
_PART = re.compile(r"E*(?P<part>N+)(?P<own>L*K)?oa?N+(?P<held>L*[KU])?")
"""So many of how many there were: "two of the nine tins"."""
_BEFORE_FOOD = re.compile(r"[oaAL]*F")


@dataclass(frozen=True, slots=True)
class Item:
    """A food (empty: the one spoken of) and how much of it was told (empty: nothing), in the words said."""

    food: str = ""
    amount: str = ""
    counted: bool = False  # the amount is a bare number: "two eggs"
    measured: bool = False  # the amount has a unit or a container
    words: tuple[int, ...] = ()  # where the amount stands


def items_of(marks: Marks, spans: Spans, used: set[int], verb_end: int = 0) -> tuple[Item, ...]:
    """Return the foods of some stretches with their amounts.

    A bare number counts before a food and right behind the verb only.
    """
    found = [item for start, end in spans for item in _stretch(marks, start, end, used, verb_end)]
    bare = {item.food: item for item in found if item.food and not item.amount}
    named = [item for item in found if item.food and (item.amount or bare[item.food] is item)]
    told = [item for item in found if not item.food]
    if not named and told:  # "whole pot, five litres"
        named = [next((i for i in reversed(told) if i.measured), told[0])]
    elif len(named) == 1 and not named[0].measured and any(item.measured for item in told):
        best = next(item for item in told if item.measured)  # "the limes, like two dozen"
        named = [replace(best, food=named[0].food)]
    elif len(named) == 1 and not named[0].amount and told and _of_them(marks, told[0], verb_end):
        named = [replace(told[0], food=named[0].food)]  # "rolls in the bin, twenty of them", "sent one back"
    elif len(named) == 1 and len(told) == 1 and _of_the_same(marks, named[0], told[0]) and found[0].food:
        # "the bag with the hole goes, two kilos", but no "three platters and a bowl of slaw"
        both, words = f"{named[0].amount}, {told[0].amount}", (*named[0].words, *told[0].words)
        named = [replace(named[0], amount=both, words=words)]
    used.update(i for item in named for i in item.words)
    return tuple(_each_once(marks, named))


def _of_the_same(marks: Marks, named: Item, told: Item) -> bool:
    """True for how much it was in another unit, with nothing joined on between."""
    between = marks.classes[max(named.words, default=0) : min(told.words, default=0)]
    return told.measured and "&" not in between


def _each_once(marks: Marks, items: list[Item]) -> Iterator[Item]:
    """Give every food once, with all that was told of how much: "a bag of prawns, three kilos of prawns".

    A word for many foods is none beside its parts: "the sauces are in the bin, two quarts of aioli".
    """
    groups = marks.lexicon.list("deed_groups")
    heads = {i.food for i in items if i.food in groups} - {i.food for i in items if i.measured}
    heads = heads if any(item.measured for item in items) else set()
    for food in dict.fromkeys(item.food for item in items if item.food not in heads):
        told = [item for item in items if item.food == food and item.amount]
        if not told or not food:
            yield from (item for item in items if item.food == food)
            continue
        amount = ", ".join(dict.fromkeys(item.amount for item in told))
        words = tuple(i for item in told for i in item.words)
        yield replace(told[0], amount=amount, measured=any(i.measured for i in told), words=words)


def _of_them(marks: Marks, item: Item, verb_end: int) -> bool:
    behind = marks.words[item.words[-1] + 1 :][:2] if item.words else ()
    of, them = marks.lexicon.list("deed_of"), marks.lexicon.list("deed_it")
    whole = len(behind) > 1 and behind[0] in of and behind[1] in them
    return item.counted and (whole or 0 < verb_end == item.words[0])


def _stretch(marks: Marks, start: int, end: int, used: set[int], verb_end: int) -> list[Item]:
    found: list[Item] = []
    amount: tuple[int, int] | None = None  # told just before a food
    at = start
    behind = at  # the food named last
    while at < end:
        if _begins_anew(marks, found, amount, at) or (
            at > verb_end > 0 and _of_its_own(marks, found, amount, at)
        ):
            break  # "binned it, one litre, and the quinoa goes in staff lunch"
        if at not in marks.names and _stays(marks, start, at, verb_end):
            stop = min((i for i in marks.breaks if at < i < end), default=end)
            if _excepts(marks, at) and found and found[-1].food and found[-1].amount:
                but = f"{found[-1].amount} {' '.join(marks.words[at:stop])}"
                found[-1] = replace(found[-1], amount=but, words=(*found[-1].words, *range(at, stop)))
            at, amount = stop, None
            continue
        if marks.classes[at] == "F" and at in marks.names:
            used.update(range(at, marks.ends[at]))
            if _kept(marks, at):
                found += [_item(marks, "", amount)] if amount is not None and at in marks.breaks else []
                amount, at = None, marks.ends[at]
                continue
            named = _one_more(marks, found, _item(marks, marks.names[at], amount))
            found.append(_held_in(marks, named, marks.ends[at]))
            amount, at = None, max(marks.ends[at], *(i + 1 for i in found[-1].words), 0)
            behind = at
            continue
        match = _AMOUNT.match(marks.classes, at, end) if marks.classes[at - 1 : at] != "S" else None
        if match is not None and marks.classes[match.end() - 1] == "K" and match.end() - 1 in marks.breaks:
            match = _AMOUNT.match(marks.classes, at, match.end() - 1)  # "the box reads forty, can I go"
        if match is None:
            at += 1
            continue
        if (anew := _counted_anew(marks, at, match.end())) is not None:
            at = anew
            continue
        span, at = (at, match.end()), match.end()
        if _still_good(marks, at, end):
            continue  # "the milk, three cases are still good"
        last = found[-1] if found and found[-1].food else None
        bare = not set(marks.classes[slice(*span)]) - set("aNE")
        if found and {*marks.words[at : at + 2]} & marks.lexicon.list("deed_in_all"):
            continue  # "about eight kilos altogether" is of none of them
        vague = last is not None and not last.measured
        before = last is not None and _of_the_one_before(marks, last, behind, span)
        if _BEFORE_FOOD.match(marks.classes, at, end) and not before:
            amount = span
        elif bare and span[0] != verb_end:
            continue  # "at nine thirty", "the crema's fifty": they count nothing
        elif found and not bare and _goes_on(marks, found[-1], span[0]) and not _counts(marks, found[-1]):
            found[-1] = _item(marks, found[-1].food, span)  # "the lot, about two kilos"
        elif found and not bare and _goes_on(marks, found[-1], span[0]):
            more = _item(marks, found[-1].food, span)  # "a bag of mussels, twenty five pounds"
            both = f"{found[-1].amount}, {more.amount}"
            found[-1] = replace(found[-1], amount=both, words=(*found[-1].words, *more.words))
        elif last is not None and vague and not last.counted:
            found[-1] = _item(marks, last.food, span)
        elif last is None or not bare:
            found.append(_item(marks, "", span))
    return found


def _counted_anew(marks: Marks, start: int, end: int) -> int | None:
    """Return where the amount of "46, two quarts" begins: a bare number before a comma is none of it."""
    stop = next((i for i in sorted(marks.breaks) if start < i < end), end)
    bare = not set(marks.classes[start:stop]) - set("aNE")
    return stop if bare and set(marks.classes[stop:end]) & set("NEH") else None


def _one_more(marks: Marks, found: list[Item], item: Item) -> Item:
    """Return "three tubs of potato salad and one of egg" as one tub of egg."""
    held = found[-1].words if found and found[-1].measured else ()
    at = item.words[-1] if item.counted and item.words else -1
    if not held or at < 0 or marks.classes[at + 1 : at + 2] != "o" or marks.classes[held[-1]] not in "KU":
        return item
    amount = f"{item.amount} {_singular(marks, held[-1], item)}"
    return replace(item, amount=amount, counted=False, measured=True)


def _singular(marks: Marks, at: int, item: Item) -> str:
    word, one = marks.words[at], item.amount in marks.lexicon.list("deed_one")
    ends = tuple(marks.lexicon.list("plural_ending"))
    return word[:-1] if one and word.endswith(ends) else word


def _held_in(marks: Marks, item: Item, end: int) -> Item:
    """Return "five salad bowls" as five bowls of salad."""
    if not item.counted or item.measured or marks.classes[end : end + 1] not in ("K", "U"):
        return item
    amount = f"{item.amount} {marks.words[end]}"
    return replace(item, amount=amount, counted=False, measured=True, words=(*item.words, end))


def _begins_anew(marks: Marks, found: list[Item], amount: tuple[int, int] | None, at: int) -> bool:
    """True at a food behind "and", with no amount of its own, where one of "it" was told before."""
    told = bool(found) and found[-1].measured and not found[-1].food and amount is None
    return told and bool(re.search("&[a]*$", marks.classes[:at])) and marks.classes[at] == "F"


def _of_its_own(marks: Marks, found: list[Item], amount: tuple[int, int] | None, at: int) -> bool:
    """True where something else is told: "... cause the ham touched it", "... and the ham is fine"."""
    lexicon, word = marks.lexicon, marks.words[at]
    if word in lexicon.list("asides"):
        return True
    behind = marks.words[marks.ends[at] : marks.ends[at] + 1] if at in marks.names else ()
    return bool(found) and amount is None and bool({*behind} & lexicon.list("deed_clause"))


def _kept(marks: Marks, at: int) -> bool:
    """True for a food that did not go out: "the salmon we keep", "kept the eggs", "the stew's all eaten"."""
    lexicon, end, start = marks.lexicon, marks.ends[at], at
    keeps, eaten = lexicon.list("deed_keeps"), lexicon.list("deed_eaten")
    while start and marks.classes[start - 1] == "a":
        start -= 1
    behind = marks.words[end : end + WORDS_BETWEEN]
    doers, before = lexicon.list("deed_doers"), {*marks.words[max(0, start - 1) : start]}
    done = before & eaten and {*marks.words[max(0, start - 2) : start - 1]} & doers
    told = {*behind[:1]} & doers and {*behind[1:2]} & keeps
    return bool(told or {*behind} & eaten or before & keeps or done)


def some_stay(marks: Marks, start: int, end: int, verb_end: int) -> bool:
    """True where behind a deed's verb something is told not to have gone out."""
    own = (at for at in range(start, end) if at not in marks.names)
    return any(_stays(marks, start, at, verb_end) or _still_good(marks, at, end) for at in own)


def _excepts(marks: Marks, at: int) -> bool:
    said = {marks.words[at], " ".join(marks.words[at : at + 2])}
    return bool(said & marks.lexicon.list("deed_except"))


def _stays(marks: Marks, start: int, at: int, verb_end: int) -> bool:
    """True where what did not go out begins: "except one tray", "and kept five of ham", "we made two"."""
    lexicon, word = marks.lexicon, marks.words[at]
    verbs = lexicon.list("deed_keeps") | lexicon.list("deed_eaten") | lexicon.list("deed_other")
    begins = at == 0 or at in marks.breaks or marks.classes[at - 1] in "&D"
    behind_food = at > start and marks.classes[at - 1] == "D" and marks.classes[at - 2 : at - 1] in ("F", "f")
    denied = word in lexicon.list("denying")
    other = _BEFORE_FOOD.match(marks.classes, at + 1) if denied else None  # "not the rice"
    spared = at >= verb_end and (_excepts(marks, at) or (verb_end > 0 and other is not None))
    return spared or (word in verbs and begins and not behind_food)


def _still_good(marks: Marks, at: int, end: int) -> bool:
    """True where an amount is told to be good: "three cases are still fine", no "two of them are no good"."""
    stop = min((i for i in marks.breaks if at < i < end), default=end)
    behind = {*marks.words[at : min(stop, at + WORDS_BETWEEN + 1)]}
    lexicon = marks.lexicon
    told = {*marks.words[at : at + 1]} & lexicon.list("deed_clause")
    return bool(told and behind & lexicon.list("deed_good")) and not behind & lexicon.list("deed_no_good")


def _counts(marks: Marks, item: Item) -> bool:
    return any(
        marks.classes[i] in "NHU" or marks.words[i] in marks.lexicon.list("deed_one") for i in item.words
    )


def _goes_on(marks: Marks, item: Item, start: int) -> bool:
    """True where an amount stands right behind that of ``item``, with nothing but its food between."""
    if not item.measured or not item.words:
        return False
    between = marks.classes[item.words[-1] + 1 : start]
    return not set(between) - set("oaFfE") and between.count("F") <= 1


def _of_the_one_before(marks: Marks, last: Item, at: int, span: tuple[int, int]) -> bool:
    """True in "the chicken twelve pounds, the shrimp five": told right behind a food that has no amount yet.

    "And a case of milk" is of the food behind it, and so is "ham, two eggs".
    """
    start, end = span
    letters = marks.classes[start:end]
    return not (
        last.measured
        or not any(c in "UK" for c in letters)
        or (start in marks.breaks and not marks.breaks & {*range(start + 1, end + 1)})
        or re.match(r"a?oa*F", marks.classes[end:])
        or "&" in marks.classes[at:start]
    )


def _item(marks: Marks, food: str, span: tuple[int, int] | None) -> Item:
    if span is None:
        return Item(food)
    start, end = span
    letters = marks.classes[start:end]
    part = _PART.fullmatch(letters)
    dozens = marks.words[end - 1] in marks.lexicon.list("deed_dozens")
    counted = not set(letters.removeprefix("A") or letters) - set("NE") or dozens  # "all forty eight"
    counted = counted or (part is not None and not (part["own"] or part["held"]))
    measured = any(c in "UKH" for c in letters)
    return Item(food, _shown(marks, start, end), counted, measured, tuple(range(start, end)))


def _shown(marks: Marks, start: int, end: int) -> str:
    """Return an amount as it was said ("half a pan"); what was measured in figures ("2.5 kilograms")."""
    while start < end - 1 and marks.classes[start] == "A" and marks.classes[start + 1] in "aN":
        start += 1  # "both, a case of lettuce and a tub of parsley"
    if part := _PART.fullmatch(marks.classes[start:end]):
        number = " ".join(marks.words[start + part.start("part") : start + part.end("part")])
        group = "own" if part["own"] else "held"
        held = [*marks.words[start + part.start(group) : start + part.end(group)]] if part[group] else []
        held[-1:] = [_singular(marks, start + part.end(group) - 1, Item(amount=number))] if held else []
        return " ".join([number, *held])
    weak = start
    while start < end - 1 and marks.classes[start] == "E":
        start += 1
    about = f"{min(marks.lexicon.list('deed_about'))} " if start > weak else ""
    inner = start
    while inner < end - 1 and marks.classes[inner] in "aAL":
        inner += 1
    measure = marks.measures.get((start, end)) or marks.measures.get((inner, end))
    if measure is not None:
        value = f"{measure.value.normalize():f}"
        return f"{about}{value} {measure.unit}{'' if measure.value == 1 else 's'}"
    if marks.classes[start] == "a" and marks.words[start] not in marks.lexicon.list("deed_one"):
        start += 1
    return about + " ".join(marks.words[start:end])
