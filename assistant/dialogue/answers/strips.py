"""Answers about test strips; a strip that gives no reading is logged as one not taken, with the reason."""

from __future__ import annotations

from assistant.dialogue.answer import Answer, Request, answers
from assistant.dialogue.answers.advice import always, only_kind, told
from assistant.logbook.entry import Draft
from assistant.rules.basis import Citation
from assistant.rules.strips import STRIP_MAKER, TEST_KIT, Strip, judge_strip

OFTEN = Citation("common practice, no source", "how often sanitizer is tested", flag="PRACTICE")
GENERAL = frozenset("do does did should would could what what's how when why which if are".split())
"""Words that open a question about strips in general: nothing was missed, so nothing is logged."""


def _report(request: Request) -> bool:
    words = request.slots.words
    return bool(words) and words[0] not in GENERAL and not (words[0] == "can" and "these" not in words)


def no_reading(request: Request, reply: str, reason: str, *sources: Citation) -> Answer:
    """Return an answer to a strip without a reading; a report of one is logged with its reason."""
    drafts: tuple[Draft, ...] = ()
    if _report(request):
        place = next(iter(request.slots.places), "")
        subject = place or "sanitizer"
        drafts = (Draft(kind="not_taken", subject=subject, place=place, measured="ppm", note=reason),)
    limits = {"hot": "manual_hot_water_min", "seconds": "hot_water_contact_min"}
    answer = told(request, reply, *sources, limits=limits)
    return Answer(answer.reply, answer.values, answer.sources, drafts=drafts)


@answers("strip_wrong")
def wrong(request: Request) -> Answer:
    """Say which paper the chemical needs."""
    slots = request.slots
    paper = "chlorine" if slots.has("chlorine_strip") else "quat" if slots.has("quat_strip") else None
    words = " ".join(slots.words)
    solution = (
        "quat"
        if paper == "chlorine" and slots.has("quat_word")
        else "chlorine"
        if paper == "quat" and slots.has("chlorine_word")
        else None
    )
    if paper and solution is None and ("right" in words or "for" in slots.words):
        return told(request, "other", TEST_KIT)
    judged = judge_strip(Strip(paper), solution or ("quat" if paper != "quat" else "chlorine"))  # type: ignore[arg-type]
    if solution is None:
        return no_reading(request, "other", "not tested, wrong strip", *judged.citations)
    return no_reading(request, solution, "not tested, wrong strip", *judged.citations)


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


@answers("strip_kind")
def kind(request: Request) -> Answer:
    """Say which paper goes with the sanitizer named."""
    return told(request, only_kind(request) or "all", TEST_KIT)


@answers("strip_how")
def how(request: Request) -> Answer:
    """Say how a strip is read; a colour by its name is no reading."""
    return told(request, "colour" if request.slots.has("colour_name") else "answer", STRIP_MAKER)


always("strip_when", TEST_KIT, OFTEN)
always("strip_blank", TEST_KIT, STRIP_MAKER)
