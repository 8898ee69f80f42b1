"""What advice shares: a reply with the figures in force and their sources, standing-in figures named."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import replace
from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal
from typing import get_args

from assistant.dialogue.answer import Answer, Request, Value, answers, degrees, limit_text, plain, range_text
from assistant.dialogue.answers.food_words import hold_text, instant_text, step_text
from assistant.dialogue.judge import rule_product
from assistant.logbook.entry import Draft
from assistant.rules.basis import Citation, Judgement, Limit, Range, Temperature, Verdict
from assistant.rules.cooking import CookStep, CookTarget, group_target
from assistant.rules.product import Product, SanitizerKind
from assistant.rules.roasts import has_roast_table
from assistant.rules.sanitizer import StrengthRange, strength_range
from assistant.site import Product as Label
from intents.catalogue import load_catalogue
from intents.language import languages

KINDS: tuple[SanitizerKind, ...] = get_args(SanitizerKind)
KIND_WORDS: dict[str, SanitizerKind] = {
    "chlorine_word": "chlorine",
    "chlorine_strip": "chlorine",
    "quat_word": "quat",
    "quat_strip": "quat",
    "iodine_word": "iodine",
}
FIGURES = {
    "cold": "cold_holding_max",
    "hot": "hot_holding_min",
    "reheat": "reheat_house_min",
    "house": "reheat_house_min",
    "commercial": "reheat_commercial_min",
    "microwave": "microwave_cook_min",
    "stand": "microwave_stand_min",
    "plant": "cook_plant_min",
    "stuffed": "cook_stuffed_min",
    "start": "cooling_start",
    "middle": "cooling_stage_one",
    "end": "cooling_end",
    "one": "cooling_stage_one_hours_max",
    "total": "cooling_total_hours_max",
}
"""What placeholders of replies mean everywhere, unless the answer says otherwise."""
COOKED = {
    "intact": "meat",
    "ground": "ground",
    "poultry": "poultry",
    "wild": "wild_game",
    "fish": "fish",
    "to_order": "eggs_to_order",
    "held": "eggs_held",
    "roast": "roast",
}
"""The placeholders that say how far a group of foods is cooked ("155°F for 17 seconds")."""
_PLACEHOLDER = re.compile(r"{(\w+)}")
NUMBERS = ("hours", "days", "percent", "times", "pH", "mg/L")
"""Units that the wording of a reply names itself."""


def asked_as(rule: Callable[[Request], Answer], request: Request, intent: str) -> Answer:
    """Return what the answer of another intent says, in that intent's words."""
    return replace(rule(replace(request, intent=intent)), intent=intent)


def told(
    request: Request,
    reply: str = "answer",
    *sources: Citation,
    caution: str = "",
    limits: Mapping[str, str] | None = None,
    values: Mapping[str, Value] | None = None,
    verdict: Verdict | None = None,
    drafts: tuple[Draft, ...] = (),
    ask: str = "",
    **more: Value,
) -> Answer:
    """Return an answer with the figures that its reply names, cited after ``sources``.

    ``limits`` maps placeholders to keys of the profile's figures where ``FIGURES`` says another or none;
    the rest are values. A figure that stands in for a text not read is said to be one, unless another
    caution ends the answer.
    """
    given = {**(values or {}), **more}
    keys = {name: key for name, key in {**COOKED, **FIGURES, **(limits or {})}.items() if name not in given}
    here, beside = (_named(request.intent, texts, keys) for texts in ((reply,), ("why", "more")))
    found = {name: _figure(keys[name], request) for name in (*here, *beside)}
    cited = dict.fromkeys((*sources, *(each.citation for each in found.values())))
    caution = caution or ("assumed" if any(found[name].assumed for name in here) else "")
    shown: dict[str, Value] = {name: _shown(name, each, request) for name, each in found.items()}
    return Answer(reply, {**shown, **given}, tuple(cited), verdict, drafts, ask, caution=caution)


def _figure(key: str, request: Request) -> Limit | CookStep:
    return cooked_to(key, request).main if key in COOKED.values() else request.profile.limit(key)


def cooked_to(group: str, request: Request) -> CookTarget:
    """Return how far a group of foods is cooked here; a roast as meat where its table is not in force."""
    if group == "roast" and not has_roast_table(request.profile):
        group = "meat"
    return group_target(group, request.profile)


def cooked_text(group: str, request: Request) -> str:
    """Return how far a group of foods is cooked ("155°F for 17 seconds")."""
    target = cooked_to(group, request)
    return step_text(target.main) + (instant_text(target) if group == "ground" else "")


def _named(intent: str, replies: tuple[str, ...], keys: Mapping[str, str]) -> tuple[str, ...]:
    """Return the figures that ``replies`` name in any language; all of them for a reply of another intent."""
    packs = [load_catalogue(code)[intent].replies for code in languages()]
    if replies[0] not in load_catalogue()[intent].replies and replies[0] not in ("why", "more"):
        return tuple(keys)
    named = (name for texts in packs for key in replies for name in _PLACEHOLDER.findall(texts.get(key, "")))
    return tuple(name for name in dict.fromkeys(named) if name in keys)


