"""Temperatures between which some organisms grow. Background only: no verdict ever rests on them."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from assistant.rules.basis import Citation
from assistant.rules.tables import read_table

Measure = Literal["growth", "optimum", "other_table_growth"]


@dataclass(frozen=True, slots=True)
class GrowthSpan:
    """Degrees Celsius as printed; ``None`` where the table prints no figure."""

    low_c: Decimal
    high_c: Decimal | None
    citation: Citation


def growth_span(organism: str, measure: Measure = "growth") -> GrowthSpan | None:
    """Return the span for an organism's name as in the table, ``None`` if the table lacks it."""
    for row in read_table("growth"):
        if row["organism"].lower() == organism.lower() and row["measure"] == measure:
            high = Decimal(row["high_c"]) if row["high_c"] else None
            return GrowthSpan(Decimal(row["low_c"]), high, Citation(row["document"], row["section"]))
    return None
