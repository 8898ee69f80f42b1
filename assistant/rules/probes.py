"""Which thermometer suits which use."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from functools import cache
from typing import cast

from assistant.rules.basis import Citation, Flag, Judgement, Verdict
from assistant.rules.tables import read_table


@dataclass(frozen=True, slots=True)
class Probe:
    """One kind of thermometer: what it is good for and what not, with the source."""

    name: str
    good_for: frozenset[str]
    bad_for: frozenset[str]
    citation: Citation


class UnknownProbeError(LookupError):
    """Raised for a kind of thermometer that the table does not hold."""


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


def judge_probe_for(name: str, use: str) -> Judgement:
    """Judge whether a thermometer suits a use (``thin_food``, ``thick_food``, ``surface``, ``air`` ...)."""
    try:
        probe = probes()[name]
    except KeyError:
        raise UnknownProbeError(f"'{name}' is no kind of thermometer; use: {', '.join(probes())}") from None
    better = ", ".join(sorted(other.name for other in probes().values() if use in other.good_for))
    details: dict[str, Decimal | str] = {"better": better} if better else {}
    if use in probe.good_for:
        return Judgement(Verdict.PASS, "suits", (probe.citation,))
    if use in probe.bad_for:
        return Judgement(Verdict.FAIL, "wrong_probe", (probe.citation,), None, "use_other_probe", details)
    return Judgement(Verdict.CANNOT_JUDGE, "use_unknown", (probe.citation,), None, "use_thin_probe", details)
