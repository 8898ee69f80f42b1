"""What was done about a failed reading: noted on the open action, which only a passing reading closes."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from typing import TYPE_CHECKING

from assistant.dialogue.answer import Answer, Request, answer_function
from assistant.dialogue.answers.record import THROWN
from assistant.dialogue.hearing import Heard
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.slots import Slots
from assistant.dialogue.state import Pending
from assistant.dialogue.statements import asks
from assistant.dialogue.talking import talks
from assistant.logbook.entry import Draft
from assistant.logbook.query import Filter
from assistant.logbook.views import Line
from intents.lexicon import Lexicon

if TYPE_CHECKING:
    from assistant.dialogue.conversation import Conversation

DONE = "action_done"
DISCARD = "discard"
AMOUNT = "volume|weight|number|container_word|half_word"
"""What answers how much was thrown out."""


@talks(DONE)
def done(talk: Conversation, request: Request) -> Outcome:
    """Log what was done, naming the action that it is about: of the place said, else the newest open one."""
    line = _open_action(talk, request)
    if line is None or _of_another(talk, request, line):
        return Outcome(None, "", keep_context=True)  # talk among cooks: nothing is open
    entry = line.entry
    draft = _done(line, request.slots.words)
    name = talk.shown(entry.subject)
    is_food = not talk.site.kind_of(entry.subject)
    if is_food and set(request.slots.words) & talk.interpreter.lexicon.list("thrown"):
        wanted = talk.request(DISCARD, Slots(foods=(entry.subject,), concepts=frozenset({THROWN})))
        waiting = Pending("slot", talk.clock.now(), AMOUNT, wanted)
        answer = Answer("how_much", {"place": name[:1].upper() + name[1:]})
        return Outcome(answer, DONE, request, own_drafts=(draft,), pending=waiting, keep_context=True)
    key = "noted_discard" if "discard" in entry.note else "noted"
    answer = Answer(key, {"place": name[:1].upper() + name[1:]})
    return Outcome(answer, DONE, request, own_drafts=(draft,), keep_context=True)


@talks(DISCARD)
def thrown_out(talk: Conversation, request: Request) -> Outcome | None:
    """Name the open action of the food in its discard, or note it there while the amount is asked for."""
    stock = talk.interpreter.lexicon.list("stock_words") & set(request.slots.words)
    if stock and not request.slots.has(THROWN, "yes", "no"):
        return Outcome(None, "", keep_context=True)  # "there's forty pounds of chicken in the walk-in"
    line = _of_food(talk, request.slots.foods)
    function = answer_function(DISCARD)
    answer = function(request) if function is not None and line is not None else None
    if line is None or answer is None:
        return None
    told = bool(answer.drafts) or _is_noted(talk, line)
    noted = () if told else (_done(line, request.slots.words or ("thrown", "out")),)
    drafts = tuple(draft.model_copy(update={"refers_to": line.entry.id}) for draft in answer.drafts)
    return Outcome(replace(answer, drafts=drafts), DISCARD, request, own_drafts=noted)


def report(talk: Conversation, heard: Heard) -> Outcome | None:
    """Take "discard the chicken soup" or "tossed it" where that food's reading failed; else ``None``."""
    read, lexicon = heard.interpretation.heard, talk.interpreter.lexicon
    if asks(read) or heard.interpretation.readings.options or not set(read.words) & lexicon.list("throwing"):
        return None
    best = heard.interpretation.best
    if best is not None and best.intent == DONE:
        return None
    foods = read.names.get("food", ())
    amounts = [(s.start, s.end) for s in read.concepts if s.value == "container_word"]
    amounts += [(m.start, m.end) for m in read.measures]
    spans = [(s.start, s.end) for s in foods] + amounts
    covered = {i for start, end in spans for i in range(start, end)}
    small = lexicon.filler | lexicon.links | lexicon.list("throwing") | lexicon.list("throwing_small")
    if any(i not in covered and word not in small for i, word in enumerate(read.words)):
        return None
    if set(read.words) & lexicon.list("handed_to") or not (foods or _of_it(read.words, lexicon)):
        return None  # "chuck me that pan"
    line = _of_food(talk, tuple(s.value for s in foods)) if foods else _just_failed(talk)
    if line is None:
        return None
    slots = Slots.of(read)
    if not set(slots.concepts) & {"threw_out"} or not foods:
        measures = slots.all_measures("weight", "volume")
        slots = Slots(foods=slots.foods or (line.entry.subject,), measures=measures)
    return thrown_out(talk, talk.request(DISCARD, slots))


