"""The gate before the log: what may be logged after one hearing, what is asked, what is said again."""

from __future__ import annotations

from bisect import bisect
from collections.abc import Iterable
from decimal import Decimal
from enum import StrEnum

from assistant.dialogue.gate_table import gate_table
from assistant.dialogue.hearing import Heard
from intents.equipment_kinds import plausible, readable
from intents.mentions import READ, Understanding
from intents.readings import Reading


class Passage(StrEnum):
    """What the gate lets happen with readings."""

    LOG = "log"
    ASK = "ask"
    SAY_AGAIN = "say again"


def passage(heard: Heard, readings: Iterable[Reading], kind_of: dict[str, str]) -> Passage:
    """Decide for ``readings``; ``kind_of`` gives the kind of each place.

    A number that makes no sense for its place is always asked about, typed or spoken.
    """
    confusable = False
    for reading in readings:
        kind = kind_of.get(reading.place or reading.subject, "")
        if kind and not _makes_sense(reading, kind):
            return Passage.ASK if _on_a_gauge(reading) else Passage.SAY_AGAIN
        confusable = confusable or _has_sensible_double(reading, kind)
    if agreed(heard, "confusable_log_at_once" if confusable else "log_at_once"):
        return Passage.LOG
    best = max(heard.agreement, heard.second or 0.0)
    return Passage.ASK if best >= float(gate_table()["ask_what"]) else Passage.SAY_AGAIN


def agreed(heard: Heard, key: str = "log_at_once") -> bool:
    """True when the numbers may be logged: typed, or one listener is sure enough, or two say the same.

    Beside other voices, uncalled, never: what was heard may be another's words, or two people's, and is
    asked about.
    """
    table = gate_table()
    if heard.typed:
        return True
    if heard.beside_others:
        return False
    if heard.second is None:
        alone = table["one_listener"].get(heard.interpretation.heard.language, table)
        return heard.agreement >= float(alone[key])
    rows = table["two_listeners"][key]
    return any(heard.agreement >= float(first) and heard.second >= float(second) for first, second in rows)


def after_doubtful_word(heard: Heard) -> bool:
    """True for a spoken "about fifty" or "hundred and fifty": a "buck" or a "two" may have been lost."""
    read, table = heard.interpretation.heard, gate_table()
    return not heard.typed and any(
        (m.start and read.words[m.start - 1] in table["ask_after"]) or read.words[m.start] in table["ask_at"]
        for m in read.measures
    )


def fits_place(reading: Reading, kind_of: dict[str, str]) -> bool:
    """True when the number and its quantity make sense for its place."""
    kind = kind_of.get(reading.place or reading.subject, "")
    return not kind or _makes_sense(reading, kind)


def unit_unsaid(heard: Heard, readings: tuple[Reading, ...], unit: str) -> bool:
    """True where one number is told in a unit that is not the kitchen's, and another one without a unit."""
    told = [m.unit for m in heard.interpretation.heard.measures if m.unit in ("C", "F")]
    degrees = [r.unit for r in readings if r.quantity == "temperature"]
    return bool({*told} - {unit}) and len(degrees) > len(told)


def _makes_sense(reading: Reading, kind: str) -> bool:
    """Food may be far hotter than a cold place, never far colder than a place holds it."""
    celsius = reading.unit == "C"
    if plausible(kind, reading.quantity, reading.value, celsius):
        return True
    hottest = plausible("hot_holding", "temperature", reading.value, celsius)
    return reading.subject_kind == "food" and kind != "hot_holding" and hottest


def _on_a_gauge(reading: Reading) -> bool:
    """True for a number that a thermometer or a strip may show at all: no "443.5°C" of three numbers."""
    fahrenheit = reading.value * 9 / 5 + 32 if reading.unit == "C" else reading.value
    return readable(reading.quantity, fahrenheit)


def doubles(value: Decimal) -> tuple[Decimal, ...]:
    """Return the numbers that sound like ``value`` (fifteen and fifty; also as the end of 115 and 150)."""
    if value != int(value) or value < 0:
        return ()
    hundreds, rest = divmod(int(value), 100)
    return tuple(Decimal(hundreds * 100 + other) for other in gate_table()["confusable"].get(str(rest), ()))


def _has_sensible_double(reading: Reading, kind: str) -> bool:
    return any(
        plausible(kind, reading.quantity, other, reading.unit == "C") for other in doubles(reading.value)
    )


def undoubted(said: Understanding, readings: tuple[Reading, ...]) -> tuple[Reading, ...]:
    """Return the readings of the clauses that hold no doubt: the first of "rail 46, drawer maybe 38".

    A doubt in a clause without a number is of all.
    """
    numbers = [m for m in said.free_measures if m.kind in READ]
    if [m.value for m in numbers] != [each.value for each in readings]:
        return ()
    named = (span.start for kind in ("equipment", "food") for span in said.names.get(kind, ()))
    cuts = sorted({0, *said.breaks, *named})
    doubts = {bisect(cuts, span.start) for span in said.spans("note_unsure")}
    clauses = [bisect(cuts, m.start) for m in numbers]
    told = zip(readings, clauses, strict=True)
    return tuple(each for each, clause in told if clause not in doubts) if doubts <= {*clauses} else ()
