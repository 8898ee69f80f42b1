"""Several things thrown out in a breath, each for a reason of its own: each is a discard with its reason."""

from __future__ import annotations

from dataclasses import replace

from assistant.dialogue import notes, told_too
from assistant.dialogue.conversation import Conversation
from assistant.dialogue.discards import DISCARD
from assistant.dialogue.hearing import Heard
from assistant.dialogue.notes import NoteDraft
from assistant.dialogue.outcome import Outcome
from intents.deed_marks import verbs_in

_THROWN = "thrown"


def report(talk: Conversation, heard: Heard) -> Outcome | None:
    """Return the discards of "tossed a pan of rice because dry and two of soup"; ``None`` for others.

    What stands behind a reason is read with the verb before it, and counts where that names an amount first.
    """
    read, lexicon = heard.interpretation.heard, talk.interpreter.lexicon
    verb = next((v for v in verbs_in(read.words, lexicon) if v[2] == _THROWN), None)
    why = next((i for i, word in enumerate(read.words) if word in lexicon.list("asides")), 0)
    if verb is None or why <= verb[1] or read.asks:
        return None
    joints = [i for i, word in enumerate(read.words) if word in lexicon.list("deed_joints")]
    for at in sorted(i for i in {*joints, *read.breaks} if i > why + 1):
        first = _alone(talk, heard, range(at))
        second = _alone(talk, heard, [*range(*verb[:2]), *range(at + (at in joints), len(read.words))])
        whole = [_discard(talk, each) for each in (first, second)]
        if None not in whole:
            return _both(talk, [each for each in whole if each is not None], len(read.words))
    return None


def _alone(talk: Conversation, heard: Heard, words: range | list[int]) -> Heard:
    text = heard.interpretation.heard.part(words)
    return replace(heard, text=text, interpretation=talk.interpreter.interpret(text), rival=None)


def _discard(talk: Conversation, part: Heard) -> Outcome | None:
    """Return the discards with their reason of a part that tells how much of which food went out."""
    outcome = talk.again(part)
    gone = [draft for draft in outcome.drafts if draft.kind == DISCARD]
    if not gone or not all(draft.amount and draft.item for draft in gone) or outcome.pending is not None:
        return None
    read, asides = part.interpretation.heard, talk.interpreter.lexicon.list("asides")
    why = next((i + 1 for i, word in enumerate(read.words) if word in asides), len(read.words))
    if len(outcome.drafts) > 1 or why == len(read.words) or gone[0].note:
        return told_too.kept(talk, part, outcome)
    return notes.beside(talk, outcome, [NoteDraft(" ".join(read.words[why:]), reason=True)])


def _both(talk: Conversation, each: list[Outcome], words: int) -> Outcome:
    text = " ".join(talk.rendered(outcome) for outcome in each)
    drafts = tuple(draft for outcome in each for draft in outcome.drafts)
    return replace(each[0], answer=each[0].bare, text=text, own_drafts=drafts, used=frozenset(range(words)))
