"""Answers about deliveries: temperatures at the door, signs that refuse them, shellfish tags."""

from __future__ import annotations

from dataclasses import replace

from assistant.dialogue.answer import Answer, Request, answers
from assistant.dialogue.answers.advice import shown, told
from assistant.dialogue.answers.food_words import controlled_once, food_of, reading_of
from assistant.dialogue.answers.record import amount_in
from assistant.dialogue.moments import day_said, shown_date
from assistant.dialogue.record import food_entry
from assistant.logbook.entry import Draft
from assistant.logbook.standing import DELIVERY, FOR_A_SIGN
from assistant.rules import receiving
from assistant.rules.basis import Citation, Judgement, Temperature, Verdict
from assistant.rules.foods import Food
from assistant.rules.receiving import Delivery
from assistant.rules.shellfish import SOURCE, TAGS, tag_keep_until
from intents.lexicon import load_lexicon
from intents.readings import LEAST_BARE

_LIMITS = {
    Delivery.COLD: "receive_cold_max",
    Delivery.MILK: "receive_milk_max",
    Delivery.EGG_AIR: "receive_egg_air_max",
    Delivery.SHELLFISH: "receive_shellfish_internal_max",
    Delivery.SHELLFISH_AIR: "receive_shellfish_air_max",
    Delivery.HOT: "receive_hot_min",
}
CHECK = "receive_check"
ICE, CANNED, FROZEN = "ice", "shelf_stable_canned", "frozen_dessert"
PACKAGE = Citation("FDA Food Code 2022", "3-202.15", "fda_2022", "MEMORY", "whole, clean packages")
SIGN = "sign_"
"""How the names of concepts begin that tell a sign of abuse."""
_SIGNS = (
    ("bulge", "bulging_can"),
    ("dead", "dead_shellfish"),
    ("refused", "bad_smell"),
    ("cracked", "broken_shells"),
    ("thawed", "thawed_and_refrozen"),
    ("dent", "dented_seam"),
)
"""Signs of abuse, the worst first: their values, which are the replies, and codes in the rules."""


def _kind(request: Request) -> Delivery:
    """Return how the food has to come; said to be hot, cold food still has to come cold."""
    food = food_of(request)
    kind = receiving.delivery_kind(food) if food is not None else Delivery.COLD
    if kind is Delivery.SHELLFISH and request.slots.has("measured_air"):
        return Delivery.SHELLFISH_AIR
    raw = food is not None and (food.raw_animal or kind is not Delivery.COLD)
    return Delivery.HOT if request.slots.has("as_hot") and not raw else kind


FIGURES = {
    "air": "receive_shellfish_air_max",
    "cold_limit": "receive_cold_max",
    "hot_limit": "receive_hot_min",
    "egg_limit": "receive_egg_air_max",
    "hours": "receive_cool_hours_max",
}


@answers("receive_temp")
def receive_temp(request: Request) -> Answer:
    """Say how cold or hot a delivery has to be."""
    kind, food = _kind(request), food_of(request)
    limits = {**FIGURES, "limit": _LIMITS[kind]}
    if food is not None and food.food_class != FROZEN and controlled_once(food) is not None:
        return replace(told(replace(request, intent=CHECK), "no_limit", PACKAGE, food.citation), intent=CHECK)
    if request.slots.has("as_frozen") or (food is not None and food.food_class == FROZEN):
        return told(request, "frozen", *receiving.judge_frozen_delivery(frozen_solid=True).citations)
    if not request.slots.foods and kind is Delivery.COLD:
        return told(request, "general", limits=limits)
    cold, most = request.profile.limit("cold_holding_max"), request.profile.limit(_LIMITS[kind])
    warm = kind in (Delivery.COLD, Delivery.MILK) and most.value > cold.value
    replies = {Delivery.HOT: "hot", Delivery.EGG_AIR: "eggs", Delivery.SHELLFISH: "shellfish"}
    return told(request, replies.get(kind, "cool_down" if warm else "cold"), limits=limits)


