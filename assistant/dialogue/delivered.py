"""Several foods of one delivery, each with its temperature: judged and logged one by one."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import timedelta
from itertools import pairwise

from assistant.dialogue import recording, refusals
from assistant.dialogue.answer import Answer, Request, answer_function
from assistant.dialogue.answers.receiving import SIGN, to_refuse, without_limit
from assistant.dialogue.conversation import Conversation
from assistant.dialogue.hearing import Heard
from assistant.dialogue.outcome import Outcome, worst
from assistant.dialogue.record import limit_words
from assistant.dialogue.refusals import CHECK, SIGNS
from assistant.dialogue.reports import fits, take
from assistant.dialogue.reports.counted import CONTAINER
from assistant.dialogue.say import render
from assistant.dialogue.slots import QUALITY, Slots
from assistant.dialogue.statements import asks
from assistant.dialogue.talking import talks
from assistant.dialogue.topic import Topic
from assistant.logbook.query import Filter
from assistant.logbook.standing import DELIVERY
from assistant.rules.basis import Temperature, Verdict
from intents.dishes import may_be_dish
from intents.language import language
from intents.lexicon import Lexicon
from intents.mentions import READ, Measure, Understanding
from intents.not_measured import counts_things, names_thing, of_car, states_another
from intents.number_roles import other_numbers, words_of_others
from intents.readings import Reading
from intents.second_thoughts import last_start

_SURELY = 0.7
"""From this share on a delivery was told."""
_TWO, _NEAR, _NEAR_BY = 2, 3, 4
"""So many words may stand between a sign and the food it is of ("no tag on the clams"), bringer and words."""
HOTTER_THAN_ANY = 100
"""Fahrenheit; cold food that came on a truck is never as warm, so the word told of cooking (judgement)."""
_TODAY, _MOST = timedelta(hours=24), 60
"""So long ago, and so many entries, food that was put away may be meant (judgement)."""


def report(talk: Conversation, heard: Heard) -> Outcome | None:
    """Answer what a driver says of a number, and take foods of one truck said one after the other."""
    read, lexicon = heard.interpretation.heard, talk.interpreter.lexicon
    words, called = {*read.words}, heard.typed or talk.addressed or refusals.under_way(talk)
    if called and _hearsay(talk, read):
        return _no_reading(talk)
    slots = _in_degrees(talk, Slots.of(read, heard.interpretation.meaning))
    numbers = slots.all_measures("number", "temperature")
    options = heard.interpretation.readings.options
    counted = len(read.measures) > len(read.free_measures) and not _signs(slots)
    if read.asks or not slots.foods or read.names.get("equipment") or not (numbers or options or counted):
        return None
    slots = _last_told(talk, _uncounted(slots, talk.interpreter.lexicon))
    counts = {start for start, _ in slots.food_spans}  # "order twelve, two chickens"
    paper = called and _by_paper(talk, read) and any(m.end not in counts for m in slots.measures)
    degrees = slots.temperature(talk.site.kitchen.units) if paper else None
    paper = paper and (degrees is None or degrees.in_unit("F") < HOTTER_THAN_ANY)
    if (numbers or counted) and (paper or lexicon.says(read.words, "came_on_truck")):
        return talk.ask(talk.request(CHECK, slots))
    if not options:
        guesses = heard.interpretation.meaning.guesses
        sure = sum(guess.share for guess in guesses if guess.intent == CHECK) >= _SURELY
        return talk.ask(talk.request(CHECK, slots)) if sure and refusals.under_way(talk) else None
    cold = all(r.subject_kind == "food" and not r.place and not _hot(talk, r) for r in options[0])
    signs = ("arrived", "delivery_cars")[len(options[0]) == 1 :]
    came = any(words & lexicon.list(name) for name in signs)
    if not cold or not (came or refusals.under_way(talk)):
        return None
    line, amends = next(iter(talk.last_lines[-1:]), None), words & lexicon.list("correction_openers")
    if amends and line is not None and len(options[0]) == 1 and line.now.item == options[0][0].subject:
        return refusals.corrected(talk, heard, line, options[0][0])  # "sorry, the cream was six"
    pairs = [(r.subject, _told_of(talk, slots, r)) for r in options[0]]
    return _judged(talk, talk.request(CHECK, slots), pairs, {})


def _by_paper(talk: Conversation, read: Understanding) -> bool:
    """True for "invoice twelve, chicken forty": the number of a delivery's paper stands beside another."""
    lexicon = talk.interpreter.lexicon
    papers = (o for o in other_numbers(read) if o.role == "thing")
    return any(lexicon.says(read.words[o.start : o.end], "delivery_papers") for o in papers)


