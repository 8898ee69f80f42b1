"""Answers about test strips; a strip that gives no reading is logged as one not taken, with the reason."""

from __future__ import annotations

from assistant.dialogue.answer import Answer, Request, answers
from assistant.dialogue.answers.advice import always, told
from assistant.logbook.entry import Draft
from assistant.rules.basis import Citation
from assistant.rules.strips import STRIP_MAKER, TEST_KIT, Strip, judge_strip

OFTEN = Citation("common practice, no source", "how often sanitizer is tested", flag="PRACTICE")


def no_reading(request: Request, reply: str, reason: str, *sources: Citation) -> Answer:
    """Return an answer to a strip without a reading; a report of one is logged with its reason."""
    drafts: tuple[Draft, ...] = ()
    if not request.slots.asked:
        place = next(iter(request.slots.places), "")
        subject = place or "sanitizer"
        drafts = (Draft(kind="not_taken", subject=subject, place=place, measured="ppm", note=reason),)
    limits = {"hot": "manual_hot_water_min", "seconds": "hot_water_contact_min"}
    answer = told(request, reply, *sources, limits=limits)
    return Answer(answer.reply, answer.values, answer.sources, drafts=drafts)


@answers("strip_wrong")
def wrong(request: Request) -> Answer:
    """Say which paper the chemical needs."""
    sources = judge_strip(Strip("chlorine"), "quat").citations
    return no_reading(request, "answer", "not tested, wrong strip", *sources)


@answers("strip_expired")
def expired(request: Request) -> Answer:
    """Refuse strips past their date."""
    sources = judge_strip(Strip(expired=True), "quat").citations
    return no_reading(request, "answer", "not tested, strips expired", *sources)


@answers("strip_wet")
def wet(request: Request) -> Answer:
    """Refuse strips that got damp."""
    sources = judge_strip(Strip(wet_vial=True), "quat").citations
    return no_reading(request, "answer", "not tested, strips wet", *sources)


@answers("strip_none")
def none_left(request: Request) -> Answer:
    """Say what to do without strips."""
    return no_reading(request, "answer", "not tested, no strips", TEST_KIT)


always("strip_kind", TEST_KIT)
always("strip_how", STRIP_MAKER)
always("strip_when", TEST_KIT, OFTEN)
always("strip_blank", TEST_KIT, STRIP_MAKER)
