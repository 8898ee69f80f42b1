"""Gloves and bare hands: when to change, what a glove does not replace, and the material."""

from __future__ import annotations

from typing import Literal, cast

from assistant.rules.basis import Citation, Flag, Judgement, Verdict
from assistant.rules.profile import Profile
from assistant.rules.tables import read_table

FoodTouched = Literal["ready_to_eat", "raw_to_be_cooked", "washing_produce"]
Cover = Literal["bare", "glove", "tongs", "tissue", "spatula", "dispensing_equipment"]
GLOVE = Citation("WAC 246-215", "03342", "washington", "READ", "model code 3-304.15")
BARE_HANDS = Citation("FDA Food Code 2022", "3-301.11", "fda_2022", "MEMORY")


def judge_touch(food: FoodTouched, cover: Cover, *, susceptible_guests: bool = False) -> Judgement:
    """Judge touching food: ready-to-eat food is never touched with bare hands."""
    if cover != "bare" or food == "washing_produce":
        return Judgement(Verdict.PASS, "covered" if cover != "bare" else "washing_produce", (BARE_HANDS,))
    if food == "raw_to_be_cooked":
        return Judgement(Verdict.PASS, "will_be_cooked", (BARE_HANDS,), action="wash_hands")
    details = {"guests": "susceptible"} if susceptible_guests else {}
    return Judgement(
        Verdict.FAIL, "bare_hands", (BARE_HANDS,), action="discard_or_reheat", details={**details}
    )


def judge_glove_change(event: str) -> Judgement:
    """Say whether gloves have to be changed after ``event`` and whether hands are washed in between.

    Events are the rows of ``glove_changes``; raises ``LookupError`` for another.
    """
    for row in read_table("glove_changes"):
        if row["event"] == event:
            note = row["note"]
            citation = Citation(row["document"], row["section"], "fda_2022", cast(Flag, row["flag"]), note)
            if row["change"] == "no":
                return Judgement(Verdict.PASS, "keep_gloves", (citation,))
            action = "wash_hands_new_gloves" if row["wash"] == "yes" else "new_gloves"
            return Judgement(Verdict.FAIL, "change_gloves", (citation,), action=action)
    known = ", ".join(row["event"] for row in read_table("glove_changes"))
    raise LookupError(f"no glove rule for '{event}'; choose one of: {known}")


def judge_glove_material(material: str, profile: Profile) -> Judgement:
    """Judge the glove material: natural rubber latex is barred for food in some states."""
    limit = profile.limit("latex_gloves_barred")
    if material != "latex":
        return Judgement(Verdict.PASS, "material_ok", (GLOVE,))
    if limit.value:
        return Judgement(Verdict.FAIL, "latex_barred", (limit.citation,), action="use_other_gloves")
    return Judgement(Verdict.PASS, "latex_discouraged", (limit.citation,), action="use_other_gloves")
