"""Jurisdiction profiles: which edition of the model code is in force, with local figures and overrides."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import cache
from pathlib import Path
from typing import Literal, cast

from assistant.rules.basis import Citation, Flag, Limit, TemperatureUnit
from assistant.rules.tables import read_table

DEFAULT_PROFILE = "fda_2022"


class UnknownProfileError(LookupError):
    """Raised for a profile name that no table knows; the message lists the names that exist."""


class UnknownLimitError(LookupError):
    """Raised when a rule asks for a figure that no table holds, or an override names one."""


@dataclass(frozen=True)
class Profile:
    """One jurisdiction's figures: looked up by key, falling back to the profile it is based on."""

    name: str
    title: str
    unit: TemperatureUnit
    limits: Mapping[str, Limit]

    def limit(self, key: str) -> Limit:
        """Return the figure for ``key``; raises ``UnknownLimitError`` for a key no table has."""
        try:
            return self.limits[key]
        except KeyError:
            raise UnknownLimitError(f"no table holds the limit '{key}'") from None

    def value(self, key: str) -> Decimal:
        """Return only the number for ``key``, in the unit its table states."""
        return self.limit(key).value

    def with_overrides(self, overrides: Iterable[Limit]) -> Profile:
        """Return a copy where the site's own figures (each with its source) replace the table's."""
        merged = dict(self.limits)
        for override in overrides:
            known = self.limit(override.key)
            if override.unit != known.unit:
                raise UnknownLimitError(f"'{override.key}' is written in {known.unit}, not {override.unit}")
            merged[override.key] = override
        return replace(self, limits=merged)


@cache
def profile_names() -> tuple[str, ...]:
    """Return the names of all profiles, the default first."""
    return tuple(row["profile"] for row in read_table("profiles"))


def limit_tables() -> tuple[str, ...]:
    """Return the names of the limit tables, in alphabetical order."""
    folder = Path(__file__).with_name("limits")
    return tuple(
        sorted(f"limits/{item.name[:-4]}" for item in folder.iterdir() if item.name.endswith(".csv"))
    )


@cache
def load_profile(name: str = DEFAULT_PROFILE) -> Profile:
    """Return the profile ``name`` with every figure resolved along its chain of ``based_on``."""
    rows = {row["profile"]: row for row in read_table("profiles")}
    if name not in rows:
        raise UnknownProfileError(f"no profile is called '{name}'; choose one of: {', '.join(rows)}")
    row = rows[name]
    inherited = dict(load_profile(row["based_on"]).limits) if row["based_on"] else {}
    for table in limit_tables():
        for line in read_table(table):
            if line["profile"] == name:
                inherited[line["key"]] = _limit(line)
    unit: Literal["F", "C"] = "C" if row["unit"] == "C" else "F"
    return Profile(name, row["title"], unit, inherited)


def _limit(line: Mapping[str, str]) -> Limit:
    citation = Citation(
        line["document"], line["section"], line["profile"], cast(Flag, line["flag"]), line["note"]
    )
    return Limit(line["key"], Decimal(line["value"]), line["unit"], citation, line["assumed"] == "yes")
