"""Known local figures of places that have no whole profile, to lay over one (``Profile.with_overrides``)."""

from __future__ import annotations

from decimal import Decimal
from functools import cache
from typing import cast

from assistant.rules.basis import Citation, Flag, Limit
from assistant.rules.tables import read_table


class UnknownPlaceError(LookupError):
    """Raised for a place whose figures no table holds."""


@cache
def places() -> tuple[str, ...]:
    """Return the places with local figures; ``kitchen_practice`` is what shops do, by no code."""
    return tuple(dict.fromkeys(row["place"] for row in read_table("local_figures")))


def local_figures(place: str) -> tuple[Limit, ...]:
    """Return the figures of ``place``; raises ``UnknownPlaceError`` with the places that exist."""
    rows = [row for row in read_table("local_figures") if row["place"] == place]
    if not rows:
        raise UnknownPlaceError(f"no local figures for '{place}'; there are some for: {', '.join(places())}")
    return tuple(
        Limit(
            row["key"],
            Decimal(row["value"]),
            row["unit"],
            Citation(row["document"], row["section"], place, cast(Flag, row["flag"]), row["note"]),
        )
        for row in rows
    )
