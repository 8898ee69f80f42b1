"""What is said without a subject of what was read last: "what's the limit there", "now what", "log it"."""

from __future__ import annotations

from assistant.dialogue import recording
from assistant.dialogue.answer import Answer, capital
from assistant.dialogue.conversation import Conversation
from assistant.dialogue.hearing import Heard
from assistant.dialogue.judge import judge_reading
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.record import limits_text
from assistant.dialogue.say import fill, worded
from assistant.dialogue.slots import Slots
from assistant.dialogue.topic import reading_of_line
from assistant.logbook.views import Line

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
    item = judge_reading(reading_of_line(line), talk.site)
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
        line for line in talk.last_readings if line.now.measured not in ("cooling", "reheating", "delivery")
    ]
    failed = [line for line in read if line.now.verdict == "fail"]
    return next(reversed(failed or read), None)
