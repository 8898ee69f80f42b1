"""A number without its place, of what was spoken of just before: "now thirty nine", "and at noon forty".

It is taken at once where it was waited for: after "read it again to close it", after a fresh bucket, and
right after a reading that failed, if the words tell that it is the present. Else it is read back.
"""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

from assistant.dialogue import round_talk
from assistant.dialogue.hearing import Heard
from assistant.dialogue.reports.times import ways, without
from intents.mentions import Understanding

if TYPE_CHECKING:
    from assistant.dialogue.conversation import Conversation
    from assistant.logbook.views import Line

STILL_OPEN = timedelta(minutes=90)
"""For so long a number alone may be the recheck of the one place that failed last (judgement)."""
FOOD_CLOCKS = ("cooling", "thawing", "time")
_READ = ("number", "temperature", "ppm")


def in_full(talk: Conversation, heard: Heard) -> tuple[str, bool] | None:
    """Return the words with the place before them, and whether it was waited for, or ``None``."""
    read = heard.interpretation
    said = read.heard
    numbers = [m for m in said.free_measures if m.kind in _READ]
    if said.names.get("food") or said.names.get("equipment") or read.asked or said.asks or not numbers:
        return None
    here = round_talk.running(talk)
    if talk.state.asked_place or (here is not None and not here.paused) or said.text.strip().endswith("?"):
        return None
    told = _told_now(talk, said)
    rest = _rest(talk, said, read.meaning.roles)
    if rest is None:
        return None
    line, waited = _spoken_of(talk, told_now=told)
    if line is None:
        return None
    name = line.now.subject if talk.site.kind_of(line.now.subject) else line.now.item or line.now.subject
    spoken = talk.site.spoken_name(name) if talk.site.kind_of(name) else name
    return f"{spoken} {rest}", waited


def _told_now(talk: Conversation, said: Understanding) -> bool:
    lexicon = talk.interpreter.lexicon
    opened = set(said.words[:2]) & (lexicon.list("present_is") | lexicon.list("told_now"))
    return (
        bool(opened)
        or said.has("now_word", "note_again")
        or bool(set(said.words[:1]) & lexicon.list("read_at"))
    )


def _rest(talk: Conversation, said: Understanding, roles: tuple[str, ...]) -> str | None:
    """Return the number with the times around it, where nothing but small words stands beside them."""
    lexicon = talk.interpreter.lexicon
    small = lexicon.filler | lexicon.links | lexicon.list("short_small") | lexicon.list("read_at")
    for way in ways(said, lexicon, roles):  # type: ignore[arg-type]
        words = without(said.words, [told.words for told in way])
        read = talk.interpreter.readings_of(words).heard if words else None
        numbers = [m for m in read.free_measures if m.kind in _READ] if read is not None else []
        if read is None or len(numbers) != 1:
            continue
        number = numbers[0]
        outside = (*words[: number.start], *words[number.end :])
        if all(word in small for word in outside):
            times = " ".join(" ".join(said.words[told.start : told.end]) for told in way)
            return f"{' '.join(words[number.start : number.end])} {times}".strip()
    return None


def _spoken_of(talk: Conversation, *, told_now: bool) -> tuple[Line | None, bool]:
    """Return the entry that told of the place meant, and whether its next number was waited for."""
    now = talk.clock.now()
    lines = [talk.log.views.line(number) for number in talk.state.last_reading_ids]
    standing = [line for line in lines if line is not None and not line.withdrawn]
    last = standing[-1] if standing else None
    if last is not None and len({line.now.subject for line in standing}) > 1:
        failed = [line for line in standing if line.now.verdict == "fail"]
        last = failed[0] if len(failed) == 1 and told_now else None
    if last is not None and talk.state.recent(now):
        waits = last.entry.kind in ("event", "clock") and last.now.measured not in FOOD_CLOCKS
        failed_now = last.now.verdict == "fail" and told_now
        if waits or failed_now:
            return last, True
        if last.now.verdict == "fail" or (last.entry.kind == "reading" and last.now.said_at):
            return last, False
    spoken = talk.state.last_at
    if last is None or spoken is None or now - spoken > STILL_OPEN:
        return None, False
    waiting = any(line.entry.subject == last.now.subject for line in talk.log.views.open_actions())
    return (last if waiting else None), False
