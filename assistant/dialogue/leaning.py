"""Words that lean on what was said before, and whether a question is the trade's at all."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

from assistant.dialogue.answer import Request
from assistant.dialogue.answers.advice import KIND_WORDS
from assistant.dialogue.answers.food_words import as_told, controlled_once
from assistant.dialogue.conversation import Conversation
from assistant.dialogue.emergencies import emergency_intents
from assistant.dialogue.hearing import Heard
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.policy import asked_again, meant_after, stricter_after, telling, threads
from assistant.dialogue.slots import ILL, LAW, NO_SIGN, OWN, QUALITY, RELATIONS, WHOLE, WOUND, Slots
from assistant.rules.basis import Verdict
from intents.interpret import Interpretation
from intents.meaning import BETWEEN, NONE, Guess

NEW = 0.7
"""With this share of the net an utterance means an intent of its own."""
SURELY_TALK = 0.9
"""From this share of talk on, words lean on nothing that was said to the assistant."""
A_FEW_WORDS = 3
"""So few words say little to the net: "or the salmon"."""
LEANING = frozenset({"food_facts", "reading", "which_rules", "yes", "no"})
"""Intents of words that lean on what was said before."""
READING = "reading"
AGAIN = "the thread's question, asked again"
"""What decided where a food, state or variant alone was said."""
OF_TWO = frozenset({"storage_pair", "board_next"})
"""Intents of one food and another: a third told alone stands in place of the second."""
_OF_NO_FOOD = frozenset({"dish_machine", "hands", "sanitizer", "sinks", "strips", "thermometers"})
"""Topics whose questions no food fills in."""
SIGNS, COLOR = "receive_signs", "cook_color"
"""What is asked in a thread on deliveries or cooking where a broken pack or a color is told."""
TCS, TIME_OUT = "tcs", "time_out"
_BESIDE_FOOD = ("day_", "beside", "container_word", "pack_")
"""How concepts begin that a variant holds, too: "the tub next to it, from Sunday"."""
BY_WHEN = {"thaw_how": "thaw_by"}
"""What is asked where a day is told with it: "how do I thaw this by tonight" wants a plan."""
SAID_BEFORE = timedelta(minutes=10)
"""For so long what was said and answered may be gone on with (judgement)."""


def said_before(talk: Conversation) -> tuple[str, ...]:
    """Return the words that what is said now may lean on: of the turns answered last, two at most."""
    turns = _turns_before(talk)
    return (*turns[0], BETWEEN, *turns[1]) if len(turns) > 1 else sum(turns, ())


def last_said(talk: Conversation) -> tuple[str, ...]:
    """Return the words of the turn answered last."""
    return sum(_turns_before(talk)[-1:], ())


def _turns_before(talk: Conversation) -> tuple[tuple[str, ...], ...]:
    at, now = talk.state.last_at, talk.clock.now()
    return talk.state.said_before if at is not None and timedelta(0) <= now - at <= SAID_BEFORE else ()


def leans(talk: Conversation, read: Interpretation) -> bool:
    """True where words mean something else after what was said before them than they do alone."""
    before = said_before(talk)
    if not before:
        return False
    alone = talk.interpreter.meaning_of(read.heard.words)
    return alone.best.intent != read.meaning.best.intent


def on_nothing(read: Interpretation) -> bool:
    """True for what the net surely takes for talk: "she puts salt in it" leans on nothing before."""
    best = read.meaning.best
    return best.intent == NONE and best.share >= SURELY_TALK and len(read.heard.words) > A_FEW_WORDS


def to_others(talk: Conversation, heard: Heard) -> bool:
    """True for what is said to somebody else while the assistant waits for an answer."""
    called = talk.addressed
    return not called and on_nothing(heard.interpretation)


def _joined_on(talk: Conversation, read: Interpretation) -> bool:
    leaning = talk.interpreter.lexicon.list("leaning")
    return read.heard.has("and_also") and read.heard.words[0] in leaning


def _of_its_own(talk: Conversation, read: Interpretation) -> bool:
    """True when the words mean another intent than the question before them, whatever that was."""
    last, best = talk.state.last_request, read.best
    told = read.meaning.share_of("tell") >= SURELY_TALK  # "and it says two hundred now" asks nothing again
    if best is None or (best.share < NEW and not told) or best.intent in LEANING:
        return False
    return last is None or best.intent != last.intent


def gone_on(talk: Conversation, read: Interpretation, slots: Slots) -> Outcome | None:
    """Return the answer to the thread's question, asked again of what was said now; ``None`` for another."""
    last = talk.state.last_request if talk.state.recent(talk.clock.now()) else None
    again = _asks_again(talk, read, slots) if last is not None else ""
    if last is None or not (again or _is_follow_up(talk, read, slots)):
        return None
    if (again or last.intent) == TCS and _lay_out(talk, slots):
        return None
    request = talk.request(again or last.intent, _varied(talk, last, slots))
    return replace(talk.ask(replace(request, memory=last.memory)), decided=AGAIN if again else "")


