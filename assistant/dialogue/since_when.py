"""Since when something has been out of temperature: an open question that takes every kind of answer.

A time, a span, the last good reading, or "nobody knows", whatever reasons and hedges stand around it. Of
several times the earliest counts: the food was out of temperature for so long at most. The answer is kept as
an entry on the open action.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta
from decimal import Decimal
from itertools import pairwise

from assistant.dialogue import candidates, notes, recording, times_apart, unanswered
from assistant.dialogue.answer import Request
from assistant.dialogue.conversation import Conversation
from assistant.dialogue.emergencies import emergency_intents
from assistant.dialogue.hearing import Heard
from assistant.dialogue.judge import judge_reading
from assistant.dialogue.named_among import pointers
from assistant.dialogue.notes import NoteDraft
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.reports.times import AHEAD, Told, ways
from assistant.dialogue.since_told import fell, last_good, note_of, told_on
from assistant.dialogue.slots import FELL, Slots
from assistant.logbook.entry import Draft
from assistant.logbook.views import Line
from intents.lexicon import load_lexicon
from intents.mentions import READ, Measure
from intents.quantities import Clock, Day, Meaning, Moment, Quantity, Span, resolve
from intents.readings import Reading

Time = Clock | Day | Moment | Span
TIME_OUT, RESCUE = "time_out", "hot_rescue"
UNKNOWN = "unknown_time"
DONE = "action_done"
_NOT_KNOWN = (UNKNOWN, "dont_know")
_COOLS = ("cool", "cooling_is", "cooling_state", "still_cooling", "ice_bath")
"""Concepts of food that cools: its time begins a batch."""
_SURELY = 0.6
"""With this share a deed, a question or an order is meant, whatever time it tells."""
_AT_TEMPERATURE = ("cold_holding", "egg_cooler", "hot_holding")
"""Kinds of places whose food was out of temperature since the last good reading."""
_TOLD = 0.5
"""From this share on since when is told, though nothing is asked."""
_ASKED = 0.85
"""From this share on a question is asked, whatever time it names."""
_TO_ANOTHER = 0.9
"""From this share on words that nobody called are to somebody else, unless they begin with the answer."""
_TELLS_TIME = frozenset(
    "none not_done time_out hot_rescue power_out clock_cooling clock_time backdate date_day log_last "
    "log_value correction no time_plan time_discard dish_rinse reading cooling_missed cooling_check "
    "bucket_change round_end action_done overnight_plan clock_thawing".split()
)
"""Intents that the net may hear in a time told as an answer; any other, surely meant, is something new."""
_WHY = (TIME_OUT, "power_out", "repair")
"""Intents of a clause that tells why something is out of temperature."""
_OPENING = 3
"""So early in the words a span or "no idea" answers, whoever it was said to."""


def answered(talk: Conversation, heard: Heard, request: Request, *, alone: bool) -> Outcome | None:
    """Return what follows from since when it was; ``None`` for words that tell no such thing.

    ``alone``: nothing else was said, so that whatever the words may mean elsewhere, they answer.
    """
    if not alone and not _may_answer(talk, heard, request):
        return None
    times = [each for each in _times(heard) if not times_apart.apart(talk, heard, each[0])]
    slots, shown = _told(talk, heard, times_apart.ranged(talk, heard, times))
    if slots is None:
        return None
    asked = replace(
        request,
        slots=request.slots.merged(slots),
        now=talk.clock.now(),
        memory=talk.state.memory,
        last_ids=talk.state.last_reading_ids,
    )
    outcome, every = talk.ask(asked), candidates.failed_of(talk, heard.interpretation.heard)
    if not every:
        return outcome
    action = every[-1]
    good = _good_then(talk, heard, action)
    if not candidates.is_made(action):  # a yes logs it, too
        readings = candidates.with_more(talk, heard, (good,) if good is not None else ())
        again, used = recording.confirm(talk, readings), _clauses_of_times(heard)
        text = talk.rendered(outcome) if good is None or not action.now.item else ""
        advice = replace(outcome, text=text, answer=outcome.bare, own_drafts=(), used=used)
        whole = unanswered.behind(talk, advice, again, again.pending)
        since = tuple(NoteDraft(shown, each.now.subject, begins="") for each in every)
        return whole if good is not None else notes.waiting(talk, whole, since)
    taken = recording.take(talk, (good,), heard.read_as((good,))) if good is not None else None
    if taken is not None and taken.own_drafts and taken.pending is None:
        return taken
    drafts = (*outcome.own_drafts, NoteDraft(shown, line=action, begins="").entry)
    return replace(outcome, own_drafts=drafts, reading_ids=talk.state.last_reading_ids)


def _clauses_of_times(heard: Heard) -> frozenset[int]:
    """Return the words of every clause that tells a time, of which nothing else is kept."""
    read = heard.interpretation.heard
    every = sorted({0, *read.breaks, len(read.words)})
    timed = [quantity.start for quantity, _ in _times(heard)]
    return frozenset(i for a, b in pairwise(every) if any(a <= t < b for t in timed) for i in range(a, b))


def unasked(talk: Conversation, heard: Heard) -> Outcome | None:
    """Keep "it's been off since nine" on what failed before, though nothing is asked any more."""
    best, said = heard.interpretation.best, heard.interpretation.heard
    action = next(iter(candidates.failed_of(talk, said)[-1:]), None)
    surely = best is not None and best.intent == TIME_OUT and best.share >= _TOLD
    if action is not None and not candidates.is_made(action):
        surely |= best is not None and best.intent == RESCUE and bool(_times(heard))
        if not action.now.item and talk.site.kind_of(action.now.subject) not in _AT_TEMPERATURE:
            return None  # a bucket "since six" holds no food
        good = _good_then(talk, heard, action) is not None
        surely |= good or _not_known(heard) or _since_of_it(talk, heard)
        surely = surely and _of_that_alone(talk, heard, action, good)
    if not surely or action is None or heard.interpretation.asked or not talk.addressed:
        return None
    foods = (action.entry.item,) if action.entry.item else ()
    meant = RESCUE if best is not None and best.intent == RESCUE else TIME_OUT
    slots = Slots(foods=foods, concepts=_fell(talk, action))
    return answered(talk, heard, talk.request(meant, slots), alone=False)


def _fell(talk: Conversation, action: Line) -> frozenset[str]:
    return frozenset({FELL} if fell(talk, action) else ())


def _of_that_alone(talk: Conversation, heard: Heard, of: Line, good: bool) -> bool:
    """True where a whole utterance tells no number but a ``good`` one, and its time of nothing else."""
    read, clauses = talk.interpreter.with_short_places(heard.interpretation.heard), _clauses_of_times(heard)
    spans = (span for kind in ("equipment", "food", "person") for span in read.names.get(kind, ()))
    named = {span.value for span in spans if span.start in clauses or not clauses}
    times = [(max(0, quantity.start - 2), quantity.end) for quantity, _ in _times(heard)]
    used = {i for start, end in times for i in range(start + 1, end)}
    used |= {i for p in pointers(talk, read, [of.now.subject]) for i in range(p.start, p.end)}
    others = [m for m in read.free_measures if m.kind in READ and m.start not in used]
    denied = {read.words[i] for start, _ in times for i in (start, start + 1)[: len(read.words)]}
    own = named <= {of.now.subject, of.now.place, of.now.item} and heard.text == talk.said
    return own and len(others) <= int(good) and not denied & talk.interpreter.lexicon.list("denying")


def _since_of_it(talk: Conversation, heard: Heard) -> bool:
    """True for "since ten", "that's since noon", "the second one since nine"; no other thing's time."""
    read, lexicon = heard.interpretation.heard, talk.interpreter.lexicon
    stands = lexicon.list("it_stands_for") | lexicon.list("naming") | lexicon.list("both")
    first = min((q.start for q, _ in _times(heard) if q.marker == "since"), default=-1)
    pointed = candidates.pointed(talk, read, candidates.read_last(talk))
    return first >= 0 and bool(first <= 1 or {*read.words[:first]} & stands or pointed)


