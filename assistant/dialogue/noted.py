"""Notes in the cook's own words, kept beside what was logged: "write a note next to it, defrost cycle".

A note changes nothing: the entry that it stands beside stays as it is.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import dropwhile

from assistant.dialogue import leaning
from assistant.dialogue.answer import Answer, Request, answer_function, capital
from assistant.dialogue.conversation import Conversation
from assistant.dialogue.emergencies import emergency_in, emergency_intents
from assistant.dialogue.hearing import Heard
from assistant.dialogue.meant import DEED
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.policy import telling
from assistant.dialogue.state import Pending
from assistant.dialogue.talking import talks
from assistant.logbook.entry import Draft
from assistant.logbook.query import Filter
from assistant.logbook.views import Line

NOTE = DEED
NOTED = "note: "
"""How the note of an entry that is nothing but a note begins."""
SUPPLIES = ("hand_supplies", "hand_sink_water")
"""Intents of what lacks at a sink, or is there again: kept as a note, as a deed is."""
_ANOTHER = 0.6
"""With this share one of these is meant, whatever word of noting stands beside it."""
_OTHERS = frozenset({"discard", "reading", "sign_in", "sign_off", "backdate", "log_playback", "correction"})
_WANTED = 0.5
_MOST_WORDS = 40


def report(talk: Conversation, heard: Heard) -> Outcome | None:
    """Keep the note told, or ask what it is; ``None`` where no note is wanted."""
    read, said = heard.interpretation, heard.interpretation.heard
    called = talk.addressed
    if read.readings.options or said.asks or not called:
        return None
    if read.best is not None and read.best.intent in _OTHERS and read.best.share >= _ANOTHER:
        return None
    told = _told(talk, said.words)
    ordered = any(" ".join(said.words).endswith(p) for p in talk.interpreter.lexicon.list("note_ordered"))
    meant = read.best is not None and read.best.intent == NOTE and read.best.share >= _ANOTHER
    if told is None or (read.meaning.talk > _WANTED and not (ordered or meant)):
        return None
    if not told:
        waiting = Pending("note", talk.clock.now())
        return Outcome(
            Answer("noted"), NOTE, text=talk.words("note_what"), pending=waiting, keep_context=True
        )
    places = {span.value for span in said.names.get("equipment", ())}
    return _by_itself(talk, heard, told, places, ordered=ordered)


def _by_itself(
    talk: Conversation, heard: Heard, told: str, places: set[str], *, ordered: bool = False
) -> Outcome:
    """Return the note, with what its words ask for by themselves: an emergency, a duty after an incident.

    What they ask is answered instead. "Forty five, he's taking it back, write that down" is logged as told.
    """
    bare = talk.interpreter.interpret(told)
    meaning, table, lexicon = bare.meaning, telling(), talk.interpreter.lexicon
    note = kept(talk, _without_small(talk, told), places)
    if told not in " ".join(heard.interpretation.heard.words):
        return note  # of what was said before, which was heard then
    urgent = emergency_in(bare.heard.words, lexicon) or meaning.best.intent in emergency_intents(lexicon)
    asks = bare.heard.asks and meaning.share_of("ask", "leave") >= _WANTED
    if not (urgent or asks or ordered or table.duty(meaning.best.intent, meaning)):
        return note
    outcome = talk.again(replace(heard, interpretation=bare, text=told))
    if asks or (ordered and outcome.drafts and outcome.intent != NOTE):
        return outcome
    hurts = urgent or outcome.intent in table.incidents | table.chemicals
    if not hurts or outcome.answer is None or any(d.note.startswith(NOTED) for d in outcome.drafts):
        return outcome if hurts and outcome.drafts else note
    words = (talk.rendered(outcome), talk.words("noted"))
    text = " ".join(words if urgent else (words[1], words[0].removeprefix("No. ")))
    used = frozenset(range(len(heard.interpretation.heard.words)))
    return replace(outcome, text=text, own_drafts=(*outcome.own_drafts, *note.own_drafts), used=used)


def answered(talk: Conversation, heard: Heard) -> Outcome | None:
    """Keep the words that answer what the note is, or were offered; ``None`` for a reading or a question."""
    read, waiting = heard.interpretation, talk.state.pending
    if waiting is not None and waiting.slot:
        yes, no = read.heard.has("yes"), read.heard.has("no")
        if no and not yes and read.heard.only(read.heard.spans("no"), talk.interpreter.lexicon.filler):
            return Outcome(Answer("dropped"), "reading")
        numbers = read.readings.options or read.heard.free_measures
        return kept(talk, waiting.slot, set()) if yes and not (no or numbers) else None
    if read.readings.options or read.heard.asks or not read.heard.words:
        return None
    places = {s.value for s in read.heard.names.get("equipment", ())}
    return _by_itself(talk, heard, " ".join(read.heard.words), places)


def _told(talk: Conversation, words: tuple[str, ...]) -> str | None:
    """Return the note, empty where one was only asked for; ``None`` without a word of noting."""
    said, lexicon = f" {' '.join(words)} ", talk.interpreter.lexicon
    found = [phrase for phrase in lexicon.list("note_that") if f" {phrase} " in said]
    if not found or len(words) > _MOST_WORDS:
        return None
    phrase = max(found, key=len)
    before, _, after = said.partition(f" {phrase} ")
    behind = _without_small(talk, after)
    if behind and {*behind.split()} <= lexicon.list("it_happened"):  # what that was has been said before
        return " ".join((*leaning.last_said(talk), _without_small(talk, before))).strip()
    return after.strip() if behind else before.strip() if _without_small(talk, before) else ""


def _without_small(talk: Conversation, text: str) -> str:
    """Return ``text`` from its first word that says something on."""
    words, small = text.split(), talk.interpreter.lexicon.small("note_small")
    return " ".join(dropwhile(small.__contains__, words))


def kept(talk: Conversation, text: str, places: set[str]) -> Outcome:
    """Keep ``text`` beside the entry that it is about, if one is."""
    asked = talk.state.last_request if leaning.said_before(talk) else None
    places = places or set((asked.about or asked.slots.places) if asked is not None else ())
    line = _beside(talk, places)
    subject = line.entry.subject if line is not None else next(iter(sorted(places)), "note")
    draft = Draft(
        kind="event", subject=subject, note=f"{NOTED}{text}", refers_to=line.entry.id if line else None
    )
    key = "note_beside" if line is not None else "note_of" if places else "note_kept"
    shown = talk.words(key, place=capital(talk.shown(subject)), text=text)
    noted = Outcome(Answer("noted"), NOTE, text=shown, own_drafts=(draft,), keep_context=True)
    return replace(noted, reading_ids=talk.state.last_reading_ids)


@talks(*SUPPLIES)
def missing(talk: Conversation, request: Request) -> Outcome | None:
    """Keep what was told to lack at one hand sink beside the advice; ``None`` where it is only asked."""
    function, meaning, slots = answer_function(request.intent), request.slots.meaning, request.slots
    told = meaning is not None and meaning.act == "tell" and not slots.asked and talk.addressed
    answer = function(request) if function is not None and told else None
    if answer is None:
        return None
    items = [talk.site.equipment_by_id(place) for place in request.about]
    which = next((i.id for i in items if i is not None and not (i.id in request.about and i.numbers)), "")
    which = which if len(request.about) == 1 else ""  # of several it is not told which
    if not {*slots.words} & talk.interpreter.lexicon.list("supply_lacks"):
        return kept(talk, " ".join(slots.words), {which} - {""})  # "soap is there now"
    if not which:
        return None
    name = capital(talk.shown(which))
    draft = Draft(kind="event", subject=which, note=f"{NOTED}{' '.join(slots.words)}")
    answer = replace(answer, about=talk.words("about_noted", place=name))
    return Outcome(answer, request.intent, request, own_drafts=(draft,))


def _beside(talk: Conversation, places: set[str]) -> Line | None:
    """Return the entry meant: of the places named or asked about, else what failed or was read last."""
    opened = talk.log.views.open_actions()
    for name in sorted(places):
        mine = [line for line in opened if line.entry.subject == name]
        found = mine[-1] if mine else talk.log.views.latest(Filter(subject=name, standing_only=True))
        if found is not None:
            return found
    if places:
        return None
    ids = talk.state.last_reading_ids
    mine = [line for line in opened if line.entry.refers_to in ids]
    last = [line for line in talk.standing if line.entry.subject != "note"]
    return mine[-1] if mine else last[-1] if last and talk.state.recent(talk.clock.now()) else None
