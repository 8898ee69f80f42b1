"""Raw fish and parasites: whether it must be frozen first, and whether a freezing was enough.

Acid, salt or smoke does not replace the freezing. An unknown species or missing proof means: frozen first.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from typing import cast

from assistant.rules.basis import Citation, Flag, Judgement, Range, Temperature, Verdict
from assistant.rules.compare import assumed_detail, warmer_than
from assistant.rules.profile import Profile
from assistant.rules.tables import read_table

FARMED = Citation("FDA Food Code 2022", "3-402.11(B)(3)", note="farmed on pellet feed, with a statement")
FREEZING = Citation("FDA Food Code 2022", "3-402.11(A)")


class Freezing(StrEnum):
    """The three ways of freezing against parasites."""

    FREEZER = "freezer"
    BLAST = "blast"
    BLAST_THEN_FREEZER = "blast, then freezer"


@dataclass(frozen=True, slots=True)
class Need:
    """Whether fish served raw must be frozen first. ``ask`` is a code of what would settle it."""

    frozen_first: bool
    reason: str
    citation: Citation
    ask: str = ""


def freezing_needed(said: str, *, farmed_statement: bool | None = None) -> Need:
    """Return whether the fish called ``said`` must be frozen before it is served raw.

    ``farmed_statement`` is whether the supplier's letter for farmed, pellet-fed fish is at hand.
    """
    for row in read_table("parasite_exempt"):
        if re.search(rf"\b{row['words']}s?\b", said.lower()):
            source = Citation(row["document"], row["section"], flag=cast(Flag, row["flag"]))
            return Need(False, row["reason"], source)
    if farmed_statement:
        return Need(False, "farmed_with_statement", FARMED)
    if farmed_statement is None:
        return Need(True, "no_proof", FREEZING, "species_and_supplier_letter")
    return Need(True, "wild_or_no_statement", FREEZING)


def judge_freezing(method: Freezing, hours: Decimal, profile: Profile, coldest: Temperature) -> Judgement:
    """Judge a freezing of ``hours``; ``coldest`` is the temperature kept: of storage for the freezer way,
    of blast freezing for the other two (the second storage of the last way is at the freezer figure).
    """
    limit, needed = profile.limit(_coldness(method)), profile.limit(_HOURS[method])
    sources = (limit.citation, needed.citation)
    span = Range(limit.unit, high=limit.value)
    details = assumed_detail(limit, needed) | {"hours": needed.value}
    if warmer_than(coldest, limit):
        return Judgement(Verdict.FAIL, "not_cold_enough", sources, span, "freeze_again", details)
    if hours < needed.value:
        return Judgement(Verdict.FAIL, "too_short", sources, span, "keep_frozen", details)
    return Judgement(Verdict.PASS, "in_range", sources, span, "keep_freezing_record", details)


_HOURS = {
    Freezing.FREEZER: "parasite_freezer_hours_min",
    Freezing.BLAST: "parasite_blast_hours_min",
    Freezing.BLAST_THEN_FREEZER: "parasite_blast_then_freezer_hours_min",
}


def _coldness(way: Freezing) -> str:
    return "parasite_freezer_max" if way is Freezing.FREEZER else "parasite_blast_max"
