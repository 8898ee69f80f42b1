"""A yes or a no to each of what was read back: "first yes, second no", "the walk-in's right"."""

from __future__ import annotations

from dataclasses import replace

from assistant.dialogue import agreed, named_among, recording
from assistant.dialogue.answer import Answer, capital
from assistant.dialogue.conversation import Conversation
from assistant.dialogue.hearing import Heard
from assistant.dialogue.named_among import Pointer
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.state import Pending
from intents.lexicon import Span
from intents.mentions import Understanding

_VERDICTS = {"yes": True, "no": False, "scratch": False}
_SMALL = (
    "correction_openers", "correction_small", "deed_articles", "deed_joints", "list_joins", "present_is",
    "read_at", "said_yes_small", "short_small", "batch_one"
)  # fmt: skip


def given(talk: Conversation, heard: Heard, waiting: Pending) -> Outcome | None:
    """Log those of what was read back that got a yes, drop those that got a no, ask about the rest again.

    ``None`` where the words say anything else.
    """
    subjects = [reading.subject for reading in waiting.readings]
    said = _said_of_each(talk, heard.interpretation.heard, subjects)
    if not said:
        return None
    if heard.rival is not None and said != _said_of_each(talk, heard.rival.heard, subjects):
        return recording.confirm(talk, waiting.readings)
    right = tuple(r for r in waiting.readings if said.get(r.subject) is True)
    rest = tuple(r for r in waiting.readings if r.subject not in said)
    wrong = dict.fromkeys(subject for subject in subjects if said.get(subject) is False)
    names = capital(", ".join(talk.shown(subject) for subject in wrong))
    dropped = talk.words("not_logged", list=names) if wrong else ""
    outcome = recording.log_whole(talk, right) if right else Outcome(Answer("dropped"), recording.READING)
    logged = talk.rendered(outcome) if right else ""
    outcome = replace(outcome, text=" ".join(filter(None, (logged, dropped))))
    if rest:
        again = recording.confirm(talk, rest)
        assert again.pending is not None
        asks = replace(again, pending=replace(again.pending, given_up=frozenset(wrong)))
        outcome = agreed.both(talk, outcome, asks)
    return replace(outcome, used=frozenset(range(len(heard.interpretation.heard.words))))


def _said_of_each(talk: Conversation, read: Understanding, subjects: list[str]) -> dict[str, bool]:
    """Return which of ``subjects`` got a yes or a no of its own; nothing where other words are said."""
    lexicon, found = talk.interpreter.lexicon, named_among.pointers(talk, read, subjects, told=True)
    both = (i for i, word in enumerate(read.words) if word in lexicon.list("both"))
    found = found or tuple(Pointer(i, i + 1, frozenset(subjects), denied=False) for i in both)
    verdicts = [v for v in _verdicts(talk, read) if not any(p.start <= v.start < p.end for p in found)]
    small = lexicon.small(*_SMALL)
    if not found or not verdicts or read.asks or not read.only((*found, *verdicts), small):
        return {}
    leads = verdicts[0].start < found[0].start
    but = leads and _VERDICTS[verdicts[0].value] and all(pointer.denied for pointer in found)
    said = dict.fromkeys(subjects, True) if but else {}  # "yes, but not the second"
    for pointer in found:
        before = [v for v in verdicts if v.start < pointer.start]
        behind = [v for v in verdicts if v.start > pointer.start]
        nearest = before[-1:] if leads else behind[:1]
        verdict = next((_VERDICTS[v.value] for v in nearest or before[-1:]), None)
        for place in pointer.places if verdict is not None else ():
            said[place] = bool(verdict) and not pointer.denied
    return said


def _verdicts(talk: Conversation, read: Understanding) -> list[Span]:
    """Return each yes and no in order; an "okay" that opens agrees to nothing yet."""
    lexicon = talk.interpreter.lexicon
    back, opens = lexicon.list("taking_back"), lexicon.list("no_plain_yes")
    found = [span for span in read.concepts if span.value in _VERDICTS]
    found += [Span("verdict", "scratch", i, i + 1) for i, word in enumerate(read.words) if word in back]
    plain = (span for span in found if span.start or " ".join(read.words[: span.end]) not in opens)
    return sorted(plain, key=lambda span: span.start)
