"""Whether a sanitizer solution meets its label and the code: chlorine, quat and iodine.

The label of the product decides inside the code's limits; the code's minimum and the no-rinse ceiling
bound it. A temperature or pH that was not said is not judged, and the details say so.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from decimal import Decimal

from assistant.rules.basis import Citation, Judgement, Limit, Range, Temperature, Verdict
from assistant.rules.compare import assumed_detail
from assistant.rules.product import Between, Product, SanitizerKind, Strength
from assistant.rules.profile import Profile

Details = dict[str, Decimal | str]
ENOUGH_PPM = Decimal(100)
"""The chlorine strength that holds in the coldest water and up to the highest pH of the table."""


@dataclass(frozen=True, slots=True)
class StrengthRange:
    """The ppm in force with the sources; ``low`` is ``None`` where only a label could give it."""

    low: Decimal | None
    high: Decimal
    citations: tuple[Citation, ...]
    details: Details = field(default_factory=dict)
    low_law: Citation | None = None
    """The code's source where its least strength, not the label's lower one, decides."""
    high_law: Citation | None = None
    """The same for the greatest strength."""

    def decided(self, law: Citation | None) -> tuple[tuple[Citation, ...], Details]:
        """Return the sources with the one that decided first, and the details, which name a deciding law."""
        if law is None:
            return self.citations, dict(self.details)
        return (law, *(c for c in self.citations if c != law)), {**self.details, "law": law.document}

    @property
    def limits(self) -> Range:
        """Return the two ends as the limits of a judgement."""
        return Range("ppm", self.low, self.high)


def strength_range(
    kind: SanitizerKind, profile: Profile, product: Product | None = None, *, hot_water: bool = False
) -> StrengthRange:
    """Return the ppm allowed for ``kind``: the label's range, never beyond the code's.

    ``hot_water`` admits the chlorine strengths that the code allows only in 120F water. A quat without
    a label has no low end unless the profile prints one. Raises ``ValueError`` for a product of another kind.
    """
    if product is not None and product.kind != kind:
        raise ValueError(f"'{product.name}' is {product.kind}, not {kind}: use its own rule")
    floor = profile.limit(
        "chlorine_room_water_min" if kind == "chlorine" and not hot_water else f"{kind}_min"
    )
    ceiling = profile.limit(f"{kind}_no_rinse_max")
    label_low = product.label_min_ppm if product else None
    label_high = product.label_max_ppm if product else None
    lows = [ppm for ppm in (floor.value, label_low) if ppm]
    highs = [ppm for ppm in (ceiling.value, label_high) if ppm is not None]
    label = (product.citation,) if product else ()
    return StrengthRange(
        max(lows, default=None),
        min(highs),
        (*label, floor.citation, ceiling.citation),
        assumed_detail(floor, ceiling),
        floor.citation if floor.value and floor.value > (label_low or 0) else None,
        ceiling.citation if label_high is None or ceiling.value < label_high else None,
    )


def judge_chlorine(
    ppm: Strength,
    temperature: Temperature | None,
    ph: Decimal | None,
    profile: Profile,
    product: Product | None = None,
) -> Judgement:
    """Judge a chlorine solution by strength, water temperature and pH (``None``: not said)."""
    allowed = strength_range("chlorine", profile, product, hot_water=temperature is not None)

    def conditions(value: Decimal) -> Judgement:
        return _chlorine_water(value, temperature, ph, profile, product, allowed)

    return _judge_strength(ppm, allowed, conditions)


def judge_quat(
    ppm: Strength,
    temperature: Temperature | None,
    profile: Profile,
    product: Product | None = None,
    hardness: Decimal | None = None,
) -> Judgement:
    """Judge a quat solution by its label, water temperature and hardness in mg/L (``None``: not said).

    Without a label strength the answer is that it cannot be judged, unless it is over every ceiling.
    """
    allowed = strength_range("quat", profile, product)
    top = profile.limit("quat_hardness_max")
    hardness_max = product.hardness_max if product and product.hardness_max is not None else top.value
    said: Details = {} if hardness is not None else {"hardness": "not said"}

    def conditions(_: Decimal) -> Judgement:
        if hardness is not None and hardness > hardness_max:
            limits = Range("mg/L", high=hardness_max)
            return Judgement(Verdict.FAIL, "water_too_hard", (top.citation,), limits, "check_label")
        return _label_water(temperature, profile.limit("quat_water_min"), product, allowed, said)

    return _judge_strength(ppm, allowed, conditions)


def judge_iodine(
    ppm: Strength,
    temperature: Temperature | None,
    ph: Decimal | None,
    profile: Profile,
    product: Product | None = None,
) -> Judgement:
    """Judge an iodine solution by strength, water temperature and pH (``None``: not said)."""
    allowed = strength_range("iodine", profile, product)
    top = profile.limit("iodine_ph_max")
    ph_max = product.ph_max if product and product.ph_max is not None else top.value
    said: Details = {} if ph is not None else {"ph": "not said"}

    def conditions(_: Decimal) -> Judgement:
        if ph is not None and ph > ph_max:
            return _ph_too_high(ph_max, top.citation)
        return _label_water(temperature, profile.limit("iodine_water_min"), product, allowed, said)

    return _judge_strength(ppm, allowed, conditions)


def _judge_strength(
    ppm: Strength, allowed: StrengthRange, conditions: Callable[[Decimal], Judgement]
) -> Judgement:
    if isinstance(ppm, Between):
        low, high = (_judge_one(end, allowed, conditions) for end in (ppm.low, ppm.high))
        if low.reason == high.reason or (low.verdict is high.verdict and high.reason != "too_high"):
            return high
        details = {"low_block": ppm.low, "high_block": ppm.high, **allowed.details}
        return Judgement(
            Verdict.CANNOT_JUDGE, "between_blocks", allowed.citations, allowed.limits, "retest", details
        )
    return _judge_one(ppm, allowed, conditions)


def _judge_one(ppm: Decimal, allowed: StrengthRange, conditions: Callable[[Decimal], Judgement]) -> Judgement:
    def answer(verdict: Verdict, reason: str, action: str, law: Citation | None = None) -> Judgement:
        citations, details = allowed.decided(law)
        return Judgement(verdict, reason, citations, allowed.limits, action, details)

    if ppm > allowed.high:
        return answer(Verdict.FAIL, "too_high", "remake", allowed.high_law)
    if ppm <= 0 or (allowed.low is not None and ppm < allowed.low):
        return answer(Verdict.FAIL, "too_low", "remake", allowed.low_law if ppm > 0 else None)
    if allowed.low is None:
        return answer(Verdict.CANNOT_JUDGE, "label_unknown", "ask_label")
    return conditions(ppm)


def _pass(allowed: StrengthRange, details: Details) -> Judgement:
    merged = {**allowed.details, **details}
    return Judgement(Verdict.PASS, "in_range", allowed.citations, allowed.limits, details=merged)


def _ph_too_high(ph_max: Decimal, citation: Citation) -> Judgement:
    return Judgement(Verdict.FAIL, "ph_too_high", (citation,), Range("pH", high=ph_max), "remake")


def _too_cold(
    limit: Limit, least: Temperature, product: Product | None, stronger_helps: bool = False
) -> Judgement:
    """Say that the water is colder than ``least``: the code's limit, or the label's where that is another."""
    limits = Range(least.unit, low=least.value)
    of_label = product is not None and least == product.water_min and least != _temperature(limit)
    sources = (product.citation, limit.citation) if product is not None and of_label else (limit.citation,)
    details = {**assumed_detail(limit), **({"enough_ppm": ENOUGH_PPM} if stronger_helps else {})}
    action = "raise_strength" if stronger_helps else "remake_warmer"
    return Judgement(Verdict.FAIL, "water_too_cold", sources, limits, action, details)


def _label_water(
    temperature: Temperature | None,
    limit: Limit,
    product: Product | None,
    allowed: StrengthRange,
    said: Details,
) -> Judgement:
    """Judge the water where the label may name another temperature than the code."""
    least = product.water_min if product and product.water_min is not None else _temperature(limit)
    if temperature is None:
        return _pass(allowed, {**said, "temperature": "not said"})
    if temperature.in_unit(least.unit) < least.value:
        return _too_cold(limit, least, product)
    return _pass(allowed, {**said, **assumed_detail(limit)})


def _temperature(limit: Limit) -> Temperature:
    return Temperature(limit.value, "C" if limit.unit == "C" else "F")


def _chlorine_water(
    ppm: Decimal,
    temperature: Temperature | None,
    ph: Decimal | None,
    profile: Profile,
    product: Product | None,
    allowed: StrengthRange,
) -> Judgement:
    """Judge water and pH of a chlorine solution whose strength is in range."""
    ph_max = profile.limit("chlorine_ph_max")
    if ph is not None and ph > ph_max.value:
        return _ph_too_high(ph_max.value, ph_max.citation)
    said: Details = {} if ph is not None else {"ph": "not said"}
    if temperature is None:
        return _pass(allowed, {**said, "temperature": "not said"})
    mild, alkaline = chlorine_water_limits(ppm, profile)
    known_mild = ph is not None and ph <= profile.value("chlorine_mild_ph_max")
    for limit in (mild, mild if known_mild else alkaline):
        least = _warmer(_temperature(limit), product)
        if temperature.in_unit(least.unit) < least.value:
            if ph is None and limit is not mild:
                return Judgement(
                    Verdict.CANNOT_JUDGE,
                    "ph_unknown",
                    (limit.citation,),
                    Range(least.unit, low=least.value),
                    "raise_strength",
                    {"water_min_if_ph_unknown": least.value, "enough_ppm": ENOUGH_PPM},
                )
            return _too_cold(limit, least, product, _stronger_helps(temperature, profile, product, allowed))
    return _pass(allowed, {**said, **assumed_detail(mild)})


def _stronger_helps(
    temperature: Temperature, profile: Profile, product: Product | None, allowed: StrengthRange
) -> bool:
    """Return whether this water would do at 100 ppm: then a stronger mix is the fix, not hotter water."""
    least = _warmer(_temperature(profile.limit("chlorine_100_water_min")), product)
    return temperature.in_unit(least.unit) >= least.value and allowed.high >= ENOUGH_PPM


def chlorine_water_limits(ppm: Decimal, profile: Profile) -> tuple[Limit, Limit]:
    """Return the least water temperature for a chlorine strength: at a mild pH, and at any pH allowed."""
    if ppm >= 100:
        return (profile.limit("chlorine_100_water_min"),) * 2
    if ppm >= 50:
        return profile.limit("chlorine_50_water_min"), profile.limit("chlorine_50_high_ph_water_min")
    return (profile.limit("chlorine_25_water_min"),) * 2


def _warmer(least: Temperature, product: Product | None) -> Temperature:
    """Return the warmer of the code's and the label's least water temperature."""
    label = product.water_min if product else None
    return label if label is not None and label.in_unit(least.unit) > least.value else least
