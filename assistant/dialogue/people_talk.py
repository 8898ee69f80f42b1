"""Who is speaking: known names only, until signed out or the local day ends."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from typing import TYPE_CHECKING

from assistant.dialogue import recording
from assistant.dialogue.answer import Answer, Request
from assistant.dialogue.hearing import Heard
from assistant.dialogue.moments import shown_time
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.slots import Slots
from assistant.dialogue.talking import talks
from assistant.logbook.entry import Draft
from assistant.logbook.query import Filter
from assistant.logbook.views import Views
from intents.lexicon import Lexicon
from intents.mentions import Understanding

if TYPE_CHECKING:
    from assistant.dialogue.conversation import Conversation

OUT = "signed out"


def person_now(talk: Conversation) -> str:
    """Return who is signed in: nobody once the local day of the sign-in is over."""
    state = talk.state
    if not state.person or state.signed_in_at is None:
        return state.person
    return state.person if state.signed_in_at.date() == talk.clock.now().date() else ""


def signed_in_before(views: Views, now: datetime) -> tuple[str, datetime | None]:
    """Return who was signed in last today and not out again, and when: for going on after a restart."""
    line = views.latest(replace(Filter.on(now.date()), kinds=("sign_in",), standing_only=True))
    if line is None or line.entry.note == OUT:
        return "", None
    return line.entry.subject, datetime.fromisoformat(line.entry.at_local)


@talks("who_am_i")
def who(talk: Conversation, request: Request) -> Outcome:
    """Tell whose name the entries get."""
    name = request.person
    if not name:
        return Outcome(Answer("nobody"), "who_am_i", keep_context=True)
    wanted = replace(Filter.on(request.now.date()), kinds=("sign_in",), subject=name)
    line = talk.log.views.latest(wanted)
    at = datetime.fromisoformat(line.entry.at_local) if line else request.now
    return Outcome(Answer("name", {"name": name, "time": shown_time(at)}), "who_am_i", keep_context=True)


@talks("sign_out")
def sign_out(talk: Conversation, request: Request) -> Outcome:
    """Sign out; the entries that follow are unsigned."""
    name = request.person
    if not name:
        return Outcome(Answer("nobody"), "sign_out", keep_context=True)
    draft = Draft(kind="sign_in", subject=name, person=name, note=OUT)
    changes = {"person": "", "signed_in_at": None}
    return Outcome(Answer("out", {"name": name}), "sign_out", own_drafts=(draft,), changes=changes)


def with_readings(talk: Conversation, heard: Heard) -> Outcome | None:
    """Take "this is Dev and the walk-in is thirty eight": a sign-in, then readings under that name."""
    read = heard.interpretation.heard
    people = read.names.get("person", ())
    end = _introduced(read, talk.interpreter.lexicon) if len(people) == 1 else 0
    if not end:
        return None
    name = people[0].value
    if end == len(read.words):
        return talk.ask(talk.request("sign_in", Slots.of(read)))
    rest = talk.interpreter.interpret(" ".join(read.words[end:]))
    if not read.measures or not rest.readings.options:
        return None
    outcome = recording.report(talk, replace(heard, interpretation=rest))
    drafts = tuple(draft.model_copy(update={"person": name}) for draft in outcome.own_drafts)
    sign_in = Draft(kind="sign_in", subject=name, person=name)
    said = f"{name}. {talk.rendered(outcome)}"
    return replace(outcome, text=said, own_drafts=(sign_in, *drafts))


def _introduced(read: Understanding, lexicon: Lexicon) -> int:
    """Return where "this is Dev" or "Dev here" ends at the very beginning, 0 for anything else."""
    person = read.names["person"][0]
    if any(s.value == "this_is" and s.start == 0 for s in read.concepts):
        return person.end
    after = " ".join(read.words[person.end : person.end + 2])
    here = next((h for h in lexicon.list("here") if after == h or after.startswith(f"{h} ")), "")
    return person.end + len(here.split()) if here and person.start == 0 else 0
