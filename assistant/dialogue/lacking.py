"""What a request cannot do without and its words do not tell: taken from what is being talked about.

The one place where that is done. An intent names the kinds of equipment that it is about (``of``) and what
it needs (``needs``). What was named counts, also in short; else what is spoken of or failed and waits; else
the only one that the kitchen has. Which place was taken is said first (``aloud``), and whose rules.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace

from assistant.dialogue.answer import Request, capital
from assistant.dialogue.answers.advice import chemicals_named
from assistant.dialogue.conversation import Conversation
from assistant.dialogue.leaning import SAID_BEFORE
from assistant.dialogue.slots import LAW, Slots
from assistant.dialogue.topic import topics
from assistant.rules.profile import DEFAULT_PROFILE, load_profile, profile_names
from assistant.site import Site
from intents.equipment_kinds import equipment_kinds
from intents.words import tokenise

_PLACE = ("equipment", "place")


def filled(talk: Conversation, request: Request) -> tuple[Request, str]:
    """Return the request with what it lacked, where only one thing can be meant, and what it lacks still."""
    intent = talk.base_catalogue[request.intent]
    request = replace(request, about=_meant(talk, request, intent.of))
    lacks = request.slots.lacking(intent.needs)
    slots = told_in_short(talk, request.slots, lacks) if lacks else request.slots
    if not slots.foods and ("food" in intent.of or (lacks == "food" and intent.needs.count("food") == 1)):
        slots = replace(slots, foods=_food(talk, slots, known="food" not in intent.of))
    if lacks in _PLACE and not (slots.places or slots.foods or _unknown(talk, slots)):
        spoken = request.about or spoken_of(talk, intent.of or equipment_kinds())
        slots = replace(slots, places=spoken if len(spoken) == 1 else ())  # "what was it before"
    if lacks == "round" and not slots.rounds and len(talk.site.rounds) == 1:
        slots = replace(slots, rounds=(talk.site.rounds[0].id,))
    return replace(request, slots=slots), slots.lacking(intent.needs)


def _meant(talk: Conversation, request: Request, kinds: Collection[str]) -> tuple[str, ...]:
    """Return the places of ``kinds`` that a request is about; none where several remain.

    One that holds another chemical than is named is not meant unless it is named, too.
    """
    if not kinds:
        return ()
    places = _named(talk, request.slots, kinds)
    if places or _unknown(talk, request.slots):
        return tuple(place for place in places if talk.site.kind_of(place) in kinds)
    only = [item.id for item in talk.site.places if item.kind in kinds]
    only = only if len(only) == 1 and not talk.site.by_id[only[0]].numbers else []
    meant, said = request.about or spoken_of(talk, kinds) or only, chemicals_named(request)
    held = (talk.site.product_of(place) for place in meant)
    return () if said and any(each and each.kind not in said for each in held) else tuple(meant)


def _named(talk: Conversation, slots: Slots, kinds: Collection[str]) -> tuple[str, ...]:
    """Return the places that the words name; without any, that of ``kinds`` which alone has a word said."""
    lexicon, heard, words = talk.interpreter.lexicon, slots.heard, slots.words
    spans = heard.names.get("equipment", ()) if heard is not None else ()
    vague = {s.value for s in spans if " ".join(words[s.start : s.end]) in lexicon.list("any_sanitizer")}
    slots = replace(slots, places=tuple(place for place in slots.places if place not in vague))
    of_them = [item for item in talk.site.places if item.kind in kinds]
    chemical = any(talk.site.product_of(item.id) for item in of_them)  # "wipe the bar" names no bar bucket
    named = slots.places if chemical else told_in_short(talk, slots, "place").places
    if named or heard is None or vague:
        return tuple(dict.fromkeys(place for place in named if place not in vague))
    counted = {i for m in heard.measures for i in range(m.start, m.end)}  # "three gallons" of no three comp
    found = set[str]()
    for at, word in enumerate(words):
        having = [item for item in of_them if any(word in tokenise(n) for n in (item.name, *item.also))]
        if len(having) != 1 or at in counted or word in lexicon.filler:
            continue
        whole = tokenise(having[0].name)[-1] == word or {*words[at + 1 : at + 2]} & lexicon.list("batch_one")
        if whole or not chemical:
            found.add(having[0].id)
    return tuple(found) if len(found) == 1 else ()


def _food(talk: Conversation, slots: Slots, *, known: bool) -> tuple[str, ...]:
    """Return the one food spoken of last ("mark them for two"), or what is said that is no food known."""
    if unknown := slots.said_as("food"):
        return () if known else (unknown,)
    last = talk.state.last_request if talk.state.recent(talk.clock.now()) else None
    spoken = (last.slots.foods if last is not None else ()) or talk.state.foods(talk.clock.now())
    return spoken if len(spoken) == 1 and talk.addressed else ()


def _unknown(talk: Conversation, slots: Slots) -> bool:
    """True where a place is named that this kitchen lacks ("the beer cooler")."""
    return bool({*slots.said_as("place").split()} & talk.interpreter.lexicon.list("place_nouns"))


def spoken_of(talk: Conversation, kinds: Collection[str]) -> tuple[str, ...]:
    """Return the places of ``kinds`` of which was spoken last, lately, or that wait for a number."""
    now = talk.clock.now()
    near = [
        topic
        for topic in topics(talk)
        if topic.kind == "equipment" and talk.site.kind_of(topic.name) in kinds
        if topic.waits or now - topic.at <= SAID_BEFORE
    ]
    return tuple(topic.name for topic in near if topic.at == near[0].at) if talk.addressed else ()


def aloud(talk: Conversation, request: Request) -> str:
    """Return the place that a request took for the one meant, as it is said before the answer."""
    intent, chemical = talk.base_catalogue[request.intent], request.slots.usage.chemical
    names = capital(", ".join(talk.shown(place) for place in request.about))
    if chemical:
        return talk.words("about_chemical", place=names, kind=chemical)
    of_its_kinds = [item for item in talk.site.places if item.kind in intent.of]
    told = [item for item in of_its_kinds if item.id in request.about and item.id in request.slots.places]
    others = {word for item in of_its_kinds if item not in told for word in tokenise(item.name)}
    by_name = [i for i in told if ({*tokenise(i.name)} - others) & {*request.slots.words}]  # not "the bucket"
    held = [product.kind for item in by_name if (product := talk.site.product_of(item.id)) is not None]
    if (said := chemicals_named(request)) and held and said.isdisjoint(held):
        return talk.words("about_another", place=names, kind=held[0])
    alone = len(of_its_kinds) == 1 and not of_its_kinds[0].numbers
    taken = len(request.about) == 1 and not {*request.about} & {*request.slots.places}
    if not taken or alone or "equipment" in intent.needs:
        return ""
    return talk.words("about_place", place=names)


def told_in_short(talk: Conversation, slots: Slots, *kinds: str) -> Slots:
    """Return the slots with the place or round that the words name in short, where none is named in full."""
    if {*_PLACE} & {*kinds} and not slots.places and slots.heard is not None:
        named = talk.interpreter.with_short_places(slots.heard).names["equipment"]
        slots = replace(slots, places=tuple(span.value for span in named))
    if "round" in kinds and not slots.rounds and (plan := _round(talk, slots.words)):
        slots = replace(slots, rounds=(plan,))
    return slots


def _round(talk: Conversation, words: tuple[str, ...]) -> str:
    """Return the round of whose name alone a word was said ("opening"), or an empty string."""
    known: dict[str, set[str]] = {}
    for name, plan in talk.site.spoken_rounds():
        for word in tokenise(name):
            known.setdefault(word, set()).add(plan)
    told = {plan for word in words for plan in known.get(word, ()) if len(known[word]) == 1}
    return told.pop() if len(told) == 1 else ""


RULES = "which_rules"
"""The intent that asks which rules are in force here."""
UNHELD = "law_unheld"
"""The concept of places whose rules are not held."""


def site_asked(site: Site, slots: Slots) -> Site:
    """Return the kitchen as it would be under the rules asked about; its own where none are or none differ.

    Rules in other degrees are left alone once a number was said, which would be read in those degrees.
    """
    name = site.kitchen.profile if slots.has(RULES) else _profile_asked(site, slots)
    if name == site.kitchen.profile:
        return site
    if load_profile(name).unit != load_profile(site.kitchen.profile).unit and slots.measures:
        return site
    return site.model_copy(update={"overrides": ()}).with_profile(name)


def _profile_asked(site: Site, slots: Slots) -> str:
    if slots.has("law_fda"):
        return DEFAULT_PROFILE
    named = (name for name in profile_names() if slots.has(LAW + name))
    return next(named, DEFAULT_PROFILE if slots.has(UNHELD) else site.kitchen.profile)


def whose_rules(site: Site, request: Request) -> str:
    """Return the fragment to say first (``of_place``, ``not_held``, ``not_in_degrees``), or nothing."""
    if request.intent == RULES:
        return ""
    if request.slots.has(UNHELD):
        return "not_held"
    if request.site is not site:
        return "of_place"
    other = _profile_asked(site, request.slots) != site.kitchen.profile
    return "not_in_degrees" if other else ""
