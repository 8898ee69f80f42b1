"""What to answer when a fact is missing: the safe answer, and the strictest figure of all profiles."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from functools import cache
from typing import Literal, cast

from assistant.rules.basis import Citation, Flag, Limit
from assistant.rules.profile import load_profile, profile_names
from assistant.rules.tables import read_table


@dataclass(frozen=True, slots=True)
class SafeAnswer:
    """The answer for a missing fact: a code, with a number where there is one."""

    unknown: str
    answer: str
    value: Decimal | None
    unit: str
    citation: Citation


@cache
def safe_answer(unknown: str) -> SafeAnswer:
    """Return the safe answer where ``unknown`` (a code of the table) is not known.

    Raises ``LookupError`` for a code that the table lacks.
    """
    for row in read_table("unknown_defaults"):
        if row["unknown"] == unknown:
            value = Decimal(row["value"]) if row["value"] else None
            source = Citation(row["document"], row["section"], flag=cast(Flag, row["flag"]))
            return SafeAnswer(unknown, row["answer"], value, row["unit"], source)
    known = ", ".join(row["unknown"] for row in read_table("unknown_defaults"))
    raise LookupError(f"no safe answer is listed for '{unknown}'; use one of: {known}")


@cache
def strictest(key: str, stricter: Literal["lower", "higher"]) -> Limit:
    """Return the strictest figure for ``key`` among all profiles, for a kitchen whose place is unknown.

    Say "lower" for a limit that may not be passed upward (cold holding), "higher" for the reverse.
    Fahrenheit and Celsius figures are compared as temperatures.
    """
    limits = [load_profile(name).limit(key) for name in profile_names()]
    choose = min if stricter == "lower" else max
    return choose(limits, key=_comparable)


def _comparable(limit: Limit) -> Decimal:
    return limit.value * Decimal("1.8") + 32 if limit.unit == "C" else limit.value
