"""The conversation: hypotheses in, one turn out. Decides in a fixed order and keeps the memory.

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
    action_talk,  # noqa: F401  (registers what it handles)
    bad_sound,
    contacts,  # noqa: F401  (registers what it handles)
    corrected,
    delivered,  # noqa: F401  (registers what it handles)
    doubt,
    due_talk,
    elsewhere,
    honesty,
    kept_words,
    lacking,
    leaning,
    meant,
    noted,
    pending,
    people_talk,
    recording,
    refers_back,
    remembering,
    round_talk,
    runs_out,
    since_when,
    small_talk,  # noqa: F401  (registers what it handles)
    told,
    told_deeds,
    unanswered,
    unclaimed,
    unknown_place,
    voice_talk,  # noqa: F401  (registers what it handles)
    wrong_place,
)
from assistant.dialogue.amend import opens_with_name, parse_amendment
from assistant.dialogue.answer import Answer, Request, Value, answer_function
from assistant.dialogue.emergencies import after_fault
from assistant.dialogue.explain import explained
from assistant.dialogue.hearing import Heard
from assistant.dialogue.languages import listen
from assistant.dialogue.meant import UNSURE
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.record import Said
from assistant.dialogue.reports import ledger, pieces, restated, take, unplaced
from assistant.dialogue.reports.said_at import marked_late, stamped
from assistant.dialogue.say import fill, render, sources_json, spoken, worded
from assistant.dialogue.slots import Slots
from assistant.dialogue.state import State
from assistant.dialogue.talking import talk_function
from assistant.dialogue.turn import Turn, pass_or_fail
from assistant.dialogue.wake import after_wake, strip_wake
from assistant.errors import LogWriteError
from assistant.logbook.clock import Clock
from assistant.logbook.entry import Clip
from assistant.logbook.store import Logbook
from assistant.logbook.views import Line
from assistant.site import Site
from intents.catalogue import Catalogue
from intents.hypotheses import Hypotheses
from intents.interpret import Interpreter
from intents.names_heard import called, kept_names, places_called

_LOG = logging.getLogger(__name__)
REMINDER = "reminder"
"""Stands for the engine where nobody spoke."""
FRAGMENTS = "fragments"
"""The table of words that several replies put together."""


def interpreter_for(site: Site, language: str = "") -> Interpreter:
    """Return the interpreter for a site's names in its (or another) language."""
    people = tuple((name, p.name) for p in site.people for name in (p.name, *p.also))
    menu = tuple((name, food) for name, food in site.menu.items())
    names = (site.spoken_equipment(), people, menu)
    units, rounds = site.kitchen.units, site.spoken_rounds()
    return Interpreter(language or site.kitchen.language, *names, site.kind_of, units, rounds)


