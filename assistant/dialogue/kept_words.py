"""What somebody who called tells, and nothing took: it is written down in their own words.

The one place that decides it (``[told]`` in ``policy.toml``): an incident, a cause, a deed, a time since when
is noted with its time, on the failed reading that is open there if one is. The advice of the topic follows
where it adds a duty; a status, a list, "say that again" and "this or that?" are no answer to what was told.
What may be a reading is not noted by itself: the words are offered.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime
from typing import Literal

from assistant.dialogue import leaning
from assistant.dialogue.answer import Answer, capital
from assistant.dialogue.conversation import Conversation
from assistant.dialogue.emergencies import emergency_in, emergency_intents
from assistant.dialogue.hearing import Heard
from assistant.dialogue.meant import DEED, UNSURE
from assistant.dialogue.moments import shown_time
from assistant.dialogue.noted import NOTED
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.policy import Telling, telling
from assistant.dialogue.recording import READING
from assistant.dialogue.reports import deeds
from assistant.dialogue.state import Pending
from assistant.logbook.entry import Draft
from assistant.logbook.standing import DELIVERY
from assistant.logbook.views import Line
from intents.interpret import Interpretation
from intents.lexicon import Span
from intents.meaning import NONE, Role
from intents.mentions import READ, Understanding
from intents.quantities import Moment

Step = Literal["as it is", "note", "note and advice", "offer"]
_LAST_RESORTS = ("say_again", "unknown_question", "not_sure")
"""Replies that take nothing of what was told."""
_FEW = 6
"""So few words are an amount of something, and no story."""
_TALK, _ASKS = 0.5, 0.8
"""From these shares on words are talk, or a question: neither is ever written down."""


@dataclass(frozen=True, slots=True)
class _Note:
    """A note of what was told: its entry, and how it is said back."""

    draft: Draft
    said: str


def settled(talk: Conversation, heard: Heard, outcome: Outcome) -> Outcome:
    """Return what is done, with what was told written down where nothing else was made of it."""
    table, words = telling(), heard.interpretation.heard.words
    if (
        (outcome.decided == leaning.AGAIN and heard.interpretation.meaning.share_of("tell") < table.noted)
        or outcome.drafts
        or outcome.readings
        or not _told(talk, heard, outcome, table)
    ):
        return outcome
    step = _step(talk, heard, outcome, table)
    if step == "note" and not _nothing(outcome) and leaning.in_thread(talk, outcome.intent):
        step = "note and advice"
    if step == "as it is":
        return outcome
    if step == "offer":
        asked = "note_instead" if _numbers(heard.interpretation, "value") else "note_offered"
        waiting = Pending("note", talk.clock.now(), slot=" ".join(words))
        return Outcome(Answer("noted"), DEED, text=talk.words(asked), pending=waiting, keep_context=True)
    note, used = _noted(talk, heard, own=step == "note and advice"), frozenset(range(len(words)))
    if step == "note":
        ids = talk.state.last_reading_ids
        kept = Outcome(Answer("noted"), DEED, text=note.said, own_drafts=(note.draft,), reading_ids=ids)
        return replace(kept, keep_context=True, used=used)
    advice = talk.rendered(outcome)
    advice = advice if heard.interpretation.asked else advice.removeprefix("No. ")  # nothing was asked
    aloud = f"{note.said} {outcome.aloud}" if outcome.aloud else ""
    return replace(outcome, text=f"{note.said} {advice}", aloud=aloud, own_drafts=(note.draft,), used=used)


def _told(talk: Conversation, heard: Heard, outcome: Outcome, table: Telling) -> bool:
    """True for what somebody who called tells us, in a few words or more: no question, talk or emergency."""
    read, meaning = heard.interpretation, heard.interpretation.meaning
    words, lexicon = read.heard.words, talk.interpreter.lexicon
    few, most = table.words
    if not talk.addressed or read.heard.asks or not few <= len(words) <= most:
        return False
    declared = _declared(talk, read.heard)
    of_talk = (meaning.best.intent == NONE and meaning.best.share >= _TALK) or meaning.talk >= table.talk
    if of_talk and not (declared and meaning.talk < table.chatter):
        return False
    if talk.state.pending is not None and talk.state.pending.readings and read.heard.has("yes", "no"):
        return False  # an answer to what was read back, with more behind it
    asking = meaning.share_of("ask", "leave") >= _ASKS or {*words} & lexicon.list("asking")
    happened = outcome.intent in table.incidents and not asking
    if not happened and _question_in(words, lexicon.list("asking")):
        return False
    tells = _telling(heard) >= (table.happened if happened else table.offered)
    if not declared and ((read.asked and not happened) or not tells):
        return False
    urgent = emergency_intents(lexicon)
    return not ({outcome.intent, meaning.best.intent} & urgent or emergency_in(words, lexicon))


def _declared(talk: Conversation, said: Understanding) -> bool:
    """True for what somebody goes on to tell that they did, whatever the net takes it for."""
    lexicon, words = talk.interpreter.lexicon, {*said.words}
    first = {0, *said.breaks, *(i + 1 for i, w in enumerate(said.words) if w in lexicon.list("deed_joints"))}
    asks = any({*said.words[at : at + 1]} & lexicon.list("asking") for at in first)
    asks = asks or bool(words & lexicon.list("wondering")) or said.asks
    return bool(words & lexicon.list("told_by")) and not asks and bool(leaning.said_before(talk))


def _question_in(words: tuple[str, ...], asking: frozenset[str]) -> bool:
    """True for "dropped the tongs, where do the wings go": a word of asking, and its verb right behind it."""
    return any(word in asking and asking & {*words[i + 1 : i + 3]} for i, word in enumerate(words))


def _telling(heard: Heard) -> float:
    """Return the share of telling; what answers nothing that was asked tells, too: "like two minutes ago"."""
    return heard.interpretation.meaning.share_of("tell", "answer")


def _step(talk: Conversation, heard: Heard, outcome: Outcome, table: Telling) -> Step:
    """Return what is done with words that were told, by what was made of them."""
    read, answer = heard.interpretation, outcome.answer
    best, waiting = read.meaning.best, talk.state.pending
    surely = _telling(heard) >= table.noted
    if _of_an_amount(talk, heard, outcome):
        return "note" if surely else "as it is"
    if _nothing(outcome):
        reads = _numbers(read, "value")
        if reads and (outcome.pending is not None or (waiting and waiting.kind in ("confirm", "choose"))):
            return "as it is"  # it is asked what the number is of, or what was read back is asked again
        lost = not surely or best.intent == READING or _numbers(read, "value", "count", "other")
        return "offer" if lost else "note"
    asks = outcome.text is not None or outcome.pending is not None or outcome.intent == READING
    topic = talk.base_catalogue[outcome.intent].topic if answer is not None else ""
    happened = outcome.intent in table.incidents
    declared = _declared(talk, read.heard)
    if answer is None or asks or topic in table.left or not (surely or happened or declared):
        return "as it is"
    again = answer == talk.state.last_answer and talk.state.recent(talk.clock.now())
    plain: Step = "as it is" if _numbers(read, "value") else "note"
    sure = best.share >= table.advised
    hurts = outcome.intent in table.people and (sure or read.meaning.danger >= table.danger)
    if again or (declared and not surely and not happened):
        alone = again and not hurts
        return plain if alone or plain != "note" else "note and advice"  # a note alone would be a yes
    if sure and not happened:
        how = outcome.verdict is None and (topic in table.status or outcome.intent in table.how)
        unread: Step = "as it is" if waiting is not None else "offer"
        return "as it is" if not how else unread if plain == "as it is" else plain
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


def _of_an_amount(talk: Conversation, heard: Heard, outcome: Outcome) -> bool:
    """True for "was that thrown out?" of an amount of no food, or of one that came just before."""
    reply = outcome.answer.reply if outcome.answer is not None else ""
    long = len(heard.interpretation.heard.words) > _FEW
    asked = reply == "ask_thrown" or (reply == "ask_food" and long)  # "three kilos of it" of which food?
    back = any(line.now.measured == DELIVERY for line in talk.last_lines)
    named = heard.interpretation.heard.names.get("food")
    return asked and outcome.text is None and bool(leaning.said_before(talk)) and (back or not named)


def _numbers(read: Interpretation, *as_roles: Role) -> bool:
    """True where a number has one of these roles: one that may be a reading is not put away in a note."""
    roles = read.meaning.roles
    known = len(roles) == len(read.heard.words)
    return any(m.kind in READ and (not known or roles[m.start] in as_roles) for m in read.heard.free_measures)


def _noted(talk: Conversation, heard: Heard, *, own: bool) -> _Note:
    """Return the note: of the place named, else of what failed just before; no matter of its ``own``."""
    read = heard.interpretation.heard
    named = tuple(
        dict.fromkeys(s.value for s in read.names.get("equipment", ()) if _by_name(talk, s, read.words))
    )
    places = named or (() if own else _gone_on(talk))
    foods = {span.value for span in read.names.get("food", ())}
    line = _failed(talk, places, foods, own=own)
    subject = line.entry.subject if line is not None else places[0] if len(places) == 1 else ""
    said_at = _since(talk, heard)
    draft = Draft(
        kind="event", subject=subject or "note", note=f"{NOTED}{' '.join(read.words)}",
        said_at=said_at or None,
        item=line.entry.item if line else "", measured=line.entry.measured if line else "",
        refers_to=line.entry.id if line else None,
    )  # fmt: skip
    place = capital(talk.shown(subject)) if subject else ""
    said = talk.words("about_noted", place=place) if place else talk.words("noted")
    if said_at:
        said = talk.words("noted_at", note=said.rstrip("."), time=shown_time(datetime.fromisoformat(said_at)))
    return _Note(draft, said)


def _by_name(talk: Conversation, span: Span, words: tuple[str, ...]) -> bool:
    """True for one place called by its name: "the prep table" is no prep cooler, "hand sink" any of three."""
    item = talk.site.equipment_by_id(span.value)
    said = {*words[span.start : span.end]}
    return item is not None and not (span.value == item.id and item.numbers) and {*item.name.split()} <= said


def _gone_on(talk: Conversation) -> tuple[str, ...]:
    """Return the place of the note just before, which words without a place go on with."""
    lines = talk.last_lines if leaning.said_before(talk) else []
    last = lines[-1].entry if lines else None
    noted = last is not None and last.kind == "event" and talk.site.kind_of(last.subject)
    return (last.subject,) if last is not None and noted else ()


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


def _failed(talk: Conversation, places: tuple[str, ...], foods: set[str], *, own: bool) -> Line | None:
    """Return the open failure that the words are about: of a place named, else of what was read last.

    What is told of the turkey is nothing of the chicken that was read.
    """
    opened, ids = talk.log.views.open_actions(), talk.state.last_reading_ids
    named = [line for line in opened if line.entry.subject in places]
    last = [line for line in opened if line.entry.refers_to in ids and not (places or own)]
    last = [e for e in last if not foods or e.entry.subject in foods or talk.site.kind_of(e.entry.subject)]
    return named[-1] if named else last[-1] if last else None
