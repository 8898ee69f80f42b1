"""A read-back that got no answer: it is asked once more beside the next reply, and given up aloud after that.

"Soup well, 131. Right?" and the cook asks something else: the number must neither be lost without a word nor
be logged without a yes.
"""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import timedelta

from assistant.dialogue import agreed, candidates, discards, recording, which_place
from assistant.dialogue.answer import Request, answer_function, capital
from assistant.dialogue.conversation import Conversation
from assistant.dialogue.emergencies import emergency_intents
from assistant.dialogue.hearing import Heard
from assistant.dialogue.judge import judge_all
from assistant.dialogue.moments import span_of
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.say import render
from assistant.dialogue.state import Pending
from assistant.dialogue.talking import talks
from assistant.dialogue.withdrawing import CORRECTION
from assistant.rules.basis import Verdict
from intents.mentions import READ
from intents.readings import Reading

_NOTES = ("note: ", "done: ")
"""So notes begin."""
_NOTHING, _TIME_OUT = "nothing", "time_out"
"""The reply to a correction that changes nothing."""
FAILED, PLAYBACK, _NOT_DONE = "log_failed", "log_playback", "not_done"
FORGOTTEN = timedelta(minutes=15)
"""After so long nobody knows any more what was read back (judgement)."""
MOST_TIMES = 2
_SENTENCE = re.compile(r"(?<=[.!?])\s")
_OF_READINGS = ("reading", "action_opened")


def asked_again(talk: Conversation, heard: Heard, outcome: Outcome) -> Outcome:
    """Return what is done with words that answered no read-back, with that read-back at its end."""
    waiting, now = talk.state.pending, talk.clock.now()
    if waiting is not None and waiting.kind == "choose" and _came_to_nothing(talk, heard, outcome):
        asks = replace(waiting, asked_at=now, times_asked=waiting.times_asked + 1)
        fresh = waiting.times_asked < MOST_TIMES and now - waiting.asked_at <= FORGOTTEN
        return replace(outcome, text=talk.state.last_question, pending=asks) if fresh else outcome
    if (along := _carried_along(talk, heard, outcome) or _how_much(talk, heard, outcome)) is not None:
        return along
    asks_which = waiting is not None and waiting.kind == "choose" and which_place.asked_whole(talk, waiting)
    if waiting is None or not (waiting.kind in ("confirm", "agree") or asks_which) or not talk.addressed:
        return outcome
    if waiting.in_a_crowd:
        return outcome  # a yes to the next answer would be one to somebody else's number
    silent = outcome.answer is None and outcome.text is None
    urgent = outcome.intent in emergency_intents(talk.interpreter.lexicon)
    if silent or urgent or outcome.pending is not None or outcome.intent == CORRECTION:
        return outcome
    anew, fresh = _told_anew(waiting, outcome), now - waiting.asked_at <= FORGOTTEN
    if anew and waiting.kind == "confirm":
        left = candidates.beside(talk, heard, outcome.drafts) if candidates.waiting(talk) else ()
        waiting = replace(waiting, readings=left)
    if not (waiting.readings if anew else fresh):
        return outcome
    text = talk.rendered(outcome)
    aloud = outcome.aloud or text
    told = any(
        draft.note.startswith(_NOTES) or draft.subject in _subjects(waiting) for draft in outcome.drafts
    )
    more = int(not told)  # who tells what was done goes on
    if waiting.times_asked + more > MOST_TIMES:
        names = ", ".join(dict.fromkeys(talk.shown(name) for name in _subjects(waiting)))
        last = talk.words("given_up", list=capital(names))
        return replace(outcome, text=f"{text} {last}", aloud=f"{aloud} {last}")
    asks = replace(waiting, asked_at=now, times_asked=waiting.times_asked + more, disputed=False)
    if waiting.agreed is not None:
        again = agreed.read_back(talk, waiting.agreed)
    elif waiting.kind == "choose":
        again = Outcome(None, "", text=question(talk))
    else:
        asks = replace(asks, readings=candidates.told_then(talk, waiting.readings))
        again = recording.confirm(talk, asks.readings)
    return behind(talk, outcome, again, asks)


