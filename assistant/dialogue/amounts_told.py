"""How much went out or back, told or corrected right after it: "four cases", "make that two"."""

from __future__ import annotations

from dataclasses import replace

from assistant.dialogue import agreed, discards, refusals
from assistant.dialogue.answer import Answer, Request, capital
from assistant.dialogue.answers.record import THROWN, thrown
from assistant.dialogue.conversation import Conversation
from assistant.dialogue.discards import DISCARD, REFUSED
from assistant.dialogue.gate import agreed as gate_agreed
from assistant.dialogue.hearing import Heard
from assistant.dialogue.named_among import corrects
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.say import listed_in
from assistant.dialogue.slots import Slots
from assistant.logbook.entry import Draft
from assistant.logbook.query import Filter
from assistant.logbook.standing import DELIVERY
from assistant.logbook.views import Line
from intents.deed_amounts import Item
from intents.deeds import amount_alone, amounts, only_amounts
from intents.mentions import Stretch, Understanding


def goes_on(talk: Conversation, heard: Heard) -> Outcome | None:
    """Log "and about a pound and a half of slaw" right after food was thrown out, or what is told of that."""
    read, lexicon = heard.interpretation.heard, talk.interpreter.lexicon
    just = talk.state.recent(talk.clock.now()) and bool(talk.last_lines) and talk.addressed
    if not just or read.asks:
        return None
    if (told := _amount_after(talk, read) or _same_reason(talk, read)) is not None:
        return told
    if talk.last_lines[-1].entry.kind != DISCARD:
        return None
    phrases = (tuple(phrase.split()) for phrase in lexicon.list("thrown_same"))
    same = max((len(p) for p in phrases if read.words[: len(p)] == p), default=0)
    rest = read.said(range(same, len(read.words)))
    part = talk.interpreter.readings_of(rest).heard if rest else read
    opened = same or read.words[0] in lexicon.list("deed_joints")
    items = only_amounts(part, lexicon, counted=bool(same)) if opened else ()
    if not items:
        return None
    slots = Slots.of(read, heard.interpretation.meaning)
    slots = replace(slots, foods=tuple(i.food for i in items), concepts=slots.concepts | {THROWN})
    several = discards.several(talk, talk.request(DISCARD, slots), items)
    note = talk.last_lines[-1].now.note if same else ""  # it stood as long, and went for the same reason
    kept = f" {talk.words('kept_with', what=note)}" if note else ""
    drafts = tuple(draft.model_copy(update={"note": note}) for draft in several.drafts)
    answer = replace(several.answer, drafts=()) if several.answer is not None else None
    text, used = f"{several.text}{kept}", frozenset(range(len(read.words)))
    return replace(several, answer=answer, own_drafts=drafts, text=text, used=used)


def _amount_after(talk: Conversation, read: Understanding) -> Outcome | None:
    """Return how much went of the food just thrown out or sent back: "four cases", "six of milk, two of ham".

    An amount of no food is that of the one told without; each other that of its food.
    """
    if {*read.words[1:]} & talk.interpreter.lexicon.list("correction_openers"):
        return None  # "twelve, no wait, ten"
    every = only_amounts(read, talk.interpreter.lexicon, counted=True)
    found = every if len(every) > 1 else _told_first(talk, read)
    lines = [line for line in talk.standing if is_amount(line)]
    if not lines and len(found) == 1:
        return _to_refuse(talk, found[0])
    ways = [[line for line in lines if _of_food(item, line)] for item in found]
    if not found or any(len(way) != 1 for way in ways) or len({way[0].now.note for way in ways}) > 1:
        return None
    pairs = [(item, way[0]) for item, way in zip(found, ways, strict=True)]
    drafts = [discards.changed(line, item.amount, line.now.note) for item, line in pairs]
    ids = tuple(line.entry.id for _, line in pairs)
    if pairs[0][1].entry.kind != DISCARD:
        return _refused(talk, drafts, [item.counted for item in found], ids)
    said = [discards.amount_of(talk, d, i.counted) for d, i in zip(drafts, found, strict=True)]
    text = talk.words("thrown_out", list=listed_in(talk, said))
    return Outcome(Answer("logged_food", drafts=tuple(drafts)), DISCARD, text=text, reading_ids=ids)


def is_amount(line: Line) -> bool:
    """True for an entry of what went out or back, which has an amount."""
    return line.entry.kind == DISCARD or line.now.note == REFUSED


