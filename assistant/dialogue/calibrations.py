"""A probe checked or adjusted in ice water: what it read before and what it reads now, judged and logged."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

from assistant.dialogue.answer import Answer, Value, degrees, plain
from assistant.dialogue.answers.thermometers import OFTEN
from assistant.dialogue.conversation import Conversation
from assistant.dialogue.gate import agreed
from assistant.dialogue.hearing import Heard
from assistant.dialogue.outcome import Outcome
from assistant.logbook.entry import Draft
from assistant.rules.basis import Temperature, Verdict
from intents.mentions import Measure

CHECK, READING = "probe_check", "reading"
ICE_F = 32
PROBES = "probe_"
"""How the names of intents begin that are about probes."""
_FEW = 2
_TOLD = 0.5
"""From this share on a number in ice is told (judgement)."""
_NEAR_ICE = 50
"""No probe in ice water shows more degrees (judgement)."""


def told(talk: Conversation, heard: Heard) -> Outcome | None:
    """Log "adjusted the probe, it was two, now zero"; ``None`` without adjusting, or ice, and a number."""
    read, lexicon = heard.interpretation.heard, talk.interpreter.lexicon
    words = set(read.words)
    adjusted = bool(words & lexicon.list("calibrated"))
    if read.asks or not (adjusted or _checked(talk, heard)):
        return None
    last = talk.state.last_request
    before_this = last if last is not None and talk.state.recent(talk.clock.now()) else None
    of_probes = before_this is not None and before_this.intent.startswith(PROBES)
    of_probes = of_probes or heard.interpretation.meaning.best.intent.startswith(PROBES)
    if not (words & lexicon.list("probes") or of_probes):
        return None
    numbers = [m for m in read.free_measures if m.kind in ("number", "temperature") and len(m.options) == 1]
    if not 1 <= len(numbers) <= _FEW:
        return None
    if not agreed(heard):
        return Outcome(Answer("say_again"), READING, keep_context=True)
    old, new = _ordered(read.words, numbers, lexicon.list("read_before"), lexicon.list("reads_now"))
    if old is None and of_probes and before_this is not None:
        old = next((m for m in before_this.slots.measures if m.kind in ("number", "temperature")), None)
    return _logged(talk, old.value if old is not None else None, new.value, adjusted=adjusted)


def _checked(talk: Conversation, heard: Heard) -> bool:
    """True for "in the ice she says thirty five", where no probe is a place with readings of its own."""
    read = heard.interpretation
    tells = talk.addressed and read.meaning.share_of("tell", "answer") >= _TOLD
    in_ice = read.heard.has("ice_bath", "measured_ice water") and not read.heard.names.get("food")
    near = all(m.value <= _NEAR_ICE for m in read.heard.free_measures)
    return tells and in_ice and near and not any(item.kind == "probe" for item in talk.site.places)


def _ordered(
    words: tuple[str, ...], numbers: list[Measure], before: frozenset[str], now: frozenset[str]
) -> tuple[Measure | None, Measure]:
    """Return what was read before and what is read now: told by the word in front, else in the order said."""
    if len(numbers) == 1:
        return None, numbers[0]
    first, second = numbers
    lead = [set(words[max(0, m.start - 3) : m.start]) for m in numbers]
    turned = lead[0] & now or (lead[1] & before and not lead[0] & before)
    return (second, first) if turned else (first, second)


def _logged(talk: Conversation, old: Decimal | None, new: Decimal, *, adjusted: bool) -> Outcome:
    """Return the entry with its verdict: ice water shows 32 degrees Fahrenheit, within a tolerance."""
    unit = talk.site.kitchen.units
    limit = talk.site.profile.limit("probe_tolerance")
    read = Temperature(new, "C" if unit == "C" else "F").in_unit("F")
    verdict = Verdict.PASS if abs(read - ICE_F) <= Fraction(limit.value) else Verdict.FAIL
    note = "calibrated" if adjusted else "checked"
    note += f", before {degrees(old, unit)}" if old is not None else ""
    draft = Draft(
        kind="event", subject="probe", measured="ice water", value=plain(new), unit=unit,
        verdict=verdict.value, note=note,
    )  # fmt: skip
    before = degrees(old, unit) if old is not None else ""
    values: dict[str, Value] = {"now": degrees(new, unit), "before": before}
    reply = "calibrated" if verdict is Verdict.PASS else "still_off"
    if not adjusted:
        reply = "checked" if verdict is Verdict.PASS else "off"
    elif old is not None and verdict is Verdict.PASS:
        reply = "calibrated_from"
    return Outcome(Answer(reply, values, (OFTEN, limit.citation), verdict, (draft,)), CHECK)
