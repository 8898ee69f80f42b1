"""Turns judged readings into entries and into the words of the call-back."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from math import ceil, floor

from assistant.dialogue.answer import Request, Value, capital, degrees, judged, plain, range_text
from assistant.dialogue.judge import Judged
from assistant.dialogue.moments import shown_time
from assistant.logbook.entry import Clip, Draft, Limits
from assistant.logbook.views import Line
from assistant.rules.basis import Citation, Judgement, Limit, Range, Temperature, Verdict
from assistant.site import Site
from intents.catalogue import Intent
from intents.readings import Reading

MACHINE_CHLORINE = "50-100 ppm"
"""What a chlorine dish machine should test at (common practice; its data plate decides)."""


@dataclass(frozen=True)
class Said:
    """Where the words of an entry come from."""

    words: str = ""
    confidence: Decimal | None = None
    engine: str = "typed"
    model: str = ""
    person: str = ""
    language: str = "en"
    clip: Clip | None = None

    def onto(self, draft: Draft) -> Draft:
        """Return ``draft`` with who said it, what was heard, and the clip."""
        confidence = None if self.confidence is None else f"{self.confidence:.3f}"
        return draft.model_copy(
            update={
                "words": self.words,
                "confidence": confidence,
                "engine": self.engine,
                "model": self.model,
                "person": draft.person or self.person,
                "language": self.language,
                "clip": self.clip,
            }
        )


def limits_text(span: Range | None, units: str) -> str:
    """Return limits as said, in Celsius for a Celsius kitchen, rounded to the safe side."""
    if span is not None and span.unit == "pH" and span.high is not None:
        return f"pH {plain(span.high)} or less"
    if span is None or span.unit != "F" or units != "C":
        return range_text(span)
    low = None if span.low is None else celsius(span.low, up=True)
    high = None if span.high is None else celsius(span.high, up=False)
    return range_text(Range("C", low, high))


def target_text(item: Judged, site: Site) -> str:
    """Return the strength a chemical dish machine should test at: chlorine's usual range, or the limits."""
    product = site.product_of(item.reading.subject)
    if product is None or product.kind == "chlorine":
        return MACHINE_CHLORINE
    return range_text(item.judgement.limits)


def limit_words(limit: Limit, units: str) -> str:
    """Return a least temperature as said, in the kitchen's unit."""
    if limit.unit == "F" and units == "C":
        return degrees(celsius(limit.value, up=True), "C")
    return degrees(limit.value, limit.unit)


def celsius(fahrenheit: Decimal, *, up: bool) -> Decimal:
    """Return whole degrees Celsius, rounded up for a least temperature and down for a greatest."""
    exact = Temperature(fahrenheit, "F").in_unit("C")
    return Decimal(ceil(exact) if up else floor(exact))


def limits_of(span: Range | None) -> Limits | None:
    """Return a rule's range as the log keeps it."""
    if span is None:
        return None
    low = None if span.low is None else plain(span.low)
    high = None if span.high is None else plain(span.high)
    return Limits(low=low, high=high, unit=span.unit)


def rule_text(citations: Iterable[Citation]) -> str:
    """Return document and section of the first source."""
    first = next(iter(citations), None)
    return f"{first.document}, {first.section}" if first else ""


def bound_text(reading: Reading) -> str:
    """Return a strip's colour that is no one number as words ("over 200 ppm"), else an empty string."""
    if reading.bound == "between":
        return f"between {plain(reading.value)} and {plain(reading.upper or reading.value)} ppm"
    return f"{reading.bound} {plain(reading.value)} ppm" if reading.bound else ""


def digits_text(reading: Reading) -> str:
    """Return a reading's number for reading it back digit by digit."""
    if reading.bound == "between":
        return f"between ⟦{plain(reading.value)}⟧ and ⟦{plain(reading.upper or reading.value)}⟧"
    return f"{reading.bound} ⟦{plain(reading.value)}⟧".strip()


def reading_draft(item: Judged, site: Site) -> Draft:
    """Return the entry of one judged reading."""
    reading = item.reading
    is_food = reading.subject_kind == "food"
    return Draft(
        kind="reading",
        subject=reading.subject,
        place=reading.place if is_food else reading.subject,
        item=reading.subject if is_food else "",
        measured=item.measured,
        value=plain(reading.value),
        unit=item.unit,
        verdict=item.judgement.verdict.value,
        limits=limits_of(item.judgement.limits),
        rule=rule_text(item.judgement.citations),
        profile=site.kitchen.profile,
        said_at=reading.said_at or None,
        note=bound_text(reading) or held_text(reading),
    )