@answers("receive_check")
def receive_check(request: Request) -> Answer:
    """Judge a delivery by its temperature; a report is logged, a question is not."""
    if not request.slots.foods and request.slots.has("ice_bath"):
        request = replace(request, slots=replace(request.slots, foods=(ICE,), food_spans=()))
    reading, kind = reading_of(request), _kind(request)
    limits = {**FIGURES, "limit": _LIMITS[kind]}
    food = food_of(request)
    if request.slots.has("as_frozen") and (reading is None or request.slots.has("solid_word")):
        sources = receiving.judge_frozen_delivery(frozen_solid=True).citations
        denied = {*request.slots.words} & load_lexicon(request.slots.language).list("negation")
        drafts = () if denied else _came(request, "received frozen solid")
        return told(request, "frozen", *sources, drafts=drafts)
    unread = reading is None or _no_temperature(request, reading) or amount_in(request).measured
    if food is not None and unread and food.food_class == FROZEN:
        return told(request, "frozen", *receiving.judge_frozen_delivery(frozen_solid=True).citations)
    if food is not None and without_limit(food):
        drafts = _came(request, "received")
        cold = "keep_cold" in food.notes
        reply = "no_limit_ice" if food.name == ICE else "by_label" if cold else "no_limit"
        return told(request, reply, PACKAGE, food.citation, drafts=drafts)
    if reading is None or _no_temperature(request, reading):
        return told(request, "ask_temp", limits=limits, ask="temperature|number")
    if request.slots.has("as_frozen"):
        return told(request, "frozen", *receiving.judge_frozen_delivery(frozen_solid=True).citations)
    judged = receiving.judge_delivery(kind, reading, request.profile)
    asked = request.slots.asked_by_form or not request.slots.foods
    named = request.slots.heard.names.get("food", ()) if request.slots.heard is not None else ()
    spoiled = judged.passed and len(named) == 1 and request.slots.has_now("sign_refused", "sign_bulge")
    verdict = Verdict.CANNOT_JUDGE if spoiled else judged.verdict
    entry = () if asked else (food_entry(request, reading, judged, DELIVERY, verdict),)
    if spoiled:  # cold enough, and refused for what else was told of it
        return told(request, "but_signs", PACKAGE, *judged.citations, drafts=entry, reading=shown(reading))
    return told(
        request,
        _verdict_key(kind, judged),
        *judged.citations,
        limits=limits,
        verdict=judged.verdict,
        drafts=entry if judged.passed or not entry else (*entry, to_refuse(request.slots.foods[0], -1)),
        reading=shown(reading),
    )


def _came(request: Request, note: str) -> tuple[Draft, ...]:
    """Return the entry of food that came and needs no temperature; none where it was only asked about."""
    if request.slots.asked_by_form or not request.slots.foods:
        return ()
    food, told_of = request.slots.foods[0], amount_in(request)
    others = request.slots.heard is not None and len(request.slots.heard.names.get("food", ())) > 1
    amount = told_of.amount if told_of.measured and not others else ""
    return (Draft(kind="event", subject=food, item=food, measured=DELIVERY, amount=amount, note=note),)


def without_limit(food: Food | None) -> bool:
    """True for food that may come at any temperature, cut or whole: bread, cans, ice."""
    if food is None or food.food_class.startswith("produce"):  # cut produce has a limit
        return False
    return food.food_class == CANNED or (
        food.food_class != FROZEN and not food.raw_animal and controlled_once(food) == ""
    )


def to_refuse(food: str, refers_to: int | None = None, sign: str = "", amount: str = "") -> Draft:
    """Return the action that stays open until the delivery is sent back or thrown out."""
    note = f"{FOR_A_SIGN}{sign}" if sign else "reject"
    return Draft(
        kind="action_opened", subject=food, item=food, measured=DELIVERY, amount=amount,
        refers_to=refers_to, note=note,
    )  # fmt: skip


def _no_temperature(request: Request, reading: Temperature) -> bool:
    """True for a small bare number of food that is not frozen: cases, or the time of day."""
    bare = request.slots.measure("temperature") is None and reading.unit == "F"
    return bare and 0 <= reading.value < LEAST_BARE and not request.slots.has("as_frozen")


def _verdict_key(kind: Delivery, judged: Judgement) -> str:
    if kind is Delivery.HOT:
        return "pass_hot" if judged.passed else "reject_hot"
    if not judged.passed:
        return "reject"
    if kind is Delivery.SHELLFISH:
        return "shellfish"
    return "cool" if judged.reason == "cool_down" else "pass"


@answers("receive_signs")
def receive_signs(request: Request) -> Answer:
    """Say what a sign of abuse means for a delivery."""
    food = food_of(request)
    shellfish = food is not None and food.species in ("mollusc", "crustacean")
    seen = (row for row in _SIGNS if request.slots.has(f"{SIGN}{row[0]}"))
    reply, code = next(seen, ("fresh", "bad_smell"))
    if reply == "dead" and food is not None and food.known and not shellfish:
        reply = "fresh"
    broken = {*request.slots.words} & load_lexicon(request.slots.language).list("pack_broken")
    if reply == "fresh" and broken:
        reply, code = "refused", "damaged_pack"  # "the beef boxes are open"
    if reply == "cracked" and shellfish:
        reply, code = "dead", "dead_shellfish"
    tags = (TAGS,) if shellfish else ()
    return told(request, reply, *receiving.judge_signs({code}).citations, *tags)


@answers("shellfish_tags")
def tags(request: Request) -> Answer:
    """Say how long tags are kept."""
    last = day_said(request.slots, request.now) or request.now.date()
    until = shown_date(tag_keep_until(last, request.profile))
    limits = {"days": "shellfish_tag_days"}
    return told(request, "tags", TAGS, SOURCE, limits=limits, day=shown_date(last), until=until)
