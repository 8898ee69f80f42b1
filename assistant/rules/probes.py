"""Which thermometer suits which use."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import cast

from assistant.rules.basis import Citation, Flag
from assistant.rules.tables import read_table


@dataclass(frozen=True, slots=True)
class Probe:
    """One kind of thermometer: what it is good for and what not, with the source."""

    name: str
    good_for: frozenset[str]
    bad_for: frozenset[str]
    citation: Citation


@cache
def probes() -> dict[str, Probe]:
    """Return the kinds of thermometer by name."""
    return {
        row["name"]: Probe(
            row["name"],
            frozenset(row["good_for"].split()),
            frozenset(row["bad_for"].split()),
            Citation(row["document"], row["section"], "fda_2022", cast(Flag, row["flag"]), row["note"]),
        )
        for row in read_table("probes")
    }
