"""Food moved to another place: an entry with foods and place, of the open action where it came from."""

from __future__ import annotations

from assistant.dialogue.answer import Answer, capital
from assistant.dialogue.conversation import Conversation
from assistant.dialogue.hearing import Heard
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.say import listed_in
from assistant.logbook.entry import Draft
from assistant.logbook.views import Line
from intents.deed_amounts import Item
from intents.deeds import Deed
from intents.mentions import MOST_COUNTED, Understanding

DONE = "action_done"
_SURELY = 0.6
"""From this share on the net hears what was done."""
KEEPS_FOOD = ("cold_holding", "egg_cooler", "freezer", "hot_holding", "blast_chiller")
"""Kinds of places that food is put in."""


def told_moved(talk: Conversation, heard: Heard, deed: Deed) -> Outcome | None:
    """Log a move; ``None`` where it goes to no place of the site, or nothing tells what was moved."""
    read = heard.interpretation.heard
    keeping = [place for place in deed.places if talk.site.kind_of(place) in KEEPS_FOOD]
    if deed.places and not keeping:
        return None
    spans = [(span.value, span.start) for span in read.names.get("equipment", ())]
    to = [*dict.fromkeys(_behind(keeping, spans, deed))]
    named = [(span.value, span.start) for span in read.names.get("food", ())]
    foods = _behind([item.food for item in deed.items if item.food], named, deed)
    spoken = talk.state.foods(talk.clock.now())
    counted = [item.amount for item in deed.items if item.measured]
    of_spoken = deed.it or counted or not deed.start  # "into trolley two"
    if not foods and (deed.everything or (of_spoken and len(spoken) == 1)):
        foods = list(spoken)
    if not foods and not deed.everything and not deed.origin and not (counted and to):
        return None
    line = _action(talk, deed, foods, to)
    said = " ".join(read.words)
    amounts = [item.amount for item in deed.items if item.food and _counts(item, read)] or counted
    draft = Draft(
        kind="event",
        subject=line.entry.subject if line is not None else foods[0] if foods else "food",
        place=", ".join(to),
        item=", ".join(foods),
        measured=line.entry.measured if line is not None else "",
        amount=", ".join(amounts) if len(amounts) == 1 else "",
        refers_to=line.entry.id if line is not None else None,
        note=f"done: {said}" if line is not None else f"moved: {said}",
    )
    if line is not None:
        name = talk.shown(line.entry.subject)
        answer = Answer("noted", {"place": capital(name)}, drafts=(draft,))
    else:
        what = listed_in(talk, [talk.shown(food) for food in foods]) if foods else talk.words("food_word")
        where = listed_in(talk, [talk.shown(place) for place in to]) if to else ""
        answer = Answer("moved" if to else "moved_food", {"food": what, "place": where}, drafts=(draft,))
    return Outcome(answer, DONE, keep_context=True)


def _counts(item: Item, read: Understanding) -> bool:
    """True for "six ducks" and "three kilos"; any other number was read off: "one forty the beef"."""
    numbers = (m.value for m in read.measures if m.start in item.words)
    return bool(item.amount) and (item.measured or all(value <= MOST_COUNTED for value in numbers))


def _behind(names: list[str], said: list[tuple[str, int]], deed: Deed) -> list[str]:
    """Return the names said behind the verb, where some are: the rest stand beside another number."""
    behind = {name for name, start in said if start >= deed.end}
    return [name for name in names if name in behind] or names


def went_along(talk: Conversation, old: str, new: str) -> tuple[Draft, ...]:
    """Return the corrections of moves told in the breath of a reading whose place turns out to be another."""
    moved = (line for line in talk.last_lines if line.entry.kind == "event" and line.now.place == old != new)
    return tuple(
        Draft(kind="correction", subject=line.now.subject, place=new, refers_to=line.entry.id)
        for line in moved
    )


def _action(talk: Conversation, deed: Deed, foods: list[str], to: list[str]) -> Line | None:
    """Return the open action that a move is about: of the place left, the food, or what just failed."""
    lines = [line for line in talk.log.views.open_actions() if line.entry.subject not in to]
    lines = [line for line in lines if talk.site.kind_of(line.entry.subject) in (*KEEPS_FOOD, "")]
    of_place = [line for line in lines if deed.origin and line.entry.subject == deed.origin]
    of_food = [line for line in lines if line.entry.subject in foods or line.entry.item in foods]
    if deed.origin or of_food:
        return next(reversed(of_place or of_food), None)
    before = talk.last_lines
    failed = {line.now.subject for line in before}
    just = [line for line in lines if line.entry.subject in failed and talk.site.kind_of(line.entry.subject)]
    return (
        just[-1]
        if just
        else lines[-1]
        if len(lines) == 1 and talk.site.kind_of(lines[0].entry.subject)
        else None
    )