def _shown(name: str, limit: Limit | CookStep, request: Request) -> str:
    """Return a figure as its placeholder asks for it: ``hours``, ``days`` and ``hold`` say the unit."""
    if isinstance(limit, CookStep):
        return cooked_text(COOKED[name], request)
    if name in ("hold", "stand") and limit.unit in ("s", "seconds"):
        return hold_text(limit.value)
    if limit.unit == "in":
        return f"{plain(limit.value)} inches"
    in_one = {("hours", "min"): 60, ("days", "h"): 24}.get((name, limit.unit))
    return plain(limit.value / in_one) if in_one else figure(limit, request)


def figure(limit: Limit, request: Request) -> str:
    """Return a figure as said; a Celsius kitchen hears a Fahrenheit figure in Celsius, rounded to be safe."""
    if limit.unit in NUMBERS or limit.unit == "h":
        return plain(limit.value)
    if limit.unit == "F" and request.site.kitchen.units == "C":
        exact = Temperature(limit.value, "F").in_unit("C")
        if limit.key.endswith("_tolerance"):
            exact = Temperature(limit.value + 32, "F").in_unit("C")
        up = ROUND_CEILING if limit.key.endswith("_min") else ROUND_FLOOR
        whole = (Decimal(exact.numerator) / Decimal(exact.denominator)).quantize(Decimal(1), up)
        return f"{plain(whole)}°C"
    return limit_text(limit)


def always(intent: str, *sources: Citation, reply: str = "answer", caution: str = "", **limits: str) -> None:
    """Register advice that is the same for everyone but for the figures in force."""

    @answers(intent)
    def answer(request: Request) -> Answer:
        return told(request, reply, *sources, caution=caution, limits=limits)


def chemicals_named(request: Request) -> set[SanitizerKind]:
    """Return the sanitizers that the words name."""
    return {kind for word, kind in KIND_WORDS.items() if request.slots.has(word)}


def only_kind(request: Request) -> SanitizerKind | None:
    """Return the sanitizer named, or the only one of the places meant, else of the kitchen."""
    words = chemicals_named(request)
    here = {product.kind for product in request.site.products}
    meant = {product.kind for product in _meant(request)} if not words and len(here) > 1 else set()
    kinds = words or meant or here
    if len(meant) == 1:
        request.slots.usage.chemical = next(iter(meant))
    return kinds.pop() if len(kinds) == 1 else None


def product_for(kind: SanitizerKind, request: Request) -> Product | None:
    """Return the product of that kind as the rules know it: of the places meant, else the only one here."""
    meant = {product.id: product for product in _meant(request) if product.kind == kind}
    if len(meant) != 1:
        return rule_product(request.site.product_of_kind(kind))
    if request.site.product_of_kind(kind) is None:
        request.slots.usage.chemical = kind  # which of several was decided by the place, too
    return rule_product(next(iter(meant.values())))


def _meant(request: Request) -> list[Label]:
    """Return the products of the places that a request is about."""
    found = (request.site.product_of(place) for place in request.about)
    return [product for product in found if product is not None]


def allowed(kind: SanitizerKind, request: Request) -> StrengthRange:
    """Return the strength in force for a sanitizer here: label and code."""
    return strength_range(kind, request.profile, product_for(kind, request))


def strength_text(span: StrengthRange) -> str:
    """Return a strength as said ("200-400 ppm", "up to 400 ppm by the label")."""
    if span.low is None:
        return f"by the label, up to {plain(span.high)} ppm"
    return range_text(Range("ppm", span.low, span.high))


def strengths_here(request: Request) -> tuple[str, tuple[Citation, ...]]:
    """Return the strength of the sanitizer named, or of all that the kitchen has, with the sources."""
    kind = only_kind(request)
    kinds = [kind] if kind else [k for k in KINDS if request.site.product_of_kind(k)] or ["chlorine", "quat"]
    spans = [(k, allowed(k, request)) for k in kinds]
    text = ", ".join((f"{k} " if len(spans) > 1 else "") + strength_text(span) for k, span in spans)
    return text, tuple(source for _, span in spans for source in span.citations)


def shown(reading: Temperature) -> str:
    """Return a reading as said."""
    return degrees(reading.value, reading.unit)


def by_reading(
    request: Request,
    judge: Callable[[Temperature], Judgement],
    replies: Mapping[str, str],
    *sources: Citation,
    least: int,
    limits: Mapping[str, str],
) -> Answer:
    """Judge the temperature said and reply by the judgement's reason; say the figures where none was said.

    A number under ``least`` degrees Fahrenheit is no temperature of what was asked about.
    """
    reading = request.slots.temperature(request.site.kitchen.units)
    if reading is None or reading.in_unit("F") < least:
        return told(request, "answer", *sources, limits=limits, value="")
    judged = judge(reading)
    reply = replies.get(judged.reason, "fine")
    return told(request, reply, *sources, limits=limits, verdict=judged.verdict, value=shown(reading))
