"""Answers about utensils in use, dropped ones, tableware, tasting, and one tool or board for two foods."""

from __future__ import annotations

from assistant.dialogue.answer import Answer, Request, answers
from assistant.dialogue.answers.advice import always, by_reading, told
from assistant.rules.basis import Citation
from assistant.rules.surfaces import BETWEEN, STRICT, judge_board
from assistant.rules.utensils import SOURCE, judge_utensil_rest

LIMITS = {
    "hot": "utensil_water_hot_min",
    "cold": "utensil_water_cold_max",
    "hours": "clean_in_use_hours_max",
}
COLDEST_WATER = 20
"""Degrees F: a number below is none of water."""
TASTING = Citation("FDA Food Code 2022", "3-301.12", "fda_2022", "MEMORY")
FLOOR = Citation("FDA Food Code 2022", "3-701.11", "fda_2022", "MEMORY", "contaminated food is discarded")
TABLEWARE = (
    Citation("FDA Food Code 2022", "4-904.11", "fda_2022", "MEMORY", "handles only, or wrapped"),
    Citation("FDA Food Code 2022", "4-903.11", "fda_2022", "MEMORY", "clean, dry, covered or inverted"),
)
LAID = Citation("FDA Food Code 2022", "4-904.13", "fda_2022", "MEMORY", "preset tableware")
DROPPED = Citation("FDA Food Code 2022", "4-602.11(A)(5)", "fda_2022", "READ", "after any contamination")


@answers("utensil_rest")
def rest(request: Request) -> Answer:
    """Say where a utensil may rest."""
    return by_reading(
        request,
        lambda water: judge_utensil_rest("standing_water", request.profile, water),
        {"water_hot": "water_hot", "water_cold": "water_cold", "water_lukewarm": "water"},
        SOURCE,
        least=COLDEST_WATER,
        limits=LIMITS,
    )


@answers("board_next")
def board(request: Request) -> Answer:
    """Say whether a board is cleaned between two foods; strict practice cleans after each kind."""
    first, second = request.slots.food(0), request.slots.food(1)
    assert first is not None
    assert second is not None
    names = {"a": request.slots.foods[0], "b": request.slots.foods[1]}
    judged = judge_board(first, second)
    backward = judge_board(second, first)
    same = judged.passed and backward.passed
    return told(request, "same" if same else "clean", *judged.citations, limits=LIMITS, values=names)


@answers("tableware")
def tableware(request: Request) -> Answer:
    """Say how clean tableware is held and kept, or laid ahead of the guests."""
    if request.slots.has("laid_table"):
        return told(request, "laid", LAID)
    return told(request, "answer", *TABLEWARE, limits={"clearance": "floor_clearance_min"})


always("same_tool", BETWEEN)
always("which_board", STRICT, BETWEEN)
always("dropped", DROPPED, FLOOR)
always("tasting", TASTING)
