"""Answers about deliveries: temperatures at the door, signs that refuse them, shellfish tags."""

from __future__ import annotations

from assistant.dialogue.answer import Answer, Request, Value, answers, degrees, limit_text
from assistant.dialogue.answers.food_words import assumed, food_of, reading_of, said
from assistant.dialogue.moments import day_said, shown_date
from assistant.dialogue.record import limits_of, rule_text
from assistant.logbook.entry import Draft
from assistant.rules import receiving
from assistant.rules.basis import Judgement, Limit, Temperature
from assistant.rules.receiving import Delivery
from assistant.rules.shellfish import SOURCE, TAGS, tag_keep_until
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
    ("sign_pests", "pests", "pests"),
    ("sign_dead", "dead", "dead_shellfish"),
    ("sign_cracked", "cracked", "broken_shells"),
    ("sign_smell", "smell", "bad_smell"),
    ("sign_date", "date", "past_date"),
    ("sign_thawed", "thawed", "thawed_and_refrozen"),
    ("sign_label", "label", "no_label"),
    ("sign_dent", "dent", "dented_seam"),
    ("sign_torn", "torn", "damaged_pack"),
)
"""Signs of abuse, the worst first: their concepts, replies, and codes in the rules."""


def _kind(request: Request) -> Delivery:
    """Return how the food has to come; said to be hot, cold food still has to come cold."""
    food = food_of(request)
    kind = receiving.delivery_kind(food) if food is not None else Delivery.COLD
    if kind is Delivery.SHELLFISH and request.slots.has("measured_air"):
        return Delivery.SHELLFISH_AIR
    raw = food is not None and (food.raw_animal or kind is not Delivery.COLD)
    return Delivery.HOT if request.slots.has("as_hot") and not raw else kind


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
    values, limits = _values(request, kind)
    sources = tuple(limit.citation for limit in limits)
    caution = assumed(limits[:1])
    if request.slots.has("as_frozen"):
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
        return Answer("ask_temp", _values(request, _kind(request))[0], ask="temperature|number")
    kind = _kind(request)
    values, limits = _values(request, kind)
    values["reading"] = degrees(reading.value, reading.unit)
    if request.slots.has("as_frozen"):
        judged = receiving.judge_frozen_delivery(frozen_solid=True)
        return Answer("frozen", values, judged.citations)
    judged = receiving.judge_delivery(kind, reading, request.profile)
    key = _verdict_key(kind, judged)
    drafts = (
        () if request.slots.asked_by_form or not request.slots.foods else (_draft(request, reading, judged),)
    )
    return Answer(key, values, judged.citations, judged.verdict, drafts, caution=assumed(limits[:1]))


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
    cold, food = request.profile.limit("cold_holding_max"), food_of(request)
    shellfish = food is not None and food.species in ("mollusc", "crustacean")
    values = {"cold": limit_text(cold)}
    found = [row for row in _SIGNS if request.slots.has(row[0])]
    if not found:
        judged = receiving.judge_signs({"bad_smell"})
        return Answer("fresh", values, (*judged.citations, cold.citation))
    concept, key, code = found[0]
    if concept == "sign_cracked" and shellfish:
        key, code = "dead", "dead_shellfish"
    judged = receiving.judge_signs({code})
    sources = (*judged.citations, *((TAGS,) if key == "no_tag" else ()), cold.citation)
    return Answer(key, values, sources)


@answers("shellfish_tags")
def tags(request: Request) -> Answer:
    """Say how long tags are kept."""
    days = request.profile.limit("shellfish_tag_days")
    last = day_said(request.slots, request.now) or request.now.date()
    values = {
        "days": str(days.value),
        "day": shown_date(last),
        "until": shown_date(tag_keep_until(last, request.profile)),
    }
    return Answer("tags", values, (TAGS, days.citation, SOURCE), caution=assumed([days]))
