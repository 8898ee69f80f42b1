"""Boards, knives and work surfaces: what may follow what, how often to clean, how long to prepare."""

from __future__ import annotations

from decimal import Decimal

from assistant.rules.basis import Citation, Judgement, Limit, Range, Temperature, Verdict
from assistant.rules.compare import assumed_detail
from assistant.rules.foods import Food, same_kind
from assistant.rules.profile import Profile
from assistant.rules.tables import read_table

BETWEEN = Citation("FDA Food Code 2022", "4-602.11(A), (B)")
STRICT = Citation("common practice, no source", "clean and sanitize after each kind", flag="PRACTICE")


def judge_board(last: Food | None, following: Food, *, strict: bool = True) -> Judgement:
    """Judge using a board or knife again without cleaning.

    ``last`` is ``None`` if nobody knows what was on it. Strict practice, the default, cleans after each
    kind; the code itself (``strict=False``) lets raw animal food follow one that needs less cooking.
    """
    sources = (STRICT, BETWEEN) if strict else (BETWEEN,)
    if last is not None and _needs_no_cleaning(last, following):
        return Judgement(Verdict.PASS, "same_kind", sources)
    if last is not None and not strict and _rising(last, following):
        return Judgement(Verdict.PASS, "higher_cook_need_follows", sources)
    return Judgement(Verdict.FAIL, "clean_between", sources, action="clean_and_sanitize")


def _needs_no_cleaning(last: Food, following: Food) -> bool:
    same = same_kind(last, following)
    if last.ready_to_eat and following.ready_to_eat:
        return not (last.served_raw or following.served_raw) or same
    return same and last.high <= following.low


def _rising(last: Food, following: Food) -> bool:
    raw = last.raw_animal and following.raw_animal and last.low >= 145
    return raw and last.high < following.low


def cleaning_interval(room: Temperature | None, profile: Profile) -> Limit:
    """Return the hours within which surfaces in use with TCS food are cleaned.

    A cold room allows longer; a room of unknown temperature has the usual interval.
    """
    usual = profile.limit("clean_in_use_hours_max")
    if room is None:
        return usual
    for row in read_table("clean_frequency"):
        if room.in_unit("F") <= Decimal(row["room_max_f"]):
            source = Citation(row["document"], row["section"])
            return Limit("clean_in_cold_room_hours_max", Decimal(row["hours"]), "h", source, usual.assumed)
    return usual


def judge_cleaning(
    hours_since: Decimal | None, profile: Profile, room: Temperature | None = None
) -> Judgement:
    """Judge the time since a surface was cleaned; not known means: clean it now."""
    limit = cleaning_interval(room, profile)
    span = Range(limit.unit, high=limit.value)
    if hours_since is None:
        return Judgement(Verdict.CANNOT_JUDGE, "time_unknown", (limit.citation,), span, "clean_and_sanitize")
    if hours_since > limit.value:
        return Judgement(Verdict.FAIL, "too_long", (limit.citation,), span, "clean_and_sanitize")
    return Judgement(Verdict.PASS, "in_range", (limit.citation,), span, details=assumed_detail(limit))