def _refused(talk: Conversation, drafts: list[Draft], counted: list[bool], ids: tuple[int, ...]) -> Outcome:
    said = [discards.amount_of(talk, draft, each) for draft, each in zip(drafts, counted, strict=True)]
    answer = Answer(REFUSED, {"list": listed_in(talk, said)}, drafts=tuple(drafts))
    return Outcome(answer, refusals.CHECK, reading_ids=ids)


def _to_refuse(talk: Conversation, told: Item) -> Outcome | None:
    """Read back how much is refused of the one delivered food that is to go back: "forty kilos of it"."""
    opened = [line for line in talk.log.views.open_actions() if line.entry.measured == DELIVERY]
    named = {*told.food.split()}
    of = [line for line in opened if not named or discards.alike(named, line.entry.subject)]
    if len(of) != 1 or not refusals.under_way(talk):
        return None
    drafts = refusals.drafts_of(of[0].entry.subject, told.amount, of[0])
    said = discards.amount_of(talk, drafts[0], told.counted)
    answer = Answer(REFUSED, {"list": said}, drafts=drafts)
    return agreed.read_back(talk, Outcome(answer, refusals.CHECK))


def _told_first(talk: Conversation, read: Understanding) -> tuple[Item, ...]:
    """Return the amounts in the first clause, where it says nothing else."""
    end, lexicon = min(read.breaks, default=len(read.words)), talk.interpreter.lexicon
    part = talk.interpreter.readings_of(read.words[:end]).heard
    alone = amount_alone(part, lexicon)
    return (alone,) if alone is not None else only_amounts(part, lexicon, counted=True)


def amount_first(talk: Conversation, heard: Heard, request: Request) -> Outcome | None:
    """Return the answer to how much went out that begins a breath: "twelve cod, I see another one"."""
    found, food = _told_first(talk, heard.interpretation.heard), next(iter(request.slots.foods), "")
    if len(found) != 1 or not food or not ({*found[0].food.split()} <= {*food.split()}):
        return None
    before, item = discards.without_amount(talk, food), replace(found[0], food=food)
    if before is None:
        return discards.several(talk, request, (item,))
    draft = discards.changed(before, item.amount, before.now.note)
    return Outcome(thrown(draft, counted=item.counted), DISCARD, request, reading_ids=(before.entry.id,))


def of_each(talk: Conversation, heard: Heard) -> Outcome | None:
    """Return how much of several foods went: "cod two pounds, rice one pan"."""
    read = heard.interpretation.heard
    several = len(only_amounts(read, talk.interpreter.lexicon, counted=True)) > 1
    return _amount_after(talk, read) if several else None


def _of_food(told: Item, line: Line) -> bool:
    """True where an amount is of the food of an entry, or of no food and the entry has none yet."""
    food = line.now.item or line.now.subject
    return discards.alike({*told.food.split()}, food) if told.food else not line.now.amount


def _same_reason(talk: Conversation, read: Understanding) -> Outcome | None:
    """Keep "same reason" with what was just thrown out: the note of what went out before it."""
    small = talk.interpreter.lexicon.filler
    said = " ".join(word for word in read.words if word not in small)
    lines = [line for line in talk.last_lines if line.entry.kind == DISCARD and not line.withdrawn]
    if said not in talk.interpreter.lexicon.list("same_reason") or not lines:
        return None
    since = talk.clock.now() - discards.STILL_MEANT
    wanted = Filter(kinds=("discard",), since=since, standing_only=True)
    before = [line for line in talk.log.views.lines(wanted, limit=discards.MOST).lines if line.now.note]
    note = max(before, key=lambda line: line.entry.id).now.note if before else ""
    if not note:
        return None
    drafts = tuple(discards.changed(line, line.now.amount, note) for line in lines if not line.now.note)
    text = capital(talk.words("kept_with", what=note))
    ids = tuple(line.entry.id for line in lines)
    return Outcome(Answer("ok"), DISCARD, text=text, own_drafts=drafts, reading_ids=ids)


