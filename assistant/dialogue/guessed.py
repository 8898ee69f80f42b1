"""Places only guessed: nothing is logged of one before a yes, and nothing at all where nobody called."""

from __future__ import annotations

from dataclasses import replace

from assistant.dialogue import agreed, recording
from assistant.dialogue.conversation import Conversation
from assistant.dialogue.hearing import Heard
from assistant.dialogue.outcome import Outcome
from intents.tools import tools, without_number


def settled(talk: Conversation, outcome: Outcome, heard: Heard) -> Outcome:
    """Return ``outcome``, or what is read back in its stead where it is of a place that was guessed."""
    said = heard.interpretation.heard
    guessed = {_family(place) for place in talk.interpreter.only_guessed(said.words) | heard.guessed}
    waiting = outcome.pending if outcome.pending is not talk.state.pending else None
    options = (waiting.readings, *waiting.options) if waiting is not None else ()
    read = {_family(part) for option in options for r in option for part in (r.subject, r.place)}
    drafted = {
        _family(place)
        for draft in outcome.drafts
        for part in (draft.subject, draft.place)
        for place in part.split(", ")
    }
    overheard = not talk.addressed and talk.state.pending is None and not talk.state.asked_place
    used = tools(said, talk.site.kind_of, talk.interpreter.lexicon)
    either = overheard and bool(drafted | read) and without_number(used, said) is not None
    if not guessed & (drafted | read) and not either:
        return outcome
    if overheard:
        return Outcome(None, "", keep_context=True)
    if not guessed & drafted:
        return outcome
    kinds = {draft.kind for draft in outcome.drafts}
    if outcome.readings and kinds <= {"reading", "action_opened"} and not outcome.reading_ids:
        before = waiting.readings if waiting is not None and waiting.kind == "confirm" else ()
        return replace(recording.confirm(talk, (*before, *outcome.readings)), used=outcome.used)
    if waiting is not None and waiting.kind == "confirm" and waiting.readings:
        logged = recording.log_whole(talk, waiting.readings)
        whole = replace(logged, answer=logged.bare, own_drafts=(*outcome.drafts, *logged.drafts))
        again = replace(waiting, kind="agree", readings=(), agreed=whole, told_at=_now(talk))
        return replace(
            outcome, text=talk.rendered(outcome), answer=outcome.bare, own_drafts=(), pending=again
        )
    asked = agreed.read_back(talk, outcome)
    if "correction" in kinds and outcome.readings:  # nothing says that it is changed before the yes
        asked = replace(asked, text=recording.confirm(talk, outcome.readings).text)
    return asked


def _now(talk: Conversation) -> str:
    return talk.clock.now().isoformat(timespec="seconds")


def _family(place: str) -> str:
    return place.rstrip("0123456789 ")
