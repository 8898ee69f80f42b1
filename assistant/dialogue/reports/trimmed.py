"""A reading among words that no grammar knows at its beginning or end: "yo the rinse is one eighty six".

What stands from the first name, number or word for what is measured to the last one is read alone. Nothing
is left out that could turn it round, and no number, time or name. What the net does not surely hear as a
reading is read back.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from assistant.dialogue import implied, recording
from assistant.dialogue.hearing import Heard
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.reports import take
from assistant.dialogue.reports.whose import tells_otherwise, times_told
from assistant.dialogue.statements import asks
from intents.mentions import READ, Understanding
from intents.not_measured import counts_things

if TYPE_CHECKING:
    from assistant.dialogue.conversation import Conversation

_SURELY = 0.8
"""Share of a reading from which it is logged without being read back (judgement)."""


def report(talk: Conversation, heard: Heard) -> Outcome | None:
    """Return what is done with the core of an utterance; ``None`` where it has none, or is all core."""
    read = heard.interpretation.heard
    if not talk.addressed or asks(read) or tells_otherwise(talk, heard):
        return None
    start, end = _core(talk, read)
    if not 0 < end - start < len(read.words):
        return None
    if any(told.start < start or told.end > end for way in times_told(talk, heard) for told in way):
        return None  # "last night the rinse was one eighty six"
    if any(m.end == end and counts_things(read, end, talk.interpreter.lexicon) for m in read.measures):
        return None
    words = read.words[start:end]
    core = replace(heard, interpretation=talk.interpreter.interpret(" ".join(words)))
    taken = take.report(talk, core) or implied.report(talk, core)
    if taken is None or not taken.readings or not (taken.drafts or taken.pending):
        return None
    left, lexicon = {*read.words[:start], *read.words[end:]}, talk.interpreter.lexicon
    plain = left <= lexicon.filler | lexicon.links | lexicon.list("hesitating") | lexicon.list("openers")
    if taken.drafts and (not plain or take.told_share(heard) < _SURELY):
        return recording.confirm(talk, taken.readings)
    return taken


def _core(talk: Conversation, read: Understanding) -> tuple[int, int]:
    """Return where what is named, measured or counted begins and ends; an empty span without a number."""
    if not any(m.kind in READ for m in read.free_measures):
        return 0, 0
    spans = [(s.start, s.end) for found in read.names.values() for s in found]
    spans += [(s.start, s.end) for s in talk.interpreter.in_short(read.words)]
    spans += [(m.start, m.end) for m in read.measures] + [(c.start, c.end) for c in read.clocks]
    spans += [(s.start, s.end) for s in read.concepts if s.value.startswith(implied.TELLING)]
    return min(start for start, _ in spans), max(end for _, end in spans)
