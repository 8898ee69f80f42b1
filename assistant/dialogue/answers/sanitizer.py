"""Answers about sanitizer solutions: water, strength, what may never be mixed, how long, when to change."""

from __future__ import annotations

from decimal import Decimal

from assistant.dialogue.answer import Answer, Request, answers, plain
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
from assistant.dialogue.statements import asks
from assistant.rules.basis import Citation, Limit
from assistant.rules.buckets import judge_bucket_change
from assistant.rules.contact import contact_time
from assistant.rules.product import SanitizerKind
from assistant.rules.referrals import referral
from assistant.rules.setups import setup_steps

LABEL = Citation("product label", "directions for use", flag="SITE")
CODE_USE = Citation("FDA Food Code 2022", "4-501.114", "fda_2022", "READ", "used by the label")
BLEACH_LEAFLETS = Citation("county health district FAQ and state handout", "bleach", flag="READ")
REMADE = judge_bucket_change("add_concentrate").citations
MIXED_GAS = referral("chemical_gas").citation
DRYING = Citation("FDA Food Code 2022", "4-901.11", "fda_2022", "READ")
DONE = frozenset(
    "somebody someone accidentally accident guy mistake oops poured dumped added mixed spilled splashed "
    "dripped fell".split()
)
ASKED = ("can", "could", "should", "what", "is", "do", "does", "may", "will", "would", "if", "i'll", "ill")


@answers("measure_it")
def measure(request: Request) -> Answer:
    """Refuse a splash: measure, cool water, test."""
    span, sources = strengths_here(request)
    reply = "hot" if request.slots.has("hot_water_word") else "answer"
    return told(request, reply, CODE_USE, *sources, caution="mixing", range=span)


@answers("mix_water")
def water(request: Request) -> Answer:
    """Say how warm the water of a sanitizer has to be."""
    kind = only_kind(request)
    limits = {"coldest": "chlorine_100_water_min"}
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


@answers("top_up")
def top_up(request: Request) -> Answer:
    """Refuse topping up and thinning: only a fresh bucket is sure."""
    span, sources = strengths_here(request)
    reply = "stronger" if request.slots.has("much_stronger") else "answer"
    return told(request, reply, *REMADE, *sources, caution="mixing", range=span)


@answers("solution_wrong")
def wrong(request: Request) -> Answer:
    """Say what to do with a solution that tests weak or strong, no number said."""
    span, sources = strengths_here(request)
    both = request.slots.has("weak_word") == request.slots.has("strong_word")
    reply = "answer" if both else "weak" if request.slots.has("weak_word") else "strong"
    return told(request, reply, *REMADE, *sources, range=span)


@answers("soap_in_sanitizer")
def soap(request: Request) -> Answer:
    """Keep soap out of sanitizer."""
    reply = "chlorine" if request.slots.has("chlorine_word") else "answer"
    return told(request, reply, LABEL, *judge_bucket_change("add_soap").citations)


@answers("never_mix")
def never_mix(request: Request) -> Answer:
    """Refuse to mix chemicals; what is mixed already is left alone."""
    words = request.slots.words
    asked = bool(words) and words[0] in ASKED
    done = not asked and bool(DONE & set(words))
    if done:
        return told(request, "done", MIXED_GAS)
    chlorine = request.slots.has("chlorine_word")
    if chlorine and request.slots.has("quat_word"):
        return told(request, "quat", MIXED_GAS, *judge_bucket_change("add_bleach_to_quat").citations)
    return told(request, "answer" if chlorine else "plain", MIXED_GAS)


@answers("chemical_splash")
def splash(request: Request) -> Answer:
    """First aid for a chemical on a person."""
    for concept, reply, subject in (
        ("swallowed", "swallowed", "chemical_swallowed"),
        ("in_eyes", "eyes", "chemical_in_eyes"),
    ):
        if request.slots.has(concept):
            return told(request, reply, referral(subject).citation)
    return told(request, "skin", referral("chemical_on_skin").citation)


@answers("bleach_age")
def age(request: Request) -> Answer:
    """Say what an old jug is worth."""
    other = request.slots.has("quat_word", "iodine_word") and not request.slots.has("chlorine_word")
    return told(request, "other" if other else "answer", BLEACH_LEAFLETS)


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
    """Say when a bucket has to be made fresh."""
    hours = {"hours": "solution_age_hours_max"}
    slots = request.slots
    words = set(slots.words)
    overnight = words & {"yesterday", "overnight", "night", "tomorrow"} or "day old" in " ".join(slots.words)
    reply = (
        "dirty"
        if slots.has("soiled_water") or (slots.foods and slots.has("spilled", "drip"))
        else "old"
        if overnight or _longer_than(request, request.profile.value("solution_age_hours_max"))
        else "same"
        if slots.has("old_bucket") or slots.measure("duration")
        else "often"
    )
    return told(request, reply, *REMADE, limits=hours)


