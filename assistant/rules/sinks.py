"""Sinks: wash water of the three-compartment sink, and what each sink may be used for."""

from __future__ import annotations

from decimal import Decimal
from typing import Literal, cast

from assistant.rules.basis import Citation, Flag, Judgement, Temperature, Verdict
from assistant.rules.compare import judge_at_least
from assistant.rules.profile import Profile
from assistant.rules.tables import read_table

Sink = Literal["hand_sink", "prep_sink", "three_compartment_sink", "mop_sink"]
SinkUse = Literal["wash_hands", "wash_produce", "thaw", "wash_dishes", "dump_mop_water", "fill_bucket"]


def judge_wash_water(
    temperature: Temperature, profile: Profile, label_min: Temperature | None = None
) -> Judgement:
    """Judge the wash compartment; ``label_min`` is the detergent label's temperature where it names one."""
    limit = profile.limit("manual_wash_water_min")
    judged = judge_at_least(temperature, limit, "heat_water", "water_too_cold")
    if judged.passed or label_min is None or temperature.in_unit(label_min.unit) < label_min.value:
        return judged
    details: dict[str, Decimal | str] = {"label_min": label_min.value, "unit": label_min.unit}
    return Judgement(Verdict.PASS, "label_allows", judged.citations, judged.limits, details=details)


def judge_sink_use(sink: Sink, use: SinkUse) -> Judgement:
    """Judge whether ``sink`` may be used for ``use``; some uses need it cleaned and sanitized first."""
    row = next(row for row in read_table("sink_uses") if (row["sink"], row["use"]) == (sink, use))
    citation = Citation(row["document"], row["section"], "fda_2022", cast(Flag, row["flag"]), row["note"])
    if row["answer"] == "no":
        return Judgement(Verdict.FAIL, "wrong_sink", (citation,), action=row["action"])
    return Judgement(Verdict.PASS, "sink_ok", (citation,), action=row["action"])
