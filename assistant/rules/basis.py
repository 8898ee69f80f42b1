"""The values every rule speaks in: citations, limits, temperatures and judgements.

Numbers are exact (``Decimal``, or ``Fraction`` inside a conversion), so no reading is ever rounded
toward a pass. A comparison is made in the unit in which its limit is written.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction
from typing import Literal

Flag = Literal["READ", "MEMORY", "PRACTICE", "SITE"]
"""How far a figure can be trusted: read in the source, from memory, common practice, set by the site."""

TemperatureUnit = Literal["F", "C"]


class Verdict(StrEnum):
    """What a rule says of a reading."""

    PASS = "pass"
    FAIL = "fail"
    CANNOT_JUDGE = "cannot judge"


@dataclass(frozen=True, slots=True)
class Citation:
    """Where a rule comes from: document, section, and how the figure was obtained."""

    document: str
    section: str
    profile: str = "any"
    flag: Flag = "READ"
    note: str = ""


@dataclass(frozen=True, slots=True)
class Temperature:
    """A temperature exactly as read, in degrees Fahrenheit (``F``) or Celsius (``C``)."""

    value: Decimal
    unit: TemperatureUnit = "F"

    def in_unit(self, unit: TemperatureUnit) -> Fraction:
        """Return the exact number of degrees in ``unit``."""
        degrees = Fraction(self.value)
        if unit == self.unit:
            return degrees
        return (degrees - 32) * Fraction(5, 9) if unit == "C" else degrees * Fraction(9, 5) + 32


@dataclass(frozen=True, slots=True)
class Limit:
    """One figure of a profile with its unit and source.

    ``assumed`` is true where the profile's own text was not read and the stricter neighbour's
    figure stands in: whoever answers has to say so.
    """

    key: str
    value: Decimal
    unit: str
    citation: Citation
    assumed: bool = False

    @property
    def temperature(self) -> Temperature:
        """The limit as a temperature; raises ``ValueError`` for one that is none."""
        if self.unit not in ("F", "C"):
            raise ValueError(f"the limit '{self.key}' is in {self.unit}, not a temperature")
        return Temperature(self.value, "C" if self.unit == "C" else "F")


@dataclass(frozen=True, slots=True)
class Range:
    """The limits in force for one reading; either end may be open (``None``). Both ends pass."""

    unit: str
    low: Decimal | None = None
    high: Decimal | None = None


@dataclass(frozen=True, slots=True)
class Judgement:
    """A verdict with the reason, the limits it was held against and the sources.

    ``reason`` is a short code that the reply tables turn into words: ``in_range``, ``too_low``,
    ``too_high``, ``water_too_cold``, ``ph_too_high``, ``hold_too_short``, ``too_long`` and so on.
    ``action`` is the code of what to do now (``remake``, ``discard``, ``reheat``), empty for none.
    ``details`` carries further numbers for the reply, by name.
    """

    verdict: Verdict
    reason: str
    citations: tuple[Citation, ...]
    limits: Range | None = None
    action: str = ""
    details: dict[str, Decimal | str] = field(default_factory=dict)

    @property
    def passed(self) -> bool:
        """True only for a pass: a reading that cannot be judged has not passed."""
        return self.verdict is Verdict.PASS