def goes_on(talk: Conversation, read: Interpretation, slots: Slots) -> bool:
    """True where words go on with the question before them."""
    return bool(_asks_again(talk, read, slots)) or _is_follow_up(talk, read, slots)


def _is_follow_up(talk: Conversation, read: Interpretation, slots: Slots) -> bool:
    """True when an utterance fills something else into the question before it."""
    last = talk.state.last_request
    if last is None or not talk.catalogue[last.intent].follow_up:
        return False
    opened = _joined_on(talk, read) or read.heard.words[0] in talk.interpreter.lexicon.list("or_that")
    told = any(concept.startswith((QUALITY, LAW)) for concept in slots.concepts)
    told = told or (len(last.slots.foods) > 1 and slots.has(*RELATIONS))  # "what about under it"
    foods = talk.base_catalogue[last.intent].topic not in _OF_NO_FOOD and slots.foods
    fills = bool(foods or slots.places or slots.measures or slots.clocks or told)
    # "And under?" means an intent that lacks its food: the one before has it.
    lacks = read.best is not None and bool(slots.lacking(talk.base_catalogue[read.best.intent].needs))
    return fills and opened and (lacks or not _of_its_own(talk, read))


def _asks_again(talk: Conversation, read: Interpretation, slots: Slots) -> str:
    """Return the intent of the thread's question where a food, state or variant alone asks it again, or "".

    "And the pork then", "even if it's frozen", "cheddar block": by what the sentence holds, whatever it would
    mean alone. A number, a place of its own or a word beyond the small ones asks something else.
    """
    last, heard, lexicon = talk.state.last_request, read.heard, talk.interpreter.lexicon
    if last is None or not (talk.addressed and _lacks_numbers(slots)):
        return ""
    again = asked_again(last.intent) or (last.intent if _asks_of_food(talk, last.intent) else "")
    if not again or not (last.slots.foods or talk.state.foods(talk.clock.now())):
        return ""
    topic, words = talk.base_catalogue[again].topic if slots.foods else "", {*heard.words}
    if topic == "receiving" and (slots.has("pack_opened") or words & lexicon.list("pack_broken")):
        return SIGNS
    if topic == "cooking" and words & lexicon.list("color_words"):
        return COLOR
    states = [span for span in heard.concepts if span.value.startswith((QUALITY, LAW))]
    setting = [span for span in heard.concepts if span.value.startswith(_BESIDE_FOOD)]
    named = [span for spans in heard.names.values() for span in spans]
    best = read.meaning.best
    if not slots.foods and best.share >= NEW and best.intent not in (NONE, again, *LEANING):
        return ""
    if heard.asks and best.intent not in (NONE, again, *LEANING) and best.share >= threads().sure:
        return ""  # "how hot for the chicken" is a question of its own
    if best.share >= NEW and best.intent in telling().always:
        return ""  # "and the cream was out all night": it may have to go
    if heard.has("sign_dead"):
        return ""  # "some are open": what is wrong with it is asked
    varies = (
        slots.foods
        or states
        or slots.has("pack_opened")
        or (heard.asks and {*heard.words} & lexicon.list("it_stands_for"))
    )
    small = lexicon.small("asked_again", "leaning")
    return again if varies and heard.only((*states, *setting, *named), small) else ""


