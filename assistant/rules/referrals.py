"""When not to answer: who decides instead, and the one safe thing to do now. Codes only, no wording."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import cast

from assistant.rules.basis import Citation, Flag
from assistant.rules.tables import read_table


@dataclass(frozen=True, slots=True)
class Referral:
    """A subject on which this program gives no verdict.

    ``decides`` and ``do_now`` are codes that the reply tables turn into words; ``urgent`` subjects are
    answered at once, before anything else that is going on.
    """

    subject: str
    decides: str
    do_now: str
    urgent: bool
    cautions: tuple[str, ...]
    citation: Citation


@cache
def referral(subject: str) -> Referral:
    """Return the referral for a subject code; raises ``LookupError`` for one the table lacks."""
    for row in read_table("referrals"):
        if row["subject"] == subject:
            source = Citation(row["document"], row["section"], flag=cast(Flag, row["flag"]))
            cautions = tuple(code for code in row["cautions"].split("; ") if code)
            return Referral(subject, row["decides"], row["do_now"], row["urgent"] == "yes", cautions, source)
    raise LookupError(f"no referral for '{subject}'; use one of: {', '.join(referral_subjects())}")


@cache
def referral_subjects() -> tuple[str, ...]:
    """Return all subject codes in the order of the table."""
    return tuple(row["subject"] for row in read_table("referrals"))
