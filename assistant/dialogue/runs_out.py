"""When the hours of food in places out of temperature run out: counted from what was told, too.

The earlier counts of the last good reading and of since when it was told to be out. What nobody knows is not
known, and food that was to be thrown out is not saved by a good reading of its place.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from assistant.dialogue import batches, lacking, since_when
from assistant.dialogue.answer import Answer, capital
from assistant.dialogue.conversation import Conversation
from assistant.dialogue.hearing import Heard
from assistant.dialogue.moments import shown_time
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.slots import Slots
from assistant.logbook.query import Filter
from assistant.logbook.views import Line
from assistant.rules.basis import Verdict

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
    last, action = since_when.last_good(talk, place), _open_on(talk, place)
    since = since_when.told_on(talk, action) if action is not None else None
    since = _condemned(talk, place, action) or since
    if since is None:
        return _Start(last)
    if since.at is None or last is None or since.at <= last:
        return _Start(since.at, told=True)
    return _Start(last)


def _open_on(talk: Conversation, place: str) -> Line | None:
    found = [line for line in talk.log.views.open_actions() if line.entry.subject == place]
    return found[-1] if found else None


def _condemned(talk: Conversation, place: str, action: Line | None) -> since_when.Since | None:
    """Return since when food was out that was to be thrown out earlier this day, and no discard tells of."""
    day = talk.clock.now() - timedelta(days=1)
    most = timedelta(hours=float(talk.site.profile.limit(_HOURS).value))
    told = [
        since
        for of, since in since_when.told_of_place(talk, place, day)
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
