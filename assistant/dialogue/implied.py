"""Readings said without their place: "strip says two hundred", "final rinse one eighty four".

What was measured tells which kinds of place it can be. The only one, or the one just talked about, is
taken and named in the call-back; otherwise the place is asked for.
"""

from __future__ import annotations

from dataclasses import replace

from assistant.dialogue import recording, which_place
from assistant.dialogue.answer import Answer
from assistant.dialogue.conversation import Conversation
from assistant.dialogue.hearing import Heard
from assistant.dialogue.judge import judge_all
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.reports.fits import Fits, can_read, likeliest
from assistant.dialogue.slots import Slots
from assistant.dialogue.state import Pending
from assistant.dialogue.statements import asks
from assistant.dialogue.topic import Topic
from assistant.rules.basis import Verdict
from assistant.site import Equipment
from intents.mentions import Understanding
from intents.ranges import label_range
from intents.readings import Reading, ReadingParse

_STRIPS = ("sanitizer_bucket", "sanitizer_sink", "dish_machine_chemical")
_IMPLIED = (
    ("strip_word", _STRIPS),
    ("unit_ppm", _STRIPS),
    ("chlorine_word", _STRIPS),
    ("quat_word", _STRIPS),
    ("iodine_word", _STRIPS),
    ("measured_final rinse", ("dish_machine_hot",)),
    ("measured_rinse", ("dish_machine_hot", "rinse_sink")),
    ("measured_surface", ("dish_machine_hot",)),
    ("wash_tank_only", ("dish_machine_hot", "dish_machine_chemical")),
    ("wash_water_word", ("wash_sink", "dish_machine_hot", "dish_machine_chemical")),
    ("measured_ice water", ("probe",)),
    ("measured_boiling water", ("probe",)),
)
"""What was measured, and the kinds of place where it is."""
MEASURED = "measured_"
TELLING = tuple(concept for concept, _ in _IMPLIED)
_KINDS = {"chlorine_word": "chlorine", "quat_word": "quat", "iodine_word": "iodine"}


def report(talk: Conversation, heard: Heard) -> Outcome | None:
    """Return the outcome for a reading whose place was not said; ``None`` when it is no such reading."""
    read = heard.interpretation.heard
    if not read.words or asks(read) or label_range(read.words, talk.interpreter.lexicon) is not None:
        return None
    if read.names.get("equipment") or _count(read) > 1:
        every = _several(talk, read, tuple(range(len(read.words))))
        if every:
            return recording.report(talk, heard.read_as(*every))
        if read.names.get("equipment"):
            return None
    named_kind = {i for s in read.concepts if s.value in _KINDS for i in range(s.start, s.end)}
    text = read.part(i for i in range(len(read.words)) if i not in named_kind)
    items, now = _candidates(talk, read), talk.clock.now()
    can = can_read(talk, tuple(Topic("equipment", item.id, now) for item in items), text)
    each = (place for item in items for place in (item.id, *_numbered(talk, item.id)))
    named = can_read(talk, tuple(Topic("equipment", place, now) for place in each), text)
    meant = likeliest(talk, named, named=True) if len(can) > 1 else can
    if len(meant) == 1 and (can == meant or not _fails(talk, meant) or all(_fails(talk, (c,)) for c in can)):
        return recording.take(talk, (meant[0][1],), heard)
    return _ask(talk, _readings(can), _readings(named)) if can else None


def _readings(fits: Fits) -> tuple[tuple[Reading, ...], ...]:
    return tuple((reading,) for _, reading in fits)


def _fails(talk: Conversation, meant: Fits) -> bool:
    """Tell whether the number is out of limits there, so that it may be another place's."""
    judged = judge_all(tuple(reading for _, reading in meant), talk.site)
    return any(item.judgement.verdict is Verdict.FAIL for item in judged)


def unsure(talk: Conversation, heard: Heard) -> Outcome | None:
    """Ask for each place where several numbers were told and not all of their places are known."""
    read = heard.interpretation.heard
    if _count(read) > 1 and len(set(_starts(read))) > 1 and not asks(read):
        return which_place.which_ones()
    return None


def _count(read: Understanding) -> int:
    """How many numbers were said that can be readings."""
    return sum(m.kind in ("number", "temperature", "ppm") for m in read.free_measures)


def apart(talk: Conversation, heard: Heard) -> Outcome | None:
    """Return the outcome where a place took the number of something else: a bucket has no final rinse."""
    if not _misplaced(talk, heard.interpretation.readings):
        return None
    return report(talk, heard) or unsure(talk, heard)


def _misplaced(talk: Conversation, readings: ReadingParse) -> bool:
    kinds = dict(_IMPLIED)
    for reading in readings.options[0]:
        item = talk.site.equipment_by_id(reading.subject) if reading.subject_kind == "equipment" else None
        if item is not None and item.kind not in kinds.get(f"measured_{reading.measured}", (item.kind,)):
            return True
    return False


def _several(
    talk: Conversation, said: Understanding, kept: tuple[int, ...]
) -> tuple[tuple[Reading, ...], ...]:
    """Read "quat bucket two hundred, final rinse one eighty one", where one or more lack their place.

    Returns every way in which all of it reads, in the order in which it was said.
    """
    read = talk.interpreter.interpret(said.part(kept))
    if read.readings.options and not _misplaced(talk, read.readings):
        return read.readings.options
    for start, end in _parts(talk, read.heard):
        implied = _only(talk, said.part(kept[start:end]))
        rest = _trimmed(talk, said, (*kept[:start], *kept[end:]))
        if implied and not rest:
            return (implied,)
        if implied and (others := _several(talk, said, rest)):
            return tuple((*implied, *o) if start == 0 else (*o, *implied) for o in others)
    return ()


