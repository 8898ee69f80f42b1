"""Answers about how strong a sanitizer is or should be, a label read aloud included."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

from assistant.dialogue.answer import Answer, Request, Value, answers, degrees, plain
from assistant.dialogue.answers.advice import (
    allowed,
    only_kind,
    product_for,
    strength_text,
    strengths_here,
    told,
)
from assistant.rules.basis import Citation, Judgement, Verdict
from assistant.rules.product import Between, Product, SanitizerKind, Strength
from assistant.rules.sanitizer import judge_chlorine, judge_iodine, judge_quat, strength_range
from intents.figures import bare_numbers, first_range, label_said
from intents.ranges import SpokenRange

MOST_ONES, LEAST_HUNDREDS = Decimal(9), Decimal(50)
"""A label read in ones beside a strip read in hundreds means hundreds."""
LABEL_SAID = Citation("product label, as read aloud", "strength", flag="SITE")


@answers("sanitizer_strength")
def should_read(request: Request) -> Answer:
    """Say the strength that a strip should show."""
    kind = only_kind(request)
    if kind is None:
        kinds: tuple[SanitizerKind, ...] = ("chlorine", "quat")
        values: dict[str, Value] = {k: strength_text(allowed(k, request)) for k in kinds}
        return told(request, "all", *allowed("chlorine", request).citations, values=values)
    span = allowed(kind, request)
    reply: str = "quat_unknown" if kind == "quat" and span.low is None else kind
    sources, details = span.decided(span.low_law if product_for(kind, request) else None)
    if kind == "quat" and "law" in details:
        reply = "quat_law"
    law = str(details.get("law", ""))
    return told(request, reply, *sources, range=strength_text(span), top=plain(span.high), law=law)


@answers("strength_ok")
def right(request: Request) -> Answer:
    """Judge a strength that was asked about, by the label read aloud if one was, and log nothing."""
    label = label_said(request.slots.heard) if request.slots.heard else None
    reading = _reading(request, label)
    if reading is None:
        return Answer("which_number", ask="ppm")
    label = _in_hundreds(label, reading)
    bound = request.slots.has("bound_over", "bound_under")
    kind = only_kind(request) or (_kind_of_label(label) if label else None)
    said = label or (first_range(request.slots.heard) if request.slots.heard else None)
    if said is not None and request.slots.usage.chemical and kind and product_for(kind, request):
        return _by_own_label(request, reading, kind, said)
    if kind is None:
        return Answer("ask_kind", ask="chlorine_word|quat_word|iodine_word")
    if bound and label is None:  # "darker than two hundred" is more than 200, by nobody knows how much
        span = allowed(kind, request)
        return Answer("bound", {"range": strength_text(span)}, span.citations)
    return judged_strength(request, reading, kind, label)


def judged_strength(
    request: Request, reading: Decimal, kind: SanitizerKind, label: SpokenRange | None
) -> Answer:
    """Return the answer for one strength of one sanitizer."""
    product = product_for(kind, request)
    if label is not None:
        product = Product("the product", kind, label.low, label.high)
    judged = _judge(kind, reading, request, product)
    span = strength_range(kind, request.profile, product)
    values = {"value": f"{plain(reading)} ppm", "range": strength_text(span), "water_min": ""}
    sources = ((LABEL_SAID,) if label else ()) + judged.citations
    if judged.verdict is Verdict.PASS and kind == "chlorine" and reading < 100:
        limit = request.profile.limit("chlorine_50_water_min")
        values["water_min"] = degrees(limit.value, limit.unit)
        return Answer("warm", values, (*sources, limit.citation), judged.verdict)
    return Answer(judged.reason, values, sources, judged.verdict)


def _by_own_label(request: Request, reading: Decimal, kind: SanitizerKind, said: SpokenRange) -> Answer:
    """Judge by the label of the place meant; a range said that is another's does not count."""
    answer = judged_strength(request, reading, kind, None)
    own = allowed(kind, request)
    if (own.low, own.high) == (said.low, said.high):
        return answer
    others = f"{plain(said.low)}-{plain(said.high)} ppm"
    reply = f"{answer.reply}_not_by" if answer.reply in ("too_high", "too_low") else answer.reply
    return replace(answer, reply=reply, values={**answer.values, "said": others})


def _judge(kind: SanitizerKind, ppm: Strength, request: Request, product: Product | None) -> Judgement:
    if kind == "quat":
        return judge_quat(ppm, None, request.profile, product)
    rule = judge_chlorine if kind == "chlorine" else judge_iodine
    return rule(ppm, None, None, request.profile, product)


def _in_hundreds(label: SpokenRange | None, reading: Decimal) -> SpokenRange | None:
    """Return "two to four" beside a strip of 250 as the 200-400 that it stands for."""
    if label is None or label.high > MOST_ONES or reading < LEAST_HUNDREDS:
        return label
    return SpokenRange(label.low * 100, label.high * 100, label.start, label.end)


def _reading(request: Request, label: SpokenRange | None) -> Decimal | None:
    inside = range(label.start, label.end) if label else range(0)
    said = request.slots.measure("ppm")
    if said is not None and said.start not in inside:
        return said.value
    heard = request.slots.heard
    bare = bare_numbers(heard) if heard is not None else ()
    return next((value for value, at in bare if at not in inside), None)


def _kind_of_label(label: SpokenRange) -> SanitizerKind:
    """Only quat labels go above the chlorine ceiling, only iodine stays under 50."""
    if label.high > 200:
        return "quat"
    return "iodine" if label.high <= 25 else "chlorine"


@answers("strip_between")
def between(request: Request) -> Answer:
    """Say what a colour between two blocks is worth."""
    span = first_range(request.slots.heard) if request.slots.heard else None
    kind = only_kind(request)
    text, sources = strengths_here(request)
    source = Citation("test strip makers' notes", "storage and use", "any", "READ")
    if span is None or kind is None:
        return told(request, "answer", source, *sources, range=text)
    judged = _judge(kind, Between(span.low, span.high), request, product_for(kind, request))
    ends = {"low": plain(span.low), "high": f"{plain(span.high)} ppm"}
    return told(request, "pass" if judged.passed else "fail", source, *sources, range=text, values=ends)