def recounted(talk: Conversation, heard: Heard) -> Outcome | None:
    """Change the number of the amount logged last: "no wait, forty is what we put out, nineteen went"."""
    read, line = heard.interpretation.heard, next(iter(talk.last_lines[-1:]), None)
    if line is None or not is_amount(line) or not line.now.amount or not gate_agreed(heard):
        return None
    said = {" ".join(read.words[m.start : m.end]): m for m in read.measures if len(m.options) == 1}
    old = [words for words in said if f" {words} " in f" {line.now.amount} "]
    new = [words for words, m in said.items() if words not in old and m.kind == "number"]
    if len(old) != 1 or len(new) != 1 or not corrects(talk, heard):
        return None
    draft = discards.changed(
        line, f" {line.now.amount} ".replace(f" {old[0]} ", f" {new[0]} ").strip(), line.now.note
    )
    return _changed_to(talk, heard, draft, line, counted=draft.amount == new[0])


def _changed_to(talk: Conversation, heard: Heard, draft: Draft, line: Line, *, counted: bool) -> Outcome:
    """Return the entry of what went out or back with another amount."""
    ids, used = (line.entry.id,), frozenset(range(len(heard.interpretation.heard.words)))
    if line.entry.kind != DISCARD:
        return replace(_refused(talk, [draft], [counted], ids), used=used)
    said_back = replace(thrown(draft, counted=counted), drafts=(draft,))
    return Outcome(said_back, DISCARD, reading_ids=ids, used=used)


def more_like(talk: Conversation, heard: Heard) -> Outcome | None:
    """Correct how much of a food went out lately: "the slaw was more like two", "no, the bill says six"."""
    read, lexicon = heard.interpretation.heard, talk.interpreter.lexicon
    first = min((m.end for m in read.measures), default=len(read.words))
    behind = {*read.words[first:]} & lexicon.list("correction_openers")
    end = min((at for at in read.breaks if at >= first and not behind), default=len(read.words))
    part = talk.interpreter.readings_of(read.words[:end]).heard
    foods, words = part.names.get("food", ()), set(part.words)
    if read.asks or len(foods) > 1 or part.names.get("equipment") or not words & lexicon.list("amends"):
        return None
    line = discards.lately_out(talk, foods[0].value) if foods else next(iter(talk.last_lines[-1:]), None)
    if line is None or not is_amount(line) or not (foods or talk.state.recent(talk.clock.now())):
        return None
    told: tuple[Stretch, ...] = (*foods, *part.measures, *part.spans("container_word"))
    small = lexicon.small("correction_small", "denying", "amends", "more_like", "deed_hedges")
    small |= lexicon.list("deed_articles") | lexicon.list("deed_containers")
    alike = {*line.now.amount.split()[-1:]} & words  # as many of the same: "the invoice says twelve tins"
    whole = part.only(told, small) or bool(alike)
    return (
        amended(talk, replace(heard, interpretation=replace(heard.interpretation, heard=part)), line)
        if whole
        else None
    )


def _last_said(talk: Conversation, read: Understanding) -> Understanding:
    """Return what was said behind the last word that puts right: "twelve, no wait, ten pounds"."""
    openers = talk.interpreter.lexicon.list("correction_openers")
    at = max((i + 1 for i, word in enumerate(read.words) if word in openers), default=0)
    kept = [i for i in range(at, len(read.words)) if i == at or read.words[i] != read.words[i - 1]]
    rest = talk.interpreter.interpret(read.part(kept)).heard if 0 < at < len(read.words) else read
    return rest if rest.measures else read


def amended(talk: Conversation, heard: Heard, line: Line) -> Outcome | None:
    """Correct the amount of a discard: "wait, it was one quart, not two"; ``None`` where none is told."""
    read, lexicon = heard.interpretation.heard, talk.interpreter.lexicon
    read = _last_said(talk, read)
    told, before = amounts(read, lexicon), line.now.amount
    bare = [m for m in read.measures if m.kind == "number" and len(m.options) == 1]
    if not any(item.amount for item in told) and len(bare) == 1:  # "make the cod thirteen"
        told = (Item(amount=" ".join(read.words[bare[0].start : bare[0].end]), counted=True),)
    if any(m.kind == "duration" for m in read.measures):
        return None  # "wait twenty minutes"
    if not gate_agreed(heard) or len(told) != 1 or not (told[0].measured or told[0].counted):
        return None
    unit, amount = before.partition(" ")[2], told[0].amount
    if told[0].counted and unit:  # "sorry, three" of two pounds
        number = f"{bare[0].value.normalize():f}" if before[0].isdigit() and bare else amount
        amount = f"{number} {unit}"
    draft = discards.changed(line, amount, line.now.note)
    return _changed_to(talk, heard, draft, line, counted=told[0].counted and not unit)
