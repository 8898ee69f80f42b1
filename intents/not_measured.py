"""Numbers beside a place or food that nobody measured: wishes, opinions, plates put on the line."""

from __future__ import annotations

from itertools import pairwise

from intents.language import language
from intents.lexicon import Lexicon
from intents.mentions import Measure, Understanding
from intents.quantities import Ordinal

_LAST_COUNTED = 9


def not_measured(heard: Understanding, lexicon: Lexicon) -> bool:
    """True for "chicken has to hit one sixty five", "put forty on the line", "45 is okay for the walk-in".

    A question ("is forty two okay for the walk-in") is judged and never logged, so it is no opinion.
    """
    words = heard.words
    pairs = tuple(pairwise(words))
    if any(" ".join(pair) in lexicon.list("wish_to") for pair in pairs):
        return True
    if " ".join(words[:2]) in lexicon.list("setting") or _to_be_reached(heard, lexicon):
        return True
    if lexicon.list("put_first") & set(words[:1]) and words[-1] in lexicon.list("put_there"):
        return True
    if lexicon.list("put_first") & set(words[:1]) and _counted_out(heard, lexicon):
        return True
    if _counted(words, lexicon):
        return True
    approving, meant_for = lexicon.list("approving"), lexicon.list("meant_for")
    approved = any(one in approving and two in meant_for for one, two in pairs)
    return approved and words[0] not in lexicon.list("asking") | lexicon.list("present_is")


def _to_be_reached(heard: Understanding, lexicon: Lexicon) -> bool:
    """True for "salmon to forty one", an order or a wish; not for "reheated the soup to one sixty eight"."""
    words, ends = heard.words, {span.end for spans in heard.names.values() for span in spans}
    to = (m.start - 1 for m in heard.measures if m.start - 1 in ends)
    return any(words[i] in lexicon.list("up_to") and not lexicon.list("past_to") & {*words[:i]} for i in to)


def counts_things(heard: Understanding, end: int, lexicon: Lexicon) -> bool:
    """True where the word behind a number is what it counts: "forty two lids", "three of them".

    That is a plural that names nothing known, at the end or before a small word: no "forty two looks good".
    """
    word, behind = heard.words[end : end + 1], heard.words[end + 1 : end + 2]
    if end in heard.breaks:
        return False  # "fifty nine, bless it"
    if set(word) & lexicon.list("counted_of"):
        return True
    known = any(s.start <= end < s.end for s in (*heard.concepts, *sum(heard.names.values(), ())))
    small = lexicon.small("prepositions", "openers", "hesitating", "called_out_to")
    plural = bool(word) and word[0].endswith(tuple(lexicon.list("plural_ending"))) and not set(word) & small
    tells = set(behind) & lexicon.list("read_at")  # "..., ladles are clean"
    return plural and not known and (not behind or (set(behind) <= small and not tells))


def names_thing(heard: Understanding, number: Measure, lexicon: Lexicon) -> bool:
    """True for a digit that a thing is called by: "box four", "number four"."""
    words = heard.words
    if number.value not in range(1, _LAST_COUNTED + 1) or number.unit:
        return False
    before = [s for s in heard.concepts if s.value == "container_word" and s.end == number.start]
    plural = tuple(lexicon.list("plural_ending"))
    held = any(not words[s.end - 1].endswith(plural) for s in before) and number.start not in heard.breaks
    called = any(o.noun for q in heard.quantities if q.start == number.start for o in q.all(Ordinal))
    return held or called


def states_another(heard: Understanding, number: Measure, lexicon: Lexicon) -> bool:
    """True for the two of "one and two are nine": what is told behind it is of things called so."""
    words, digits, at = heard.words, language(lexicon.language).numbers, number.end
    if number.value not in range(1, _LAST_COUNTED + 1) or number.unit:
        return False
    joins = lexicon.list("list_joins")
    while {*words[at : at + 1]} & joins and any(map(digits.is_number_word, words[at + 1 : at + 2])):
        at += 2
    stated = lexicon.list("read_at") - lexicon.list("prepositions")
    return bool({*words[at : at + 1]} & stated and heard.numbers_from(at + 1))


def of_car(words: tuple[str, ...], at: int, lexicon: Lexicon) -> bool:
    """True for the number at ``at`` of "and the truck was at 36"; not for "the milk off the truck, 40"."""
    while at and words[at - 1] in lexicon.list("read_at"):
        at -= 1
    if not {*words[max(0, at - 1) : at]} & lexicon.list("delivery_cars"):
        return False
    opens = words[max(0, at - 3) : at]
    return not {*opens} & lexicon.list("prepositions") and not lexicon.says(opens, "came_on_truck")


def _counted_out(heard: Understanding, lexicon: Lexicon) -> bool:
    """True for "put forty plates in the walk-in and sixty in the larder": the first number counts things."""
    end = min((m.end for m in heard.measures), default=len(heard.words))
    named = {s.start for spans in heard.names.values() for s in spans}
    small = lexicon.links | lexicon.list("prepositions") | lexicon.filler
    return end < len(heard.words) and end not in named and heard.words[end] not in small


def _counted(words: tuple[str, ...], lexicon: Lexicon) -> bool:
    """True for "low-boy one two three all good", where places are counted and nothing is read."""
    numbers = language(lexicon.language).numbers
    said = [min(found, default=None) for found in (numbers.values((word,)) for word in words)]
    return any(
        first is not None and 0 < first < _LAST_COUNTED - 1 and (second, third) == (first + 1, first + 2)
        for first, second, third in zip(said, said[1:], said[2:], strict=False)
    )


def by_how_much(words: tuple[str, ...], lexicon: Lexicon) -> bool:
    """True for "lost ten degrees" and "four degrees over": a difference, which no gauge shows."""
    numbers = language(lexicon.language).numbers
    changed, differs = lexicon.list("changed_by"), lexicon.list("differs")
    for at in (at for at, word in enumerate(words) if word in lexicon.list("of_difference")):
        first = next(
            (i for i in range(at) if any(end == at for end, _ in numbers.numbers_from(words, i))), at
        )
        if first < at and (changed & set(words[first - 1 : first]) or differs & set(words[at + 1 : at + 2])):
            return True
    return False
