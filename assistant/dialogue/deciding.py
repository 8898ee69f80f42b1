"""What is done with an utterance: who speaks, what is decided, what is logged, and then what is said.

Order: an answer to a pending question, a correction, readings, a question, a follow-up. What fits
nothing is answered only if it is clearly a question; chatter gets silence.
"""

from __future__ import annotations

import logging
import time
from collections.abc import Callable
from dataclasses import replace
from datetime import datetime
from decimal import Decimal

from assistant.dialogue import (
    about_last,
    amounts_told,
    asked_beside,
    candidates,
    contacts,  # noqa: F401  (registers what it handles)
    cooling_begun,  # noqa: F401  (registers what it handles)
    corrected,
    delivered,  # noqa: F401  (registers what it handles)
    doubt,
    due_talk,
    guessed,
    honesty,
    implied,
    kept_words,
    lacking,
    leaning,
    meant,
    notes,
    pending,
    people_talk,
    places_meant,
    reasons_apart,
    recording,
    remembering,
    round_talk,
    since_when,
    small_talk,  # noqa: F401  (registers what it handles)
    told_deeds,
    unanswered,
    unclaimed,
    undoubted,
    unknown_place,
    urgent,
)
from assistant.dialogue.amend import opens_with_name, parse_amendment
from assistant.dialogue.answer import Answer, Request, answer_function
from assistant.dialogue.conversation import Conversation
from assistant.dialogue.emergencies import after_fault
from assistant.dialogue.hearing import Heard
from assistant.dialogue.languages import listen
from assistant.dialogue.meant import UNSURE
from assistant.dialogue.outcome import Outcome, explained
from assistant.dialogue.record import Said
from assistant.dialogue.reports import ledger, pieces, restated, take, unplaced
from assistant.dialogue.reports.said_at import marked_late, stamped
from assistant.dialogue.say import render, sources_json, spoken
from assistant.dialogue.slots import Slots
from assistant.dialogue.state import Pending
from assistant.dialogue.talking import talk_function
from assistant.dialogue.turn import Turn, pass_or_fail
from assistant.dialogue.wake import after_wake
from assistant.errors import LogWriteError
from assistant.logbook.entry import Clip
from intents.hypotheses import Hypotheses

_LOG = logging.getLogger(__name__)
REMINDER = "reminder"
"""Stands for the engine where nobody spoke."""


def _always(talk: Conversation, heard: Heard) -> bool:
    return True


def _lately(talk: Conversation, heard: Heard) -> bool:
    """True where something was logged or read back just before, which may be meant."""
    return bool(talk.state.last_reading_ids or candidates.waiting(talk)) and talk.state.recent(
        talk.clock.now()
    )


def _worded(talk: Conversation, heard: Heard) -> bool:
    return bool(heard.interpretation.heard.words)


def _told(talk: Conversation, heard: Heard) -> bool:
    """True for words that are no question."""
    return _worded(talk, heard) and not heard.interpretation.asked


def _amended(talk: Conversation, heard: Heard) -> Outcome | None:
    """Change what was just logged; of what was not understood nothing older is changed instead."""
    read, state = heard.interpretation, talk.state
    amendment = parse_amendment(talk.interpreter.with_short_places(read.heard), talk.interpreter.lexicon)
    if amendment is None or (state.unheard and not amendment.takes_back):
        return None
    may_be = candidates.read_last(talk) or state.last_reading_ids or amendment.changes
    opened = read.readings.options and opens_with_name(read.heard)
    recent = _lately(talk, heard)
    if not may_be or opened or not recording.may_amend(talk, amendment, recent=recent):
        return None
    last = talk.standing[-1:]
    bare = amendment.value is not None and not (amendment.place or amendment.food)
    if bare and not candidates.waiting(talk) and last and amounts_told.is_amount(last[0]):
        return amounts_told.amended(talk, heard, last[0])
    return recording.amend(talk, amendment, heard)


_DECIDERS: tuple[
    tuple[
        Callable[[Conversation, Heard], bool],
        Callable[[Conversation, Heard], Outcome | None],
    ],
    ...,
] = (
    (_always, people_talk.coming_on),
    (_lately, corrected.of_those_read),
    (_always, _amended),
    (_lately, corrected.of_the_other),
    (_always, corrected.report),
    (_always, about_last.answered),
    (_always, about_last.asked),
    (_always, kept_words.ordered),
    (_always, round_talk.place_named),
    (_always, unplaced.beside),
    (_worded, reasons_apart.report),
    (_worded, told_deeds.report),
    (_always, unknown_place.report),
    (_worded, take.report),
    (_always, round_talk.answered),
    (_told, implied.of_strip),
    (_told, implied.report),
    (_told, since_when.unasked),
    (_told, implied.unsure),
)
"""What may take an utterance that answers no open question, each where its condition holds: the first
that knows it decides, and what none knows is a question. Each says in its own first line what it takes.
"""