def _hot(talk: Conversation, reading: Reading) -> bool:
    """True for food off the fire: nothing that came on a truck is so hot."""
    unit = reading.unit or talk.site.kitchen.units
    return Temperature(reading.value, "C" if unit == "C" else "F").in_unit("F") >= HOTTER_THAN_ANY


def judged(
    talk: Conversation, heard: Heard, behind: frozenset[str], about: tuple[str, ...] = ()
) -> Outcome | None:
    """Return foods that came, each judged by its own number; ``None`` where they do not pair.

    A food before a word of ``behind`` names a car, and nothing that came. A number alone is of ``about``.
    """
    told = Slots.of(heard.interpretation.heard, heard.interpretation.meaning)
    slots = with_unknown(told.with_whole_foods(behind))
    slots = slots if slots.foods else replace(slots, foods=about, food_spans=())
    request = talk.request(CHECK, _last_told(talk, slots))
    if len(slots.foods) > 1:
        return _several(talk, request)
    one = len(slots.foods) == len(slots.all_measures("number", "temperature")) == 1
    return (report(talk, heard) or talk.ask(request)) if one else None


def _in_degrees(talk: Conversation, slots: Slots) -> Slots:
    """Return the slots of "milk came in at four" with the number that a time of day took."""
    heard = slots.heard
    if heard is None or len(slots.clocks) != 1 or slots.all_measures("number", "temperature"):
        return slots
    if not talk.interpreter.lexicon.says(heard.words, "came_on_truck") or talk.site.kitchen.units != "C":
        return slots
    at = {span.start for span in heard.clocks}
    bare = tuple(m for m in heard.measures if m.kind == "number" and m.start in at)
    return replace(slots, clocks=(), measures=bare) if len(bare) == 1 else slots


def _uncounted(slots: Slots, lexicon: Lexicon) -> Slots:
    """Return the slots of "three bags of mussels, forty three" without the number that counts.

    The four of "box four" is its name: where nothing else was read, no number was.
    """
    heard = slots.heard
    if heard is None:
        return slots
    held = {s.start for s in heard.concepts if s.value == CONTAINER} - heard.breaks
    names = (m for m in slots.measures if m.kind == "number")
    called = {m for m in names if names_thing(heard, m, lexicon) or states_another(heard, m, lexicon)}
    others = words_of_others(heard, "thing")
    car = {m for m in slots.measures if m.kind in READ and of_car(heard.words, m.start, lexicon)}
    called |= car | {m for m in slots.measures if m.start in others}
    read = [m for m in slots.measures if m not in called]
    kept = [m for m in read if m.kind != "number" or m.end not in held]
    some = any(m.kind in READ for m in kept)
    return replace(slots, measures=tuple(kept if some else read))


def _last_told(talk: Conversation, slots: Slots) -> Slots:
    """Return the slots of "thirty six, no wait, thirty nine" with the number that counts."""
    numbers = slots.all_measures("number", "temperature")
    if len(numbers) != 2 or len(slots.foods) != 1:
        return slots
    lexicon, grammar = talk.interpreter.lexicon, language(slots.language).numbers
    first = min(numbers, key=lambda number: number.start)
    at = last_start(slots.words, first.start, grammar, lexicon.list("second_thought"))
    kept = tuple(m for m in slots.measures if m.start != first.start)
    return replace(slots, measures=kept) if at != first.start else slots


