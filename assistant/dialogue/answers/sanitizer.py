"""Answers about sanitizer solutions: water, strength, what may never be mixed, how long, when to change."""

from __future__ import annotations

from assistant.dialogue.answer import Answer, Request, answers, degrees, plain
from assistant.dialogue.answers.advice import (
    allowed,
    always,
    figure,
    only_kind,
    product_for,
    strength_text,
    strengths_here,
    told,
)
from assistant.dialogue.moments import hours_of
from assistant.rules.basis import Citation, Limit
from assistant.rules.buckets import judge_bucket_age, judge_bucket_change
from assistant.rules.contact import contact_time
from assistant.rules.product import SanitizerKind
from assistant.rules.referrals import referral
from assistant.rules.sanitizer_water import judge_mixing_water
from assistant.rules.setups import setup_steps

LABEL = Citation("product label", "directions for use", flag="SITE")
CODE_USE = Citation("FDA Food Code 2022", "4-501.114", "fda_2022", "READ", "used by the label")
BLEACH_LEAFLETS = Citation("county health district FAQ and state handout", "bleach", flag="READ")
REMADE = judge_bucket_change("add_concentrate").citations
MIXED_GAS = referral("chemical_gas").citation
DRYING = Citation("FDA Food Code 2022", "4-901.11", "fda_2022", "READ")
CLOTHS = Citation("FDA Food Code 2022", "3-304.14", "fda_2022", "READ", "cloths live in clean sanitizer")
LAUNDERED = Citation("FDA Food Code 2022", "4-802.11", "fda_2022", "READ")
FREEZING = 32
"""Degrees F: a number below is none of water that sanitizer is mixed into."""
SPONGES = Citation("FDA Food Code 2022", "4-101.16", "fda_2022", "MEMORY")
SHARING = Citation("California Retail Food Code", "114185.1", "california", "READ", "elsewhere practice")


def _strength(intent: str, *sources: Citation, caution: str = "") -> None:
    """Register advice that names the strength of the sanitizer meant, or of all that the kitchen has."""

    @answers(intent)
    def answer(request: Request) -> Answer:
        span, strengths = strengths_here(request)
        return told(request, "answer", *sources, *strengths, caution=caution, range=span)


_strength("measure_it", CODE_USE, caution="mixing")
_strength("top_up", *REMADE, caution="mixing")
_strength("solution_wrong", *REMADE)


@answers("mix_water")
def water(request: Request) -> Answer:
    """Say how warm the water of a sanitizer has to be."""
    kind, reading = only_kind(request), request.slots.temperature(request.site.kitchen.units)
    limits = {"coldest": "chlorine_100_water_min"}
    if kind == "chlorine" and reading is not None and reading.in_unit("F") > FREEZING:
        judged = judge_mixing_water(reading, request.profile)
        reply = {"water_too_hot": "too_hot", "water_too_cold": "too_cold"}.get(judged.reason, "fine")
        limits |= {"mild": "chlorine_50_water_min", "hottest": "chlorine_mix_water_max"}
        value = degrees(reading.value, reading.unit)
        return told(request, reply, *judged.citations, caution="mixing", limits=limits, value=value)
    if kind == "chlorine":
        limits["mild"] = "chlorine_50_water_min"
    elif kind is None:
        limits["quat_min"] = "quat_water_min"
    else:
        limits["water_min"] = f"{kind}_water_min"
    answer = told(request, kind or "any", BLEACH_LEAFLETS, caution="mixing", limits=limits)
    return _with_label_water(answer, kind, request)


def _with_label_water(answer: Answer, kind: SanitizerKind | None, request: Request) -> Answer:
    product = product_for(kind, request) if kind else None
    if product is None or product.water_min is None or kind == "chlorine":
        return answer
    limit = Limit("label_water_min", product.water_min.value, product.water_min.unit, product.citation)
    values = {**answer.values, "water_min": figure(limit, request)}
    return Answer(answer.reply, values, (product.citation, *answer.sources), caution=answer.caution)


@answers("solution_ph")
def ph(request: Request) -> Answer:
    """Say what pH and hardness do to the sanitizer named."""
    limits = {
        "mild": "chlorine_mild_ph_max",
        "top": "chlorine_ph_max",
        "iodine": "iodine_ph_max",
        "hardness": "quat_hardness_max",
    }
    return told(request, only_kind(request) or "chlorine", limits=limits)


