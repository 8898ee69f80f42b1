"""Turns judged readings into entries and into the words of the call-back."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal

from assistant.dialogue.answer import Value, degrees, judged, plain
from assistant.dialogue.judge import Judged
from assistant.logbook.entry import Clip, Draft, Limits
from assistant.rules.basis import Citation, Range, Verdict
from assistant.site import Site
from intents.catalogue import Intent


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
    """Return a reading's value as shown ("38°F", "200 ppm")."""
    if item.unit in ("F", "C"):
        return degrees(item.reading.value, item.unit)
    return f"{plain(item.reading.value)} {item.unit}"


def reply_for(item: Judged, intent: Intent, site: Site) -> tuple[str, Mapping[str, Value]]:
    """Return the reply line of a judged reading and its values: the most exact key that the table has.

    Keys are tried from ``<topic>.<verdict>.<reason>`` down to ``<verdict>``.
    """
    verdict = item.judgement.verdict.value.replace(" ", "_")
    keys = (f"{item.topic}.{verdict}.{item.judgement.reason}", f"{item.topic}.{verdict}", verdict)
    key = next(key for key in keys if key in intent.replies)
    product = site.product_of(item.reading.subject)
    values = judged(
        item.judgement,
        place=_first_capital(site.spoken_name(item.reading.subject)),
        value=value_text(item),
        product=product.title or product.kind if product else "",
        where=site.spoken_name(item.reading.place) if item.reading.place else "",
    )
    return intent.replies[key], values


def _first_capital(text: str) -> str:
    return text[:1].upper() + text[1:]
