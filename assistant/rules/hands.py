"""Hands: what the sink has to supply, how long to wash, when, and what does not replace washing."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from functools import cache
from typing import cast

from assistant.rules.basis import Citation, Flag, Judgement, Temperature, Verdict
from assistant.rules.compare import judge_at_least, judge_at_most, judge_seconds
from assistant.rules.profile import Profile
from assistant.rules.tables import read_table


@dataclass(frozen=True, slots=True)
class HandRule:
    """One line of the hand tables: whether it calls for washing (or counts as washing), and why."""

    name: str
    answer: bool
    citation: Citation


class UnknownHandRuleError(LookupError):
    """Raised for an event, act or sink that the hand tables do not hold."""


def judge_hand_sink(temperature: Temperature, profile: Profile, *, adjustable: bool = True) -> Judgement:
    """Judge the water that a hand sink can supply; a tap that cannot be adjusted also has a top."""
    least = judge_at_least(temperature, profile.limit("hand_sink_supply_min"), "fix_hot_water")
    if adjustable or not least.passed:
        return least
    return judge_at_most(temperature, profile.limit("hand_sink_fixed_tap_max"), "fix_hot_water")


def judge_hand_wash(
    profile: Profile, total_seconds: Decimal | None = None, scrub_seconds: Decimal | None = None
) -> Judgement:
    """Judge a hand wash by its whole time, its rubbing time, or both; raises ``ValueError`` for neither."""
    whole, scrub = profile.limit("hand_wash_min"), profile.limit("hand_scrub_min")
    judged = [
        judge_seconds(seconds, limit, reason)
        for seconds, limit, reason in (
            (total_seconds, whole, "wash_too_short"),
            (scrub_seconds, scrub, "rub_too_short"),
        )
        if seconds is not None
    ]
    if not judged:
        raise ValueError("say how long the wash or the rubbing took")
    return next((judgement for judgement in judged if not judgement.passed), judged[0])


@cache
def hand_rules(table: str) -> dict[str, HandRule]:
    """Return one hand table by name: ``hand_wash_events``, ``hand_wash_acts`` or ``hand_wash_places``."""
    return {
        row["name"]: HandRule(
            row["name"],
            row["answer"] == "yes",
            Citation(row["document"], row["section"], "fda_2022", cast(Flag, row["flag"]), row["note"]),
        )
        for row in read_table(table)
    }


def _rule(table: str, name: str) -> HandRule:
    try:
        return hand_rules(table)[name]
    except KeyError:
        known = ", ".join(hand_rules(table))
        raise UnknownHandRuleError(f"'{name}' is not in {table}; it holds: {known}") from None


def must_wash(event: str) -> HandRule:
    """Return whether ``event`` (a row of ``hand_wash_events``) calls for washing hands."""
    return _rule("hand_wash_events", event)


def judge_instead_of_washing(act: str, event: str = "raw_to_ready_to_eat") -> Judgement:
    """Judge whether ``act`` (a row of ``hand_wash_acts``) is enough after ``event``."""
    need, done = must_wash(event), _rule("hand_wash_acts", act)
    citations = (done.citation, need.citation)
    if done.answer:
        return Judgement(Verdict.PASS, "washed", citations)
    if need.answer:
        return Judgement(Verdict.FAIL, "not_a_wash", citations, action="wash_hands")
    return Judgement(Verdict.PASS, "no_wash_needed", citations)