def _parts(talk: Conversation, read: Understanding) -> list[tuple[int, int]]:
    """Where a reading without its place may begin and end: it has a number, and no place is in it."""
    joins, starts = talk.interpreter.lexicon.list("joins"), sorted({0, *_starts(read)})
    ends = {*(i for i, word in enumerate(read.words) if word in joins), *starts, len(read.words)}
    places = [s.start for s in read.names.get("equipment", ())]
    return [
        (start, end)
        for start in starts
        for end in sorted(ends)
        if any(start < m.start < end for m in read.measures)
        and not any(start <= place < end for place in places)
    ]


def _only(talk: Conversation, text: str) -> tuple[Reading, ...]:
    """Return the reading of the one place that these words imply; empty if they imply none or several."""
    read = talk.interpreter.interpret(text).heard
    if read.names.get("equipment"):
        return ()
    places = [p for item in _candidates(talk, read) if (p := _parsed(talk, item.id, text))]
    return places[0] if len(places) == 1 else ()


def _trimmed(talk: Conversation, said: Understanding, kept: tuple[int, ...]) -> tuple[int, ...]:
    joins, words = talk.interpreter.lexicon.list("joins"), said.words
    while kept and (words[kept[0]] in joins or words[kept[-1]] in joins):
        kept = kept[1:] if words[kept[0]] in joins else kept[:-1]
    return kept


def _starts(read: Understanding) -> list[int]:
    """Where a place, or what was measured at one that was not named, begins."""
    telling = [s.start for s in read.concepts if s.value in dict(_IMPLIED)]
    return [*telling, *(s.start for s in read.names.get("equipment", ()))]


def _candidates(talk: Conversation, read: Understanding) -> list[Equipment]:
    concept = next((concept for concept, _ in _IMPLIED if read.has(concept)), "")
    return kinds_of(talk, read, concept)


def kinds_of(talk: Conversation, read: Understanding, concept: str) -> list[Equipment]:
    """Return the places where what a concept tells is measured, of the chemicals that were said."""
    kinds = dict(_IMPLIED).get(concept, ())
    said = {kind for concept, kind in _KINDS.items() if read.has(concept)}
    return [
        item
        for item in talk.site.places
        if item.kind in kinds
        and (not said or ((product := talk.site.product_of(item.id)) is not None and product.kind in said))
    ]


def _parsed(talk: Conversation, place: str, text: str) -> tuple[Reading, ...]:
    return talk.interpreter.answer_for("equipment", place, text).certain


def _numbered(talk: Conversation, place: str) -> tuple[str, ...]:
    item = talk.site.equipment_by_id(place)
    return tuple(f"{place} {n}" for n in item.numbers) if item else ()


def _ask(
    talk: Conversation, options: tuple[tuple[Reading, ...], ...], every: tuple[tuple[Reading, ...], ...]
) -> Outcome:
    """Ask which place; any numbered one may be the answer."""
    waiting = Pending("choose", talk.clock.now(), options=every)
    between = any(reading.bound == "between" for option in options for reading in option)
    known = "which_place_between" in talk.catalogue[recording.READING].replies
    named = None if between else which_place.between(talk, options)[1]
    reply = "which_place_between" if between and known else "which_place"
    return replace(named or Outcome(Answer(reply), recording.READING), pending=waiting)


_KIND_OF_STRIP = {"quat_strip": "quat", "chlorine_strip": "chlorine"}
_CHEMICALS = {"quat_word": "quat", "chlorine_word": "chlorine", "iodine_word": "iodine"}
"""Said first, with the place after it: "quat's showing four hundred on the third sink"."""
WRONG_STRIP = "strip_wrong"


def of_another_chemical(talk: Conversation, read: Understanding, place: str) -> bool:
    """True where the words name a chemical, and the place holds another."""
    named = {
        (_KIND_OF_STRIP | _CHEMICALS)[s.value]
        for s in read.concepts
        if s.value in _KIND_OF_STRIP | _CHEMICALS
    }
    product = talk.site.product_of(place)
    return bool(named) and product is not None and product.kind not in named


def of_strip(talk: Conversation, heard: Heard) -> Outcome | None:
    """Log what the strip showed; a strip for another chemical shows nothing that counts."""
    read = heard.interpretation.heard
    strips = [s for s in read.concepts if s.value in _KIND_OF_STRIP]
    strips = strips or [s for s in read.concepts if s.value in _CHEMICALS and s.start == 0]
    if not strips or heard.interpretation.readings.options or asks(read):
        return None
    strip = max(strips, key=lambda s: s.end - s.start)
    rest = read.part((*range(strip.start), *range(strip.end, len(read.words))))
    readings = talk.interpreter.interpret(rest).readings.certain
    if len(readings) != 1 or readings[0].subject_kind != "equipment" or readings[0].quantity != "ppm":
        return None
    product = talk.site.product_of(readings[0].subject)
    if product is None or product.kind != (_KIND_OF_STRIP | _CHEMICALS)[strip.value]:
        if strip.value in _CHEMICALS:
            return None
        return wrong(talk, read, readings[0].subject)
    return recording.take(talk, readings, heard.read_as(readings))


def wrong(talk: Conversation, read: Understanding, place: str) -> Outcome:
    """Say which strip it takes; what is written of a wrong one is written of the place that was named."""
    told = talk.ask(talk.request(WRONG_STRIP, Slots.of(read)))
    if told.answer is None:
        return told
    if not any(span.value in _KIND_OF_STRIP for span in read.concepts):
        return replace(told, answer=replace(told.answer, drafts=()))  # bleach itself may have been meant
    drafts = tuple(
        draft.model_copy(update={"subject": place, "place": place if draft.place else ""})
        for draft in told.answer.drafts
    )
    return replace(told, answer=replace(told.answer, drafts=drafts))