def follows(talk: Conversation, heard: Heard, outcome: Outcome) -> Outcome:
    """Return what was read with what follows: since when it failed, where that was told along.

    Of a good reading of before it is what failed since: so long at most it was out.
    """
    if (told := _told_along(talk, heard, outcome)) is not None:
        return told
    reading = outcome.readings[0] if len(outcome.readings) == 1 else None
    if reading is None or not reading.said_at or outcome.pending is not None:
        return outcome
    at, now = datetime.fromisoformat(reading.said_at), talk.clock.now()
    opened = [a for a in talk.log.views.open_actions() if a.entry.subject == reading.subject]
    passed = any(draft.kind == "reading" and draft.verdict == "pass" for draft in outcome.drafts)
    if (
        talk.site.kind_of(reading.subject) not in _AT_TEMPERATURE
        or not opened
        or not passed
        or at >= datetime.fromisoformat(opened[-1].entry.at_local)
    ):
        return outcome
    before = told_on(talk, opened[-1])
    if before is not None and (before.at is None or before.at <= at):
        return outcome  # it was out for longer, or nobody knew: a good reading lifts neither
    since = replace(_since(at, now), concepts=_fell(talk, opened[-1]))
    told = talk.ask(talk.request(TIME_OUT, since))
    drafts = (*outcome.own_drafts, NoteDraft(note_of(at, now), line=opened[-1], begins="").entry)
    return replace(outcome, text=f"{talk.rendered(outcome)} {talk.rendered(told)}", own_drafts=drafts)