def _varied(talk: Conversation, last: Request, slots: Slots) -> Slots:
    """Return what was asked before with the food or state told now.

    A number or time is another food's too only where that is said ("the rice as well"), and whole ones are
    no more cut.
    """
    lexicon, before = talk.interpreter.lexicon, last.slots
    alike = slots.has("beside") or {*slots.words} & lexicon.list("same_as_before")
    merged = before.merged(slots)
    if slots.foods and not alike:
        merged = replace(merged, measures=slots.measures, clocks=slots.clocks)
    if len(slots.foods) == 1 < len(before.foods) and last.intent in OF_TWO:
        first, new = before.foods[0], slots.foods[0]
        again = {*first.split()} & {*new.split()}  # "the cooked bacon": it is the bacon still
        merged = replace(merged, foods=(new, before.foods[1]) if again else (first, new), food_spans=())
    if slots.foods:
        return _added(talk, last, merged) if last.intent == TCS else merged
    if not slots.has(WHOLE):
        return replace(
            merged, foods=tuple(as_told(food, slots.concepts, slots.denied_now()) for food in merged.foods)
        )
    cut = lexicon.list("cut_words")
    bare = (" ".join(w for w in food.split() if w not in cut) for food in merged.foods)
    return replace(merged, foods=tuple(bare), concepts=merged.concepts - {"as_cut"})


def _added(talk: Conversation, last: Request, slots: Slots) -> Slots:
    """Return the food asked before where another is only put in it ("with herbs") and it is the stricter."""
    before = last.slots.food()
    adds = len(slots.foods) == 1 and talk.interpreter.lexicon.says(slots.words, "adds_to")
    if before is None or not adds or (before.known and controlled_once(before) is not None):
        return slots
    return replace(slots, foods=last.slots.foods, food_spans=())


def _lacks_numbers(slots: Slots) -> bool:
    return not (slots.measures or slots.clocks or slots.places)


def _asks_of_food(talk: Conversation, intent: str) -> bool:
    """True for an intent whose question can be asked of any food: it is gone on with, or has near ones."""
    if talk.base_catalogue[intent].topic in _OF_NO_FOOD:
        return False
    return talk.base_catalogue[intent].follow_up or bool(threads().near(intent))


def in_thread(talk: Conversation, intent: str) -> bool:
    """True where ``intent`` goes on with a thread of questions: what is told there is asked about, too."""
    last = talk.state.last_request
    if last is None or not any(talk.interpreter.interpret(" ".join(w)).asked for w in _turns_before(talk)):
        return False
    return intent == last.intent or intent in threads().near(last.intent)


def weighed(talk: Conversation, read: Interpretation) -> Interpretation:
    """Return what was meant, with what belongs to the thread of questions before it first.

    A topic of the food or thing in hand comes before the one that a chance word calls up; what the net is
    sure of, talk, readings and emergencies stay as they are.
    """
    last, best, table = talk.state.last_request, read.meaning.best, threads()
    if last is None or not (talk.addressed and talk.state.recent(talk.clock.now())):
        return read
    if read.heard.names.get("food") and talk.base_catalogue[last.intent].topic in _OF_NO_FOOD:
        return read
    near = table.near(last.intent)
    alone = talk.interpreter.meaning_of(read.heard.words).best
    if best.intent == last.intent != alone.intent in near and alone.share >= table.sure:
        best = alone  # what it means by itself goes on with the thread better than the answer before
        others = (guess for guess in read.meaning.guesses if guess.intent != best.intent)
        return replace(read, meaning=replace(read.meaning, guesses=(best, *others)))
    kept = {NONE, READING, *emergency_intents(talk.interpreter.lexicon), *near}
    likely = [guess for guess in read.meaning.guesses if guess.intent in near]
    judging = [g for g in likely if g.intent in table.judges] if read.heard.free_measures else []
    found = max(judging or likely, key=lambda guess: guess.share, default=None)
    deed = best.intent in talk.base_catalogue and talk.base_catalogue[best.intent].topic in telling().left
    if found is None or deed or best.intent in kept or best.share >= table.sure:
        return read
    share = min(found.share * table.weight, table.most)
    if share <= best.share:
        return read
    others = (guess for guess in read.meaning.guesses if guess is not found)
    return replace(read, meaning=replace(read.meaning, guesses=(Guess(found.intent, share), *others)))


