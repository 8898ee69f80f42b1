"""Which language an utterance is in: the first that understands it, beginning with the one being spoken.

Typed text may be in any language that has a pack. Sound comes from a recogniser of one language, or of two
that hears which was spoken; where it does not say which, it is the site's own.
"""

from __future__ import annotations

from dataclasses import replace

from assistant.dialogue import leaning
from assistant.dialogue.conversation import Conversation
from assistant.dialogue.emergencies import emergency_in
from assistant.dialogue.hearing import Heard, choose
from intents.hypotheses import Hypotheses
from intents.interpret import Interpretation, Interpreter
from intents.language import languages

ALL_WORDS = 0.999
"""From this share of known words on, no other language is tried."""
URGENT = 0.2
"""Mass that an emergency needs: other words that mean something whole do not hide it."""


def listen(talk: Conversation, hypotheses: Hypotheses) -> tuple[Interpreter, Heard | None]:
    """Return the interpreter of the language that was spoken and what was heard with it.

    A language further down the order has to know more of the words than those before it. The words of an
    emergency are in the language that has them.
    """
    best: tuple[tuple[bool, float, float], Interpreter, Heard | None] | None = None
    order = _order(talk, hypotheses)
    for code in order:
        interpreter = talk.speaker_of(code)
        heard = _heard(talk, interpreter, hypotheses)
        heard = _urgent(talk, interpreter, hypotheses) or heard
        if heard is not None and emergency_in(heard.interpretation.heard.words, interpreter.lexicon):
            return interpreter, heard
        whole = heard is not None and understood(heard.interpretation)
        share = explained(heard.interpretation, interpreter) if heard else 0.0
        small = _of_its_own(heard.interpretation, interpreter) if heard else 0.0
        if best is None or ((share, small) > best[0][1:] and whole >= best[0][0]):
            best = ((whole, share, small), interpreter, heard)
        known = best[0][1] >= ALL_WORDS
        unbeaten = best[0][0] and best[0][2] >= ALL_WORDS  # nor is it an emergency elsewhere: the tests look
        # What no other language knows whole is this one's, even where it means nothing whole.
        if heard is None or (
            known and (unbeaten or not _of_another(heard.interpretation, interpreter, order))
        ):
            break
    assert best is not None
    return best[1], best[2]


def _heard(talk: Conversation, interpreter: Interpreter, hypotheses: Hypotheses) -> Heard | None:
    # colleagues lean on what they said themselves
    before = leaning.said_before(talk) if talk.addressed else ()
    return choose(hypotheses, lambda text: interpreter.interpret(talk.without_wake(text), before))


def _urgent(talk: Conversation, interpreter: Interpreter, hypotheses: Hypotheses) -> Heard | None:
    """Return the emergency that one of several hypotheses names, if it is likely enough."""
    likely = [each for each in hypotheses.alternatives if each.share >= URGENT]
    for each in likely if len(hypotheses.alternatives) > 1 or hypotheses.second else ():
        heard = _heard(talk, interpreter, replace(hypotheses, alternatives=(each,), second=None))
        if heard and emergency_in(heard.interpretation.heard.words, interpreter.lexicon):
            return heard
    return None


def _of_its_own(read: Interpretation, interpreter: Interpreter) -> float:
    """Return the share of words in a language's own tables: its sentences mix in those of the other."""
    words = read.heard.words
    return sum(word in interpreter.own_words for word in words) / len(words) if words else 0.0


def _of_another(read: Interpretation, interpreter: Interpreter, order: list[str]) -> bool:
    """True when another language knows every word, too."""
    others = (code for code in order if code != interpreter.lexicon.language)
    return any(all(word in interpreter.words_of(code) for word in read.heard.words) for code in others)


def _order(talk: Conversation, hypotheses: Hypotheses) -> list[str]:
    own = talk.site.kitchen.language
    if hypotheses.language:
        return [hypotheses.language]
    if hypotheses.engine != "typed":
        return [own]
    spoken = talk.language if talk.state.recent(talk.clock.now()) else own
    return list(dict.fromkeys((spoken, own, *languages())))


def understood(read: Interpretation) -> bool:
    """True when an interpretation means something whole."""
    return read.understood


def explained(read: Interpretation, interpreter: Interpreter) -> float:
    """Return the share of the words that a language knows."""
    heard = read.heard
    known = {i for spans in heard.names.values() for s in spans for i in range(s.start, s.end)}
    known |= {i for m in heard.measures for i in range(m.start, m.end)}
    hits = sum(i in known or word in interpreter.words for i, word in enumerate(heard.words))
    return hits / len(heard.words) if heard.words else 0.0