def _good_then(talk: Conversation, heard: Heard, action: Line) -> Reading | None:
    """Return the good reading told with its time ("that was one fifty at six"), of the place that failed.

    Not what came off the fire then: that was read elsewhere.
    """
    read = heard.interpretation.heard
    told = [quantity for quantity, _ in _times(heard)]
    timed = {i for quantity in told for i in range(quantity.start, quantity.end)}
    timed |= {i for i, role in enumerate(heard.interpretation.meaning.roles) if role == "place"}  # "three's"
    rows = pointers(talk, read, [line.now.subject for line in candidates.read_last(talk)])
    timed |= {i for row in rows for i in range(row.start, row.end)}  # "one's been off since nine"
    numbers = [m for m in read.free_measures if m.kind in READ and m.start not in timed]
    at = [moment for _, meaning in _times(heard) if (moment := _moment(meaning, talk.clock.now()))]
    of_food = candidates.is_made(action) and not talk.site.kind_of(action.entry.subject)
    if len(numbers) != 1 or len(at) != 1 or read.has("came_off") or of_food:
        return None
    said = " ".join(read.words[numbers[0].start : numbers[0].end])
    kind = "food" if action.now.item else "equipment"
    found = talk.interpreter.answer_for(kind, action.entry.subject, said).certain
    if len(found) != 1 or not (action.now.item or judge_reading(found[0], talk.site).judgement.passed):
        return None
    return replace(found[0], said_at=at[0].isoformat(timespec="seconds"))


def _told_along(talk: Conversation, heard: Heard, outcome: Outcome) -> Outcome | None:
    """Answer the question since when with what the same breath tells, and keep it on the action opened."""
    asked, drafts = outcome.pending.request if outcome.pending is not None else None, outcome.own_drafts
    opened = [at for at, draft in enumerate(drafts) if draft.kind == "action_opened"]
    if asked is None or asked.intent != TIME_OUT or len(opened) != 1:
        return None
    read = heard.interpretation
    every = {told for way in ways(read.heard, talk.interpreter.lexicon, read.meaning.roles) for told in way}
    lasting = [
        told for told in every if told.part in ("since", "span") and _of_what_failed(talk, heard, told)
    ]
    of = {i for told in lasting for i in told.words}
    times = [each for each in _times(heard) if each[0].start in of and not _a_part(*each)]
    slots, shown = _told(talk, heard, times) if times else (None, "")
    if slots is None:
        return None
    told = talk.ask(replace(asked, slots=asked.slots.merged(slots)))
    text = f"{recording.without_question(talk.rendered(outcome))} {talk.rendered(told)}"
    failed = drafts[opened[0]]
    kept = Draft(
        kind="event", subject=failed.subject, item=failed.item, measured=failed.measured,
        refers_to=opened[0] - len(drafts), note=shown,
    )  # fmt: skip
    return replace(outcome, text=text, own_drafts=(*drafts, kept), pending=told.pending)