def held_text(reading: Reading) -> str:
    """Return for how long a food was told to have stayed at its temperature, else an empty string."""
    if reading.held_s is None:
        return ""
    minutes = reading.held_s / 60
    if minutes >= 2 and minutes == int(minutes):
        return f"held {plain(minutes)} minutes"
    return f"held {plain(reading.held_s)} seconds"


def food_entry(
    request: Request, reading: Temperature, judged: Judgement, measured: str, verdict: Verdict
) -> Draft:
    """Return the entry of the first food's temperature that was reported within a sentence."""
    food = request.slots.foods[0]
    return Draft(
        kind="reading",
        subject=food,
        item=food,
        measured=measured,
        value=plain(reading.value),
        unit=reading.unit,
        verdict=verdict.value,
        limits=limits_of(judged.limits),
        rule=rule_text(judged.citations),
        profile=request.site.kitchen.profile,
    )


def drafts_for(items: Iterable[Judged], site: Site) -> tuple[Draft, ...]:
    """Return the readings' entries, each failed one followed by its corrective action."""
    drafts: list[Draft] = []
    for item in items:
        drafts.append(reading_draft(item, site))
        if item.judgement.verdict is Verdict.FAIL:
            drafts.append(
                Draft(
                    kind="action_opened",
                    subject=item.reading.subject,
                    measured=item.measured,
                    refers_to=-1,
                    note=item.judgement.action.replace("_", " "),
                )
            )
    return tuple(drafts)


def value_text(item: Judged) -> str:
    """Return a reading's value as shown ("38°F", "200 ppm"), with its time if another than now was told."""
    return _value_text(item) + time_text(item.reading)


def time_text(reading: Reading) -> str:
    """Return when a reading was, if that was told ("at 1:20 pm"), else an empty string."""
    return f" at {shown_time(datetime.fromisoformat(reading.said_at))}" if reading.said_at else ""


def _value_text(item: Judged) -> str:
    if item.reading.bound:
        return bound_text(item.reading)
    if item.unit == "pH":
        return f"pH {plain(item.reading.value)}"
    if item.unit in ("F", "C"):
        held = f" {text}" if (text := held_text(item.reading)) else ""
        return degrees(item.reading.value, item.unit) + held
    return f"{plain(item.reading.value)} {item.unit}"


def reply_for(item: Judged, intent: Intent, site: Site) -> tuple[str, Mapping[str, Value]]:
    """Return the reply line of a judged reading and its values: the most exact key that the table has.

    Keys are tried from ``<topic>.<verdict>.<reason>`` down to ``<verdict>``; one that ends in ``.law`` is for
    a code that is stricter than the label, one in ``.said`` for a label read aloud that is another's.
    """
    verdict = item.judgement.verdict.value.replace(" ", "_")
    exact = f"{item.topic}.{verdict}.{item.judgement.reason}"
    special = [f"{exact}.{why}" for why in ("law", "said") if why in item.judgement.details]
    keys = (*special, exact, f"{item.topic}.{verdict}", verdict)
    key = next(key for key in keys if key in intent.replies)
    product = site.product_of(item.reading.subject)
    profile, units = site.profile, site.kitchen.units
    values = judged(
        item.judgement,
        limits=limits_text(item.judgement.limits, units),
        plate=limit_words(profile.limit("dish_plate_min"), units),
        target=target_text(item, site),
        single=limit_words(profile.limit("dish_final_rinse_single_temperature_min"), units),
        place=capital(site.spoken_name(item.reading.subject)),
        value=value_text(item),
        weaker_water=limit_words(profile.limit("chlorine_50_water_min"), units),
        cold=limit_words(profile.limit("cold_holding_max"), units),
        product=product.title or product.kind if product else "",
        where=site.spoken_name(item.reading.place) if item.reading.place else "",
    )
    if "offset" in item.judgement.details:
        offset = Decimal(item.judgement.details["offset"])  # in Fahrenheit degrees
        values["offset"] = offset_text(round(offset * 5 / 9, 1) if item.unit == "C" else offset)
    return intent.replies[key], values


def offset_text(offset: Decimal) -> str:
    """Return by how much a thermometer is off ("2° high")."""
    return f"{plain(abs(offset))}° {'high' if offset > 0 else 'low'}"


def withdrawn(line: Line) -> Draft:
    """Return what takes an entry back: it stays in the log, struck through."""
    now = line.now
    return Draft(kind="withdrawal", subject=now.subject, measured=now.measured, refers_to=line.entry.id)
