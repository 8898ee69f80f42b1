"""What is read back where nothing was made of a whole breath: what one of its clauses tells by itself."""

from __future__ import annotations

from itertools import pairwise

from assistant.dialogue import agreed, recording
from assistant.dialogue.conversation import Conversation
from assistant.dialogue.cooling_batch import CHECK
from assistant.dialogue.cooling_series import series_said
from assistant.dialogue.hearing import Heard
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.reports import take
from assistant.dialogue.slots import Slots
from assistant.dialogue.statements import asks


def cooling(talk: Conversation, heard: Heard) -> Outcome | None:
    """Read back the numbers of one food with their times, the last of now: "sixty by ten, forty one now"."""
    slots = Slots.of(heard.interpretation.heard, heard.interpretation.meaning)
    request = talk.request(CHECK, slots)
    told_here = talk.addressed and not asks(heard.interpretation.heard)
    if not told_here or len(slots.foods) != 1 or not series_said(request):
        return None
    told = talk.ask(request)
    return agreed.read_back(talk, told) if told.drafts else None


def told_whole(talk: Conversation, heard: Heard) -> Outcome | None:
    """Read back what is told whole in a clause of its own beside others: "three called out, walk-in forty".

    Without a comma it is what ends the words, from a place in full on.
    """
    said, lexicon = heard.interpretation.heard, talk.interpreter.lexicon
    turned = {*said.words} & (lexicon.list("wished") | lexicon.list("takes_back")) - lexicon.links
    if not talk.addressed or asks(said) or turned:
        return None
    leads = lexicon.small("prepositions", "up_to", "instructing") - lexicon.list("list_joins")
    count, articles, places = len(said.words), lexicon.list("deed_articles"), said.names.get("equipment", ())
    before = (next((w for w in reversed(said.words[: s.start]) if w not in articles), "") for s in places)
    ends = [(s.start, count) for s, word in zip(places, before, strict=True) if word and word not in leads]
    clauses = pairwise(sorted({0, *said.breaks, count})) if said.breaks else ends[:1]
    told = (talk.interpreter.readings_of(said.said(range(*each))).readings.options for each in clauses)
    read = tuple(reading for options in told if len(options) == 1 for reading in options[0])
    return recording.confirm(talk, read) if read and take.sensible(talk, read) else None
