"""What is said without a subject of what was read last: "what is the limit", "log it", "when is it up"."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from assistant.dialogue import batches, candidates, lacking, recording, since_told, since_when
from assistant.dialogue.answer import Answer, capital
from assistant.dialogue.conversation import Conversation
from assistant.dialogue.hearing import Heard
from assistant.dialogue.judge import judge_reading
from assistant.dialogue.moments import shown_time
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.record import limits_text
from assistant.dialogue.say import fill, worded
from assistant.dialogue.slots import Slots
from assistant.logbook.query import Filter
from assistant.logbook.views import Line
from assistant.rules.basis import Verdict

READING = "reading"


def answered(talk: Conversation, heard: Heard) -> Outcome | None:
    """Return the limit, the verdict or what to do of the reading before; ``None`` for other questions."""
    read, lexicon = heard.interpretation.heard, talk.interpreter.lexicon
    if _ordered(talk, heard):
        return recording.log_whole(talk, talk.state.judged)
    if any(read.names.get(kind) for kind in ("food", "equipment", "round")) or read.free_measures:
        return None
    words = tuple(word for word in read.words if word not in lexicon.list("hesitating"))
    line = _last(talk) if words else None
    if line is None:
        return None
    small = lexicon.small("asking", "is_that")
    said = set(words)
    limit = bool(said & lexicon.list("limit_words")) and said <= small | lexicon.list("limit_words")
    todo = " ".join(words) in lexicon.list("what_now")
    said = set(read.words)
    judged = (
        bool(said & lexicon.list("is_it_ok"))
        and words[0] in ("is", "was", "does")
        and said <= (lexicon.list("is_it_ok") | lexicon.list("is_that") | lexicon.filler)
    )
    if not (limit or todo or judged):
        return None
    item = judge_reading(candidates.as_read(talk, line), talk.site)
    text = recording.without_question(recording.call_back(talk, item))
    limits = limits_text(item.judgement.limits, talk.site.kitchen.units)
    if limit and limits:
        name = talk.shown(line.now.subject)
        values = worded({"place": capital(name), "limits": limits}, talk.catalogue)
        text = fill(talk.catalogue[READING].replies["limit_of"], values)
    return Outcome(
        Answer("pass", sources=item.judgement.citations),
        READING,
        talk.request(READING, Slots()),
        text,
        own_verdict=item.judgement.verdict,
        keep_context=True,
    )


def _ordered(talk: Conversation, heard: Heard) -> bool:
    """True for "yes, log it" behind a number that was only judged, and nothing else said."""
    lexicon, read = talk.interpreter.lexicon, heard.interpretation.heard
    words = read.words
    known = bool(talk.state.judged) and talk.addressed and talk.state.recent(talk.clock.now())
    order = max((p for p in lexicon.list("log_ordered") if p in " ".join(words)), key=len, default="")
    small = lexicon.small("short_small", "said_yes_small") | {*order.split()}
    return known and bool(order) and {*words} <= small and not read.has("no")


def _last(talk: Conversation) -> Line | None:
    """Return the reading logged last in this conversation, if that was just now; failed ones first."""
    if not talk.state.recent(talk.clock.now()):
        return None
    read = [
        line
        for line in candidates.read_last(talk)
        if line.now.measured not in ("cooling", "reheating", "delivery")
    ]
    failed = [line for line in read if line.now.verdict == "fail"]
    return next(reversed(failed or read), None)


_HOURS, _REHEAT = "time_control_hours_max", "hot_rescue_hours_max"
_HOLDS = ("cold_holding", "egg_cooler", "hot_holding")


def asked(talk: Conversation, heard: Heard) -> Outcome | None:
    """Answer "when do my four hours run out" of the places named or failing; ``None`` for anything else."""
    read, now = heard.interpretation.heard, talk.clock.now()
    asks = talk.addressed and talk.interpreter.lexicon.says(read.words, "asks_time_left")
    other = bool(read.names.get("food")) or bool(heard.interpretation.readings.options)
    if not asks or other or batches.cooling(talk, now):
        return None
    failing = [line.entry.subject for line in talk.log.views.open_actions()]
    lately = {*lacking.spoken_of(talk, _HOLDS)} & {*failing}
    named = lacking.told_in_short(talk, Slots.of(read), "place").places
    wanted = dict.fromkeys(named or (failing if lately else ()))
    places = [place for place in wanted if talk.site.kind_of(place) in _HOLDS]
    starts = {place: _start(talk, place) for place in places}
    if not any(start.at for start in starts.values()) and not {*places} & {*failing}:
        return None
    items = [_item(talk, place, start) for place, start in starts.items()]
    limit, over = talk.site.profile.limit(_HOURS), any(gone for _, gone in items)
    values = {"list": "; ".join(text for text, _ in items)}
    answer = Answer("left", values, (limit.citation,), Verdict.FAIL if over else None)
    return Outcome(answer, since_when.TIME_OUT, keep_context=True)


@dataclass(frozen=True, slots=True)
class _Start:
    """When the hours of a place's food began; ``told``: since when it was out was told."""

    at: datetime | None
    told: bool = False


def _start(talk: Conversation, place: str) -> _Start:
    """Return the earlier of the last good reading and of since when it was told to be out."""
    last, action = since_told.last_good(talk, place), _open_on(talk, place)
    since = since_told.told_on(talk, action) if action is not None else None
    since = _condemned(talk, place, action) or since
    if since is None:
        return _Start(last)
    if since.at is None or last is None or since.at <= last:
        return _Start(since.at, told=True)
    return _Start(last)


def _open_on(talk: Conversation, place: str) -> Line | None:
    found = [line for line in talk.log.views.open_actions() if line.entry.subject == place]
    return found[-1] if found else None


def _condemned(talk: Conversation, place: str, action: Line | None) -> since_told.Since | None:
    """Return since when food was out that was to be thrown out earlier this day, and no discard tells of."""
    day = talk.clock.now() - timedelta(days=1)
    most = timedelta(hours=float(talk.site.profile.limit(_HOURS).value))
    told = [
        since
        for of, since in since_told.told_of_place(talk, place, day)
        if (action is None or of != action.entry.id) and (since.at is None or since.said - since.at >= most)
    ]
    if not told:
        return None
    thrown = Filter(kinds=("discard",), since=told[-1].said, standing_only=True)
    return None if talk.log.views.count(thrown) else told[-1]


def _item(talk: Conversation, place: str, start: _Start) -> tuple[str, bool]:
    """Return what is said of a place, and whether its food has to go."""
    name, now, site = capital(talk.shown(place)), talk.clock.now(), talk.site
    if start.at is None:
        return talk.words("out_unknown", place=name), start.told
    ground = talk.words("out_since" if start.told else "out_good", time=shown_time(start.at))
    end, reheat = (
        start.at + timedelta(hours=float(site.profile.limit(key).value)) for key in (_HOURS, _REHEAT)
    )
    hot = site.kind_of(place) == "hot_holding"
    last = reheat if hot else end
    if last <= now:
        return talk.words("out_over", place=name, time=shown_time(last), ground=ground), True
    values = {"place": name, "time": shown_time(end), "ground": ground, "reheat": shown_time(reheat)}
    return talk.words("out_until_hot" if hot else "out_until", **values), False
