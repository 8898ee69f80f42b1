"""Answers about deliveries: temperatures at the door, signs that refuse them, shellfish tags."""

from __future__ import annotations

from dataclasses import replace

from assistant.dialogue.answer import Answer, Request, Value, answers, degrees, limit_text
from assistant.dialogue.answers.food_words import assumed, food_of, reading_of, said
from assistant.dialogue.record import limits_of, rule_text
from assistant.logbook.entry import Draft
from assistant.rules import receiving
from assistant.rules.basis import Citation, Judgement, Limit, Temperature
from assistant.rules.receiving import Delivery
from assistant.rules.shellfish import SOURCE, TAGS
from intents.readings import LEAST_BARE

_LIMITS = {
    Delivery.COLD: "receive_cold_max",
    Delivery.MILK: "receive_milk_max",
    Delivery.EGG_AIR: "receive_egg_air_max",
    Delivery.SHELLFISH: "receive_shellfish_internal_max",
    Delivery.SHELLFISH_AIR: "receive_shellfish_air_max",
    Delivery.HOT: "receive_hot_min",
}
_SIGNS = (
    ("sign_no_tag", "no_tag", "no_tag"),
    ("sign_bulge", "bulge", "bulging_can"),
    ("sign_dent", "dent", "dented_seam"),
    ("sign_rust", "rust", "damaged_pack"),
    ("sign_dead", "dead", "dead_shellfish"),
    ("sign_cracked", "cracked", "broken_shells"),
    ("sign_pests", "pests", "pests"),
    ("sign_smell", "smell", "bad_smell"),
    ("sign_date", "date", "past_date"),
    ("sign_ice", "thawed", "ice_crystals_inside"),
    ("sign_thawed", "thawed", "thawed_and_refrozen"),
    ("sign_label", "label", "no_label"),
    ("sign_torn", "torn", "damaged_pack"),
)
_APPROVED = Citation("FDA Food Code 2022", "3-201.11", flag="MEMORY", note="approved sources")


def _hot(request: Request) -> bool:
    return (
        request.slots.has("hot_word", "hot_holding")
        or {"hot", "catering"} & set(request.slots.words) != set()
    )


def _kind(request: Request) -> Delivery:
    food = food_of(request)
    if _hot(request):
        return Delivery.HOT
    if food is not None and food.species == "mollusc" and "air" in request.slots.words:
        return Delivery.SHELLFISH_AIR
    return receiving.delivery_kind(food) if food is not None else Delivery.COLD


def _warm_and_cold(request: Request) -> Delivery | None:
    """Return how cold food has to come that was said to come warm ("can I take eggs that are warm")."""
    food = food_of(request)
    warm = request.slots.has("hot_word") and "warm" in request.slots.words
    if not warm or food is None or not (food.tcs and (food.raw_animal or "egg" in food.allergens)):
        return None
    kind = receiving.delivery_kind(food)
    return None if request.slots.has("how", "how_hot", "how_cold") else kind


def _values(request: Request, kind: Delivery) -> tuple[dict[str, Value], tuple[Limit, ...]]:
    profile = request.profile
    limit, cold = profile.limit(_LIMITS[kind]), profile.limit("cold_holding_max")
    hours = profile.limit("receive_cool_hours_max")
    values: dict[str, Value] = {
        "limit": limit_text(limit),
        "cold": limit_text(cold),
        "hours": str(hours.value),
        "air": limit_text(profile.limit("receive_shellfish_air_max")),
        "cold_limit": limit_text(profile.limit("receive_cold_max")),
        "hot_limit": limit_text(profile.limit("receive_hot_min")),
        "egg_limit": limit_text(profile.limit("receive_egg_air_max")),
    }
    return values, (limit, cold, hours)


@answers("receive_temp")
def receive_temp(request: Request) -> Answer:
    """Say how cold or hot a delivery has to be."""
    kind = _kind(request)
    warm_cold = _warm_and_cold(request)
    kind = warm_cold or kind
    values, limits = _values(request, kind)
    sources = tuple(limit.citation for limit in limits)
    if warm_cold is not None:
        return Answer("warm_eggs" if kind is Delivery.EGG_AIR else "warm", values, sources)
    caution = assumed(limits[:1])
    if request.slots.has("frozen_word"):
        judged = receiving.judge_frozen_delivery(frozen_solid=True)
        return Answer("frozen", values, judged.citations)
    if not request.slots.foods and kind is Delivery.COLD:
        return Answer("general", values, sources, caution=caution)
    warm = kind in (Delivery.COLD, Delivery.MILK) and limits[0].value > limits[1].value
    key = {Delivery.HOT: "hot", Delivery.EGG_AIR: "eggs", Delivery.SHELLFISH: "shellfish"}.get(
        kind, "cool_down" if warm else "cold"
    )
    return Answer(key, values, sources, caution=caution)


