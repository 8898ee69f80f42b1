"""Answers about utensils in use, dropped ones, tasting, and one tool or board for two foods."""

from __future__ import annotations

from assistant.dialogue.answer import Answer, Request, answers, degrees
from assistant.dialogue.answers.advice import told
from assistant.dialogue.statements import asks
from assistant.rules.basis import Citation
from assistant.rules.surfaces import BETWEEN, STRICT, judge_board
from assistant.rules.utensils import SOURCE, judge_utensil_rest

LIMITS = {
    "hot": "utensil_water_hot_min",
    "cold": "utensil_water_cold_max",
    "hours": "clean_in_use_hours_max",
}
_WHEN_DONE = frozenset("used touched went put plated served grabbed flipped".split())
TASTING = Citation("FDA Food Code 2022", "3-301.12", "fda_2022", "MEMORY")
FLOOR = Citation("FDA Food Code 2022", "3-701.11", "fda_2022", "MEMORY", "contaminated food is discarded")
DROPPED = Citation("FDA Food Code 2022", "4-602.11(A)(5)", "fda_2022", "READ", "after any contamination")


@answers("utensil_rest")
def rest(request: Request) -> Answer:
    """Say where a utensil may rest."""
    slots = request.slots
    temperature = (
        slots.temperature(request.site.kitchen.units) if slots.measure("temperature", "number") else None
    )
    if temperature is not None and temperature.in_unit("F") > 20:
        return _water(request)
    for concepts, reply in (
        (("in_sanitizer_word",), "sanitizer"),
        (("well_off",), "water"),
        (("running_well",), "running"),
        (("ice_scoop", "ice_scoop_bad", "bare_scoop"), "ice"),
        (("in_water",), "water"),
        (("bad_rest",), "bad"),
        (("handle_word",), "handle"),
        (("in_food",), "food"),
        (("good_rest",), "surface"),
    ):
        if slots.has(*concepts):
            return told(request, reply, SOURCE, limits=LIMITS, value="")
    return told(request, "answer", SOURCE, limits=LIMITS, value="")


def _water(request: Request) -> Answer:
    water = request.slots.temperature(request.site.kitchen.units)
    assert water is not None
    judged = judge_utensil_rest("standing_water", request.profile, water)
    reply = {"water_hot": "water_hot", "water_cold": "water_cold"}.get(judged.reason, "water")
    value = degrees(water.value, water.unit)
    answer = told(request, reply, *judged.citations, limits=LIMITS, value=value)
    return Answer(answer.reply, answer.values, answer.sources, judged.verdict, caution=answer.caution)


@answers("same_tool")
def same_tool(request: Request) -> Answer:
    """Keep raw tools off cooked and ready-to-eat food."""
    words = set(request.slots.words)
    if _done(request) and words & _WHEN_DONE:
        return told(request, "done", BETWEEN)
    if words & {"plate", "platter", "tray", "pan", "container", "bowl"} and not words & {"tongs", "spatula"}:
        return told(request, "plate", BETWEEN)
    board = words & {"board", "boards", "knife", "knives", "table", "surface", "slicer", "blender"}
    if board and request.slots.has("change_word", "cleans_word") and request.slots.has("afterwards"):
        return told(request, "board_clean", BETWEEN)
    spot = bool(board) or request.slots.has("where_raw")
    return told(request, "board" if spot else "tongs", BETWEEN)


def _done(request: Request) -> bool:
    """True for a report of what was done already ("used the same tongs on raw and cooked chicken")."""
    heard = request.slots.heard
    return heard is not None and not asks(heard) and bool(_WHEN_DONE & set(request.slots.words))


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
    if _done(request) and first.raw_animal and not second.raw_animal:
        return told(request, "done", *judged.citations, limits=LIMITS, values=names)
    return told(request, "same" if same else "clean", *judged.citations, limits=LIMITS, values=names)


@answers("which_board")
def which(request: Request) -> Answer:
    """Say which board or knife is used."""
    knife = request.slots.has("which_knife") and not request.slots.has("which_board")
    return told(request, "knife" if knife else "answer", STRICT, BETWEEN)


@answers("dropped")
def dropped(request: Request) -> Answer:
    """Say what to do with a tool, or with food, that was on the floor."""
    food = request.slots.foods or request.slots.has("food_fell")
    if food and not request.slots.has("tool", "use_pan", "board_tool"):
        return told(request, "food", FLOOR)
    return told(request, "answer", DROPPED)


@answers("tasting")
def taste(request: Request) -> Answer:
    """Say how to taste; nothing raw of an animal is tasted."""
    return told(request, "raw" if request.slots.has("raw_word") else "answer", TASTING)