def _a_part(quantity: Quantity, meaning: Time) -> bool:
    """True for "since before ten", and for "from ten to eleven", which is no ten minutes to eleven."""
    worded = isinstance(meaning, Clock) and meaning.worded
    return quantity.marker == "before" or (quantity.marker == "from" and worded)


def _of_what_failed(talk: Conversation, heard: Heard, told: Told) -> bool:
    """True for "forty four since ten" and "the lid was open since ten", not for "it's rained since ten"."""
    read, lexicon = heard.interpretation.heard, talk.interpreter.lexicon
    words, joints = read.words, lexicon.list("deed_joints") | lexicon.list("asides")
    numbers = [m for m in read.free_measures if m.kind in READ and m.start not in told.words]
    joined = {i for i, word in enumerate(words) if word in joints and i not in told.words}
    starts = {0, *read.breaks, *joined, *(m.end for m in numbers)}
    ends = {len(words), *read.breaks, *joined, *(m.start for m in numbers)}
    start, end = max(at for at in starts if at <= told.start), min(at for at in ends if at >= told.end)
    if _of_another(talk, heard, range(start, told.end)):
        return False
    names = (span for kind in ("equipment", "food") for span in read.names.get(kind, ()))
    small = lexicon.small("read_at", "still_it", "hesitating", "deed_articles") - lexicon.list("deed_doers")
    gone = {i for span in (*names, *read.spans("note_unsure")) for i in range(span.start, span.end)}
    took = lexicon.list("deed_sent") & {*words[told.start : told.end]}  # "took two hours to mend"
    if not took and all(i in gone or words[i] in small for i in range(start, told.start)):
        return True
    meant = talk.interpreter.meaning_of(words[start:end])
    return sum(guess.share for guess in meant.guesses if guess.intent in _WHY) >= _SURELY


def _of_another(talk: Conversation, heard: Heard, clause: range) -> bool:
    """True for "not since ten", "we've been open since ten", "Rosa's out", "milk's been in it since nine"."""
    read, lexicon = heard.interpretation.heard, talk.interpreter.lexicon
    words = read.words[slice(clause.start, clause.stop)]
    foods = () if read.names.get("equipment") else {span.value for span in read.names.get("food", ())[:1]}
    spans = (span for kind in ("food", "person") for span in read.names.get(kind, ()))
    named = any(span.start in clause and span.value not in foods for span in spans)
    doers, been = lexicon.list("told_by"), lexicon.list("has_been")
    ours = any(one in doers and two in been for one, two in pairwise(words))
    grave = talk.interpreter.meaning_of(words).best.intent in emergency_intents(lexicon)
    others = lexicon.list("denying") | lexicon.list("delivery_cars")
    return named or ours or grave or not others.isdisjoint(words)


def to_another(heard: Heard) -> bool:
    """True for words that the net hears as said to somebody else."""
    return heard.interpretation.meaning.talk >= _TO_ANOTHER


def _may_answer(talk: Conversation, heard: Heard, request: Request) -> bool:
    """True unless something else is surely meant, or another food is spoken of ("twenty minutes on that")."""
    read = heard.interpretation
    called = talk.addressed or not to_another(heard)
    first = any(quantity.start <= 1 for quantity, _ in _times(heard)) or _not_known(heard)
    if not (called or first):
        return False
    best, asking = read.best, read.meaning.share_of("ask", "leave")
    if best is not None and best.share >= _SURELY and best.intent not in _TELLS_TIME:
        return False
    if read.heard.text.strip().endswith(("?", "？")):
        return False
    timed = any(not isinstance(meaning, Span) for _, meaning in _times(heard)) and not read.heard.has(*_COOLS)
    timed = timed or _of_last_reading(heard)
    if asking > _ASKED or ((read.heard.asks or asking > _SURELY) and not timed and not _not_known(heard)):
        return False
    foods = {span.value for span in read.heard.names.get("food", ())}
    marked = any(quantity.marker in ("since", "before", "after") for quantity, _ in _times(heard))
    named = foods | {span.value for span in read.heard.names.get("equipment", ())}
    asked = {*request.slots.foods, *request.slots.places}
    return named <= asked or (timed and marked) or _not_known(heard)