def judged_by_thread(talk: Conversation, heard: Heard, outcome: Outcome) -> Outcome:
    """Return what is done with readings, which the thread's stricter limit judges, too, and says so first."""
    last = talk.state.last_request
    if last is None or not (outcome.readings and talk.addressed and talk.state.recent(talk.clock.now())):
        return outcome
    kinds = {talk.site.kind_of(reading.place or reading.subject) for reading in outcome.readings}
    if not (intent := stricter_after(last.intent, kinds)):
        return outcome
    read = heard.interpretation
    judged = talk.ask(talk.request(intent, replace(last.slots, measures=Slots.of(read.heard).measures)))
    if judged.verdict is not Verdict.FAIL:
        return outcome
    return replace(outcome, text=f"{talk.rendered(judged)} {talk.rendered(outcome)}", aloud="")


def filled_in(talk: Conversation, read: Interpretation, slots: Slots) -> Slots:
    """Return the slots with what was said before, where the words lean on it ("what if I wear gloves").

    What goes on with the thread is of its food, its chemical and its illness, too; what judges a number is
    not: what is logged of it would have been told of nothing here.
    """
    last, best = talk.state.last_request, read.meaning.best.intent
    if last is None:
        return slots
    if best == last.intent == TCS:
        slots = _added(talk, last, slots)
    near = talk.state.recent(talk.clock.now()) and best in threads().near(last.intent) - threads().judges
    if best == last.intent or near:
        slots = replace(slots, concepts=slots.concepts | _lasting(last.slots, slots))
    places = last.slots.places if (leant := leans(talk, read)) else ()
    other = bool(slots.said_as("food"))  # of a food that nobody knows, nothing else is answered for
    foods = last.slots.foods if (leant or near or _points(slots)) and not other else ()
    if foods and not slots.foods:  # what was cut or opened stays so
        done = last.slots.concepts & {"pack_opened", *(() if slots.has(WHOLE) else ("as_cut",))}
        slots = replace(slots, concepts=slots.concepts | done)
    before = tuple(as_told(food, frozenset(), slots.denied_now()) for food in foods)
    return replace(slots, foods=slots.foods or before, places=slots.places or places)


def _points(slots: Slots) -> bool:
    """True where a food is meant and only pointed at: "the cooked one, how hot"."""
    roles = slots.meaning.roles if slots.meaning is not None else ()
    return "food" in roles and not slots.said_as("food")


def _lasting(before: Slots, now: Slots) -> frozenset[str]:
    """Return what was said before of an illness and of a chemical, where nothing of its kind is said now.

    Only another sign stands in place of one, and none in place of a wound.
    """
    ill = {c for c in before.concepts if c.startswith((ILL, OWN))}
    if any(c.startswith(ILL) and c not in NO_SIGN for c in now.concepts - now.denied_now()):
        ill &= {WOUND, OWN}
    return frozenset(ill if {*now.concepts} & {*KIND_WORDS} else ill | ({*before.concepts} & {*KIND_WORDS}))


def _lay_out(talk: Conversation, slots: Slots) -> bool:
    """True for food told to have been out: "the eggs on the counter last night"."""
    past = slots.has("day_yesterday", "day_before_yesterday") or talk.interpreter.lexicon.says(
        slots.words, "left_lying"
    )
    return past and slots.heard is not None and slots.heard.has("place_room") and not slots.heard.asks


def meant_here(talk: Conversation, intent: str, slots: Slots) -> str:
    """Return the intent meant after what was asked just before (``policy.toml``), and in this kitchen.

    Of a chemical machine nobody asks where the only one rinses hot, but by its name.
    """
    last = talk.state.last_request
    if last is not None and talk.state.recent(talk.clock.now()):
        intent = meant_after(last.intent, intent)
    if any(concept.startswith("day_") for concept in slots.concepts):
        intent = BY_WHEN.get(intent, intent)
    if intent == TCS and _lay_out(talk, slots):
        intent = TIME_OUT
    mine, other = talk.base_catalogue[intent], talk.base_catalogue[intent].elsewise
    says = talk.interpreter.lexicon.says
    if not other or any(says(slots.words, f"named_{kind}") for kind in mine.of):
        return intent
    kinds = {talk.site.kind_of(place) for place in slots.places} or {i.kind for i in talk.site.places}
    return other if kinds & {*talk.base_catalogue[other].of} and not kinds & {*mine.of} else intent
