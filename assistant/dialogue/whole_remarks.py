"""Which clause of a breath is a whole remark, to be kept in its own words; a scrap is none."""

from __future__ import annotations

from assistant.dialogue.clauses import Part
from assistant.dialogue.conversation import Conversation
from assistant.dialogue.discards import DISCARD
from assistant.dialogue.hearing import Heard
from intents.language import language

_OTHERS = frozenset({
    "reading", "log_value", "correction", "yes", "no", "stop", "more", DISCARD, "reheat_check",
    "receive_check", "sign_in",
})  # fmt: skip
"""Intents of clauses that tell of the numbers, or answer."""
_STARTS = ("clock_", "round_")
OF_DEEDS = frozenset({"action_done", "hand_washed", "contact_cleaned"})
_TELLS, _SURELY, _TALK, _CHATTER, _ASKS, FEW = 0.6, 0.85, 0.3, 0.9, 0.8, 2
"""Least share of telling, most of talk (of a reason) and of asking of a clause that is kept; a lone word
has to tell surely, more than a few words in any case (judgement)."""
_NAMES = ("place", "food", "value")


def remark(
    talk: Conversation, heard: Heard, part: Part, marks: str, *, leads: bool, spent: int, out: bool
) -> Part | None:
    """Return the words of a clause that are a whole remark, ``None`` for a scrap or what an entry tells.

    ``marks`` has a letter a word: "o" of its own, "u" and "v" used by an entry, "n" a number, "t" a time.
    Where the clause ``leads`` to a number some of its words are ``spent`` on that; of food that is ``out`` it
    may be why.
    """
    read, lexicon, roles = (
        heard.interpretation.heard,
        talk.interpreter.lexicon,
        heard.interpretation.meaning.roles,
    )
    first, last = trimmed(talk, read.words, part, leads=leads)
    words, inside = read.words[first:last], marks[first:last]
    own = [i for i in range(first, last) if marks[i] == "o"]
    count = len(own) - spent
    why = 2 * sum(roles[i] == "reason" for i in own if i < len(roles)) >= count
    used = "v" in inside or inside.count("u") > len(own)
    places, ends = talk.interpreter.place_words, lexicon.list("plural_ending")
    several = [i for i in own if any(read.words[i].removesuffix(end) in places for end in ends)]
    if count <= 0 or used or own == several or not (len(inside) > 1 or why):
        return None  # "all the drawers": of which the numbers beside it are
    if {*words[:FEW]} & lexicon.list("over_limit") and count <= FEW + 1:
        return None  # "over the flame" only tells where
    hangs = marks[first - 1 : first] == "n" and first not in read.breaks  # thirty eight "in the corner one"
    named = all(roles[i : i + 1] and roles[i] in _NAMES for i in own)
    leading = lexicon.list("prepositions") | lexicon.list("deed_into")
    if (hangs or named) and not why and words[0] in leading:
        return None  # where the number beside it was read, and nothing else
    runs_on = (
        part[0] not in read.breaks and marks[part[0] - 1 : part[0]] == "n"
    )  # "forty on the rail the lid"
    spans = read.names.get("equipment", ())
    led_in = (s.end for s in spans if runs_on and not marks[first : s.start].strip(".") and s.end < last)
    behind = max({first, *led_in})
    either = {words, read.words[behind:last]}
    told = any(_tells(talk, each, count, inside.count("t"), why=why) for each in either)
    return (behind, last) if (out and why) or told else None


def trimmed(talk: Conversation, words: tuple[str, ...], part: Part, *, leads: bool) -> Part:
    """Return a clause without what hangs loose at its ends: "um", "on the", "at" where a number follows."""
    lexicon, (start, end) = talk.interpreter.lexicon, part
    is_number = language(lexicon.language).numbers.is_number_word
    loose = lexicon.list("deed_articles") - lexicon.list("deed_it")
    loose |= lexicon.list("prepositions") if leads else frozenset()
    while start < end and words[start] in lexicon.list("hesitating"):
        start += 1
    while end > start and words[end - 1] in loose and (leads or not is_number(words[end - 1])):  # "a new one"
        loose = loose | lexicon.list("prepositions")
        end -= 1
    return start, end


def _tells(talk: Conversation, words: tuple[str, ...], own: int, times: int, *, why: bool) -> bool:
    """True where a clause is a reason (``why``), the net hears it alone as told, or it is long and no talk.

    A question is never written down.
    """
    meant, lexicon = talk.interpreter.meaning_of(words), talk.interpreter.lexicon
    best = meant.best
    another = best.share >= _TELLS and (best.intent in _OTHERS or best.intent.startswith(_STARTS))
    states = {*words[:1]} & (lexicon.list("deed_articles") | lexicon.list("deed_doers"))
    asks = words[0] in lexicon.list("asking") or (meant.share_of("ask", "leave") >= _ASKS and not states)
    if another or asks:
        return False
    deed = sum(guess.share for guess in meant.guesses if guess.intent in OF_DEEDS)
    least = _TELLS if own >= FEW or deed >= _TELLS else _SURELY
    told = meant.share_of("tell", "answer") >= least or own + times > FEW
    return (why and meant.talk < _CHATTER) or (told and meant.talk < _TALK)
