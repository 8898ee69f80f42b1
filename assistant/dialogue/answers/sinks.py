"""Answers about the three-compartment sink, hot water as sanitizer, and what each sink is for."""

from __future__ import annotations

from assistant.dialogue.answer import Answer, Request, answers, degrees
from assistant.dialogue.answers.advice import always, told
from assistant.rules.basis import Citation
from assistant.rules.hot_water import judge_hot_water
from assistant.rules.setups import setup_steps
from assistant.rules.sinks import Sink, SinkUse, judge_sink_use

STEPS = tuple(step.citation for step in setup_steps("three_compartment_sink"))
CHANGE = Citation(
    "FDA Food Code 2022", "4-501.18", "fda_2022", "MEMORY", "wash, rinse and sanitizing water clean"
)
LAUNDRY = Citation("FDA Food Code 2022", "4-803.13", flag="MEMORY", note="where linens are washed")
ACCESS = Citation("FDA Food Code 2022", "5-205.11", "fda_2022", "READ")
NAMES = {
    "use_prep_sink": "prep sink",
    "use_dish_sink": "three-compartment sink",
    "use_mop_sink": "mop sink",
    "use_hand_sink": "hand sink",
}
SINKS: tuple[tuple[str, Sink], ...] = (
    ("hand_sink_word", "hand_sink"),
    ("prep_sink_word", "prep_sink"),
    ("mop_sink_word", "mop_sink"),
    ("dish_sink_word", "three_compartment_sink"),
)


@answers("sink_order")
def order(request: Request) -> Answer:
    """Say which compartment does what."""
    slots = request.slots
    asked = slots.has("what") or slots.has("for_word")
    reply = "answer"
    if asked and not slots.has("order_words"):
        if slots.has("second_sink") and not slots.has("third_sink", "first_sink"):
            reply = "rinse"
        elif slots.has("third_sink") and not slots.has("second_sink", "first_sink"):
            reply = "sanitize"
        elif slots.has("first_sink") and not slots.has("second_sink", "third_sink"):
            reply = "wash"
    return told(request, reply, *STEPS, limits={"wash": "manual_wash_water_min"})


@answers("hot_water_sanitizing")
def hot_water(request: Request) -> Answer:
    """Say how hot and how long, or judge the water said."""
    temperature = request.slots.temperature(request.site.kitchen.units)
    limits = {"hot": "manual_hot_water_min", "seconds": "hot_water_contact_min"}
    if temperature is None or temperature.in_unit("F") < 60:
        return told(request, "answer", limits=limits, value="")
    judged = judge_hot_water(temperature, request.profile)
    value = degrees(temperature.value, temperature.unit)
    answer = told(request, "fine" if judged.passed else "short", limits=limits, value=value)
    return Answer(answer.reply, answer.values, answer.sources, judged.verdict, caution=answer.caution)


def _use(request: Request) -> SinkUse:
    slots = request.slots
    if slots.has("mop_water"):
        return "dump_mop_water"
    if slots.has("use_fill") or (slots.has("bucket_word") and not slots.has("washing_word")):
        return "fill_bucket"
    if slots.has("use_pan") and not slots.foods:
        return "wash_dishes"
    if slots.has("thaw"):
        return "thaw"
    return "wash_produce" if slots.foods or slots.has("produce_word") else "wash_dishes"


@answers("sink_use")
def use(request: Request) -> Answer:
    """Say whether a sink may be used for something."""
    if request.slots.has("clothes_word") and not request.slots.has("bucket_word"):
        return told(request, "laundry", LAUNDRY)
    if request.slots.has("raw_sink") and not request.slots.has("hand_sink_word", "mop_sink_word"):
        return told(request, "dish_food", *STEPS)
    use_ = _use(request)
    named = [name for word, name in SINKS if request.slots.has(word)]
    # "The mop sink, when the prep sink's full": the one that may not be used is asked about.
    sink = min(named, key=lambda name: judge_sink_use(name, use_).passed, default=None)
    if sink is None:
        return told(request, "mop_water", judge_sink_use("mop_sink", "dump_mop_water").citations[0])
    judged = judge_sink_use(sink, use_)
    other = NAMES.get(judged.action, "three-compartment sink")
    if request.slots.has("use_ice") and sink == "hand_sink":
        other = "three-compartment sink"
    if judged.passed:
        prep = "prep_yes" if sink == "prep_sink" else "dish_food" if request.slots.foods else "prep_yes"
        return told(request, prep, *judged.citations, other=other)
    reply = {"hand_sink": "hand_sink", "prep_sink": "prep_no", "mop_sink": "mop"}.get(sink, "dish_no")
    return told(request, reply, *judged.citations, other=other)


@answers("hand_place")
def hand_place(request: Request) -> Answer:
    """Hands are washed at a hand sink only."""
    judged = judge_sink_use("prep_sink", "wash_hands")
    named = request.slots.has("prep_sink_word", "dish_sink_word", "mop_sink_word", "bar_sink_word")
    return told(request, "answer" if named else "where", *judged.citations)


@answers("hand_sink_blocked")
def blocked(request: Request) -> Answer:
    """Keep the hand sink free and working."""
    return told(request, "clogged" if request.slots.has("clogged") else "answer", ACCESS)


@answers("skip_step")
def skip(request: Request) -> Answer:
    """No step is skipped; where one was, what it touched is the question."""
    return told(request, "done" if request.slots.has("not_sanitized") else "answer", *STEPS)


always("sink_setup", *STEPS, wash="manual_wash_water_min")
always("wash_water", wash="manual_wash_water_min")
always("sink_change", CHANGE)
always("sink_missing", Citation("FDA Food Code 2022", "4-301.12", "fda_2022", "MEMORY"))
