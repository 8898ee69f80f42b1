"""Things done in a fixed order: sinks, buckets, cleaning in place, cloths, cooling, and emergencies."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import cast

from assistant.rules.basis import Citation, Flag
from assistant.rules.tables import read_table


@cache
def setup_names() -> tuple[str, ...]:
    """Return the names of all set-ups."""
    return tuple(dict.fromkeys(row["setup"] for row in read_table("setup_steps")))


@dataclass(frozen=True, slots=True)
class Step:
    """One step of a set-up, by code, with its source."""

    name: str
    citation: Citation


@cache
def setup_steps(setup: str) -> tuple[Step, ...]:
    """Return the steps of a set-up in order; raises ``LookupError`` for one that no table holds."""
    steps = tuple(
        Step(
            row["step"],
            Citation(row["document"], row["section"], "fda_2022", cast(Flag, row["flag"]), row["note"]),
        )
        for row in read_table("setup_steps")
        if row["setup"] == setup
    )
    if not steps:
        known = ", ".join(setup_names())
        raise LookupError(f"no set-up is called '{setup}'; choose one of: {known}")
    return steps
