"""Answers about gloves and bare hands."""

from __future__ import annotations

from assistant.dialogue.answer import Answer, Request, answers
from assistant.dialogue.answers.advice import always, told
from assistant.rules.basis import Citation
from assistant.rules.gloves import BARE_HANDS, GLOVE, judge_glove_change, judge_glove_material, judge_touch
from assistant.rules.hands import judge_instead_of_washing

CHANGES = ("raw_to_ready_to_eat", "soiled", "torn")
SPLIT = Citation("common practice, no source", "gloves every 4 hours in one task", flag="PRACTICE")


@answers("glove_kind")
def kind(request: Request) -> Answer:
    """Say which gloves are for food."""
    judged = judge_glove_material("latex", request.profile)
    return told(request, "answer" if judged.passed else "barred", *judged.citations)


always("glove_change", *(source for why in CHANGES for source in judge_glove_change(why).citations), SPLIT)
always("glove_before", *judge_instead_of_washing("new_gloves").citations)
always("bare_hands", BARE_HANDS, *judge_touch("raw_to_be_cooked", "bare").citations)
always("glove_reuse", GLOVE)
always("glove_double", GLOVE)
