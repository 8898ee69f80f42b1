"""What advice shares: a reply with the figures in force and their sources, standing-in figures named."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal
from typing import get_args

from assistant.dialogue.answer import Answer, Request, Value, answers, limit_text, plain, range_text
from assistant.dialogue.judge import rule_product
from assistant.rules.basis import Citation, Judgement, Limit, Range, Temperature
from assistant.rules.product import Product, SanitizerKind
from assistant.rules.sanitizer import StrengthRange, strength_range

KINDS: tuple[SanitizerKind, ...] = get_args(SanitizerKind)
KIND_WORDS: dict[str, SanitizerKind] = {
    "chlorine_word": "chlorine",
    "chlorine_strip": "chlorine",
    "quat_word": "quat",
    "quat_strip": "quat",
    "iodine_word": "iodine",
}
NUMBERS = ("hours", "percent", "times", "pH", "mg/L")
"""Units that the wording of a reply names itself."""


def told(
    request: Request,
    reply: str = "answer",
    *sources: Citation,
    caution: str = "",
    limits: Mapping[str, str] | None = None,
    values: Mapping[str, Value] | None = None,
    **more: Value,
) -> Answer:
    """Return advice: ``limits`` maps placeholders to keys of the profile's figures, the rest are values.

    A figure that stands in for a text not read is said to be one, unless another caution ends the answer.
    """
    figures = {name: request.profile.limit(key) for name, key in (limits or {}).items()}
    shown: dict[str, Value] = {name: figure(limit, request) for name, limit in figures.items()}
    cited = (*sources, *(limit.citation for limit in figures.values()))
    assumed = any(limit.assumed for limit in figures.values())
    return Answer(
        reply, {**shown, **(values or {}), **more}, cited, caution=caution or ("assumed" if assumed else "")
    )


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


def only_kind(request: Request) -> SanitizerKind | None:
    """Return the sanitizer named, or the only one that the kitchen has."""
    words = {kind for word, kind in KIND_WORDS.items() if request.slots.has(word)}
    kinds = words or {product.kind for product in request.site.products}
    return kinds.pop() if len(kinds) == 1 else None


def product_for(kind: SanitizerKind, request: Request) -> Product | None:
    """Return the kitchen's product of that kind as the rules know it."""
    return rule_product(request.site.product_of_kind(kind))


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


def assumed_in(judgement: Judgement) -> str:
    """Return the caution for a judgement that rests on a figure that stands in."""
    return "assumed" if "assumed" in judgement.details else ""