@answers("contact_time")
def contact(request: Request) -> Answer:
    """Say how long a surface stays wet."""
    hot = {"hot": "hot_water_contact_min", "hot_temp": "manual_hot_water_min"}
    kind = only_kind(request)
    if kind is not None:
        limit = contact_time(kind, request.profile, product_for(kind, request))
        values = {"seconds": figure(limit, request), "kind": kind}
        return told(request, "answer", limit.citation, limits=hot, values=values)
    quat, chlorine = (contact_time(k, request.profile, product_for(k, request)) for k in ("quat", "chlorine"))
    values = {"quat": figure(quat, request), "chlorine": figure(chlorine, request)}
    return told(request, "both", quat.citation, chlorine.citation, limits=hot, values=values)


@answers("bucket_change")
def change(request: Request) -> Answer:
    """Say when a bucket has to be made fresh; one as old as was said may be too old."""
    said = request.slots.measure("duration")
    judged = judge_bucket_age(hours_of(said) if said else None, request.profile)
    limits = {"hours": "solution_age_hours_max"}
    return told(request, "old" if judged.reason == "too_old" else "answer", *REMADE, limits=limits)


@answers("spray_bottle")
def spray(request: Request) -> Answer:
    """Say how a spray bottle may be used; some codes ask twice the strength for fixed equipment."""
    factor = request.profile.limit("swab_strength_factor")
    reply = "swab" if factor.value > 1 else "answer"
    return told(
        request, reply, Citation("FDA Food Code 2022", "7-102.11", "fda_2022", "MEMORY"), factor.citation
    )


@answers("dispenser")
def dispenser(request: Request) -> Answer:
    """Say what to do with a dispenser that tests wrong, and how often to look."""
    kind = only_kind(request) or "quat"
    span = allowed(kind, request)
    values = {"range": strength_text(span), "value": ""}
    number = request.slots.number("ppm") or request.slots.number("number")
    if number is not None:
        low, high = span.low is not None and number < span.low, number > span.high
        reply = "number_low" if low else "number_high" if high else "number_ok"
        return told(request, reply, *span.citations, values={**values, "value": f"{plain(number)} ppm"})
    return told(request, "answer", *span.citations, values=values)


@answers("produce_wash")
def produce(request: Request) -> Answer:
    """Keep surface sanitizer off food."""
    food = request.slots.food()
    meat = food is not None and food.raw_animal
    source = Citation("FDA Food Code 2022", "3-302.15; 7-204.12", "fda_2022", "MEMORY")
    return told(request, "meat" if meat else "answer", source)


always("soap_in_sanitizer", LABEL, *judge_bucket_change("add_soap").citations)
always("never_mix", MIXED_GAS, *judge_bucket_change("add_bleach_to_quat").citations)
always(
    "chemical_splash",
    *(referral(f"chemical_{where}").citation for where in ("in_eyes", "on_skin", "swallowed")),
)
always("fumes", MIXED_GAS, *(step.citation for step in setup_steps("gas_released")))
always("bleach_age", BLEACH_LEAFLETS)
always("separate_buckets", CLOTHS, SHARING)
always("cloths", CLOTHS, LAUNDERED, SPONGES)
always("disinfectant", referral("vomit_or_diarrhea_clean_up").citation, BLEACH_LEAFLETS)
always("bleach_kind", BLEACH_LEAFLETS, CODE_USE)
always("switch_sanitizer", MIXED_GAS, CODE_USE)
always("rinse_after", CODE_USE, top="chlorine_no_rinse_max")
always("air_dry", DRYING)
always("bucket_setup", *(step.citation for step in setup_steps("bucket")), caution="mixing")
always("bucket_from_sink", *(step.citation for step in setup_steps("bucket_from_sink")))
always("bucket_place", CLOTHS, Citation("FDA Food Code 2022", "7-201.11", "fda_2022", "MEMORY"))
always("unlabelled", referral("label_missing").citation)
always("mix_protection", LABEL, BLEACH_LEAFLETS, caution="mixing")
