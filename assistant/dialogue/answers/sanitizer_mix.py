"""Answers about mixing a sanitizer: asks for what is missing, one thing at a time."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

from assistant.dialogue.answer import Answer, Request, answers, limit_text, plain
from assistant.dialogue.answers.advice import KIND_WORDS, allowed, only_kind, product_for, strength_text
from assistant.rules.dilution import Mix, MixError, judge_mix, mix_for, ratio_fluid_ounces_per_gallon
from assistant.rules.product import Product, SanitizerKind
from assistant.rules.units import Measure, volume_in, volume_ml
from intents.figures import bare_numbers
from intents.mentions import Measure as Said

_FRACTIONS = {Fraction(1, 8): "1/8", Fraction(1, 4): "1/4", Fraction(1, 2): "1/2", Fraction(3, 4): "3/4"}
PERCENTS = (Decimal(1), Decimal(15))
"""A bare number in this range, said of a mix, is the percent on the jug."""
TARGETS = (Decimal(10), Decimal(500))
"""A bare number in this range, said of an amount to find, is the ppm aimed at."""


def _volumes(request: Request) -> list[Said]:
    """Return the volumes said, an ounce of liquid taken as a fluid ounce, the smallest first."""
    said = [m for m in request.slots.measures if m.kind == "volume" or m.unit == "ounce"]
    return sorted(said, key=_ml)


def _ml(measure: Said) -> Fraction:
    unit = "fluid_ounce" if measure.unit == "ounce" else (measure.unit or "gallon").replace(" ", "_")
    return volume_ml(measure.value, unit)


def _shown(measure: Said) -> str:
    unit = measure.unit or "gallon"
    return f"{plain(measure.value)} {unit}{'s' if measure.value != 1 else ''}"


def _between(request: Request, span: tuple[Decimal, Decimal]) -> Decimal | None:
    heard = request.slots.heard
    bare = bare_numbers(heard) if heard is not None else ()
    return next((value for value, _ in bare if span[0] <= value <= span[1]), None)


def _percent(kind: SanitizerKind, request: Request) -> Decimal | None:
    product = product_for(kind, request)
    return request.slots.number("percent") or (product.active_percent if product else None)


def _kind(request: Request, percent: Decimal | None) -> SanitizerKind | None:
    """Return what is mixed, or ``None`` where it has to be asked.

    A percent stands on a jug of bleach: "six percent", with nothing named, is no quat because the kitchen has
    nothing else. Made as strong as quat, bleach would be too strong.
    """
    kind = only_kind(request)
    named = any(request.slots.has(word) for word in KIND_WORDS)
    return None if percent is not None and not named and kind != "chlorine" else kind


@answers("mix_sanitizer")
def mix(request: Request) -> Answer:
    """Say how much concentrate goes into how much water."""
    kind = _kind(request, request.slots.number("percent"))
    if kind is None:
        return Answer("ask_kind", ask="chlorine_word|quat_word|iodine_word")
    product = product_for(kind, request)
    volumes = _volumes(request)
    percent = _percent(kind, request)
    if percent is None and kind == "quat":
        return _by_label(request, product, volumes)
    if percent is None and request.slots.has("dont_know"):
        return Answer("no_percent", {"range": strength_text(allowed(kind, request))}, caution="mixing")
    if percent is None:
        return Answer("ask_percent", ask="percent|dont_know")
    if not volumes:
        return Answer("ask_volume", ask="volume")
    target = request.slots.number("ppm") or _between(request, TARGETS)
    try:
        found = mix_for(kind, percent, _ml(volumes[-1]), request.profile, product, target)
    except MixError as error:
        return Answer("cannot", {"problem": str(error)}, caution="mixing")
    return _amount(found, kind, _shown(volumes[-1]), request)


def _by_label(request: Request, product: Product | None, volumes: list[Said]) -> Answer:
    least = request.profile.limit("quat_water_min")
    span = allowed("quat", request)
    sources = (*((product.citation,) if product else ()), least.citation)
    site_product = request.site.product_of_kind("quat")
    if site_product and site_product.dilution_ratio and volumes:
        gallons = volume_in(_ml(volumes[-1]), "gallon")
        ounces = ratio_fluid_ounces_per_gallon(site_product.dilution_ratio) * gallons
        values = {
            "ounces": plain(ounces),
            "water": _shown(volumes[-1]),
            "parts": str(site_product.dilution_ratio),
            "range": strength_text(span),
        }
        return Answer("ratio", values, sources, caution="mixing")
    water = product.water_min if product else None
    shown = f"{plain(water.value)}°{water.unit}" if water else limit_text(least)
    return Answer("quat_label", {"water_min": shown, "range": strength_text(span)}, sources, caution="mixing")


def _amount(found: Mix, kind: SanitizerKind, water: str, request: Request) -> Answer:
    values: dict[str, str] = {
        "water": water,
        "top": plain(found.top_ppm),
        "range": strength_text(allowed(kind, request)),
    }
    metric = request.site.kitchen.units == "C" and found.metric_ppm is not None
    if found.household is not None and found.household_ppm is not None and not metric:
        values |= {"measure": measure_text(found.household), "ppm": _round(found.household_ppm)}
    elif found.metric_ml is not None and found.metric_ppm is not None:
        values |= {"measure": f"{plain(found.metric_ml)} mL", "ppm": _round(found.metric_ppm)}
    else:
        problem = {"problem": "no spoon or jug mark gives the range"}
        return Answer("cannot", problem, found.citations, caution="mixing")
    reply = "amount_lowered" if found.lowered else "amount"
    return Answer(reply, values, found.citations, caution="mixing")


@answers("mix_strength")
def strength(request: Request) -> Answer:
    """Say what strength a mix that somebody made comes to, and whether it may be used."""
    volumes = _volumes(request)
    percent = request.slots.number("percent") or _between(request, PERCENTS)
    kind = _kind(request, percent) or ("chlorine" if percent is not None else None)
    if kind is None:
        return Answer("ask_kind", ask="chlorine_word|quat_word|iodine_word")
    percent = percent or _percent(kind, request)
    if percent is None:
        return Answer("ask_percent", ask="percent")
    try:
        judged = judge_mix(
            kind, percent, _ml(volumes[0]), _ml(volumes[-1]), request.profile, product_for(kind, request)
        )
    except MixError as error:
        return Answer("cannot", {"problem": str(error)}, caution="mixing")
    values = {
        "ppm": str(round(Decimal(judged.details["nominal_ppm"]))),
        "range": strength_text(allowed(kind, request)),
    }
    return Answer(judged.reason, values, judged.citations, judged.verdict, caution="mixing")


def _round(ppm: Fraction) -> str:
    return str(round(ppm))


def measure_text(measure: Measure) -> str:
    """Return a household measure as said ("1 1/4 teaspoons", "1/4 cup and 1 tablespoon")."""
    parts = []
    for count, unit in measure.parts:
        whole, rest = divmod(count, 1)
        number = " ".join(text for text in (str(whole) if whole else "", _FRACTIONS.get(rest, "")) if text)
        parts.append(f"{number} {unit}{'s' if count > 1 else ''}")
    return " and ".join(parts)
