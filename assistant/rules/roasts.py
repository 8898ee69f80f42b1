"""Whole roasts: how long a roast is held at each temperature, and the oven it is cooked in.

The tables are for whole beef, corned beef, lamb, pork and cured pork; never for poultry.
"""

from __future__ import annotations

from decimal import Decimal
from typing import Literal

from assistant.rules.basis import Citation, Limit, Temperature
from assistant.rules.by_profile import Row, rows_in_force
from assistant.rules.profile import Profile
from assistant.rules.tables import read_table

RoastStandard = Literal["model_code", "fsis_6_5_log", "fsis_7_log"]
Oven = Literal["still_dry", "convection", "high_humidity"]
_STANDARDS: dict[str, RoastStandard] = {
    "model_code": "model_code",
    "fsis_6_5_log": "fsis_6_5_log",
    "fsis_7_log": "fsis_7_log",
}


def roast_standard(profile: Profile) -> RoastStandard | None:
    """Return the roast table in force, ``None`` where the profile has no such table."""
    return _STANDARDS.get(rows_in_force("roast_standards", profile.name)[0]["standard"])


def roast_rows(standard: RoastStandard) -> tuple[Row, ...]:
    """Return the rows of one roast table, coldest first (columns min, unit, hold in seconds, source)."""
    return tuple(row for row in read_table("roast_times") if row["standard"] == standard)


def roast_hold_s(temperature: Temperature, standard: RoastStandard = "model_code") -> Decimal | None:
    """Return the seconds to hold at ``temperature``: the longer time of the next lower row.

    ``None`` below the coldest row, where no time is enough.
    """
    degrees = temperature.in_unit("F")
    held = [row for row in roast_rows(standard) if degrees >= Decimal(row["min"])]
    return Decimal(held[-1]["hold"]) if held else None


def oven_limit(oven: Oven, pounds: Decimal) -> tuple[Limit, Literal["min", "max"]]:
    """Return the oven's temperature for a roast of this weight, and whether it is the least or the most."""
    weight = "under_10_lb" if pounds < 10 else "from_10_lb"
    row = next(row for row in read_table("roast_ovens") if (row["oven"], row["weight"]) == (oven, weight))
    source = Citation(row["document"], row["section"])
    limit = Limit(f"oven_{oven}_{weight}", Decimal(row["value"]), row["unit"], source)
    return limit, "max" if row["bound"] == "max" else "min"
