"""A sanitizer as its label describes it, and a strip reading that lies between two colour blocks."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from assistant.rules.basis import Citation, Temperature

SanitizerKind = Literal["chlorine", "quat", "iodine"]


@dataclass(frozen=True, slots=True)
class Product:
    """A sanitizer of the site. ``None`` means that the label fact was not given: the code's figure holds.

    Strengths are in ppm, hardness in mg/L, contact in seconds, ``active_percent`` as printed.
    """

    name: str
    kind: SanitizerKind
    label_min_ppm: Decimal | None = None
    label_max_ppm: Decimal | None = None
    label: str = ""
    water_min: Temperature | None = None
    hardness_max: Decimal | None = None
    ph_max: Decimal | None = None
    contact_seconds: Decimal | None = None
    active_percent: Decimal | None = None

    @property
    def citation(self) -> Citation:
        """Return the label as a source."""
        return Citation(f"label of {self.name}", "directions for use", "site", "SITE", self.label)


@dataclass(frozen=True, slots=True)
class Between:
    """A strip colour between two blocks: the strength is somewhere from ``low`` to ``high`` ppm."""

    low: Decimal
    high: Decimal

    def __post_init__(self) -> None:
        if self.low > self.high:
            raise ValueError(f"the lower block {self.low} is above the upper block {self.high}")


Strength = Decimal | Between
"""A reading in ppm: one number, or the interval between two blocks."""
