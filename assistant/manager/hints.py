"""One thing worth a look: how a sign of made-up readings is told, and how often honest kitchens get it."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from datetime import datetime
from functools import cache
from importlib.resources import files

from assistant.logbook.entry import Entry
from assistant.manager import shown

SURE = 0.001
"""A hint speaks when chance alone would give its evidence in fewer than this share of windows."""


@dataclass(frozen=True, slots=True)
class Hint:
    """One thing worth a look: what was seen, the entries it was seen in, and what it may be instead."""

    kind: str
    title: str
    evidence: str
    instead: str
    entries: tuple[int, ...]

    @property
    def rate(self) -> str:
        """How often an honest kitchen gets this hint, as measured on simulated logs."""
        return rates().get(self.kind, "not measured")


@cache
def rates() -> dict[str, str]:
    """Return for each hint how often honest simulated kitchens got it, in words."""
    text = (files("assistant.manager") / "tables" / "worth_a_look_rates.csv").read_text(encoding="utf-8")
    return {row["hint"]: row["in_words"] for row in csv.DictReader(text.splitlines())}


def named(person: str) -> str:
    """Return a name, or that nobody had signed in."""
    return person or "nobody signed in"


def when(entry: Entry) -> str:
    """Return when an entry speaks of, in short."""
    at: datetime = shown.moment(entry)
    return f"{shown.short_day(at.date())} {shown.clock(at)}"