@answers("receive_check")
def receive_check(request: Request) -> Answer:
    """Judge a delivery by its temperature; a report is logged, a question is not."""
    reading = reading_of(request)
    if reading is None or _no_temperature(request, reading):
        return replace(receive_temp(request), intent="receive_temp")
    kind = _kind(request)
    values, limits = _values(request, kind)
    values["reading"] = degrees(reading.value, reading.unit)
    if request.slots.has("frozen_word"):
        judged = receiving.judge_frozen_delivery(frozen_solid=True)
        return Answer("frozen", values, judged.citations)
    judged = receiving.judge_delivery(kind, reading, request.profile)
    key = _verdict_key(kind, judged)
    drafts = () if _asked(request) or not request.slots.foods else (_draft(request, reading, judged),)
    return Answer(key, values, judged.citations, judged.verdict, drafts, caution=assumed(limits[:1]))


def _no_temperature(request: Request, reading: Temperature) -> bool:
    """True for a small bare number of food that is not frozen: cases, or the time of day."""
    bare = request.slots.measure("temperature") is None and reading.unit == "F"
    return bare and 0 <= reading.value < LEAST_BARE and not request.slots.has("frozen_word")


def _verdict_key(kind: Delivery, judged: Judgement) -> str:
    if kind is Delivery.HOT:
        return "pass_hot" if judged.passed else "reject_hot"
    if not judged.passed:
        return "reject"
    if kind is Delivery.SHELLFISH:
        return "shellfish"
    return "cool" if judged.reason == "cool_down" else "pass"


def _asked(request: Request) -> bool:
    """True for "do I take it": nothing is logged for a question."""
    return request.slots.has(
        "can", "should", "do", "do_now", "reject_word", "what", "how", "okay_word", "is_it"
    )


def _draft(request: Request, reading: Temperature, judged: Judgement) -> Draft:
    return Draft(
        kind="reading",
        subject=said(request),
        item=said(request),
        measured="delivery",
        value=f"{reading.value.normalize():f}",
        unit=reading.unit,
        verdict=judged.verdict.value,
        limits=limits_of(judged.limits),
        rule=rule_text(judged.citations),
        profile=request.site.kitchen.profile,
    )


@answers("receive_signs")
def receive_signs(request: Request) -> Answer:
    """Say what a sign of abuse means for a delivery."""
    slots = request.slots
    cold = request.profile.limit("cold_holding_max")
    if slots.has("key_drop"):
        return Answer("dock", {"cold": limit_text(cold)}, (receiving.RECEIVING, cold.citation))
    if slots.has("approved_source"):
        return Answer("source", sources=(_APPROVED,))
    if slots.has("sign_ice_on") and not slots.has("sign_ice"):
        judged = receiving.judge_signs({"ice_crystals_inside"})
        return Answer("ice_on", {"cold": limit_text(cold)}, (*judged.citations, cold.citation))
    if slots.has("know_right"):
        judged = receiving.judge_signs({"bad_smell"})
        return Answer("fresh", {"cold": limit_text(cold)}, (*judged.citations, cold.citation))
    concept, key, code = next(
        (row for row in _SIGNS if slots.has(row[0])), ("sign_torn", "torn", "damaged_pack")
    )
    food = food_of(request)
    if concept == "sign_dead" and food is not None and food.species not in ("mollusc", "crustacean"):
        key, code = "torn", "damaged_pack"
    if concept == "sign_cracked" and food is not None and food.species in ("mollusc", "crustacean"):
        key, code = "dead", "dead_shellfish"
    judged = receiving.judge_signs({code})
    if key == "dead" and food is not None and food.species == "crustacean":
        key = "dead_crustacean"
    if concept == "sign_dead" and {"cooking", "cooked", "steaming", "stayed", "serve", "opened"} & set(
        slots.words
    ):
        key = "not_open"
    return Answer(key, sources=(*judged.citations, *((TAGS,) if key == "no_tag" else ())))


@answers("shellfish_tags")
def tags(request: Request) -> Answer:
    """Say how long tags are kept."""
    days = request.profile.limit("shellfish_tag_days")
    aged = request.slots.has("older_than", "past_its_date") and request.slots.measure("duration") is not None
    return Answer(
        "old" if aged else "tags",
        {"days": str(days.value)},
        (TAGS, days.citation, SOURCE),
        caution=assumed([days]),
    )
