"""Live and shucked molluscan shellfish: tags, and shells that are thrown out."""

from __future__ import annotations

from datetime import date, timedelta

from assistant.rules.basis import Citation, Judgement, Verdict
from assistant.rules.profile import Profile

TAGS = Citation("FDA Food Code 2022", "3-203.12", note="on the container until empty, then kept")
SOURCE = Citation("FDA Food Code 2022", "3-201.15; 3-202.18")


def tag_keep_until(last_served: date, profile: Profile) -> date:
    """Return the last day to keep a tag, counted from the day the last one of the container was served."""
    return last_served + timedelta(days=int(profile.value("shellfish_tag_days")))


def judge_shell(*, alive: bool | None, broken: bool) -> Judgement:
    """Judge one shell: dead or broken is thrown out; a gaping one is tapped first (``alive`` unknown)."""
    if broken or alive is False:
        return Judgement(Verdict.FAIL, "dead_or_broken", (SOURCE,), action="discard")
    if alive is None:
        return Judgement(Verdict.CANNOT_JUDGE, "alive_unknown", (SOURCE,), action="tap_and_wait")
    return Judgement(Verdict.PASS, "alive", (SOURCE,))


def judge_tag(*, on_container: bool) -> Judgement:
    """Judge shellfish without its tag: the source cannot be shown, so it is not used."""
    if on_container:
        return Judgement(Verdict.PASS, "tag_on_container", (TAGS,), action="keep_tag")
    return Judgement(Verdict.FAIL, "no_tag", (TAGS, SOURCE), action="reject")
