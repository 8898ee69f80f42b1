"""Deliveries sent back: the refusal with its amount closes what the delivery's reading opened."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta

from assistant.dialogue import discards
from assistant.dialogue.answer import Answer, answer_function, capital, plain
from assistant.dialogue.answers.receiving import SIGN, to_refuse
from assistant.dialogue.conversation import Conversation
from assistant.dialogue.hearing import Heard
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.say import listed_in, render
from assistant.dialogue.slots import Slots
from assistant.dialogue.topic import food_meant
from assistant.logbook.entry import Draft
from assistant.logbook.standing import DELIVERY
from assistant.logbook.views import Line
from assistant.rules.basis import Verdict
from intents.deed_amounts import Item
from intents.deeds import Deed
from intents.language import language
from intents.lexicon import Lexicon
from intents.mentions import Measure, Understanding
from intents.readings import Reading

CHECK, SIGNS, LIMIT, TAGS = "receive_check", "receive_signs", "receive_temp", "shellfish_tags"
_DELIVERIES = (CHECK, SIGNS, LIMIT, TAGS)
_UNDER_WAY = timedelta(minutes=10)
"""For so long after a delivered food the next one with its number came on the same truck (judgement)."""


def told(talk: Conversation, heard: Heard, deed: Deed, *, came: bool = False) -> Outcome | None:
    """Log food that was refused; ``None`` where no food is named and no delivery failed or ``came``.

    Nor where a place of this kitchen is named: "sent it back to the walk-in" was kept.
    """
    if heard.interpretation.heard.names.get("equipment"):
        return None
    opened = [line for line in talk.log.views.open_actions() if line.entry.measured == DELIVERY]
    words = set(heard.interpretation.heard.words[deed.start : deed.end])
    car = _on_a_car(talk, heard)
    cars = {*heard.interpretation.heard.words} & talk.interpreter.lexicon.list("delivery_cars")
    came = came or bool(opened or car or cars) or under_way(talk)
    if words & talk.interpreter.lexicon.list("deed_takes_back") and not came:
        return None  # what "goes back" may go anywhere
    read, keeps = heard.interpretation.heard, talk.interpreter.lexicon.list("deed_keeps")
    foods = read.names.get("food", ())
    kept = {s.value for s in foods if keeps & {*read.words[max(0, s.start - 2) : s.start]}}
    items = deed.items or (Item(),)
    drafts: list[Draft] = []
    said = []
    for item in items:
        line = _of(opened, item.food)
        food = item.food or (
            line.entry.subject if line is not None else car or food_meant(talk, heard.interpretation.heard)
        )
        if not food or food in kept:
            return None  # "i kept the butter, the rest went back"
        part = line.entry.amount if line is not None else ""  # "it's going back" of the one with no tag
        drafts += drafts_of(food, item.amount or part, line)
        said.append(discards.amount_of(talk, drafts[-1 if line is None else -2], item.counted))
    answer = Answer("refused", {"list": listed_in(talk, said)}, drafts=tuple(drafts))
    return Outcome(answer, CHECK)


def _on_a_car(talk: Conversation, heard: Heard) -> str:
    """Return the food that a car is named by: "the milk truck's reefer read fifty"."""
    words, cars = heard.interpretation.heard.words, talk.interpreter.lexicon.list("delivery_cars")
    at = next((i for i, word in enumerate(words) if i and word in cars), 0)
    named = talk.interpreter.readings_of(words[at - 1 : at]).heard.names if at else {}
    return next((span.value for span in named.get("food", ())), "")


def _of(opened: list[Line], food: str) -> Line | None:
    """Return the open action of a delivery: of the food named, or the newest where none is."""
    words = set(food.split())
    fitting = [line for line in opened if not food or words & set(line.entry.subject.split())]
    return fitting[-1] if fitting else None


def drafts_of(food: str, amount: str, line: Line | None) -> tuple[Draft, ...]:
    """Return the refusal of a delivered food, which closes the action that was opened of it."""
    refused = Draft(
        kind="event", subject=food, item=food, measured=DELIVERY, amount=amount, note="refused",
        refers_to=line.entry.id if line is not None else None,
    )  # fmt: skip
    if line is None:
        return (refused,)
    closed = Draft(
        kind="action_closed", subject=line.entry.subject, measured=DELIVERY, refers_to=line.entry.id,
        note="refused",
    )  # fmt: skip
    return (refused, closed)


def under_way(talk: Conversation) -> bool:
    """True right after a food of a delivery was judged, or deliveries were asked about."""
    now, request = talk.clock.now(), talk.state.last_request
    if request is not None and request.intent in _DELIVERIES and talk.state.recent(now):
        return True
    line = next(iter(talk.last_lines[-1:]), None)
    lately = line is not None and now - datetime.fromisoformat(line.entry.at_local) <= _UNDER_WAY
    return line is not None and lately and line.entry.measured == DELIVERY


def delivered_food(talk: Conversation) -> str:
    """Return the one food that the delivery under way is told of, or that was to be refused, if just one."""
    spoken, opened = talk.state.foods(talk.clock.now()), talk.log.views.open_actions()
    rejected = {line.entry.subject for line in opened if line.entry.measured == DELIVERY}
    found = spoken if len(spoken) == 1 else tuple(rejected)
    return found[0] if len(found) == 1 and under_way(talk) else ""


def part_told(talk: Conversation, heard: Heard) -> Outcome | None:
    """Keep open what is wrong with a part of what came: "one of them has no tag"."""
    read, lexicon = heard.interpretation.heard, talk.interpreter.lexicon
    named = _came_with(talk, heard)
    food = named or delivered_food(talk)
    sign = next((s for s in read.concepts if s.value.startswith(SIGN)), None)
    amount = _part(read, lexicon)
    if not (food and amount and sign is not None and talk.addressed) or read.asks:
        return None
    if read.names.get("equipment") or (read.names.get("food") and not named):
        return None
    told_so = replace(Slots.of(read), foods=(food,), food_spans=())
    judged = talk.ask(talk.request(SIGNS, told_so))
    if judged.answer is None:
        return None
    said = talk.rendered(judged)
    text = f"{capital(talk.shown(food))}, {amount}: {said[:1].lower()}{said[1:]}"
    what = " ".join(read.words[sign.start : sign.end])
    answer = replace(judged.answer, drafts=(to_refuse(food, sign=what, amount=amount),))
    return replace(judged, answer=answer, text=text, own_verdict=Verdict.FAIL)


def with_part(talk: Conversation, heard: Heard, came: Outcome) -> Outcome:
    """Return what is said of food that ``came`` with the part of it that has to go back."""
    part = part_told(talk, heard) if came.intent in _DELIVERIES else None
    if part is None:
        return came
    text = f"{part.text} {talk.rendered(came)}"
    if came.answer is None:
        return replace(came, text=text, own_drafts=(*came.own_drafts, *part.drafts), own_verdict=Verdict.FAIL)
    both = replace(came.answer, drafts=(*came.answer.drafts, *part.drafts))  # no pass before closes it
    return replace(came, answer=both, text=text, own_verdict=Verdict.FAIL)


def _came_with(talk: Conversation, heard: Heard) -> str:
    """Return the one food of "twelve bags of mussels came in, one of them has no tag"."""
    read, best = heard.interpretation.heard, heard.interpretation.best
    foods = read.names.get("food", ())
    part, delivery = _part_at(read, talk.interpreter.lexicon), best is not None and best.intent in _DELIVERIES
    told = len({span.value for span in foods}) == 1 and part is not None and (delivery or under_way(talk))
    return foods[0].value if told and part is not None and foods[0].end <= part[0] else ""


def _part(read: Understanding, lexicon: Lexicon) -> str:
    """Return the words that count in "two of them", or an empty string."""
    part = _part_at(read, lexicon)
    return " ".join(read.words[slice(*part)]) if part is not None else ""


def _part_at(read: Understanding, lexicon: Lexicon) -> tuple[int, int] | None:
    """Return where the words stand that count, a lone "one" in mid-sentence among them."""
    of, them = lexicon.list("deed_of"), lexicon.list("part_of_them")
    ends = {m.end: m.start for m in read.measures if m.kind == "number"}
    numbers = language(lexicon.language).numbers
    for end in range(1, len(read.words) - 1):
        counts = end in ends or numbers.values(read.words[end - 1 : end])
        if counts and read.words[end] in of and read.words[end + 1] in them:
            return ends.get(end, end - 1), end
    return None


def driver_gone(talk: Conversation, heard: Heard) -> Outcome | None:
    """Answer "the driver's gone already", of a delivery that should have been refused."""
    words, lexicon = set(heard.interpretation.heard.words), talk.interpreter.lexicon
    gone = words & lexicon.list("drivers") and words & lexicon.list("has_left")
    if not gone or words & lexicon.list("deed_back") or len(heard.interpretation.heard.words) > MOST_WORDS:
        return None
    if not any(line.entry.measured == DELIVERY for line in talk.log.views.open_actions()):
        return None
    return Outcome(Answer("driver_gone"), CHECK, keep_context=True)


MOST_WORDS = 6
"""More words than these tell more than that nobody is there to take it back."""


def corrected(talk: Conversation, heard: Heard | None, line: Line, reading: Reading) -> Outcome | None:
    """Change the number of a delivery, which stays one; ``None`` where its food is not judged so."""
    air = talk.site.profile.limit("receive_shellfish_air_max").value
    of_air = line.now.limits is not None and line.now.limits.high == plain(air)
    unit = reading.unit or line.now.unit
    slots = Slots(
        foods=(line.now.item,),
        measures=(Measure("temperature", (reading.value,), unit, 0, 1),),
        concepts=frozenset({"measured_air"} if of_air else ()),
        heard=heard.interpretation.heard if heard is not None else None,
    )
    function = answer_function(CHECK)
    answer = function(talk.request(CHECK, slots)) if function is not None else None
    if answer is None or not answer.drafts:
        return None
    changes = {"kind": "correction", "refers_to": line.entry.id}
    drafts = [answer.drafts[0].model_copy(update=changes)]
    if len(answer.drafts) > 1 and line.now.verdict != "fail":
        drafts.append(answer.drafts[1].model_copy(update={"refers_to": line.entry.id}))
    name = capital(talk.shown(line.now.subject))
    text = render(
        replace(answer, reply="one_pass") if answer.reply == "pass" else answer, CHECK, talk.catalogue
    )
    said = Answer("corrected", {"call_back": f"{name}: {text[:1].lower()}{text[1:]}"}, answer.sources)
    return Outcome(
        said, "correction", own_drafts=tuple(drafts), own_verdict=answer.verdict, readings=(reading,),
        reading_ids=(line.entry.id,),
    )  # fmt: skip
