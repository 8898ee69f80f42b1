"""Mixing a sanitizer: strength from a mix, amount for a target, and what to do with a wrong bucket.

The nominal rule: one percent of active matter is 10,000 ppm, so a mix holds
``percent x 10,000 x concentrate / (concentrate + water)`` ppm. A strip decides, not the arithmetic:
bleach weakens with age. All volumes are in millilitres, all numbers exact.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from assistant.rules.basis import Citation, Judgement, Verdict
from assistant.rules.product import Product, SanitizerKind
from assistant.rules.profile import Profile
from assistant.rules.rounding import rounded
from assistant.rules.sanitizer import ENOUGH_PPM, StrengthRange, strength_range
from assistant.rules.units import Measure, Number, household_measure, metric_measure

PPM_PER_PERCENT = 10_000

CHLORINE_CAUTIONS = ("follow_label", "never_mix", "plain_bleach_only", "cool_water", "test_with_strip")
OTHER_CAUTIONS = ("follow_label", "never_mix", "test_with_strip")

ARITHMETIC = Citation(
    "percent to ppm arithmetic", "1 percent is 10,000 ppm", note="nominal: verify with a strip"
)


class MixError(ValueError):
    """Raised for amounts that cannot be mixed; the message says which and why."""


@dataclass(frozen=True, slots=True)
class Mix:
    """How much concentrate to pour into how much water (millilitres), and the ppm that gives.

    ``concentrate_ml`` meets ``target_ppm`` exactly; ``household`` and ``metric_ml`` are the nearest
    things to measure, ``None`` where none keeps within the range; none of them passes ``top_ppm``.
    ``lowered`` tells that more was asked for than is allowed.
    """

    water_ml: Fraction
    percent: Decimal
    target_ppm: Decimal
    top_ppm: Decimal
    lowered: bool
    concentrate_ml: Fraction
    household: Measure | None
    metric_ml: Fraction | None
    citations: tuple[Citation, ...]
    cautions: tuple[str, ...]

    @property
    def household_ppm(self) -> Fraction | None:
        """Return the strength that the household measure gives."""
        return nominal_ppm(self.percent, self.household.ml, self.water_ml) if self.household else None

    @property
    def metric_ppm(self) -> Fraction | None:
        """Return the strength that the metric measure gives."""
        return nominal_ppm(self.percent, self.metric_ml, self.water_ml) if self.metric_ml else None


def _positive(**amounts: Number) -> None:
    for name, amount in amounts.items():
        if amount <= 0:
            raise MixError(f"the {name.replace('_', ' ')} has to be more than nothing, not {amount}")


def nominal_ppm(percent: Number, concentrate_ml: Fraction, water_ml: Fraction) -> Fraction:
    """Return the ppm of ``concentrate_ml`` of a ``percent`` product in ``water_ml`` of water."""
    _percent(percent)
    _positive(concentrate=concentrate_ml, water=water_ml)
    return Fraction(percent) * PPM_PER_PERCENT * concentrate_ml / (concentrate_ml + water_ml)


def concentrate_for(percent: Number, target_ppm: Number, water_ml: Fraction) -> Fraction:
    """Return the millilitres of concentrate that bring ``water_ml`` of water to ``target_ppm``.

    Plain arithmetic: advice to a person goes through ``mix_for``, which keeps to the label.
    """
    _check_target(percent, target_ppm)
    _positive(water=water_ml)
    target = Fraction(target_ppm)
    return target * water_ml / (Fraction(percent) * PPM_PER_PERCENT - target)


def _percent(percent: Number) -> None:
    if not 0 < percent <= 100:
        raise MixError(f"the percent has to be above 0 and at most 100, not {percent}")


def _check_target(percent: Number, target_ppm: Number) -> None:
    _percent(percent)
    _positive(target_ppm=target_ppm)
    if Fraction(target_ppm) >= Fraction(percent) * PPM_PER_PERCENT:
        raise MixError(f"a {percent} percent product cannot give {target_ppm} ppm: it is weaker than that")


def usual_target(kind: SanitizerKind, allowed: StrengthRange) -> Decimal:
    """Return the ppm to aim at when none is named: 100 for chlorine, else the middle of the range."""
    low = allowed.low or Decimal(0)
    if kind == "chlorine" and low <= ENOUGH_PPM <= allowed.high:
        return ENOUGH_PPM
    return (low + allowed.high) / 2


def mix_for(
    kind: SanitizerKind,
    percent: Decimal,
    water_ml: Fraction,
    profile: Profile,
    product: Product | None = None,
    target_ppm: Decimal | None = None,
) -> Mix:
    """Return what to pour for ``water_ml``; never above the label's or the law's top.

    A target above the top is lowered to it, one below the least strength is raised to it. A chlorine
    measure does not fall under 100 ppm unless asked to: weaker needs warm water. Raises ``MixError``
    where the amounts make no sense, or for a quat whose label strength is not known.
    """
    allowed = strength_range(kind, profile, product)
    if allowed.low is None:
        raise MixError(f"the label strength of the {kind} is not known: read the label first")
    if allowed.low > allowed.high:
        raise MixError(f"the label asks {allowed.low} ppm, the law stops at {allowed.high}: check the label")
    asked = usual_target(kind, allowed) if target_ppm is None else target_ppm
    target = min(max(asked, allowed.low), allowed.high)
    ideal = concentrate_for(percent, target, water_ml)
    least = min(target, ENOUGH_PPM) if kind == "chlorine" else allowed.low
    bounds = (
        concentrate_for(percent, allowed.high, water_ml),
        concentrate_for(percent, max(least, allowed.low), water_ml),
    )
    return Mix(
        water_ml,
        percent,
        target,
        allowed.high,
        asked > allowed.high,
        ideal,
        household_measure(ideal, *bounds),
        metric_measure(ideal, *bounds),
        (*allowed.citations, ARITHMETIC),
        CHLORINE_CAUTIONS if kind == "chlorine" else OTHER_CAUTIONS,
    )


def judge_mix(
    kind: SanitizerKind,
    percent: Decimal,
    concentrate_ml: Fraction,
    water_ml: Fraction,
    profile: Profile,
    product: Product | None = None,
) -> Judgement:
    """Judge a mix by its nominal strength; a pass still has to be verified with a strip."""
    allowed = strength_range(kind, profile, product)
    ppm = nominal_ppm(percent, concentrate_ml, water_ml)
    details = {**allowed.details, "nominal_ppm": rounded(ppm)}
    citations = (*allowed.citations, ARITHMETIC)
    if ppm > allowed.high:
        return Judgement(Verdict.FAIL, "too_high", citations, allowed.limits, "remake", details)
    if allowed.low is None:
        return Judgement(
            Verdict.CANNOT_JUDGE, "label_unknown", citations, allowed.limits, "ask_label", details
        )
    if ppm < allowed.low:
        return Judgement(Verdict.FAIL, "too_low", citations, allowed.limits, "remake", details)
    return Judgement(Verdict.PASS, "in_range", citations, allowed.limits, "test_with_strip", details)


def ratio_fluid_ounces_per_gallon(water_parts: Number) -> Fraction:
    """Return the fluid ounces of concentrate per US gallon of water for a ratio of 1 to ``water_parts``."""
    _positive(water_parts=water_parts)
    return 128 / Fraction(water_parts)
