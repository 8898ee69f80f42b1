"""What the dialogue decided for one utterance, before anything is logged or said."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from itertools import groupby
from typing import Any

from assistant.dialogue.answer import Answer, Request
from assistant.dialogue.hearing import Heard
from assistant.dialogue.slots import Slots
from assistant.dialogue.state import Pending
from assistant.logbook.entry import Draft
from assistant.rules.basis import Verdict
from intents.meaning import OTHER
from intents.readings import Reading


@dataclass(frozen=True)
class Outcome:
    """``answer`` and ``intent`` give the reply, unless ``text`` is ready-made; no answer means silence.

    ``own_drafts`` are logged besides the answer's. ``keep_context`` leaves "why" and follow-ups to what
    was said before. ``reading_ids`` are the entries that "scratch that" takes back from now on.
    ``changes`` are fields of the state that get new values.
    """

    answer: Answer | None
    intent: str
    request: Request | None = None
    text: str | None = None
    own_drafts: tuple[Draft, ...] = ()
    pending: Pending | None = None
    own_verdict: Verdict | None = None
    readings: tuple[Reading, ...] = ()
    reading_ids: tuple[int, ...] = ()
    keep_context: bool = False
    changes: Mapping[str, Any] = field(default_factory=dict)
    decided: str = ""  # the row of the policy that decided
    used: frozenset[int] = frozenset()  # words that deeds used: nothing to give back
    aloud: str = ""  # what the voice says where it is not what the screen shows

    def __post_init__(self) -> None:
        if self.pending is None and self.answer is not None and self.answer.ask and self.request is not None:
            waiting = Pending("slot", self.request.now, self.answer.ask, self.request)
            object.__setattr__(self, "pending", waiting)

    @property
    def bare(self) -> Answer | None:
        """The answer without its entries, for an outcome that holds them itself."""
        return replace(self.answer, drafts=()) if self.answer is not None else None

    @property
    def drafts(self) -> tuple[Draft, ...]:
        """Everything to log, in order."""
        return (*self.own_drafts, *(self.answer.drafts if self.answer else ()))

    @property
    def nothing(self) -> bool:
        """True where all that is said is that it was not understood, or not heard well enough."""
        reply = self.answer.reply if self.answer else ""
        lost = reply == "say_again" or (self.intent == "unsure" and reply != "emergency")
        return lost and not self.drafts and self.pending is None

    @property
    def dropped(self) -> bool:
        """True where what was asked about is refused: nothing of it is logged."""
        reply = self.answer.reply if self.answer is not None else ""
        return reply == "dropped" or (reply == "ok" and self.intent == "stop")

    @property
    def verdict(self) -> Verdict | None:
        """The verdict of the turn, if it judged anything."""
        return self.own_verdict or (self.answer.verdict if self.answer else None)

    def slots(self, heard: Heard) -> dict[str, Any]:
        """Return what the utterance filled in, as plain text."""
        if self.readings:
            first = self.readings[0]
            found: dict[str, Any] = {
                first.subject_kind.replace("equipment", "place"): first.subject,
                "value": str(first.value),
            }
            if first.place:
                found["place"] = first.place
            if len(self.readings) > 1:
                found["readings"] = [{"subject": r.subject, "value": str(r.value)} for r in self.readings]
            return found
        if self.request is not None:
            return dict(self.request.slots.as_json())
        return dict(Slots.of(heard.interpretation.heard).as_json())


def worst(verdicts: Iterable[Verdict | None]) -> Verdict | None:
    """Return fail before cannot judge before pass, or ``None`` of nothing judged."""
    found = {*verdicts}
    return next((v for v in (Verdict.FAIL, Verdict.CANNOT_JUDGE, Verdict.PASS) if v in found), None)


def explained(heard: Heard, outcome: Outcome) -> tuple[str, ...]:
    """Return what was understood: act, the likeliest intents, roles, what was left out, and what decided."""
    read = heard.interpretation
    meaning = read.meaning
    guesses = ", ".join(f"{guess.intent} {guess.share:.2f}" for guess in meaning.guesses[:3])
    act = f"{meaning.act} {meaning.share_of(meaning.act):.2f}"
    lines = [f"act: {act}, a plain yes would hurt: {meaning.danger:.2f}", f"meant: {guesses}"]
    paired = list(zip(meaning.roles, read.heard.words, strict=False))
    roles = [
        f"[{role}: {' '.join(word for _, word in words)}]"
        for role, words in groupby(paired, key=lambda pair: pair[0])
        if role != OTHER
    ]
    if roles:
        lines.append(f"roles: {' '.join(roles)}")
    lines += [
        "reads as: " + ", ".join(f"{r.subject} {r.value:f} {r.unit or r.quantity}" for r in option)
        for option in read.readings.options
    ]
    if read.beside:
        lines.append("left out: " + " ".join(read.heard.words[i] for i in read.beside))
    if outcome.decided:
        lines.append(f"decided: {outcome.decided}")
    return tuple(lines)
