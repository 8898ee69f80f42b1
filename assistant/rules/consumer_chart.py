"""The consumer chart of safe minimum temperatures: for comparison, never the verdict of a kitchen.

A rest time on this chart is not a hold time of the code.
"""

from __future__ import annotations

from decimal import Decimal

from assistant.rules.basis import Citation, Judgement, Range, Temperature, Verdict
from assistant.rules.foods import Food
from assistant.rules.tables import read_table


def chart_kind(food: Food) -> str:
    """Return the row of the chart for ``food``; unknown kinds take the hottest row."""
    if food.cook_group in {row["kind"] for row in read_table("consumer_chart")}:
        return food.cook_group
    if food.food_class == "rte_commercial_cooked" and "ham" in food.name:
        return "plant_packed_ham"
    return "leftovers" if food.ready_to_eat else "poultry"


def judge_by_chart(kind: str, reading: Temperature, rest_s: Decimal) -> Judgement:
    """Judge a reading by the chart row ``kind`` (see ``chart_kind``) with a rest of ``rest_s`` seconds."""
    row = next(row for row in read_table("consumer_chart") if row["kind"] == kind)
    source = Citation(row["document"], row["section"], "consumer")
    limits = Range("F", low=Decimal(row["min"]))
    rest = Decimal(row["rest"])
    if reading.in_unit("F") < Decimal(row["min"]):
        return Judgement(Verdict.FAIL, "too_low", (source,), limits, "keep_cooking")
    if rest_s < rest:
        return Judgement(Verdict.FAIL, "rest_too_short", (source,), limits, "rest_longer", {"rest_s": rest})
    return Judgement(Verdict.PASS, "in_range", (source,), limits)