class Conversation:
    """One conversation with one kitchen. ``hear`` takes what was heard and returns the turn."""

    def __init__(
        self, site: Site, log: Logbook, clock: Clock, interpreter: Interpreter | None = None
    ) -> None:
        self.site = site
        self.log = log
        self.clock = clock
        self.interpreter = interpreter or interpreter_for(site)
        self._interpreters = {self.language: self.interpreter}
        self._called: dict[str, dict[str, str]] = {}  # by language, what foods were called
        self._catalogues: dict[str, Catalogue] = {}  # by language, with foods called so
        self.state = State()
        self.addressed = False  # typed, or the wake phrase was heard: whatever is asked gets an answer

    @property
    def catalogue(self) -> Catalogue:
        """The replies of the language that is being spoken."""
        code, places = self.language, self.site.spoken_places
        if code not in self._catalogues:
            so = {**places_called(code, places), **self._called.get(code, {})}
            self._catalogues[code] = self.interpreter.catalogue.calling(so, kept_names(code, places))
        return self._catalogues[code]

    @property
    def language(self) -> str:
        """The language that is being spoken: that of the last utterance that was understood."""
        return self.interpreter.lexicon.language

    @property
    def last_lines(self) -> list[Line]:
        """What was logged last in this conversation, as it stands now."""
        lines = (self.log.views.line(number) for number in self.state.last_reading_ids)
        return [line for line in lines if line is not None]

    @property
    def last_readings(self) -> list[Line]:
        """The readings of what was logged last, without those taken back."""
        lines = self.last_lines
        return [line for line in lines if not line.withdrawn and line.entry.kind == "reading"]

    @property
    def base_catalogue(self) -> Catalogue:
        """The catalogue of the language that has every intent: the stance of a reply is told there."""
        return self.catalogue.base or self.catalogue

    def speaker_of(self, code: str) -> Interpreter:
        """Return the interpreter of a language, built when it is first needed."""
        if code not in self._interpreters:
            self._interpreters[code] = interpreter_for(self.site, code)
        return self._interpreters[code]

    def fresh(self) -> None:
        """Forget what was said, as if a new person came."""
        self.state = State()

    def go_on(self) -> None:
        """Take up again after a restart: whoever was signed in last today still is.

        Rounds, clocks and contacts need nothing: they are read from the log.
        """
        name, since = people_talk.signed_in_before(self.log.views, self.clock.now())
        self.state = replace(self.state, person=name, signed_in_at=since)

    def hear(self, hypotheses: Hypotheses, keep_clip: Callable[[], Clip] | None = None) -> Turn:
        """Take one utterance: decide, log, answer. Raises ``LogWriteError`` if it cannot log.

        ``keep_clip`` keeps the sound; it is called only for a turn that logs something.
        """
        begun = time.perf_counter()
        self.addressed = bool(hypotheses.woken) or hypotheses.engine == "typed"
        hypotheses = after_wake(hypotheses, self.site.kitchen.wake_phrase)
        self.interpreter, heard = listen(self, hypotheses)
        understood = time.perf_counter()
        if heard is None:
            timings = dict(hypotheses.timings_ms)
            return Turn(heard="", confidence=0.0, engine=hypotheses.engine, timings_ms=timings)
        read = heard.interpretation.heard
        if known := called(self.language, read.words, read.names.get("food", ())):
            self._called[self.language] = self._called.get(self.language, {}) | known
            self._catalogues.pop(self.language, None)
        said = Said(
            heard.text,
            None if heard.typed else Decimal(str(round(min(hypotheses.confidence, 1.0), 3))),
            hypotheses.engine,
            hypotheses.model,
            people_talk.person_now(self),
            self.language,
        )
        decided = doubt.settled(self, self._safely_decided(heard), heard)
        outcome = bad_sound.explained(self, decided, hypotheses)
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
        outcome = due_talk.reminder_due(self, self.clock.now())
        if outcome is None:
            return None
        drafts = [draft.model_copy(update={"engine": REMINDER}) for draft in outcome.drafts]
        entries = self.log.append(drafts) if drafts else ()
        words = spoken(self.rendered(outcome), self.language)
        self.state = replace(self.state, pending=outcome.pending, **outcome.changes)
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
            language=self.language,
            volume=self.state.voice.volume,
            speed=self.state.voice.speed,
        )

    def without_wake(self, text: str) -> str:
        """Return ``text`` without the wake phrase before it."""
        rest, found = strip_wake(text, self.site.kitchen.wake_phrase)
        return rest if found and rest else text

    def shown(self, subject: str) -> str:
        """Return the name of a place or food as it is spoken back."""
        return self.catalogue.shown(self.site.spoken_name(subject))

    def words(self, key: str, **values: Value) -> str:
        """Return a fragment of the language's own table (``talk/fragments.toml``), filled in."""
        return fill(self.catalogue[FRAGMENTS].replies[key], worded(values, self.catalogue))

    def rendered(self, outcome: Outcome) -> str:
        """Return the words of an outcome: its own text, else those of its answer."""
        if outcome.text is not None:
            return outcome.text
        return render(outcome.answer, outcome.intent, self.catalogue) if outcome.answer else ""

    def _safely_decided(self, heard: Heard) -> Outcome:
        """Return what is decided; a fault in an answer is logged and said, and the talk goes on."""
        try:
            heard, outcome = self._decide(heard)
            outcome = ledger.balanced(self, heard, since_when.follows(self, outcome))
            self.rendered(outcome)  # a reply that lacks a value is a fault of the same kind
            return outcome
        except LogWriteError:
            raise
        except Exception:
            _LOG.exception("a turn failed: %r", heard.text)
            reply = after_fault(heard.interpretation.heard.words, self.interpreter.lexicon)
            return Outcome(Answer(reply), UNSURE, keep_context=True)

    def _decide(self, heard: Heard) -> tuple[Heard, Outcome]:
        """Return what is done, and the utterance as it was read for that: short forms may be filled in."""
        if (no := honesty.refused(self, heard)) is not None:
            return heard, no
        waiting = None if leaning.to_others(self, heard) else self.state.pending
        if waiting is not None and (answered := pending.answer(self, heard, self.clock.now())) is not None:
            return heard, unclaimed.read(self, heard, answered) if waiting.kind == "note" else answered
        if (plain := restated.first(self, heard)) is not None:
            return plain[0], pieces.more(self, heard, plain[1])
        told = leaning.judged_by_thread(self, heard, pieces.more(self, heard, self.again(heard)))
        return heard, unanswered.asked_again(self, heard, kept_words.settled(self, heard, told))

    def again(self, heard: Heard) -> Outcome:
        """Return what is done with a part of an utterance, taken as one of its own."""
        return unclaimed.read(self, heard, self._new(heard))

    def _new(self, heard: Heard) -> Outcome:
        """Return what is done with an utterance that answers no open question."""
        if (introduced := people_talk.coming_on(self, heard)) is not None:
            return introduced
        now, read = self.clock.now(), heard.interpretation
        full = self.interpreter.with_short_places(read.heard)
        amendment = parse_amendment(full, self.interpreter.lexicon)
        if amendment is not None and not (self.state.last_reading_ids or amendment.changes):
            amendment = None
        if amendment is not None and self.state.unheard and not amendment.takes_back:
            amendment = None  # of what was not understood: nothing older is changed instead
        opened = read.readings.options and opens_with_name(read.heard)
        recent = bool(self.state.last_reading_ids) and self.state.recent(now)
        if recent and (back := refers_back.report(self, heard)) is not None:
            return back
        if recent and (one := corrected.of_those_read(self, heard)) is not None:
            return one
        if amendment is not None and not opened and recording.may_amend(self, amendment, recent=recent):
            return recording.amend(self, amendment, heard)
        if recent and (moved := wrong_place.moved(self, heard)) is not None:
            return moved
        if (changed := corrected.report(self, heard)) is not None:
            return changed
        if (early := about_last.answered(self, heard) or runs_out.asked(self, heard)) is not None:
            return early
        if (note := noted.report(self, heard)) is not None:
            return note
        if (named := round_talk.place_named(self, heard)) is not None:
            return named
        if (asked := unplaced.beside(self, heard) or unknown_place.report(self, heard)) is not None:
            return asked
        told_so = None
        if read.heard.words:
            told_so = told_deeds.report(self, heard) or take.report(self, heard)
        told_so = told_so or round_talk.answered(self, heard)
        tells = told_so is None and read.heard.words and not read.asked
        return told_so or (told.report(self, heard) if tells else None) or self._question(heard)

    def _question(self, heard: Heard) -> Outcome:
        read = heard.interpretation
        slots = Slots.of(read.heard, read.meaning)
        if leaning.on_nothing(read):
            return meant.answered(self, heard, slots)
        if (gone_on := leaning.gone_on(self, read, slots)) is not None:
            return gone_on
        read = leaning.weighed(self, read)
        slots = leaning.filled_in(self, read, slots)
        return meant.answered(self, replace(heard, interpretation=read), slots)

    def request(self, intent: str, slots: Slots) -> Request:
        """Return a request of this conversation as it stands now."""
        return Request(
            intent,
            slots,
            elsewhere.site_asked(self.site, slots),
            self.clock.now(),
            self.log.views,
            self.state.memory,
            people_talk.person_now(self),
            self.state.last_reading_ids,
        )

    def ask(self, request: Request) -> Outcome:
        """Let the topic's function answer ``request``, as of the time that was told, if one was."""
        if not request.said_at:
            return self._asked(request)
        request = replace(request, now=datetime.fromisoformat(request.said_at))
        return stamped(self._asked(request), request.said_at, self.clock.now())

    def _asked(self, request: Request) -> Outcome:
        request, lacks = lacking.filled(self, request)
        if lacks:
            return meant.asked_for(request, lacks)
        talked = talk_function(request.intent)
        if talked is not None and (outcome := talked(self, request)) is not None:
            return outcome
        function = answer_function(request.intent)
        if function is None:
            return Outcome(Answer("unknown_question"), UNSURE, request)
        from assistant.dialogue.answers.guests import not_for_them  # not needed where nothing is asked

        answer = not_for_them(request) or function(request)
        if answer is None:
            return Outcome(Answer("unknown_question"), UNSURE)
        answer = replace(answer, about=lacking.aloud(self, request))
        if not (whose := elsewhere.whose_rules(self.site, request)):
            return Outcome(answer, request.intent, request)
        answer = replace(answer, drafts=())  # the log follows this kitchen's rules only
        words = render(answer, request.intent, self.catalogue)
        first = self.words(whose, place=request.profile.title.split(" (")[0])
        return Outcome(answer, request.intent, request, text=f"{first} {words}")

    def _carry_out(self, outcome: Outcome, heard: Heard, hypotheses: Hypotheses, said: Said) -> Turn:
        """Log what the outcome wants logged, then (never before) say so."""
        now = self.clock.now()
        drafts = [marked_late(said.onto(draft), now) for draft in outcome.drafts]
        entries = self.log.append(drafts) if drafts else ()
        settled = self.state.pending is not None and outcome.pending is None
        outcome, ending = round_talk.lead_on(self, outcome, entries, settled)
        if ending:
            entries += self.log.append([said.onto(draft) for draft in ending])
        answer = outcome.answer
        words = spoken(self.rendered(outcome), self.language)
        aloud = spoken(outcome.aloud, self.language).ear if outcome.aloud else words.ear
        self.state = replace(self.state, unheard=corrected.unheard(self, heard, outcome))
        self.state = remembering.after(self, outcome, heard, entries, words.eye)
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
            language=self.language,
            play=tuple(clip.path for clip in answer.play) if answer else (),
            volume=self.state.voice.volume,
            speed=self.state.voice.speed,
            nothing=outcome.nothing,
            explained=explained(heard, outcome),
        )
