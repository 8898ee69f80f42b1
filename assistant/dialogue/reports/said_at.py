"""When a report was: the moment meant by the time said, and whether it may still be entered.

One rule for every kind of entry. What was just now, or earlier on the same day of the kitchen, is entered
with the time said, marked late after half an hour. What is older is not back-dated; what is to come is no
report.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Literal

from assistant.dialogue.outcome import Outcome
from assistant.dialogue.reports.times import Told
from assistant.logbook.entry import Draft
from intents.quantities import Clock, Day, Moment, Span, resolve

CLOCKS_DIFFER = timedelta(minutes=20)
"""Clocks on the wall differ: a time that is only so little to come is now."""
LATE_AFTER = timedelta(minutes=30)
"""An entry made longer than this after what it tells of is late (judgement)."""
NIGHT = timedelta(hours=4)
"""After midnight the evening before still counts as the same day for so long (judgement)."""

STAMPED = ("reading", "event", "discard", "clock", "contact", "action_opened", "correction")
"""Kinds of entries that happen at a time."""

Kind = Literal["now", "told", "old", "coming", "unclear"]


@dataclass(frozen=True, slots=True)
class When:
    """A told time made into a moment. ``others`` are the moments that the same words may mean as well."""

    kind: Kind
    at: datetime | None = None
    others: tuple[datetime, ...] = ()

    @property
    def iso(self) -> str:
        """The moment as an entry keeps it, empty for now."""
        return self.at.isoformat(timespec="seconds") if self.kind == "told" and self.at else ""


NOW = When("now")


def when(told: Told | None, now: datetime) -> When:
    """Return when ``told`` was; nothing told is now. ``now`` is aware."""
    if told is None:
        return NOW
    meaning = told.meaning
    if isinstance(meaning, Span) or told.part == "ahead":
        return When("coming" if told.part == "ahead" else "unclear")
    if isinstance(meaning, Day):
        found = resolve(meaning, now, "past").best
        if found is None:
            return When("coming")  # "for tomorrow"
        return When("unclear" if _same_day(found.until or found.at, now) else "old", found.at)
    past = resolve(meaning, now, "past")
    coming = resolve(meaning, now, "future").best
    if coming is not None and coming.at - now <= CLOCKS_DIFFER:
        return NOW
    if past.needs or (past.best is None and coming is None):
        return When("unclear")
    if past.best is None:
        return When("coming")
    at = past.best.at
    if not _same_day(at, now):
        return When("old", at)
    if isinstance(meaning, Moment) and not meaning.clock:
        return When("told", at)
    near = coming is not None and coming.at - now < now - at  # "at five", said at three: this morning?
    others = (coming.at,) if near and coming is not None else ()
    return When("told", at, others)


def on_another_day(told: Told, now: datetime) -> bool:
    """True for "last night", "yesterday" and "two days ago": over by now, and begun on no day of ours."""
    found = when(told, now)
    if told.bare or found.at is None or isinstance(told.meaning, (Clock, Span)):
        return False
    best = resolve(told.meaning, now, "past").best
    over = best is not None and (best.until is None or best.until <= now)
    return over and found.at.date() < now.date() and now - found.at > NIGHT


def _same_day(at: datetime, now: datetime) -> bool:
    return at.date() == now.date() or now - at <= NIGHT


def marked_late(draft: Draft, now: datetime) -> Draft:
    """Return ``draft``, marked late where the time said is long before ``now``."""
    late = draft.said_at is not None and now - datetime.fromisoformat(draft.said_at) > LATE_AFTER
    return draft.model_copy(update={"late": True}) if late else draft


def stamped(outcome: Outcome, said_at: str, now: datetime) -> Outcome:
    """Return ``outcome`` with the time said on each entry that has none, and its question asked ``now``."""
    own = tuple(_with(draft, said_at) for draft in outcome.own_drafts)
    answer = outcome.answer
    if answer is not None:
        answer = replace(answer, drafts=tuple(_with(draft, said_at) for draft in answer.drafts))
    waiting = replace(outcome.pending, asked_at=now) if outcome.pending is not None else None
    if waiting is not None and waiting.request is not None and not outcome.drafts:
        waiting = replace(
            waiting, request=replace(waiting.request, said_at=said_at)
        )  # of what is logged then
    return replace(outcome, own_drafts=own, answer=answer, pending=waiting)


def _with(draft: Draft, said_at: str) -> Draft:
    if draft.kind not in STAMPED or draft.said_at is not None:
        return draft
    return draft.model_copy(update={"said_at": said_at})
