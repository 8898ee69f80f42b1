"""Answers about mixing a sanitizer: asks for what is missing, one thing at a time."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

from assistant.dialogue.answer import Answer, Request, answers, limit_text, plain
from assistant.dialogue.judge import rule_product
from assistant.rules.dilution import Mix, MixError, mix_for
from assistant.rules.product import Product, SanitizerKind
from assistant.rules.units import Measure, volume_ml

_FRACTIONS = {Fraction(1, 8): "1/8", Fraction(1, 4): "1/4", Fraction(1, 2): "1/2", Fraction(3, 4): "3/4"}


def _kind(request: Request) -> SanitizerKind | None:
    for concept, kind in (("chlorine_word", "chlorine"), ("quat_word", "quat"), ("iodine_word", "iodine")):
        if request.slots.has(concept):
            return kind  # type: ignore[return-value]
    kinds = {product.kind for product in request.site.products}
    return kinds.pop() if len(kinds) == 1 else None


@answers("mix_sanitizer")
def mix(request: Request) -> Answer:
    """Say how much concentrate goes into how much water."""
    kind = _kind(request)
    if kind is None:
        return Answer("ask_kind", ask="chlorine_word|quat_word|iodine_word")
    site_product = request.site.product_of_kind(kind)
    product = rule_product(site_product)
    percent = request.slots.number("percent")
    if percent is None and site_product and site_product.strength_percent:
        percent = Decimal(str(site_product.strength_percent))
    if percent is None:
        if kind == "quat":
            return _by_label(request, product)
        return Answer("ask_percent", ask="percent")
    volume = request.slots.measure("volume")
    if volume is None:
        return Answer("ask_volume", ask="volume")
    unit = volume.unit or "gallon"
    try:
        found = mix_for(
            kind,
            percent,
            volume_ml(volume.value, unit),
            request.profile,
            product,
            request.slots.number("ppm"),
        )
    except MixError as error:
        return Answer("cannot", {"problem": str(error)}, caution="mixing")
    return _amount(found, f"{plain(volume.value)} {unit}{'s' if volume.value != 1 else ''}", request, product)


def _by_label(request: Request, product: Product | None) -> Answer:
    least = request.profile.limit("quat_water_min")
    span = (
        f"{plain(product.label_min_ppm)}-{plain(product.label_max_ppm)} ppm"
        if product and product.label_min_ppm and product.label_max_ppm
        else "the label's range"
    )
    sources = (product.citation, least.citation) if product else (least.citation,)
    return Answer("quat_label", {"water_min": limit_text(least), "range": span}, sources, caution="mixing")


def _amount(found: Mix, water: str, request: Request, product: Product | None) -> Answer:
    low = product.label_min_ppm if product and product.label_min_ppm else None
    span = f"{plain(low)}-{plain(found.top_ppm)} ppm" if low else f"up to {plain(found.top_ppm)} ppm"
    if found.household is not None and found.household_ppm is not None:
        values = {
            "measure": measure_text(found.household),
            "water": water,
            "ppm": _round(found.household_ppm),
            "range": span,
        }
        return Answer("amount", values, found.citations, caution="mixing")
    if found.metric_ml is not None and found.metric_ppm is not None:
        values = {
            "metric": f"{plain(found.metric_ml)} mL",
            "water": water,
            "ppm": _round(found.metric_ppm),
            "range": span,
        }
        return Answer("amount_metric", values, found.citations, caution="mixing")
    return Answer(
        "cannot", {"problem": "no spoon or jug mark gives the range"}, found.citations, caution="mixing"
    )


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
