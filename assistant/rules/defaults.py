"""What to answer when a fact is missing. For an unknown place see ``strictest.load_strictest``."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from functools import cache
from typing import cast

from assistant.rules.basis import Citation, Flag
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