def _told_of(talk: Conversation, slots: Slots, reading: Reading) -> Slots:
    """Return the slots of one food with its number, which is no time of day ("the pork at eight")."""
    unit = reading.unit or talk.site.kitchen.units
    measure = Measure("temperature", (reading.value,), unit, 0, 1)
    aligned = reading.subject in slots.foods and len(slots.foods) == len(slots.food_spans)
    own = _own(slots, slots.foods.index(reading.subject)) if aligned else slots.concepts
    return replace(
        slots, foods=(reading.subject,), food_spans=(), measures=(measure,), clocks=(), concepts=own
    )


def _no_reading(talk: Conversation) -> Outcome:
    most = talk.site.profile.limit("receive_cold_max")
    values = {"limit": limit_words(most, talk.site.kitchen.units)}
    return Outcome(Answer("hearsay", values), CHECK, keep_context=True)


def _hearsay(talk: Conversation, read: Understanding) -> bool:
    """True for "the driver says it was forty": nobody here measured it."""
    lexicon, words = talk.interpreter.lexicon, read.words
    if not any(m.kind in ("number", "temperature") for m in read.free_measures):
        return False
    people, claims = lexicon.list("delivery_people"), lexicon.list("claims")
    if refusals.under_way(talk):
        people |= lexicon.list("drivers") | lexicon.list("delivery_speakers")
    at = (i for i, word in enumerate(words) if word in people)
    if any(claims & {*words[i + 1 : i + 1 + _NEAR_BY]} for i in at):
        return True
    return bool({*words} & lexicon.list("delivery_cars") and {*words} & lexicon.list("delivery_gauges"))


@talks(CHECK)
def each(talk: Conversation, request: Request) -> Outcome | None:
    """Answer for every food with the number said after it; ``None`` leaves a single food to the answer.

    Where foods and numbers do not pair, nothing is logged and they are asked for one at a time.
    """
    if request.slots.heard is not None and _hearsay(talk, request.slots.heard):
        return _no_reading(talk)
    said, lexicon = request.slots, talk.interpreter.lexicon
    slots = with_unknown(_uncounted(said, lexicon).with_whole_foods(lexicon.list("drivers")))
    request = replace(request, slots=slots)
    if (hot := _hot_off_the_fire(talk, request)) is not None:
        return take.cooked_or_delivered(talk, hot)
    if _for_guests(talk, request):
        return Outcome(None, "", keep_context=True)
    if (ours := _of_ours(talk, slots)) is not None:
        return ours
    numbers = slots.all_measures("number", "temperature")
    if not numbers or slots.asked_by_form:
        return None
    if len(slots.foods) > 1:
        return _several(talk, request) or Outcome(Answer("one_at_a_time"), CHECK, keep_context=True)
    if not slots.foods:
        return None
    if said.heard is not None and not asks(said.heard) and {*slots.words} & lexicon.list("deed_keeps"):
        return Outcome(Answer("one_at_a_time"), CHECK, keep_context=True)  # "kept two", and which went back?
    if len(numbers) > 1:  # "forty the top box, forty seven the bottom one": each is judged
        starts = {start for start, _ in slots.food_spans}  # "thirty one oysters came in at sixty"
        boxes = [m for m in numbers if slots.heard and not counts_things(slots.heard, m.end, lexicon)]
        boxes = [m for m in boxes if m.kind != "number" or m.end not in starts]
        return _judged(talk, request, [(slots.foods[0], replace(slots, measures=(m,))) for m in boxes], {})
    answer = _one(request, slots)  # without the foods that only name who brought it
    return Outcome(answer, CHECK, request) if answer is not None else None


