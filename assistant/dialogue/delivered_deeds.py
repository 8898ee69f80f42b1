"""What was done with a delivery in the breath that tells of it: sent back, or put away."""

from __future__ import annotations

from dataclasses import replace

from assistant.dialogue import delivered, moves, refusals
from assistant.dialogue.conversation import Conversation
from assistant.dialogue.deeds_beside import joined
from assistant.dialogue.delivered import HOTTER_THAN_ANY
from assistant.dialogue.hearing import Heard
from assistant.dialogue.outcome import Outcome
from intents.deed_amounts import Item
from intents.deeds import Breath, Deed
from intents.lexicon import Lexicon
from intents.mentions import READ, Understanding


def sent_back(talk: Conversation, heard: Heard, found: Breath) -> Outcome | None:
    """Judge what came beside what was sent back: "he takes the chicken back, now eggs, forty three"."""
    read, lexicon = heard.interpretation.heard, talk.interpreter.lexicon
    sent = [deed for deed in found.deeds if deed.kind == "refused" and not (deed.planned or deed.denied)]
    hot = any(m.value > HOTTER_THAN_ANY for m in read.free_measures if m.kind in READ)
    if not sent or len(sent) < len(found.deeds) or read.asks or (hot and talk.site.kitchen.units == "F"):
        return None  # "one sixty eight, goes back under the lamp"
    if (kept_at := _stayed_after_all(read, lexicon, sent[-1])) > 0:
        told = replace(heard, interpretation=talk.interpreter.interpret(read.part(range(kept_at))))
        came = delivered.judged(talk, told, lexicon.list("drivers"), ())
        verbs = (range(deed.start, deed.end) for deed in sent)
        return replace(came, used=came.used.union(*verbs)) if came is not None and came.drafts else None
    named, gone = read.names.get("food", ()), set[int]()
    about = refusals.delivered_food(talk) if not named else ""  # "forty five, he's taking it back"
    its_food, keeps = (about,) if about else (), lexicon.list("deed_keeps")
    for n, deed in enumerate(sent):
        deed = sent[n] = _of_its_clause(read, deed)
        foods = {item.food for item in deed.items} - {""}
        its = [s for s in named if s.value in foods][-1:]
        ends = {deed.start, deed.end, *(i for s in its for i in (s.start, s.end))}
        stays = next((i for i in range(max(ends), len(read.words)) if read.words[i] in keeps), 0)
        if not any(m.start in range(max(ends), stays) for m in read.free_measures if m.kind in READ):
            ends.add(max(stays, *ends))  # "it was slimy" is of what went
        gone |= set(range(min(ends), max(ends)))
        along = {*read.words[deed.start : deed.end]} & lexicon.list("deed_along")
        if (
            not foods or along
        ):  # "that goes back" is said of the one before, "went back with the milk" of both
            last = 0 if deed.everything else -1  # "sent both back" is said of all that were told
            before = [s.value for s in named if s.end <= deed.start][last:] or [*its_food]
            own = [item for item in deed.items if item.food and item.food not in before]
            sent[n] = replace(deed, items=(*(Item(food) for food in before), *own))
    left = [i for i, w in enumerate(read.words) if i not in gone and w not in lexicon.list("deed_back")]
    stayed = _of_what_stayed(read, lexicon, left, sent)
    part = talk.interpreter.interpret(stayed or read.part(i for i in left if read.words[i] not in keeps))
    both, cars = (heard, replace(heard, interpretation=part)), lexicon.list("drivers")
    ways = (
        delivered.judged(talk, each, behind, its_food) for behind in (frozenset[str](), cars) for each in both
    )
    rest = next((way for way in ways if way is not None and way.drafts), None)
    outcomes = [refusals.told(talk, heard, deed, came=True) for deed in sent]
    if rest is None or not any(outcomes):
        return None
    refused = {item.food for deed in sent for item in deed.items if not stayed}
    kept = tuple(d for d in rest.drafts if d.kind != "action_opened" or d.subject not in refused)
    text = talk.rendered(rest)
    return joined(
        talk, heard, found, sent, outcomes, replace(rest, answer=rest.bare, own_drafts=kept, text=text)
    )


def _of_its_clause(read: Understanding, deed: Deed) -> Deed:
    """Return a deed without food of which an earlier clause told a number: "thighs 37, the shrimp went back".

    An amount that reaches into an earlier clause is none of its.
    """
    begins = max((at for at in read.breaks if at <= deed.start), default=0)
    named = [s for s in read.names.get("food", ()) if s.start < deed.start]
    own = {s.value for s in named if s.start >= begins}
    numbers = [m.start for m in read.free_measures if m.kind in READ and m.start < begins]
    judged = {s.value for s in named if s.value not in own and any(s.end <= at for at in numbers)}
    if not own or not judged:
        return deed
    items = (item for item in deed.items if item.food not in judged)
    return replace(deed, items=tuple(i if all(w >= begins for w in i.words) else Item(i.food) for i in items))


def _stayed_after_all(read: Understanding, lexicon: Lexicon, sent: Deed) -> int:
    """Return where "refused the milk then took it anyway" says so: it is here, and still to be rejected."""
    words, it, away = read.words, lexicon.list("deed_it"), lexicon.list("deed_back")
    others = lexicon.list("delivery_speakers") | lexicon.list("drivers")
    for i in range(sent.end, len(words)):
        ours = words[i] in lexicon.list("deed_takes_in") and words[i - 1] not in others
        theirs = any(" ".join(words[at : i + 1]) in lexicon.list("deed_leaves_here") for at in (i - 1, i))
        beside = {*words[i - 1 : i], *words[i + 1 : i + 2]}
        if (ours or theirs) and beside & it and not away & {*words[i + 1 : i + 3]}:
            return i
    return 0


def _of_what_stayed(read: Understanding, lexicon: Lexicon, left: list[int], sent: list[Deed]) -> str:
    """Return "sent back two boxes of salmon, kept three at thirty eight" as of the salmon that was kept."""
    foods = {item.food for deed in sent for item in deed.items}
    keeps = next((i for i in left if read.words[i] in lexicon.list("deed_keeps")), len(read.words))
    told = [m for m in read.free_measures if m.kind in READ and m.start in left and m.start > keeps + 1]
    named = any(span.start in left for span in read.names.get("food", ()))
    return (
        f"{foods.pop()} {read.part(range(told[-1].start, told[-1].end))}"
        if told and len(foods) == 1 and not named
        else ""
    )


def put_away(talk: Conversation, heard: Heard, found: Breath) -> Outcome | None:
    """Judge what came, and keep where it was put: "milk delivered at fifty, put it in the cooler"."""
    read = heard.interpretation.heard
    put = [d for d in found.deeds if d.kind == "moved" and d.places and not (d.planned or d.denied)]
    if len(put) != 1 or put != [*found.deeds] or read.asks:
        return None
    ends = [s.end for s in read.names.get("equipment", ()) if s.value in put[0].places]
    gone = range(put[0].start, max((put[0].end, *ends)))
    part_read = talk.interpreter.interpret(read.part(i for i in range(len(read.words)) if i not in gone))
    if not talk.interpreter.lexicon.says(part_read.heard.words, "came_on_truck"):
        return None
    foods = tuple(item.food for item in put[0].items if item.food)
    part = replace(heard, interpretation=part_read)
    rest = delivered.judged(talk, part, talk.interpreter.lexicon.list("drivers"), foods)
    moved = moves.told_moved(talk, heard, put[0])
    if rest is None or not rest.drafts or moved is None:
        return None
    return joined(talk, heard, found, put, [moved], rest)
