"""When the hours of food in places out of temperature run out: counted from each one's last good reading."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

from assistant.dialogue import batches, lacking, since_when
from assistant.dialogue.answer import Answer, capital
from assistant.dialogue.moments import shown_time
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.slots import Slots
from assistant.rules.basis import Verdict

if TYPE_CHECKING:
    from assistant.dialogue.conversation import Conversation
    from assistant.dialogue.hearing import Heard

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
    good = {place: since_when.last_good(talk, place) for place in places}
    if not any(good.values()) and not {*places} & {*failing}:
        return None
    limit, items, over = talk.site.profile.limit("time_control_hours_max"), list[str](), False
    for place, start in good.items():
        end = start + timedelta(hours=float(limit.value)) if start is not None else now
        over = over or (start is not None and end <= now)
        key = "out_unknown" if start is None else "out_over" if end <= now else "out_until"
        values = {"time": shown_time(end), "good": shown_time(start or now)}
        items.append(talk.words(key, place=capital(talk.shown(place)), **values))
    answer = Answer("left", {"list": "; ".join(items)}, (limit.citation,), Verdict.FAIL if over else None)
    return Outcome(answer, since_when.TIME_OUT, keep_context=True)
