"""Rows of a table that belong to a profile: its own, or those of the profile it is based on."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache

from assistant.rules.tables import read_table

Row = Mapping[str, str]


@cache
def lineage(profile_name: str) -> tuple[str, ...]:
    """Return the profile's name and those it is based on, nearest first."""
    parents = {row["profile"]: row["based_on"] for row in read_table("profiles")}
    names = [profile_name]
    while parents.get(names[-1]):
        names.append(parents[names[-1]])
    return tuple(names)


@cache
def rows_in_force(
    table: str, profile_name: str, column: str = "", values: tuple[str, ...] = ()
) -> tuple[Row, ...]:
    """Return the rows of the nearest profile of the lineage that has any.

    With ``column`` only rows whose entry there is among ``values`` count, so that a profile replaces one
    group of rows and inherits the rest.
    """
    for name in lineage(profile_name):
        own = (row for row in read_table(table) if row["profile"] == name)
        rows = tuple(row for row in own if not column or row[column] in values)
        if rows:
            return rows
    return ()