def _longer_than(request: Request, hours: Decimal) -> bool:
    per_unit: dict[str, Decimal] = {
        "day": Decimal(24),
        "week": Decimal(168),
        "hour": Decimal(1),
        "minute": Decimal(1) / 60,
        "second": Decimal(0),
    }
    said = request.slots.measure("duration")
    return said is not None and said.value * per_unit[said.unit] >= hours


@answers("separate_buckets")
def separate(request: Request) -> Answer:
    """Keep buckets and cloths of raw meat apart."""
    sharing = Citation("California Retail Food Code", "114185.1", "california", "READ", "elsewhere practice")
    slots = request.slots
    reply = "cloth" if slots.has("cloth_word") and not slots.has("bucket_word") else "answer"
    if reply == "cloth" and slots.words[0] == "wiped" and slots.heard is not None and not asks(slots.heard):
        reply = "cloth_done"
    return told(request, reply, CLOTHS, sharing)


CLOTHS = Citation("FDA Food Code 2022", "3-304.14", "fda_2022", "READ", "cloths live in clean sanitizer")


@answers("cloths")
def cloths(request: Request) -> Answer:
    """Say where wiping cloths are kept and when they are laundered."""
    slots = request.slots
    if slots.has("sponge_word"):
        return told(request, "sponge", Citation("FDA Food Code 2022", "4-101.16", "fda_2022", "MEMORY"))
    if slots.has("dropped_word") and not slots.has("shoulder_word"):
        return told(request, "dropped", CLOTHS)
    if slots.has("laundry", "how_often"):
        return told(request, "laundry", Citation("FDA Food Code 2022", "4-802.11", "fda_2022", "READ"))
    return told(request, "dry" if "dry" in slots.words else "answer", CLOTHS)


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
    if "empty" in request.slots.words or "ran out" in " ".join(request.slots.words):
        return told(request, "empty", *span.citations, values=values)
    wrong_now = request.slots.has("trouble_word") and not request.slots.has("how_often")
    return told(request, "wrong" if wrong_now else "check", *span.citations, values=values)


@answers("disinfectant")
def disinfectant(request: Request) -> Answer:
    """Tell sanitizing from disinfecting."""
    vomit = referral("vomit_or_diarrhea_clean_up").citation
    surface = request.slots.has("surface_word") or "disinfect" in request.slots.words
    return told(request, "surface" if surface else "answer", vomit, BLEACH_LEAFLETS)


@answers("produce_wash")
def produce(request: Request) -> Answer:
    """Keep surface sanitizer off food."""
    food = request.slots.food()
    meat = food is not None and food.raw_animal
    source = Citation("FDA Food Code 2022", "3-302.15; 7-204.12", "fda_2022", "MEMORY")
    reply = "meat" if meat else "answer"
    if not request.slots.has("sanitizer_word", "chlorine_word", "quat_word"):
        reply = "meat_plain" if meat else "plain"
    return told(request, reply, source)


@answers("fumes")
def fumes(request: Request) -> Answer | None:
    """Say to get out; a guest who cannot breathe after eating, or food that smells, is another matter."""
    slots = request.slots
    chemical = slots.has("chlorine_word", "quat_word", "sanitizer_noun", "bucket_word", "two_chemicals")
    if slots.foods and not chemical:
        return None
    sources = (MIXED_GAS, *(step.citation for step in setup_steps("gas_released")))
    both = slots.has("other_chemical") and slots.has("chlorine_word", "quat_word")
    mixed = both or slots.has("two_chemicals", "combine")
    if (
        {"foaming", "foamy"} & set(slots.words)
        and not mixed
        and not slots.has("fumes_strong", "chlorine_word")
    ):
        return told(request, "foam", CODE_USE)
    return told(request, "eyes" if slots.has("eyes_burn") and not mixed else "answer", *sources)


always("bleach_kind", BLEACH_LEAFLETS, CODE_USE)
always("switch_sanitizer", MIXED_GAS, CODE_USE)
always("rinse_after", CODE_USE, top="chlorine_no_rinse_max")
always("air_dry", DRYING)
always("bucket_setup", *(step.citation for step in setup_steps("bucket")), caution="mixing")
always("bucket_from_sink", *(step.citation for step in setup_steps("bucket_from_sink")))
always("bucket_place", CLOTHS, Citation("FDA Food Code 2022", "7-201.11", "fda_2022", "MEMORY"))
always("unlabelled", referral("label_missing").citation)
always("mix_protection", LABEL, BLEACH_LEAFLETS, caution="mixing")
