"""Published bleach recipes with the strength they claim, to compare with the arithmetic and to warn."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from functools import cache
from typing import cast

from assistant.rules.basis import Citation, Flag, Judgement
from assistant.rules.dilution import judge_mix, nominal_ppm
from assistant.rules.profile import Profile
from assistant.rules.tables import read_table
from assistant.rules.units import volume_ml


@dataclass(frozen=True, slots=True)
class PublishedMix:
    """A recipe as printed: percent range of the bleach, its measure, the water, and the ppm it claims."""

    name: str
    percent_low: Decimal
    percent_high: Decimal
    bleach_ml: Fraction
    water_ml: Fraction
    stated_ppm_low: Decimal
    stated_ppm_high: Decimal
    citation: Citation

    def nominal_range(self) -> tuple[Fraction, Fraction]:
        """Return the ppm by arithmetic for the weakest and the strongest bleach it is printed for."""
        low, high = (
            nominal_ppm(percent, self.bleach_ml, self.water_ml)
            for percent in (self.percent_low, self.percent_high)
        )
        return low, high

    def judge(self, profile: Profile) -> Judgement:
        """Judge the recipe by the strongest bleach it is printed for."""
        return judge_mix("chlorine", self.percent_high, self.bleach_ml, self.water_ml, profile)


@cache
def published_mixes() -> dict[str, PublishedMix]:
    """Return the published recipes by name."""
    return {row["name"]: _mix(row) for row in read_table("published_mixes")}


def _mix(row: dict[str, str]) -> PublishedMix:
    return PublishedMix(
        row["name"],
        Decimal(row["percent_low"]),
        Decimal(row["percent_high"]),
        volume_ml(Fraction(row["amount"]), row["unit"]),
        volume_ml(Fraction(row["water"]), row["water_unit"]),
        Decimal(row["stated_ppm_low"]),
        Decimal(row["stated_ppm_high"]),
        Citation(row["document"], "table", "any", cast(Flag, row["flag"]), row["note"]),
    )