def with_unknown(slots: Slots) -> Slots:
    """Return slots with what nobody listed and a number is told of: "cod thirty seven, hake thirty six".

    No number goes back to the food before another one's.
    """
    numbers = sorted(slots.all_measures("number", "temperature"), key=lambda m: m.start)
    told = slots.heard is not None and slots.foods and len(slots.foods) == len(slots.food_spans)
    if slots.heard is None or not told or len(numbers) < _TWO:
        return slots
    pairs = [*zip(slots.food_spans, slots.foods, strict=True)]
    counted = {i for m in slots.heard.measures for i in range(m.start, m.end)}
    for before, number in pairwise((None, *numbers)):
        begin = before.end if before is not None else 0
        if number is None or any(begin <= start < number.start for (start, _), _ in pairs):
            continue
        own = [i for i in range(begin, number.start) if i not in counted and _unlisted(slots, i)]
        heard = [i for i in own if slots.roles(i, i + 1) == {"food"}] or (own if before is not None else [])
        start = next((i for i in reversed(heard) if i - 1 not in heard), 0)
        if heard:
            pairs.append(((start, heard[-1] + 1), " ".join(slots.words[start : heard[-1] + 1])))
    pairs.sort()
    return replace(slots, foods=tuple(food for _, food in pairs), food_spans=tuple(span for span, _ in pairs))


def _unlisted(slots: Slots, at: int) -> bool:
    held = slots.heard.spans(CONTAINER) if slots.heard is not None else []
    return may_be_dish(slots.words[at : at + 1], slots.language) and not any(s.start == at for s in held)


def _of_ours(talk: Conversation, slots: Slots) -> Outcome | None:
    """Read back numbers of food that thaws, cools or was put away here today: nobody brought it now."""
    lexicon, since = talk.interpreter.lexicon, talk.clock.now() - _TODAY
    came = {*slots.words} & (
        lexicon.list("arrived") | lexicon.list("delivery_cars") | lexicon.list("drivers")
    )
    if came or lexicon.says(slots.words, "came_on_truck") or refusals.under_way(talk) or not slots.foods:
        return None
    wanted = Filter(kinds=("clock", "event", "reading"), since=since, standing_only=True)
    lines = [each.now for each in talk.log.views.lines(wanted, limit=_MOST).lines]
    known = [{*(line.item or line.subject).split()} for line in lines if line.measured != DELIVERY]
    if not all(any({*food.split()} <= words for words in known) for food in slots.foods):
        return None
    told = [(Topic("food", food, since), m) for food, own in _pairs(slots, set()) for m in own.measures]
    read = [fits.reading_of(talk, food, " ".join(slots.words[m.start : m.end])) for food, m in told]
    whole = tuple(reading for reading in read if reading is not None)
    return recording.confirm(talk, whole) if whole and len(whole) == len(read) else None


def _several(talk: Conversation, request: Request) -> Outcome | None:
    """Return several foods, each judged by its number or refused for a sign; ``None`` if one has neither."""
    signs = _signs(request.slots)
    return _judged(talk, request, _pairs(request.slots, set(signs)), signs)


def _judged(
    talk: Conversation, request: Request, pairs: Sequence[tuple[str, Slots]], signs: dict[str, str]
) -> Outcome | None:
    slots = request.slots
    answers = [(food, _one(request, one)) for food, one in pairs]
    if not pairs or any(answer is None for _, answer in answers):
        return None
    if len(pairs) == 1 and not signs:
        return Outcome(answers[0][1], CHECK, replace(request, slots=pairs[0][1]))
    judged = [(food, answer) for food, answer in answers if answer is not None]
    lines = [_line(talk, food, answer) for food, answer in judged if food not in signs]
    drafts = [
        draft
        for food, answer in judged
        for draft in answer.drafts
        if food not in signs or draft.kind != "action_opened"
    ]
    verdicts = {answer.verdict for _, answer in judged}
    sources = [source for _, answer in judged for source in answer.sources]
    for food, sign in signs.items():
        refused = talk.ask(talk.request(SIGNS, _of_food(slots, food)))
        text = talk.rendered(refused)
        lines.append(f"{talk.shown(food).capitalize()}: {text[:1].lower()}{text[1:]}")
        drafts.append(to_refuse(food, sign=sign))
        verdicts.add(Verdict.FAIL)
        sources += refused.answer.sources if refused.answer is not None else ()
    return Outcome(
        Answer("pass", sources=tuple(sources)),
        CHECK,
        request,
        " ".join(lines),
        tuple(drafts),
        own_verdict=worst(verdicts),
    )


def _of_food(slots: Slots, food: str) -> Slots:
    return replace(slots, foods=(food,), food_spans=())


