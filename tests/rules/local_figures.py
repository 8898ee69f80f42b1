"""Figures of places that no profile holds, for the published check rows that are about them."""

from __future__ import annotations

import csv
from decimal import Decimal
from pathlib import Path
from typing import cast

from assistant.rules.basis import Citation, Flag, Limit

TABLE = (Path(__file__).parent / "local_figures.csv").read_text(encoding="utf-8").splitlines()


def local_figures(place: str) -> tuple[Limit, ...]:
    """Return the figures of ``place``; ``kitchen_practice`` is what shops do, by no code."""
    return tuple(
        Limit(
            row["key"],
            Decimal(row["value"]),
            row["unit"],
            Citation(row["document"], row["section"], place, cast(Flag, row["flag"]), row["note"]),
        )
        for row in csv.DictReader(TABLE)
        if row["place"] == place
    )