def behind(talk: Conversation, outcome: Outcome, asked: Outcome, waits: Pending | None) -> Outcome:
    """Return what is done with a question behind it, whose answer ``waits`` for."""
    text = talk.rendered(outcome)
    told, aloud = (" ".join(filter(None, (said, asked.text))) for said in (text, outcome.aloud or text))
    changes = {**outcome.changes, **asked.changes}
    return replace(outcome, text=told, aloud=aloud, pending=waits, changes=changes)


def question(talk: Conversation) -> str:
    """Return the question that waits, without what was said around it."""
    asked = [each for each in _SENTENCE.split(talk.state.last_question) if each.endswith("?")]
    return asked[-1] if asked else talk.state.last_question


def without_since_when(talk: Conversation, outcome: Outcome) -> Outcome:
    """Return an outcome that does not ask since when: it was told before the yes."""
    waiting = outcome.pending
    if waiting is None or waiting.request is None or waiting.request.intent != _TIME_OUT:
        return outcome
    kept = (each for each in _SENTENCE.split(talk.rendered(outcome)) if not each.endswith("?"))
    return replace(outcome, text=" ".join(kept), pending=None)


def _carried_along(talk: Conversation, heard: Heard, outcome: Outcome) -> Outcome | None:
    """Read back together what is told now and what waits for a yes and is not told anew.

    ``None`` where nothing of it waits on, or a report was logged with nothing left to ask.
    """
    waiting, asked = talk.state.pending, outcome.pending
    if waiting is None or not candidates.waiting(talk):
        return None
    back = asked if asked is not None and asked is not waiting and asked.kind == "confirm" else None
    new = back.readings if back is not None else outcome.readings
    told = {reading.subject for reading in new}
    every = candidates.with_more(talk, heard, new)
    fresh = talk.clock.now() - waiting.asked_at <= FORGOTTEN or candidates.puts_right(talk, heard)
    every = every if fresh else tuple(reading for reading in every if reading.subject in told)
    if not told or len(every) <= len(new):
        return None
    again = recording.confirm(talk, every)
    own, text = recording.confirm(talk, new).text or "", talk.rendered(outcome)
    if back is not None and text.endswith(own):
        whole = replace(outcome, text=text.removesuffix(own).strip(), aloud=outcome.aloud.removesuffix(own))
        assert again.pending is not None
        return behind(talk, whole, again, replace(again.pending, unnumbered=back.unnumbered))
    more = told | {reading.place for reading in outcome.readings}
    others = any(draft.kind not in _OF_READINGS or draft.subject not in more for draft in outcome.drafts)
    left = asked is not None and asked.kind in ("confirm", "slot")
    if others or outcome.intent != recording.READING or not (left or _told_anew(waiting, outcome)):
        return None
    return replace(again, used=outcome.used) if not outcome.changes.get("judged") else None


def _how_much(talk: Conversation, heard: Heard, outcome: Outcome) -> Outcome | None:
    """Ask once more how much went out; where that gets no answer or cannot be asked it is logged without."""
    waiting, now = talk.state.pending, talk.clock.now()
    out = discards.unmeasured(talk, waiting) if talk.addressed else None
    if out is None or waiting is None or now - waiting.asked_at > FORGOTTEN:
        return None
    silent = outcome.answer is None and outcome.text is None
    asked = discards.unmeasured(talk, outcome.pending)
    drafts = (*outcome.drafts, *(asked.drafts if asked is not None else ()))
    gone = {name for draft in drafts for name in (draft.subject, draft.item)}
    of_it = gone & {draft.item for draft in out.drafts} or not gone  # it may be of the same food
    read, lexicon = heard.interpretation.heard, talk.interpreter.lexicon
    wrong = lexicon.list("correction_openers") | lexicon.list("told_wrong")
    other = bool(read.names.get("food")) and not wrong.isdisjoint(read.words)  # "no, the chili"
    corrects = other or outcome.intent == CORRECTION
    to_nothing = outcome.answer is not None and outcome.answer.reply == _NOTHING
    took_back = outcome.intent == _NOT_DONE or (corrects and not to_nothing)
    if silent or took_back or (outcome.intent == discards.DISCARD and of_it):
        return None
    if outcome.intent in emergency_intents(talk.interpreter.lexicon):
        return replace(outcome, pending=outcome.pending or waiting)
    text, aloud, more = talk.rendered(outcome), outcome.aloud or talk.rendered(outcome), talk.rendered(out)
    if outcome.pending is None and waiting.times_asked < MOST_TIMES:
        more = question(talk)
        asks = replace(waiting, asked_at=now, times_asked=waiting.times_asked + 1)
        return replace(outcome, text=f"{text} {more}", aloud=f"{aloud} {more}", pending=asks)
    if not discards.for_good(talk, waiting):
        return None  # "tossed the chicken" may tell of flour
    kept = (*out.drafts, *outcome.own_drafts)
    return replace(outcome, text=f"{more} {text}", aloud=f"{more} {aloud}", own_drafts=kept)


