"""What somebody who called tells and nothing took, or wants written down: it is kept in their own words.

The one place that decides it (``[told]`` in ``policy.toml``): an incident, a cause, a deed, a time since when
is noted with its time, on the failed reading that is open there if one is. The advice of the topic follows
where it adds a duty; a status, a list, "say that again" and "this or that?" are no answer to what was told.
What may be a reading, or is only thought of, is not noted by itself: the words are offered.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import dropwhile
from typing import Literal

from assistant.dialogue import beside_incident, discards, leaning, notes, told_too
from assistant.dialogue.answer import Answer, Request, answer_function, capital
from assistant.dialogue.answers.record import THROWN
from assistant.dialogue.clauses import cut
from assistant.dialogue.conversation import Conversation
from assistant.dialogue.emergencies import emergency_in, emergency_intents, seems_urgent
from assistant.dialogue.hearing import Heard
from assistant.dialogue.meant import DEED, UNSURE
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.policy import Telling, telling
from assistant.dialogue.recording import READING
from assistant.dialogue.reports import deeds
from assistant.dialogue.reports.take import BACKDATE
from assistant.dialogue.slots import Slots
from assistant.dialogue.state import Pending
from assistant.dialogue.talking import talks
from assistant.logbook.views import Line
from intents.interpret import Interpretation
from intents.meaning import NONE, Role
from intents.mentions import READ
from intents.quantities import Moment
from intents.words import tokenise

Step = Literal["as it is", "note", "note and advice", "offer"]
SUPPLIES = ("hand_supplies", "hand_sink_water")
"""Intents of what lacks at a sink, or is there again: kept as a note, as a deed is."""
_ANOTHER = 0.6
"""With this share one of these is meant, whatever word of noting stands beside it."""
_OTHERS = frozenset({"discard", READING, "sign_in", "sign_off", BACKDATE, "log_playback", "correction"})
_LAST_RESORTS = ("say_again", "unknown_question", "not_sure")
"""Replies that take nothing of what was told."""
_FEW, _MOST_WORDS, _LONG = 6, 40, 8
"""So few words are an amount of something, and no story; more are no note; so many are no call."""
_TALK, _ASKS, _SURELY = 0.5, 0.8, 0.9
"""From these shares on words are talk, or a question: neither is ever written down; or surely a deed."""


def ordered(talk: Conversation, heard: Heard) -> Outcome | None:
    """Keep the note that is wanted, or ask what it is; ``None`` where none is wanted."""
    read, said = heard.interpretation, heard.interpretation.heard
    if read.readings.options or said.asks or not talk.addressed:
        return None
    if read.best is not None and read.best.intent in _OTHERS and read.best.share >= _ANOTHER:
        return None
    told = _wanted(talk, said.words)
    order = any(" ".join(said.words).endswith(p) for p in talk.interpreter.lexicon.list("note_ordered"))
    meant = read.best is not None and read.best.intent == DEED and read.best.share >= _ANOTHER
    if told is None or (read.meaning.talk > _TALK and not (order or meant)):
        return None
    return _written(talk, heard, told, order=order) if told else _asked(talk, "note_what")


def answered(talk: Conversation, heard: Heard) -> Outcome | None:
    """Keep the words that answer what the note is, or were offered; ``None`` for a reading or a question."""
    read, waiting = heard.interpretation, talk.state.pending
    if waiting is not None and waiting.slot:
        yes, no = read.heard.has("yes"), read.heard.has("no")
        if no and not yes and read.heard.only(read.heard.spans("no"), talk.interpreter.lexicon.filler):
            return Outcome(Answer("dropped"), READING)
        numbers = read.readings.options or read.heard.free_measures
        return notes.alone(talk, notes.of(talk, waiting.slot)) if yes and not (no or numbers) else None
    if read.readings.options or read.heard.asks or not read.heard.words:
        return None
    return _written(talk, heard, " ".join(read.heard.words))


def _asked(talk: Conversation, key: str, words: str = "") -> Outcome:
    """Ask for the words of a note, or whether these are to be noted."""
    waiting = Pending("note", talk.clock.now(), slot=words)
    return Outcome(Answer("noted"), DEED, text=talk.words(key), pending=waiting, keep_context=True)


def _wanted(talk: Conversation, words: tuple[str, ...]) -> str | None:
    """Return the note, empty where one was only asked for; ``None`` without a word of noting."""
    said, lexicon = f" {' '.join(words)} ", talk.interpreter.lexicon
    found = [phrase for phrase in lexicon.list("note_that") if f" {phrase} " in said]
    if not found or len(words) > _MOST_WORDS:
        return None
    before, _, after = said.partition(f" {max(found, key=len)} ")
    behind = _without_small(talk, after)
    if behind and {*behind.split()} <= lexicon.list("it_happened"):  # what that was has been said before
        return " ".join((*leaning.last_said(talk), _without_small(talk, before))).strip()
    return after.strip() if behind else before.strip() if _without_small(talk, before) else ""


def _without_small(talk: Conversation, text: str) -> str:
    """Return ``text`` from its first word that says something on."""
    small = talk.interpreter.lexicon.small("note_small")
    return " ".join(dropwhile(small.__contains__, text.split()))


def _written(talk: Conversation, heard: Heard, told: str, *, order: bool = False) -> Outcome:
    """Return the note, with what its words ask for by themselves: an emergency, a duty after an incident.

    What they ask is answered instead. "Forty five, he's taking it back, write that down" is logged as told.
    """
    bare = talk.interpreter.interpret(told)
    meaning, table, lexicon = bare.meaning, telling(), talk.interpreter.lexicon
    places = {span.value for span in heard.interpretation.heard.names.get("equipment", ())}
    note = notes.of(talk, _without_small(talk, told), places)
    kept = notes.alone(talk, note)
    if told not in " ".join(heard.interpretation.heard.words):
        return kept  # of what was said before, which was heard then
    urgent = seems_urgent(bare.heard.words, meaning.best.intent, lexicon)
    asks = bare.heard.asks and meaning.share_of("ask", "leave") >= _TALK
    if not (urgent or asks or order or table.duty(meaning.best.intent, meaning)):
        return kept
    outcome = talk.again(replace(heard, interpretation=bare, text=told))
    if asks or (order and outcome.drafts and outcome.intent != DEED):
        return outcome
    hurts = urgent or outcome.intent in table.incidents | table.chemicals
    if not hurts or outcome.answer is None or any(map(notes.is_note, outcome.drafts)):
        return outcome if hurts and outcome.drafts else kept
    return _used(heard, notes.beside(talk, outcome, (note,), "short", first=not urgent))


def _used(heard: Heard, outcome: Outcome) -> Outcome:
    return replace(outcome, used=frozenset(range(len(heard.interpretation.heard.words))))


@talks(*SUPPLIES)
def missing(talk: Conversation, request: Request) -> Outcome | None:
    """Keep what was told to lack at one hand sink beside the advice; ``None`` where it is only asked."""
    function, meaning, slots = answer_function(request.intent), request.slots.meaning, request.slots
    told = meaning is not None and meaning.act == "tell" and not slots.asked and talk.addressed
    answer = function(request) if function is not None and told else None
    if answer is None:
        return None
    items = [talk.site.equipment_by_id(place) for place in request.about]
    which = {i.id for i in items if i is not None and not (i.id in request.about and i.numbers)}
    which = which if len(request.about) == 1 else set()  # of several it is not told which
    if not {*slots.words} & talk.interpreter.lexicon.list("supply_lacks"):
        return notes.alone(talk, notes.of(talk, " ".join(slots.words), which))  # "soap is there now"
    if not which:
        return None
    note, advice = (
        notes.of(talk, " ".join(slots.words), which, "named"),
        Outcome(answer, request.intent, request),
    )
    return notes.beside(talk, advice, (note,), "place", first=True)


@talks(DEED)
def done(talk: Conversation, request: Request) -> Outcome:
    """Log what was done, naming the action that it is about: of the place said, else the newest open one."""
    line, slots = _open_action(talk, request), request.slots
    words, lexicon = " ".join(slots.words), talk.interpreter.lexicon
    thought_of = _thought_of(talk, slots.words)
    if line is None or thought_of or _of_another(talk, request, line):
        if not thought_of and _told_to_us(talk, request):
            return notes.alone(talk, notes.of(talk, words, {*slots.places}))
        return Outcome(None, "", keep_context=True)  # talk among cooks: nothing is open
    entry = line.entry
    if not talk.site.kind_of(entry.subject) and {*slots.words} & lexicon.list("thrown"):
        wanted = Slots(foods=(entry.item or entry.subject,), concepts=frozenset({THROWN}))
        if (gone := discards.thrown_out(talk, talk.request(discards.DISCARD, wanted))) is not None:
            return gone
    there = [place for place in slots.places if place != entry.subject][-1:]
    note = notes.NoteDraft(words, entry.subject, line, notes.WAS_DONE, place=there[0] if there else "")
    key = "noted_discard" if "discard" in entry.note else "noted"
    answer = Answer(key, {"place": capital(talk.shown(entry.subject))})
    return Outcome(answer, DEED, request, own_drafts=(note.entry,), keep_context=True)


def _thought_of(talk: Conversation, words: tuple[str, ...]) -> bool:
    """True for "I guess I should move the ham": nobody did it yet."""
    lexicon = talk.interpreter.lexicon
    behind = (" ".join(words[i + 1 :]) for i, word in enumerate(words) if word in lexicon.list("deed_doers"))
    return any(f"{said} ".startswith(f"{plan} ") for said in behind for plan in lexicon.list("deed_planned"))


def _told_to_us(talk: Conversation, request: Request) -> bool:
    """True where somebody who called tells, beyond doubt, what was done, or wants it noted."""
    meaning = request.slots.meaning
    if meaning is None or not talk.addressed or meaning.act in ("ask", "talk"):
        return False
    named = request.slots.foods or request.slots.places  # with a number it may be a reading of that
    share = sum(guess.share for guess in meaning.guesses if guess.intent in (DEED, *SUPPLIES))
    return meaning.best.intent == DEED and share >= (_SURELY if named else _ANOTHER)


def _of_another(talk: Conversation, request: Request, line: Line) -> bool:
    """True for what was done to another place or food, or another day: "I reheated the gravy yesterday"."""
    foods, subject, words = request.slots.foods, line.entry.subject, request.slots.words
    lexicon, heard = talk.interpreter.lexicon, request.slots.heard
    put = lexicon.list("deed_into") | lexicon.list("before_place")
    named = heard.names.get("equipment", ()) if heard is not None else ()
    done_to = {s.value for s in named if not {*words[max(0, s.start - 2) : s.start]} & put}
    if done_to and subject not in done_to and not {*words} & lexicon.list("moved"):
        return True
    if foods and not talk.site.kind_of(subject):
        return not {word for food in foods for word in food.split()} & {*subject.split()}
    return request.slots.has("day_yesterday") and not request.slots.places


def _open_action(talk: Conversation, request: Request) -> Line | None:
    """Return the action meant: of the place named, or the newest that what was done can be about.

    A solution is remade and not moved.
    """
    words, lexicon = {*request.slots.words}, talk.interpreter.lexicon
    moved, remade = words & lexicon.list("moved"), words & lexicon.list("remade")
    lines = talk.log.views.open_actions()
    mixed = [talk.site.kind_of(line.entry.subject).startswith("sanitizer") for line in lines]
    named = [line for line in lines if line.entry.subject in request.slots.places and not moved]
    fitting = [each for each, is_so in zip(lines, mixed, strict=True) if not (moved if is_so else remade)]
    return next(iter([*named[-1:], *fitting[-1:]]), None)


def settled(talk: Conversation, heard: Heard, outcome: Outcome) -> Outcome:
    """Return what is done, with what was told written down where nothing else was made of it."""
    table, words = telling(), heard.interpretation.heard.words
    if outcome.drafts or outcome.readings:
        return outcome
    hurt = _incident(talk, heard, outcome)
    if hurt is None and not _told(talk, heard, outcome, table):
        return _offered(talk, heard) if _perhaps_to_us(talk, heard, outcome, table) else outcome
    step: Step = "note and advice" if hurt is not None else _step(talk, heard, outcome, table)
    if step == "note" and not _nothing(outcome) and leaning.in_thread(talk, outcome.intent):
        step = "note and advice"
    if step == "as it is":
        return outcome
    advice = (hurt or outcome) if step == "note and advice" else None
    if advice is not None and (read := beside_incident.read(talk, heard, advice)) is not None:
        return read
    if step == "offer":
        return _offered(talk, heard)
    told = _wanted(talk, words) if hurt is not None else None
    note = _note(talk, heard, own=advice is not None)
    note = replace(note, words=_without_small(talk, told) if told else note.words)
    if advice is None:
        return _used(heard, notes.alone(talk, note, "place"))
    asks = hurt is None and heard.interpretation.asked and _asking(talk, heard)
    return _used(heard, notes.beside(talk, advice, (note,), "place", first=True, asked=asks))


def _offered(talk: Conversation, heard: Heard) -> Outcome:
    """Ask whether the words are to be noted."""
    asked = "note_instead" if _numbers(heard.interpretation, "value") else "note_offered"
    return _asked(talk, asked, " ".join(heard.interpretation.heard.words))


def _perhaps_to_us(talk: Conversation, heard: Heard, outcome: Outcome, table: Telling) -> bool:
    """True for what somebody who called says at some length, answered with silence, and hardly talk."""
    read, silent = heard.interpretation, outcome.answer is None and outcome.text is None
    waits = talk.state.pending is not None or outcome.pending is not None
    if not (talk.addressed and silent) or waits or read.heard.asks or leaning.to_others(talk, heard):
        return False
    return _LONG <= len(read.heard.words) <= table.words[1] and read.meaning.talk < _TALK


def _incident(talk: Conversation, heard: Heard, outcome: Outcome) -> Outcome | None:
    """Return the answer to an incident with its time, which is no reading missed, or in a lost story."""
    meaning, lost = heard.interpretation.meaning, _nothing(outcome) or outcome.intent == BACKDATE
    of_talk = meaning.best.intent == NONE or meaning.talk >= _TALK
    if not talk.addressed or of_talk or not lost or heard.interpretation.heard.asks:
        return None
    return told_too.incident(talk, heard)


def _told(talk: Conversation, heard: Heard, outcome: Outcome, table: Telling) -> bool:
    """True for what somebody who called tells us, in a few words or more: no question, talk or emergency."""
    read, meaning = heard.interpretation, heard.interpretation.meaning
    words, lexicon = read.heard.words, talk.interpreter.lexicon
    few, most = table.words
    if not talk.addressed or read.heard.asks or not few <= len(words) <= most:
        return False
    if meaning.talk >= table.talk:
        return False
    if talk.state.pending is not None and talk.state.pending.readings and read.heard.has("yes", "no"):
        return False  # an answer to what was read back, with more behind it
    asking = meaning.share_of("ask", "leave") >= _ASKS or _asking(talk, heard)
    happened = outcome.intent in table.incidents and not asking
    tells = _telling(heard) >= (table.happened if happened else table.offered)
    if (read.asked and not happened) or not tells:
        return False
    urgent = emergency_intents(lexicon)
    return not ({outcome.intent, meaning.best.intent} & urgent or emergency_in(words, lexicon))


def _asking(talk: Conversation, heard: Heard) -> bool:
    """True for a word of asking; "is" and "was" ask only where a clause begins with them."""
    read, lexicon = heard.interpretation.heard, talk.interpreter.lexicon
    first = {read.words[start] for start, _ in cut(talk, read)}
    return not (lexicon.list("asking") - lexicon.list("read_at")).isdisjoint(read.words) or not (
        first.isdisjoint(lexicon.list("asking"))
    )


def _telling(heard: Heard) -> float:
    """Return the share of telling; what answers nothing that was asked tells, too: "like two minutes ago"."""
    return heard.interpretation.meaning.share_of("tell", "answer")


def _step(talk: Conversation, heard: Heard, outcome: Outcome, table: Telling) -> Step:
    """Return what is done with words that were told, by what was made of them."""
    read, answer = heard.interpretation, outcome.answer
    best = read.meaning.best
    surely = _telling(heard) >= table.noted
    if _nothing(outcome):
        if _thought_of(talk, read.heard.words):
            return "offer"
        lost = not surely or _numbers(read, "value", "count", "other")
        return "offer" if lost else "note"
    asks = outcome.text is not None or outcome.pending is not None or outcome.intent == READING
    topic = talk.base_catalogue[outcome.intent].topic if answer is not None else ""
    happened = outcome.intent in table.incidents
    if answer is None or asks or topic in table.left or not (surely or happened):
        return "as it is"
    again = answer == talk.state.last_answer and talk.state.recent(talk.clock.now())
    plain: Step = "as it is" if _numbers(read, "value") else "note"
    sure = best.share >= table.advised
    hurts = outcome.intent in table.people and (sure or read.meaning.danger >= table.danger)
    if again:
        return plain if not hurts or plain != "note" else "note and advice"  # a note alone would be a yes
    if sure and not happened:
        how = outcome.verdict is None and (topic in table.status or outcome.intent in table.how)
        return plain if how else "as it is"
    duty = sure or read.meaning.danger >= table.danger or table.duty(outcome.intent, read.meaning)
    return "note and advice" if duty else plain if outcome.verdict is None else "as it is"


def _nothing(outcome: Outcome) -> bool:
    """True where the words came to nothing: silence, "say that again", or "this or that?"."""
    if outcome.text is not None:
        return False
    if outcome.answer is None:
        return outcome.pending is None
    between = outcome.intent == UNSURE and outcome.answer.reply == "which"
    return between or (outcome.pending is None and outcome.answer.reply in _LAST_RESORTS)


def _numbers(read: Interpretation, *as_roles: Role) -> bool:
    """True where a number has one of these roles: one that may be a reading is not put away in a note."""
    roles = read.meaning.roles
    known = len(roles) == len(read.heard.words)
    return any(m.kind in READ and (not known or roles[m.start] in as_roles) for m in read.heard.free_measures)


def _note(talk: Conversation, heard: Heard, *, own: bool) -> notes.NoteDraft:
    """Return the note: of the place named, else of what failed just before; no matter of its ``own``."""
    read = heard.interpretation.heard
    named = {s.value for s in read.names.get("equipment", ()) if notes.by_name(talk, s, read.words)}
    foods = {span.value for span in read.names.get("food", ())}
    note = notes.of(talk, " ".join(read.words), named, "named" if own else "failed", foods)
    if note.line is not None and not named and _of_another_thing(talk, heard, note.line.entry.subject):
        note = notes.of(talk, note.words, named, "named", foods)
    return replace(note, said_at=_since(talk, heard))


def _of_another_thing(talk: Conversation, heard: Heard, place: str) -> bool:
    """True for "the ice machine leaks" after a fridge failed; "the coils" are those of the fridge."""
    words, lexicon = heard.interpretation.heard.words, talk.interpreter.lexicon
    roles = heard.interpretation.meaning.roles
    told = {word for role, word in zip(roles, words, strict=False) if role == "place"}
    kind = told & (lexicon.list("place_nouns") | {tokenise(item.name)[-1] for item in talk.site.places})
    own = told - kind - lexicon.list("deed_articles") - lexicon.list("prepositions")
    return bool(kind and own) and not own & {*tokenise(talk.site.spoken_name(place))}


def _since(talk: Conversation, heard: Heard) -> str:
    """Return the moment told with it, where no other can be meant: "since ten", "ten minutes back"."""
    told = deeds.told_at(talk, heard, ("at", "since"))
    read = heard.interpretation.heard
    if (
        told is None
        or told[1].others
        or any(not {*range(each.start, each.end)} & {*told[0].words} for each in read.quantities)
    ):
        return ""  # "from nine to eleven"
    relative = isinstance(told[0].meaning, Moment) and not told[0].meaning.clock
    return told[1].iso if relative or told[0].part == "since" else ""