def _of_it(words: tuple[str, ...], lexicon: Lexicon) -> bool:
    """True for "tossed it" and "dumped all of it"."""
    thrown, its = lexicon.list("throwing"), lexicon.list("thrown_pronouns")
    return any(one in thrown and two in its for one, two in pairwise(words))


def _done(line: Line, words: tuple[str, ...]) -> Draft:
    """Return what was done as an event that names the open action."""
    entry = line.entry
    return Draft(
        kind="event", subject=entry.subject, item=entry.item, measured=entry.measured,
        refers_to=entry.id, note=f"done: {' '.join(words)}",
    )  # fmt: skip


def _of_another(talk: Conversation, request: Request, line: Line) -> bool:
    """True for what was done to another food, or another day: "I reheated the gravy yesterday"."""
    foods, subject = request.slots.foods, line.entry.subject
    if foods and not talk.site.kind_of(subject):
        said = {word for food in foods for word in food.split()}
        return not said & set(subject.split())
    return request.slots.has("day_yesterday") and not request.slots.places


def _is_noted(talk: Conversation, line: Line) -> bool:
    wanted = Filter(kinds=("event",), subject=line.entry.subject, standing_only=True)
    latest = talk.log.views.latest(wanted)
    return latest is not None and latest.entry.refers_to == line.entry.id


def _of_food(talk: Conversation, foods: tuple[str, ...]) -> Line | None:
    """Return the newest open action of the one food named, the soup's for "the chicken soup", too."""
    if len(foods) != 1:
        return None
    said = set(foods[0].split())
    lines = [line for line in talk.log.views.open_actions() if not talk.site.kind_of(line.entry.subject)]
    alike = [
        line
        for line in lines
        if said <= set(line.entry.subject.split()) or said >= set(line.entry.subject.split())
    ]
    subjects = {line.entry.subject for line in alike}
    exact = [line for line in alike if line.entry.subject == foods[0]]
    return (exact or alike)[-1] if exact or len(subjects) == 1 else None


def _just_failed(talk: Conversation) -> Line | None:
    """Return the open action of the food read last in this conversation."""
    if not talk.state.recent(talk.clock.now()):
        return None
    lines = [talk.log.views.line(number) for number in talk.state.last_reading_ids[-1:]]
    return _of_food(talk, (lines[0].now.item,)) if lines and lines[0] and lines[0].now.item else None


def _open_action(talk: Conversation, request: Request) -> Line | None:
    """Return the action meant: of the place named, or the newest that what was done can be about."""
    lines = talk.log.views.open_actions()
    words, lexicon = set(request.slots.words), talk.interpreter.lexicon
    moved, remade = words & lexicon.list("moved"), words & lexicon.list("remade")
    named = [line for line in lines if line.entry.subject in request.slots.places and not moved]
    if named:
        return named[-1]
    fitting = [line for line in lines if not remade or _mixed(talk, line)]
    fitting = [line for line in fitting if not moved or not _mixed(talk, line)]
    return fitting[-1] if fitting else None


def _mixed(talk: Conversation, line: Line) -> bool:
    """True for a solution, which is remade and not moved."""
    return talk.site.kind_of(line.entry.subject).startswith("sanitizer")