def lost(talk: Conversation, outcome: Outcome, subjects: set[str]) -> tuple[Reading, ...]:
    """Return what was read back and is neither asked on, logged under ``subjects``, told anew nor refused."""
    waiting, state = talk.state.pending, talk.state
    on = outcome.pending.readings if outcome.pending is not None else ()
    told = {r.subject for r in (*on, *outcome.readings)} | subjects
    told |= outcome.pending.given_up if outcome.pending is not None else set()
    refused = outcome.answer is not None and outcome.answer.reply == "dropped"
    moved = waiting is not None and sorted(r.value for r in on) == sorted(r.value for r in waiting.readings)
    new: tuple[Reading, ...] = ()
    if waiting is not None and waiting.kind == "confirm" and not (refused or moved or waiting.in_a_crowd):
        at = waiting.asked_at.isoformat(timespec="seconds")
        new = tuple(replace(r, said_at=r.said_at or at) for r in waiting.readings)
    return tuple(r for r in (*state.unconfirmed, *new) if r.subject not in told)


@talks(FAILED, PLAYBACK)
def also_told(talk: Conversation, request: Request) -> Outcome | None:
    """Ask once more, behind what the log holds of today, what was read back and never confirmed."""
    function, today = answer_function(request.intent), request.now.date().isoformat()
    left = [r for r in lost(talk, Outcome(None, ""), set()) if r.said_at[:10] == today]
    failed = [item.judgement.verdict is Verdict.FAIL for item in judge_all(tuple(left), talk.site)]
    if request.intent == FAILED:
        left = [reading for reading, bad in zip(left, failed, strict=True) if bad]
    if function is None or not left or span_of(request.slots, request.now).last.isoformat() != today:
        return None
    answer = function(request)
    told = render(answer, request.intent, talk.catalogue) if answer is not None else ""
    asked = recording.confirm(talk, tuple(left))
    text = f"{told} {talk.words('unconfirmed')} {asked.text}"
    return Outcome(answer, request.intent, request, text=text, pending=asked.pending)


def _subjects(waiting: Pending) -> list[str]:
    """Return what was read back, in the order said."""
    drafts = waiting.agreed.drafts if waiting.agreed is not None else ()
    options = (r for option in waiting.options for r in option)
    readings = options if waiting.kind == "choose" else waiting.readings  # the others of a breath are logged
    return [*(reading.subject for reading in readings), *(draft.subject for draft in drafts)]


def _came_to_nothing(talk: Conversation, heard: Heard, outcome: Outcome) -> bool:
    """True where words said to the assistant were not understood: what it asked is asked once more."""
    reply = outcome.answer.reply if outcome.answer is not None else ""
    lost = reply in ("say_again", "which_place_reads") and not outcome.drafts and outcome.pending is None
    told = any(m.kind in READ for m in heard.interpretation.heard.free_measures)
    return talk.addressed and lost and outcome.text is None and not told


def _told_anew(waiting: Pending, outcome: Outcome) -> bool:
    """True where the same place or food was read again: the number before is not meant any more."""
    drafts = [each for each in outcome.drafts if each.kind == "reading" or waiting.kind == "agree"]
    told = {reading.subject for reading in outcome.readings} | {draft.subject for draft in drafts}
    return bool(told & {*_subjects(waiting)})
