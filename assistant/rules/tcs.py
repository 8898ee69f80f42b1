"""Whether a food needs time and temperature control: by kind, or by water activity and acidity."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Literal, cast

from assistant.rules.basis import Citation, Flag
from assistant.rules.foods import Food
from assistant.rules.tables import read_table


@dataclass(frozen=True, slots=True)
class TcsAnswer:
    """``controlled`` is the answer to act on; ``assess`` says that only a laboratory can free the food."""

    controlled: bool
    assess: bool
    citation: Citation


def tcs_by_kind(food: Food | None) -> TcsAnswer:
    """Return the answer by kind of food; food not known counts as controlled."""
    source = Citation("FDA Food Code 2022", "1-201.10")
    if food is None:
        return TcsAnswer(True, True, Citation("derived safe answer", "food not known", flag="MEMORY"))
    return TcsAnswer(food.tcs, not food.known or "tcs_unless_tested" in food.notes, source)


def tcs_by_measurement(
    water_activity: Decimal | None, ph: Decimal | None, *, heat_treated_in_package: bool
) -> TcsAnswer:
    """Return the answer by the two tables of the model code (A: heat treated in its package, B: others).

    ``water_activity`` runs from 0 to 1. A figure not known counts as the worst; "assess" means: treat
    it as controlled until a product assessment says otherwise.
    """
    table: Literal["A", "B"] = "A" if heat_treated_in_package else "B"
    row = next(
        row
        for row in read_table("tcs_acid_water")
        if row["table"] == table
        and _within(water_activity, row["aw_max"], row["aw_edge_in"])
        and _within(ph, row["ph_max"], row["ph_edge_in"])
    )
    assess = row["outcome"] == "assess"
    return TcsAnswer(assess, assess, Citation(row["document"], row["section"], flag=cast(Flag, row["flag"])))


def _within(value: Decimal | None, most: str, edge_in: str) -> bool:
    if not most:
        return True
    if value is None:
        return False
    return value < Decimal(most) or (edge_in == "yes" and value == Decimal(most))
