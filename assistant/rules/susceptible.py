"""Highly susceptible guests and children's menus: what may not be served to them."""

from __future__ import annotations

from typing import cast

from assistant.rules.basis import Citation, Flag, Judgement, Verdict
from assistant.rules.foods import Food
from assistant.rules.tables import read_table

ADVISORY = Citation("FDA Food Code 2022", "3-603.11", note="consumer advisory")
SUSCEPTIBLE = Citation("FDA Food Code 2022", "3-801.11", flag="MEMORY")


def judge_service(
    food: Food,
    *,
    guests_highly_susceptible: bool | None,
    undercooked: bool = False,
    childrens_menu: bool = False,
    pasteurized: bool = False,
) -> Judgement:
    """Judge serving ``food`` as it is (raw, undercooked or ready to eat) to these guests.

    ``guests_highly_susceptible`` ``None`` counts as yes where it matters. Raw and undercooked animal food
    for others needs the advisory.
    """
    kinds = _kinds(food, undercooked=undercooked, pasteurized=pasteurized)
    for row in read_table("susceptible_foods"):
        concerned = (
            childrens_menu if row["who"] == "childrens_menu" else guests_highly_susceptible is not False
        )
        if concerned and row["kind"] in kinds:
            return _refused(row["reason"], row["document"], row["section"], cast(Flag, row["flag"]))
    if kinds & {"raw_animal", "undercooked_animal"}:
        return Judgement(Verdict.PASS, "with_advisory", (ADVISORY,), action="give_advisory")
    return Judgement(Verdict.PASS, "may_be_served", (ADVISORY,))


def _kinds(food: Food, *, undercooked: bool, pasteurized: bool) -> set[str]:
    kinds = set()
    if food.served_raw or "not_for_susceptible" in food.notes:
        kinds.add("raw_animal")
    if food.served_raw and food.cook_group == "ground":
        kinds.add("undercooked_ground")
    if food.food_class == "sprouts_raw":
        kinds.add("raw_sprouts")
    if "pasteurized_egg_only" in food.notes and not pasteurized:
        kinds.add("raw_egg_dish")
    if food.food_class == "beverage_tcs" and "not_for_susceptible" in food.notes:
        kinds = set() if pasteurized else {"unpasteurized_juice"}
    if undercooked and food.raw_animal:
        kinds.add("undercooked_animal")
        if food.cook_group == "ground" or food.species == "unknown":
            kinds.add("undercooked_ground")
    return kinds


def _refused(reason: str, document: str, section: str, flag: Flag) -> Judgement:
    return Judgement(Verdict.FAIL, reason, (Citation(document, section, flag=flag),), action="do_not_serve")