def _answered(talk: Conversation, heard: Heard, waiting: Pending | None) -> tuple[Heard, Outcome | None]:
    """Return what an utterance answers, if anything, and as it is read: with names for what points at places.

    A number of a place that is pointed at is no answer to a question about another fact.
    """
    now = talk.clock.now()
    first = pending.answer(talk, heard, now) if waiting is not None and waiting.kind != "slot" else None
    if first is not None:
        return heard, first
    told, which = places_meant.resolved(talk, heard)
    which = unanswered.asked_again(talk, told, which) if which is not None else None
    if waiting is None or which is not None or (waiting.kind == "slot" and told is not heard):
        return told, which
    again = waiting.kind == "slot" or told is not heard
    return told, pending.answer(talk, told, now) if again else None


class Mind:
    """What decides in one conversation."""

    def __init__(self, talk: Conversation) -> None:
        self.talk = talk

    def go_on(self) -> None:
        """Take up again after a restart.

        Rounds, clocks and contacts need nothing: they are read from the log.
        """
        talk = self.talk
        name, since = people_talk.signed_in_before(talk.log.views, talk.clock.now())
        talk.state = replace(talk.state, person=name, signed_in_at=since)

    def hear(self, hypotheses: Hypotheses, keep_clip: Callable[[], Clip] | None = None) -> Turn:
        """Take one utterance: decide, log, answer. Raises ``LogWriteError`` if it cannot log.

        ``keep_clip`` keeps the sound; it is called only for a turn that logs something.
        """
        talk = self.talk
        begun = time.perf_counter()
        talk.addressed = bool(hypotheses.woken) or hypotheses.engine == "typed"
        hypotheses = after_wake(hypotheses, talk.site.kitchen.wake_phrase)
        talk.interpreter, heard = listen(talk, hypotheses)
        understood = time.perf_counter()
        if heard is None:
            timings = dict(hypotheses.timings_ms)
            return Turn(heard="", confidence=0.0, engine=hypotheses.engine, timings_ms=timings)
        talk.calls(heard.interpretation.heard)
        talk.said = heard.text
        said = Said(
            heard.text,
            None if heard.typed else Decimal(str(round(min(hypotheses.confidence, 1.0), 3))),
            hypotheses.engine,
            hypotheses.model,
            people_talk.person_now(talk),
            talk.language,
        )
        decided = doubt.settled(talk, self._safely_decided(heard), heard)
        outcome = doubt.explained(talk, decided, hypotheses)
        if outcome.drafts and keep_clip is not None:
            said = replace(said, clip=keep_clip())
        turn = self._carry_out(outcome, heard, hypotheses, said)
        timings = {
            **hypotheses.timings_ms,
            "understand": round((understood - begun) * 1000, 2),
            "answer": round((time.perf_counter() - understood) * 1000, 2),
        }
        return turn.model_copy(update={"timings_ms": timings})

    def remind(self) -> Turn | None:
        """Return what may be said unasked now, a soft reminder or an open question, or ``None``.

        For the listening loop to call at quiet moments.
        """
        talk = self.talk
        outcome = due_talk.reminder_due(talk, talk.clock.now())
        if outcome is None:
            return None
        drafts = [draft.model_copy(update={"engine": REMINDER}) for draft in outcome.drafts]
        entries = talk.log.append(drafts) if drafts else ()
        words = spoken(talk.rendered(outcome), talk.language)
        talk.state = replace(talk.state, pending=outcome.pending, **outcome.changes)
        if not words.eye:
            return None
        return Turn(
            heard="",
            confidence=1.0,
            intent=outcome.intent,
            reply=words.eye,
            speech=words.ear,
            asks=outcome.pending is not None,
            entries=entries,
            engine=REMINDER,
            language=talk.language,
            volume=talk.state.voice.volume,
            speed=talk.state.voice.speed,
        )

    def _safely_decided(self, heard: Heard) -> Outcome:
        """Return what is decided; a fault in an answer is logged and said, and the talk goes on."""
        talk = self.talk
        try:
            outcome = urgent.first(talk, heard, self._whole) or self._whole(heard)
            talk.rendered(outcome)  # a reply that lacks a value is a fault of the same kind
            return outcome
        except LogWriteError:
            raise
        except Exception:
            _LOG.exception("a turn failed: %r", heard.text)
            reply = after_fault(heard.interpretation.heard.words, talk.interpreter.lexicon)
            return Outcome(Answer(reply), UNSURE, keep_context=True)

    def _whole(self, heard: Heard) -> Outcome:
        """Return what is done with an utterance, with what follows from it."""
        talk = self.talk
        said, (heard, outcome) = heard, self._decide(heard)
        outcome = undoubted.logged(talk, said, outcome)
        outcome = guessed.settled(talk, since_when.follows(talk, heard, outcome), heard)
        return notes.settled(talk, ledger.balanced(talk, heard, outcome))

    def _decide(self, heard: Heard) -> tuple[Heard, Outcome]:
        """Return what is done, and the utterance as it was read for that: short forms may be filled in."""
        talk = self.talk
        if (no := honesty.refused(talk, heard)) is not None:
            return heard, no
        waiting = None if leaning.to_others(talk, heard) else talk.state.pending
        heard, answered = _answered(talk, heard, waiting)
        if answered is not None:
            noted_so = waiting is not None and waiting.kind == "note"
            return heard, unclaimed.read(talk, heard, answered) if noted_so else answered
        if (plain := restated.first(talk, heard)) is not None:
            return plain[0], pieces.more(talk, heard, plain[1])
        told = asked_beside.both(talk, heard, pieces.more(talk, heard, self.again(heard)))
        told = leaning.judged_by_thread(talk, heard, told)
        return heard, unanswered.asked_again(talk, heard, kept_words.settled(talk, heard, told))

    def again(self, heard: Heard) -> Outcome:
        """Return what is done with a part of an utterance, taken as one of its own."""
        found = (decide(self.talk, heard) for when, decide in _DECIDERS if when(self.talk, heard))
        new = next((each for each in found if each is not None), None) or self._question(heard)
        return unclaimed.read(self.talk, heard, new)

    def _question(self, heard: Heard) -> Outcome:
        talk = self.talk
        read = heard.interpretation
        slots = Slots.of(read.heard, read.meaning).without_denied()
        if leaning.on_nothing(read):
            return meant.answered(talk, heard, slots)
        if (gone_on := leaning.gone_on(talk, read, slots)) is not None:
            return gone_on
        read = leaning.weighed(talk, read)
        slots = leaning.filled_in(talk, read, slots)
        return meant.answered(talk, replace(heard, interpretation=read), slots)

    def request(self, intent: str, slots: Slots) -> Request:
        """Return a request of this conversation as it stands now."""
        talk = self.talk
        return Request(
            intent,
            slots,
            lacking.site_asked(talk.site, slots),
            talk.clock.now(),
            talk.log.views,
            talk.state.memory,
            people_talk.person_now(talk),
            talk.state.last_reading_ids,
        )

    def ask(self, request: Request) -> Outcome:
        """Let the topic's function answer ``request``, as of the time that was told, if one was."""
        talk = self.talk
        if not request.said_at:
            return self._asked(request)
        request = replace(request, now=datetime.fromisoformat(request.said_at))
        return stamped(self._asked(request), request.said_at, talk.clock.now())

    def _asked(self, request: Request) -> Outcome:
        talk = self.talk
        request, lacks = lacking.filled(talk, request)
        if lacks:
            return meant.asked_for(request, lacks)
        talked = talk_function(request.intent)
        if talked is not None and (outcome := talked(talk, request)) is not None:
            return outcome
        function = answer_function(request.intent)
        if function is None:
            return Outcome(Answer("unknown_question"), UNSURE, request)
        from assistant.dialogue.answers.guests import not_for_them  # not needed where nothing is asked

        answer = not_for_them(request) or function(request)
        if answer is None:
            return Outcome(Answer("unknown_question"), UNSURE)
        answer = replace(answer, about=lacking.aloud(talk, request))
        if not (whose := lacking.whose_rules(talk.site, request)):
            return Outcome(answer, request.intent, request)
        answer = replace(answer, drafts=())  # the log follows this kitchen's rules only
        words = render(answer, request.intent, talk.catalogue)
        first = talk.words(whose, place=request.profile.title.split(" (")[0])
        return Outcome(answer, request.intent, request, text=f"{first} {words}")

    def _carry_out(self, outcome: Outcome, heard: Heard, hypotheses: Hypotheses, said: Said) -> Turn:
        """Log what the outcome wants logged, then (never before) say so."""
        talk = self.talk
        now = talk.clock.now()
        drafts = [marked_late(said.onto(draft), now) for draft in outcome.drafts]
        entries = talk.log.append(drafts) if drafts else ()
        settled = talk.state.pending is not None and outcome.pending is None
        outcome, ending = round_talk.lead_on(talk, outcome, entries, settled)
        if ending:
            entries += talk.log.append([said.onto(draft) for draft in ending])
        answer = outcome.answer
        words = spoken(talk.rendered(outcome), talk.language)
        aloud = spoken(outcome.aloud, talk.language).ear if outcome.aloud else words.ear
        talk.state = replace(talk.state, unheard=corrected.unheard(talk, heard, outcome))
        talk.state = remembering.after(talk, outcome, heard, entries, words.eye)
        return Turn(
            heard=heard.text,
            confidence=round(float(heard.agreement if not heard.typed else 1.0), 3),
            alternatives=tuple(h.text for h in hypotheses.alternatives[1:]),
            intent=outcome.intent or None,
            slots=outcome.slots(heard),
            reply=words.eye,
            speech=aloud,
            asks=outcome.pending is not None or bool(outcome.changes.get("asked_place")),
            verdict=pass_or_fail(outcome.verdict),
            entries=entries,
            sources=sources_json(answer.sources if answer else ()),
            engine=hypotheses.engine,
            language=talk.language,
            play=tuple(clip.path for clip in answer.play) if answer else (),
            volume=talk.state.voice.volume,
            speed=talk.state.voice.speed,
            nothing=outcome.nothing,
            explained=explained(heard, outcome),
        )
