"""What is done with what was meant: a table (``policy.toml``) whose first fitting row decides."""

from __future__ import annotations

import tomllib
from collections.abc import Collection
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any, Literal, cast

from intents.meaning import Meaning

Step = Literal["answer", "which", "of_what", "not_sure", "no_rule", "silence"]
"""Answer, ask which of two or what it is about, say that it is not sure or has no rule, or nothing."""
Meant = Literal["topic", "unsupported", "none"]
Stance = Literal["permits", "refuses", "neutral", "told", "asks"]

_BOUNDS = ("share", "lead")
_LEAST = ("talk", "none", "answers", "danger")
_EXACT = ("meant", "stance", "addressed", "unused", "only_names", "names_nothing", "emergency")


@dataclass(frozen=True, slots=True)
class Facts:
    """All that the policy looks at. Shares are 0 to 1."""

    meant: Meant
    share: float
    lead: float
    talk: float
    answers: float
    danger: float
    addressed: bool
    stance: Stance = "neutral"
    unused: bool = False
    only_names: bool = False
    names_nothing: bool = False
    emergency: bool = False
    none: float = 0.0


@dataclass(frozen=True, slots=True)
class Row:
    """One row of the table: its name, its bounds by the name of a fact, and its step."""

    name: str
    bounds: dict[str, object]
    step: Step

    def fits(self, facts: Facts) -> bool:
        """True when every bound of the row holds."""
        for name, bound in self.bounds.items():
            fact = getattr(facts, name)
            if name in _BOUNDS:
                low, high = cast("list[float]", bound)
                if not low <= fact <= high:
                    return False
            elif name in _LEAST:
                if fact < cast(float, bound):
                    return False
            elif fact != bound:
                return False
        return True


@dataclass(frozen=True, slots=True)
class Telling:
    """What is done with what was told and nothing took (``[told]``)."""

    words: tuple[int, int]
    talk: float
    offered: float
    happened: float
    noted: float
    advised: float
    danger: float
    happening: float
    incidents: frozenset[str]
    chemicals: frozenset[str]
    broken: frozenset[str]
    always: frozenset[str]
    people: frozenset[str]
    reasons: frozenset[str]
    of_food: frozenset[str]
    explains: frozenset[str]
    how: frozenset[str]
    status: frozenset[str]
    left: frozenset[str]

    def duty(self, intent: str, meaning: Meaning) -> bool:
        """True for what a manager looks for and what has to be done after it, one incident or several."""
        grave = (self.incidents | self.chemicals) - self.broken
        together = sum(guess.share for guess in meaning.guesses if guess.intent in grave)
        return intent in self.always or (intent in grave and together >= self.happening)


@cache
def telling() -> Telling:
    """Return the table of what is told."""
    told: dict[str, Any] = _table()["told"]
    lists = {name: frozenset(value) for name, value in told.items() if isinstance(value, list)}
    return Telling(**{**told, **lists, "words": tuple(told["words"])})


def spoken_of(intent: str) -> str:
    """Return the list of how words begin without which an intent is not meant; "" where it may be."""
    return str(_table()["spoken_of"].get(intent, ""))


def signs_of(intent: str, *, at_place: bool) -> str:
    """Return the list of how words begin of which a clause that tells an emergency has one; "" where none."""
    anywhere, there = _table()["signs"].get(intent, ("", ""))
    return str(there if at_place else anywhere)


@cache
def _table() -> dict[str, Any]:
    return tomllib.loads(Path(__file__).with_name("policy.toml").read_text(encoding="utf-8"))


@cache
def rows() -> tuple[Row, ...]:
    """Return the table. Raises ``ValueError`` for a row with a bound that no fact has, or without a step."""
    found = []
    for row in _table()["row"]:
        bounds = {key: value for key, value in row.items() if key not in ("name", "step")}
        if unknown := set(bounds) - {*_BOUNDS, *_LEAST, *_EXACT}:
            raise ValueError(f"policy row '{row['name']}' has unknown bounds: {', '.join(sorted(unknown))}")
        found.append(Row(row["name"], bounds, cast(Step, row["step"])))
    return tuple(found)


def decide(facts: Facts) -> Row:
    """Return the first row that fits ``facts``; the last row has no bounds."""
    return next(row for row in rows() if row.fits(facts))


@dataclass(frozen=True, slots=True)
class Threads:
    """What belongs together in a thread of questions, and how much likelier that makes it."""

    weight: float
    sure: float
    most: float
    judges: frozenset[str]
    rows: tuple[frozenset[str], ...]

    def near(self, intent: str) -> frozenset[str]:
        """Return the intents that belong to ``intent``, itself among them; none where the table lacks it."""
        return frozenset().union(*(row for row in self.rows if intent in row))


@cache
def threads() -> Threads:
    """Return the table of what belongs together."""
    table: dict[str, Any] = _table()["threads"]
    lists = {name: frozenset(value) for name, value in table.items() if isinstance(value, list)}
    judges = lists.pop("judges")
    return Threads(table["weight"], table["sure"], table["most"], judges, tuple(lists.values()))


def stricter_after(before: str, kinds: Collection[str]) -> str:
    """Return the intent whose limit judges a reading of one of ``kinds``, too, after ``before``, or ""."""
    rows = (row for row in _table()["stricter"] if before in row["before"] and {*row["kinds"]} & {*kinds})
    return str(next((row["judged"] for row in rows), ""))


def asked_again(before: str) -> str:
    """Return what a food or a state alone asks after ``before`` where that is another intent, else ""."""
    return str(next((row["means"] for row in _table()["again"] if before in row["before"]), ""))


def meant_after(before: str, intent: str) -> str:
    """Return what ``intent`` means soon after ``before`` was answered."""
    rows = (r for r in _table()["after"] if before in r["before"] and intent in r["heard"])
    return str(next((row["means"] for row in rows), intent))
