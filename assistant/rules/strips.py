"""Test strips: the right paper, in date, dry, held for the time on its vial; else there is no reading."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from assistant.rules.basis import Citation, Judgement, Verdict
from assistant.rules.product import SanitizerKind

TEST_KIT = Citation("FDA Food Code 2022", "4-302.14", "fda_2022", "READ", "a kit measuring ppm is required")
STRIP_MAKER = Citation("test strip makers' notes", "storage and use", "any", "READ")
MIXED = Citation("trade article on mixed sanitizers", "article", "any", "READ", "never bleach into quat")


@dataclass(frozen=True, slots=True)
class Strip:
    """A strip as used; ``None`` where it was not said. ``kind`` is what the vial is made for."""

    kind: SanitizerKind | None = None
    expired: bool | None = None
    wet_vial: bool | None = None
    dipped_seconds: Decimal | None = None
    vial_seconds: Decimal | None = None


def judge_strip(strip: Strip, solution: SanitizerKind) -> Judgement:
    """Judge whether a strip gives a reading at all; a bad strip is no reading, so nothing is judged by it."""

    def no_reading(reason: str, action: str, *sources: Citation) -> Judgement:
        return Judgement(Verdict.CANNOT_JUDGE, reason, (TEST_KIT, *sources), action=action)

    if strip.kind is not None and strip.kind != solution:
        return no_reading("wrong_strip", "use_right_strip", MIXED)
    if strip.expired:
        return no_reading("strip_expired", "use_new_strips", STRIP_MAKER)
    if strip.wet_vial:
        return no_reading("strip_wet", "use_new_strips", STRIP_MAKER)
    timed = strip.dipped_seconds is not None and strip.vial_seconds is not None
    if timed and strip.dipped_seconds != strip.vial_seconds:
        return no_reading("strip_mistimed", "retest", STRIP_MAKER)
    return Judgement(Verdict.PASS, "strip_good", (TEST_KIT, STRIP_MAKER))
