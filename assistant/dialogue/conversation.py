"""A conversation: its kitchen, its memory, how it names and words things. What is done, ``deciding`` says."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace

from assistant.dialogue.answer import Request, Value
from assistant.dialogue.hearing import Heard
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.say import fill, render, worded
from assistant.dialogue.slots import Slots
from assistant.dialogue.state import State
from assistant.dialogue.turn import Turn
from assistant.dialogue.wake import strip_wake
from assistant.logbook.clock import Clock
from assistant.logbook.entry import Clip
from assistant.logbook.store import Logbook
from assistant.logbook.views import Line
from assistant.site import Site
from intents.catalogue import Catalogue
from intents.hypotheses import Hypotheses
from intents.interpret import Interpreter
from intents.mentions import Understanding
from intents.names_heard import called, kept_names, places_called

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
        self.said = ""  # all of the utterance, of which a part may be looked at
        self.addressed = False  # typed, or the wake phrase was heard: whatever is asked gets an answer
        from assistant.dialogue import deciding  # it knows conversations, and is loaded with the first

        self._mind = deciding.Mind(self)

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
    def standing(self) -> list[Line]:
        """What was logged last, without what was taken back."""
        return [line for line in self.last_lines if not line.withdrawn]

    @property
    def last_readings(self) -> list[Line]:
        """The readings of what was logged last, without those taken back."""
        return [line for line in self.standing if line.entry.kind == "reading"]

    @property
    def base_catalogue(self) -> Catalogue:
        """The catalogue of the language that has every intent: the stance of a reply is told there."""
        return self.catalogue.base or self.catalogue

    def speaker_of(self, code: str) -> Interpreter:
        """Return the interpreter of a language, built when it is first needed."""
        if code not in self._interpreters:
            self._interpreters[code] = interpreter_for(self.site, code)
        return self._interpreters[code]

    def calls(self, read: Understanding) -> None:
        """Call foods from now on as the cook called them."""
        if known := called(self.language, read.words, read.names.get("food", ())):
            self._called[self.language] = self._called.get(self.language, {}) | known
            self._catalogues.pop(self.language, None)

    def fresh(self) -> None:
        """Forget what was said, as if a new person came."""
        self.state = State()

    def go_on(self) -> None:
        """Take up again after a restart: whoever was signed in last today still is."""
        self._mind.go_on()

    def hear(self, hypotheses: Hypotheses, keep_clip: Callable[[], Clip] | None = None) -> Turn:
        """Take one utterance: decide, log, answer. Raises ``LogWriteError`` if it cannot log.

        ``keep_clip`` keeps the sound; it is called only for a turn that logs something.
        """
        return self._mind.hear(hypotheses, keep_clip)

    def remind(self) -> Turn | None:
        """Return what may be said unasked now, a soft reminder or an open question, or ``None``.

        For the listening loop to call at quiet moments.
        """
        return self._mind.remind()

    def again(self, heard: Heard) -> Outcome:
        """Return what is done with a part of an utterance, taken as one of its own."""
        return self._mind.again(heard)

    def part(self, heard: Heard, kept: Iterable[int]) -> Heard:
        """Return some words of an utterance, as one of its own."""
        text = " ".join(heard.interpretation.heard.said(kept))
        return replace(heard, interpretation=self.interpreter.interpret(text), text=text, rival=None)

    def request(self, intent: str, slots: Slots) -> Request:
        """Return a request of this conversation as it stands now."""
        return self._mind.request(intent, slots)

    def ask(self, request: Request) -> Outcome:
        """Let the topic's function answer ``request``, as of the time that was told, if one was."""
        return self._mind.ask(request)

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
