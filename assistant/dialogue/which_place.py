"""A place that can be several: "drawer is at forty" of numbered drawers, "fridge" of two with that name.

The place that is asked for in a round, or the next of the one read just before, is meant; else it is asked
which. Nothing is ever logged of "the drawer" as such, but where the site has one without a number
(``unnumbered``).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from assistant.dialogue.answer import Answer
from assistant.dialogue.conversation import Conversation
from assistant.dialogue.named_among import Pointer, chosen, lone_numbers, pointers
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.say import fill, worded
from assistant.dialogue.state import Pending
from intents.equipment_kinds import plausible
from intents.language import language
from intents.lexicon import Span
from intents.mentions import Stretch, Understanding
from intents.readings import Reading

Options = tuple[tuple[Reading, ...], ...]
READING = "reading"
MOST_ASKED = 4
"""More places than this are not read out to choose from."""
_TWO = 2


def asked(talk: Conversation, readings: tuple[Reading, ...]) -> tuple[tuple[Reading, ...], Outcome] | None:
    """Return the readings whose places are told whole, and the question about the one that is not.

    ``None`` where every place is told whole.
    """
    unsure = [r for r in readings if len(_numbers(talk, r)) > 1]
    if not unsure:
        return None
    rest = tuple(r for r in readings if r not in unsure)
    return rest, _question(talk, tuple(unsure))


def between(talk: Conversation, options: Options) -> tuple[Options, Outcome | None]:
    """Return the ways to hear a breath that fit the talk, and the question where only places differ."""
    if not differ_in_place(options):
        return options, None
    if len(options) > MOST_ASKED:
        return options, None
    differs = next(i for i, _ in enumerate(options[0]) if len({o[i].subject for o in options}) > 1)
    options = tuple(_as_in_site(talk, options, differs))  # "the second one" is the second asked about
    names = [talk.shown(option[differs].subject) for option in options]
    template = talk.catalogue[READING].replies["choose_two"]
    first, last = ", ".join(names[:-1]), names[-1]
    text = fill(
        template, worded({"first": f"{first[:1].upper()}{first[1:]}", "second": last}, talk.catalogue)
    )
    waiting = Pending("choose", talk.clock.now(), options=options)
    return options, Outcome(Answer("choose_two"), READING, None, text, pending=waiting)


def _as_in_site(talk: Conversation, options: Options, at: int) -> list[tuple[Reading, ...]]:
    order = [item.id for item in talk.site.equipment]
    return sorted(options, key=lambda o: order.index(o[at].subject) if o[at].subject in order else len(order))


def differ_in_place(options: Options) -> bool:
    """True where the numbers are clear and only the place of one of them is not."""
    alike = {tuple((r.subject_kind, r.value, r.measured, r.said_at) for r in option) for option in options}
    if len(options) < _TWO or len(alike) > 1:
        return False
    return sum(len({option[i].subject for option in options}) > 1 for i in range(len(options[0]))) == 1


def answered(
    talk: Conversation, read: Understanding, options: Options, *beside: str
) -> list[tuple[Reading, ...]]:
    """Return the options whose place, and nothing else, the words name or leave ("not the dairy one")."""
    told = dict.fromkeys(r.subject for option in options for r in option)
    every = [{r.subject for r in option} for option in options]
    places = [p for p in told if len(options) == 1 or not all(p in subjects for subjects in every)]
    found = pointers(talk, read, places)
    small = talk.interpreter.lexicon.small("correction_openers", "batch_one", "denying", "ruling_out")
    said: tuple[Stretch, ...] = (*found, *read.spans(*beside))
    if not read.measures and not read.only(said, small):
        last = max(read.breaks, default=0)  # "the cold one, ha ha. the downstairs"
        found = tuple(pointer for pointer in found if pointer.start >= last)
        said = (*said, Span("aside", "", 0, last))
    if not found or not read.only(said, small):
        return []
    meant = chosen(found, places)
    return [option for option in options if any(r.subject in meant for r in option)]


def several(talk: Conversation, read: Understanding, options: Options) -> tuple[tuple[Reading, ...], bool]:
    """Return the readings of all places that an answer names, and whether they are guessed; none of one.

    "Three and four", "both", "all but two" are told; which are "the left two" nobody knows for sure.
    """
    if not differ_in_place(options) or talk.words("or_word") in read.words or _taken_back(talk, read):
        return (), False
    at = next(i for i, _ in enumerate(options[0]) if len({option[i].subject for option in options}) > 1)
    by_place = {option[at].subject: option for option in options}
    places = list(by_place)
    every, ends = [*_whole_row(talk, read, places)], [*_ends(talk, read, places)]
    inside = {i for p in (*every, *ends) for i in range(p.start, p.end)}
    lone = lone_numbers(read, places)
    found = [p for p in lone or pointers(talk, read, places) if p.start not in inside]
    found = [replace(p, denied=True) if every else p for p in found] + every + ends
    lexicon = talk.interpreter.lexicon
    small = lexicon.small("batch_one", "part_of_them", "deed_of", "list_joins", "number_word")
    small |= talk.interpreter.lexicon.list("all_but") if every else frozenset()
    parts = {word for name in places for part in name.split() for word in (part, f"{part}s", f"{part}es")}
    plain = read.only((*found, *read.spans("yes", "note_unsure")), small | parts)
    single = all(len(p.places) == 1 or p in every or p in ends for p in found)
    meant = chosen(found, places) if plain and single else frozenset()
    readings = tuple(dict.fromkeys(r for place in places if place in meant for r in by_place[place]))
    stand = ("row_left", "row_right", "back_middle")
    guessed = any({read.words[p.start]} & talk.interpreter.lexicon.list(name) for p in ends for name in stand)
    return (readings if len(meant) > 1 or ends else ()), guessed


def _taken_back(talk: Conversation, read: Understanding) -> bool:
    """True for "one, no, two", "not all of them", "one to three" and "that's all": which are meant?"""
    lexicon = talk.interpreter.lexicon
    lists = map(lexicon.list, ("correction_openers", "denying", "told_wrong", "from_to"))
    unsure = any(not words.isdisjoint(read.words) for words in lists)
    return unsure or lexicon.says(read.words, "says_enough")


def told_on(talk: Conversation, read: Understanding, options: Options) -> tuple[Reading, ...]:
    """Return the readings of the one place, or of all, that an answer names."""
    every, one = several(talk, read, options)[0], answered(talk, read, options, "yes")
    return every or (one[0] if len(one) == 1 else ())


def _whole_row(talk: Conversation, read: Understanding, places: Sequence[str]) -> Iterator[Pointer]:
    """Give the words that name all the places asked about: "both" of two, "all", "all three" of three."""
    lexicon, grammar = talk.interpreter.lexicon, language(talk.language).numbers
    phrases = {tuple(p.split()) for p in lexicon.list("points_all") | lexicon.list("plural_each")}
    found = ((at, p) for at, _ in enumerate(read.words) for p in phrases if read.words[at : at + len(p)] == p)
    for at, phrase in found:
        end = at + len(phrase)
        counted = grammar.values(read.words[end : end + 1])
        many = {_TWO} if {*phrase} & lexicon.list("both") else counted or grammar.values(phrase[-1:])
        if len(places) in (many or {len(places)}):
            yield Pointer(at, end + bool(counted), frozenset(places), denied=False)


def _ends(talk: Conversation, read: Understanding, places: Sequence[str]) -> Iterator[Pointer]:
    """Give the words that name so many by how they stand: "the left two", "the last three", "the middle"."""
    lexicon, grammar = talk.interpreter.lexicon, language(talk.language).numbers
    for at, word in enumerate(read.words):
        counted = grammar.values(read.words[at + 1 : at + 2])
        many = int(min(counted, default=1))
        first = word in lexicon.list("row_left") or (many > 1 and word in lexicon.list("back_first"))
        last = word in lexicon.list("row_right") | lexicon.list("back_last")
        middle = word in lexicon.list("back_middle") and len(places) % 2 and many == 1
        if (first or last or middle) and 0 < many < len(places) and word not in " ".join(places).split():
            meant = places[:many] if first else places[-many:]
            meant = places[len(places) // 2 :][:1] if middle else meant
            yield Pointer(at, at + 1 + bool(counted), frozenset(meant), denied=False)


def where_put(talk: Conversation, read: Understanding) -> tuple[Span, ...]:
    """Return the places in short where something is put: "in the box", "the dairy and salad fridges"."""
    words, articles = read.words, talk.interpreter.lexicon.list("deed_articles")
    named = {i for s in read.names.get("equipment", ()) for i in range(s.start, s.end)}
    short = [s for s in talk.interpreter.in_short(words) if not named & {*range(s.start, s.end)}]
    found = []
    for span in short:
        alone = all(s.value == span.value for s in short if (s.start, s.end) == (span.start, span.end))
        part, names = words[span.start : span.end], talk.interpreter.names_of(span.value)
        ends = any(len(name) > len(part) and name[-len(part) :] == part for name in names)
        article = len(part) > 1 or (span.start > 0 and words[span.start - 1] in articles)
        nouns = {
            f"{name[-1]}{plural}" for name in names if len(name) > len(part) for plural in ("", "s", "es")
        }
        if alone and ((ends and article) or (not ends and nouns & {*words[span.end : span.end + 3]})):
            found.append(span)
    return tuple(s for s in found if not any(s != o and o.start <= s.start and s.end <= o.end for o in found))


def which_ones() -> Outcome:
    """Ask for each place with its number; a bare number after this is of nobody knows which place."""
    return Outcome(Answer("which_two"), READING, keep_context=True, changes={"asked_place": ""})


def which_of_waiting(talk: Conversation) -> Outcome:
    """Ask which of those that wait for a yes is meant, and keep them all: a yes logs none."""
    asked = talk.state.pending
    if asked is None:
        return which_ones()
    kept = replace(asked, disputed=True, asked_at=talk.clock.now())
    return replace(which_ones(), pending=kept, readings=asked.readings)


def say_again() -> Outcome:
    """Ask for place and number; a bare number after this is not that of the place that a round asked for."""
    return Outcome(Answer("say_again"), READING, keep_context=True, changes={"asked_place": ""})


def asked_whole(talk: Conversation, waiting: Pending) -> bool:
    """True for a question between places that can be read out: a few, or the numbers of one."""
    places = {r.subject for option in waiting.options for r in option}
    items = {item.id for p in places if (item := talk.site.equipment_by_id(p)) is not None}
    few = len(waiting.options) <= MOST_ASKED or len(items) == 1
    return few and differ_in_place(waiting.options)


def which_of(talk: Conversation, options: Options) -> Outcome:
    """Ask of which places a number is that was told of some of them; it waits with what was told of it."""
    first = options[0][0]
    values = {"value": f"{first.value:f}", "list": ", ".join(talk.shown(o[0].subject) for o in options)}
    text = fill(talk.catalogue[READING].replies["which_at"], worded(values, talk.catalogue))
    waiting = Pending("choose", talk.clock.now(), options=options)
    return Outcome(Answer("say_again"), READING, text=text, pending=waiting)


def _question(talk: Conversation, readings: tuple[Reading, ...]) -> Outcome:
    """Wait for the number of the place."""
    place, numbers = readings[0].subject, _numbers(talk, readings[0])
    template = talk.catalogue[READING].replies["which_number"]
    values = worded({"place": talk.shown(place), "numbers": _span(numbers)}, talk.catalogue)
    text = fill(template, values)
    options = tuple(
        tuple(replace(r, subject=f"{place} {number}") if r.subject == place else r for r in readings)
        for number in numbers
    )
    waiting = Pending("choose", talk.clock.now(), options=options)
    return Outcome(Answer("say_again"), READING, text=text, pending=waiting)


def _numbers(talk: Conversation, reading: Reading) -> tuple[int, ...]:
    """Return the numbers of the place named without one; none for a place that needs none."""
    item = talk.site.equipment_by_id(reading.subject) if reading.subject_kind == "equipment" else None
    if item is None or item.id != reading.subject or item.unnumbered:
        return ()
    return item.numbers


def filled_in(talk: Conversation, readings: tuple[Reading, ...]) -> tuple[Reading, ...]:
    """Return the readings with the number of a place that has but one."""
    return tuple(
        replace(r, subject=f"{r.subject} {numbers[0]}") if len(numbers := _numbers(talk, r)) == 1 else r
        for r in readings
    )


def _span(numbers: tuple[int, ...]) -> str:
    """Return numbers in a few words ("1-6", "1, 2")."""
    if len(numbers) > _TWO and numbers == tuple(range(numbers[0], numbers[-1] + 1)):
        return f"{numbers[0]}-{numbers[-1]}"
    return ", ".join(str(number) for number in numbers)


def guests(talk: Conversation, words: tuple[str, ...]) -> set[str]:
    """Return the places that may as well be a guest's table: "table two" of the sandwich tables."""
    named = talk.interpreter.places.find_longest(words)
    sit_at = talk.interpreter.lexicon.list("guests_sit_at")
    may_be = (*named, *talk.interpreter.in_short(words))
    whole = [s for s in named if words[s.start] not in sit_at]
    return {s.value for s in may_be if words[s.start] in sit_at and not any(o.overlaps(s) for o in whole)}


def served(talk: Conversation, readings: tuple[Reading, ...], words: tuple[str, ...]) -> tuple[Reading, ...]:
    """Return the readings without a guest's table that hot food goes to: it is no cold place."""
    tables = guests(talk, words)
    return tuple(
        replace(r, place="")
        if r.place in tables and not plausible(talk.site.kind_of(r.place), r.quantity, r.value, r.unit == "C")
        else r
        for r in readings
    )
