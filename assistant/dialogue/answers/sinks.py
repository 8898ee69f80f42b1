"""Answers about the three-compartment sink, hot water as sanitizer, and what each sink is for."""

from __future__ import annotations

from assistant.dialogue.answer import Answer, Request, answers
from assistant.dialogue.answers.advice import always, by_reading
from assistant.rules.basis import Citation
from assistant.rules.hot_water import judge_hot_water
from assistant.rules.setups import setup_steps
from assistant.rules.sinks import Sink, judge_sink_use

STEPS = tuple(step.citation for step in setup_steps("three_compartment_sink"))
CHANGE = Citation(
    "FDA Food Code 2022", "4-501.18", "fda_2022", "MEMORY", "wash, rinse and sanitizing water clean"
)
LAUNDRY = Citation("FDA Food Code 2022", "4-803.13", flag="MEMORY", note="where linens are washed")
ACCESS = Citation("FDA Food Code 2022", "5-205.11", "fda_2022", "READ")
SINKS: tuple[Sink, ...] = ("hand_sink", "prep_sink", "three_compartment_sink", "mop_sink")
USES = tuple(source for sink in SINKS for source in judge_sink_use(sink, "wash_produce").citations)


@answers("hot_water_sanitizing")
def hot_water(request: Request) -> Answer:
    """Say how hot and how long, or judge the water said."""
    return by_reading(
        request,
        lambda reading: judge_hot_water(reading, request.profile),
        {"water_too_cold": "short"},
        least=60,
        limits={"hot": "manual_hot_water_min", "seconds": "hot_water_contact_min"},
    )


always("sink_order", *STEPS, wash="manual_wash_water_min")
always("sink_use", *USES, LAUNDRY)
always("hand_place", *judge_sink_use("prep_sink", "wash_hands").citations)
always("hand_sink_blocked", ACCESS)
always("skip_step", *STEPS)
always("sink_setup", *STEPS, wash="manual_wash_water_min")
always("wash_water", wash="manual_wash_water_min")
always("sink_change", CHANGE)
always("sink_missing", Citation("FDA Food Code 2022", "4-301.12", "fda_2022", "MEMORY"))
