"""Whether a breath with the words of deeds tells of deeds: said here, done, and of food that went out."""

from __future__ import annotations

from datetime import timedelta

from assistant.dialogue import discards
from assistant.dialogue.conversation import Conversation
from assistant.dialogue.hearing import Heard
from assistant.dialogue.reports import take
from assistant.dialogue.reports.said_at import When
from assistant.dialogue.reports.times import Told
from assistant.dialogue.topic import food_meant
from intents.deed_marks import Kind
from intents.deeds import Breath, Deed
from intents.meaning import NONE
from intents.quantities import Clock

NOT_DONE, WASHED, DISCARD, TIME_OUT = "not_done", "hand_washed", "discard", "time_out"
OF_DEEDS = frozenset({"discard", "action_done", WASHED, "clock_bucket", NOT_DONE, "receive_check"})
"""Intents of sentences that tell of a deed."""
STORAGE = frozenset({"storage", "dangers"})
"""Topics of what may not stand where it is."""
MEANT, SURELY, TALK, _ASKED = 0.4, 0.6, 0.15, 0.9
"""Shares from which on a deed was told here, also where nobody called, and most of talk (judgement)."""
THIS_SHIFT = timedelta(hours=6)
"""A time of day without "am" or a word longer ago was not meant (judgement)."""
THIS_HOUR = timedelta(hours=1)
"""A bare time so near is no strength of a solution (judgement)."""
OUT, PERHAPS_OUT = 0.5, 0.15
"""From this share of a discard on food was thrown out, whatever the words tell; or where some is to go."""
A_FEW = 4
"""So few other words tell nothing else of food that went into the bin (judgement)."""
OUT_OF_HERE: frozenset[Kind] = frozenset({"thrown", "out"})
SURE_OF_ANOTHER = 0.9
"""A share of another intent that makes no deed of what only is somewhere."""


def surely_out(talk: Conversation, heard: Heard, deed: Deed, found: Breath) -> bool:
    """True where the net hears food thrown out, or it is sure of nothing else and food and amount are told,
    or food that is to go.

    "Tossed the wings in sauce" is cooking, "threw the gloves out" and "dumped the bucket" are no food.
    """
    meaning = heard.interpretation.meaning
    shares = {guess.intent: guess.share for guess in meaning.guesses}
    share = shares.get(DISCARD, 0.0)
    # That it was done the words tell exactly: a net that wavers about it still hears food going out.
    hardly = share >= PERHAPS_OUT or any(each.denied for each in found.deeds)  # "not the rice, the beans"
    if share >= OUT or (hardly and share + shares.get(NOT_DONE, 0.0) >= SURELY):
        return True
    called, told = talk.addressed, any(item.measured for item in deed.items)
    words = set(heard.interpretation.heard.words[deed.start : deed.end])
    surely = bool(words & talk.interpreter.lexicon.list("deed_for_good"))
    perhaps = share >= PERHAPS_OUT
    few = len(found.left) <= A_FEW
    told_whole = any(item.food and item.amount for item in deed.items)
    known = deed.it and bool(food_meant(talk, heard.interpretation.heard))
    if called and surely and ((told and few) or told_whole or known):
        return True
    if deed.kind == "out":
        return called and told and perhaps
    none = meaning.best.intent == NONE and called and perhaps
    stood = called and deed.kind == "thrown" and not deed.bare and meaning.best.intent == TIME_OUT
    other = meaning.best.intent not in OF_DEEDS and meaning.best.share >= SURELY and not (none or stood)
    foods = [item for item in deed.items if item.food or (item.measured and not deed.bare)]
    return not other and any(item.amount or discards.action(talk, item.food) for item in foods)


def of_another(heard: Heard) -> bool:
    """True where the net surely hears something else: "somebody poured bleach in the quat"."""
    best = heard.interpretation.meaning.best
    return best.share >= SURE_OF_ANOTHER and best.intent not in (*OF_DEEDS, *take.READS, NONE)


def no_order(talk: Conversation, deed: Deed) -> bool:
    """True for "bin the stew, two and a half kilos": how much is known once it is done; or it is to go."""
    foods = [item.food for item in deed.items]
    told = any(item.measured for item in deed.items)
    return deed.kind == "thrown" and (told or any(discards.action(talk, food) for food in foods if food))


def told_here(talk: Conversation, heard: Heard, found: Breath) -> bool:
    """True where the deeds were told to the assistant: by its net, or in words that say nothing else."""
    meaning, words = heard.interpretation.meaning, heard.interpretation.heard.words
    orders = talk.interpreter.lexicon.list("deed_either")
    named = {i for s in heard.interpretation.heard.names.get("person", ()) for i in range(s.start, s.end)}
    first = next((i for i in range(len(words)) if i not in named), 0)
    if words[first] in orders and (named or not talk.addressed):
        return False  # "Rosa, put the chicken in the walk-in"
    share = max((g.share for g in meaning.guesses if g.intent in OF_DEEDS), default=0.0)
    if not (talk.addressed or talk.state.pending is not None):
        return share >= SURELY and meaning.talk < TALK
    if any(_stands_wrongly(talk, heard, deed) for deed in found.deeds):
        return False
    if any(item.food and item.amount for deed in found.deeds for item in deed.items):
        return True
    asked = meaning.share_of("ask", "leave")
    if len(found.deeds) == 1 and (asked > _ASKED or (asked > MEANT and found.left)):
        return False
    told_of = share >= MEANT or meaning.share_of("tell", "command") > 0.5
    return not found.left or told_of or len(found.deeds) > 1


def _stands_wrongly(talk: Conversation, heard: Heard, deed: Deed) -> bool:
    """True for "the raw chicken is on the top shelf": where it may stand is answered first.

    "It's on the line, four hours from now" starts a clock: what only is somewhere was put there by nobody.
    """
    words, best = heard.interpretation.heard.words, heard.interpretation.meaning.best
    if " ".join(words[deed.start : deed.end]) not in talk.interpreter.lexicon.list("deed_states"):
        return False
    if best.share >= SURE_OF_ANOTHER and best.intent not in OF_DEEDS and best.intent in talk.base_catalogue:
        return True
    known = best.intent in talk.base_catalogue and best.share >= MEANT
    return known and talk.base_catalogue[best.intent].topic in STORAGE


def lately(talk: Conversation, told: Told, found: When, *, bucket: bool = False) -> bool:
    """True for a time of this shift: "at three thirty" at three is no half past three in the night.

    Of a ``bucket`` it may be a strength, too ("at two thirty"), unless it was in this hour.
    """
    if found.kind != "told" or not found.iso or found.at is None:
        return False
    within = THIS_HOUR if bucket else THIS_SHIFT
    hour_alone = isinstance(told.meaning, Clock) and not told.meaning.minute  # "at two" is no strength
    within = THIS_SHIFT if hour_alone else within
    return not (told.bare or found.others) or talk.clock.now() - found.at <= within