def _told(talk: Conversation, heard: Heard, times: list[tuple[Quantity, Time]]) -> tuple[Slots | None, str]:
    """Return since when, as the answers take it and as the log shows it."""
    now = talk.clock.now()
    moments = [at for _, meaning in times if (at := _moment(meaning, now)) is not None]
    longer = any(_or_longer(talk, heard, quantity) for quantity, _ in times)
    every = candidates.failed_of(talk, heard.interpretation.heard) if _of_last_reading(heard) else []
    if not moments and every and (last := last_good(talk, every[-1].entry.subject)) is not None:
        moments = [last]  # "not longer than the last one I gave you"
    if moments and not longer:
        return _since(min(moments), now), note_of(min(moments), now)
    lasted = any(no_hour(each) or quantity.marker == "since" for quantity, each in times)
    if longer or lasted or _not_known(heard):
        return Slots(concepts=frozenset({UNKNOWN})), "since: not known"
    return None, ""


def _times(heard: Heard) -> list[tuple[Quantity, Time]]:
    """Return the times told that can be since when: no time to come, no number that is none by its words."""
    read, talk = heard.interpretation.heard, heard.interpretation.meaning.talk
    found: list[tuple[Quantity, Time]] = []
    for quantity in read.quantities:
        worded = quantity.end - quantity.start > 1 or quantity.marker in ("at", "since", "before", "after")
        for meaning in quantity.meanings:
            if quantity.marker in AHEAD or not isinstance(meaning, (Clock, Day, Moment, Span)):
                continue
            if isinstance(meaning, Moment) and meaning.anchor == "now" and meaning.offset >= 0:
                continue
            if isinstance(meaning, Clock) and not (meaning.worded or worded):
                continue
            first = quantity.start <= _OPENING or quantity.about or talk < _SURELY
            if not isinstance(meaning, Span) or first:
                found.append((quantity, meaning))
            break
    bare = [
        each for each in found if isinstance(each[1], Clock) and not each[1].worded and not each[0].marker
    ]
    return [e for e in found if e not in bare] if len(bare) < len(found) else found  # "one forty at noon"


def no_hour(meaning: Time) -> bool:
    """True for a time before this day without an hour: "last night", "yesterday at close"; not "today"."""
    day = meaning if isinstance(meaning, Day) else meaning.day if isinstance(meaning, Moment) else None
    return day is not None and (day.offset is None or day.offset < 0 or day.part == "night")


def _or_longer(talk: Conversation, heard: Heard, quantity: Quantity) -> bool:
    """True for "at least three hours": how long at most is not known."""
    after = f"{' '.join(heard.interpretation.heard.words[quantity.end :])} "
    phrases = talk.interpreter.lexicon.list("or_longer")
    spans = any(isinstance(meaning, Span) for meaning in quantity.meanings)
    return spans and (quantity.marker == "over" or any(after.startswith(f"{each} ") for each in phrases))


def _moment(meaning: Meaning, now: datetime) -> datetime | None:
    """Return the moment that a time told stands for; ``None`` where it has none, as "since breakfast"."""
    if isinstance(meaning, Span):
        return now - timedelta(minutes=float(meaning.minutes[0]))
    if not isinstance(meaning, (Clock, Day, Moment)):
        return None
    found = resolve(meaning, now, "past").best
    return None if found is None or found.until is not None else found.at


def _since(at: datetime, now: datetime) -> Slots:
    minutes = int((now - at).total_seconds()) // 60
    if (now - at).days or at.date() != now.date():
        return Slots(measures=(Measure("duration", (Decimal(minutes),), "minute", 0, 0),))
    return Slots(clocks=(at.strftime("%H:%M"),))


def _not_known(heard: Heard) -> bool:
    """True for "no idea" said first, and for "nobody knows since when" wherever it is said."""
    read = heard.interpretation.heard
    spans = [s for s in read.concepts if s.value in _NOT_KNOWN]
    of_time = load_lexicon(read.language).list("not_known_of_time")
    asked = load_lexicon(read.language).list("asking") - of_time
    told = [s for s in spans if not set(read.words[s.end : s.end + 1]) & asked]  # "no idea where she put it"
    return any(s.value == UNKNOWN or s.start <= _OPENING for s in told)


def _of_last_reading(heard: Heard) -> bool:
    read = heard.interpretation.heard
    return load_lexicon(read.language).says(read.words, "last_reading")