def _signs(slots: Slots) -> dict[str, str]:
    """Return the foods with a sign of abuse and its words: the food behind it, else the one before."""
    heard = slots.heard
    spans = [s for s in heard.concepts if s.value.startswith(SIGN)] if heard is not None else []
    found: dict[str, str] = {}
    for sign in spans:
        behind = [i for i, (start, _) in enumerate(slots.food_spans) if 0 <= start - sign.end <= _NEAR]
        before = [i for i, (start, _) in enumerate(slots.food_spans) if start < sign.start]
        if index := [*behind[:1], *before[-1:]]:
            found.setdefault(slots.foods[index[0]], " ".join(slots.words[sign.start : sign.end]))
    return found


def _hot_off_the_fire(talk: Conversation, request: Request) -> Reading | None:
    """Return the reading of "the chicken came in at one sixty five", too hot for a delivery."""
    slots = request.slots
    said = slots.temperature(talk.site.kitchen.units)
    number = slots.measure("temperature", "number")
    if len(slots.foods) != 1 or said is None or number is None or said.in_unit("F") < HOTTER_THAN_ANY:
        return None
    if slots.heard is None or asks(slots.heard) or slots.has("hot_word", "hot_holding", "order_list"):
        return None
    return Reading(slots.foods[0], "food", said.value, "temperature", said.unit, "food")


def _for_guests(talk: Conversation, request: Request) -> bool:
    """True for "chicken for forty one", a table's: it was read of nothing."""
    slots, lexicon = request.slots, talk.interpreter.lexicon
    number = slots.measure("temperature", "number")
    if number is None or not number.start or lexicon.list("arrived") & set(slots.words):
        return False
    return slots.words[number.start - 1] in lexicon.list("meant_for")


def _line(talk: Conversation, food: str, answer: Answer) -> str:
    short = replace(answer, reply="one_pass") if answer.reply == "pass" else answer
    text = render(short, CHECK, talk.catalogue)
    return f"{talk.shown(food).capitalize()}: {text[:1].lower()}{text[1:]}"


def _one(request: Request, slots: Slots) -> Answer | None:
    function = answer_function(CHECK)
    answer = function(replace(request, slots=slots)) if function else None
    return None if answer is None or answer.intent not in ("", CHECK) else answer


def _pairs(slots: Slots, signed: set[str]) -> list[tuple[str, Slots]]:
    """Return each food with the slots of the one number between it and the next.

    A food with a sign needs none. Empty if another has none, or several.
    """
    if slots.heard is None or len(slots.food_spans) != len(slots.foods):
        return []
    others = words_of_others(slots.heard, "thing")
    measures = [m for m in slots.heard.free_measures if m.kind in READ[:2] and m.start not in others]
    ends = [start for start, _ in slots.food_spans[1:]] + [len(slots.words)]
    found: list[tuple[str, Slots]] = []
    for i, ((_, begin), end) in enumerate(zip(slots.food_spans, ends, strict=True)):
        mine = [m for m in measures if begin <= m.start < end]
        if not mine and slots.foods[i] in signed:
            continue
        food, span = slots.foods[i], (slots.food_spans[i],)
        told = replace(
            slots, foods=(food,), food_spans=span, measures=tuple(mine), clocks=(), concepts=_own(slots, i)
        )
        numbered = len(mine) == 1 and len(mine[0].options) == 1
        if not numbered and (mine or not _without_number(told)):
            return []
        found.append((food, told))
    return found


def _without_number(slots: Slots) -> bool:
    """True for food that no number is needed of: frozen solid, or kept at any temperature."""
    return slots.has("as_frozen") or without_limit(slots.food(0))


def _own(slots: Slots, index: int) -> frozenset[str]:
    """Return the concepts without the qualities that stand beside another food ("and frozen peas")."""
    start, end = slots.food_spans[index]
    spans = slots.heard.concepts if slots.heard is not None else ()
    beside = {s.value for s in spans if start - 1 <= s.start < end or s.start == end}
    return frozenset(c for c in slots.concepts if not c.startswith((QUALITY, SIGN)) or c in beside)
