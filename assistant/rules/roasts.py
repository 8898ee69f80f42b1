"""Whole roasts: how long a roast is held at each temperature, and the oven it is cooked in.

The tables are for whole beef, corned beef, lamb, pork and cured pork; never for poultry.
"""

from __future__ import annotations

from decimal import Decimal
from typing import Literal

from assistant.rules.basis import Citation, Limit
from assistant.rules.by_profile import Row, rows_in_force
from assistant.rules.profile import Profile
from assistant.rules.tables import read_table

Oven = Literal["still_dry", "convection", "high_humidity"]


def has_roast_table(profile: Profile) -> bool:
    """True where the table of roast times is in force."""
    return rows_in_force("roast_table_in_force", profile.name)[0]["table"] == "yes"


def roast_rows() -> tuple[Row, ...]:
    """Return the rows of the roast table, coldest first (columns min, unit, hold in seconds, source)."""
    return read_table("roast_times")


def oven_limit(oven: Oven, pounds: Decimal) -> tuple[Limit, Literal["min", "max"]]:
    """Return the oven's temperature for a roast of this weight, and whether it is the least or the most."""
    weight = "under_10_lb" if pounds < 10 else "from_10_lb"
    row = next(row for row in read_table("roast_ovens") if (row["oven"], row["weight"]) == (oven, weight))
    source = Citation(row["document"], row["section"])
    limit = Limit(f"oven_{oven}_{weight}", Decimal(row["value"]), row["unit"], source)
    return limit, "max" if row["bound"] == "max" else "min"
