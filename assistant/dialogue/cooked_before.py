"""Food that was cooked and has dropped is on no fire any more: it is held hot, or it cools."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import timedelta
from decimal import Decimal
from typing import TYPE_CHECKING

from assistant.dialogue.judge_food import COOKING, judge_food
from assistant.logbook.query import Filter
from assistant.rules.basis import Temperature, Verdict
from intents.mentions import Understanding
from intents.readings import Reading

if TYPE_CHECKING:
    from assistant.dialogue.conversation import Conversation

_SAME_BATCH = timedelta(hours=4)
"""So long after it was done the same food is the same batch, unless another is told (judgement)."""
_ANOTHER = ("batch_new", "one_more")


def dropped(talk: Conversation, readings: Sequence[Reading], heard: Understanding) -> tuple[Reading, ...]:
    """Return the readings, those of food that was done before and reads less now as kept warm."""
    lexicon = talk.interpreter.lexicon
    another = frozenset().union(*map(lexicon.list, _ANOTHER)) & {*heard.words}
    return tuple(
        replace(each, kept=True) if not another and _dropped(talk, each) else each for each in readings
    )


def _dropped(talk: Conversation, reading: Reading) -> bool:
    told = reading.subject_kind == "food" and reading.quantity == "temperature" and not reading.batch
    if not told or reading.place or reading.displayed or reading.measured == COOKING:
        return False
    since = talk.clock.now() - _SAME_BATCH
    wanted = Filter(kinds=("reading",), subject=reading.subject, since=since, standing_only=True)
    line, profile = talk.log.views.latest(wanted), talk.site.profile
    if line is None or line.now.place or line.now.unit not in ("F", "C") or line.now.verdict != "pass":
        return False
    before = Temperature(Decimal(line.now.value or 0), "C" if line.now.unit == "C" else "F")
    now = Temperature(reading.value, "C" if (reading.unit or talk.site.kitchen.units) == "C" else "F")
    was, is_now = (judge_food(reading.subject, each, profile) for each in (before, now))
    done = was is not None and was[0] == "cook" and was[1].verdict is Verdict.PASS
    return done and is_now is not None and is_now[0] == "cook" and is_now[1].verdict is not Verdict.PASS
