"""Stop, say that again, why, more, louder: what is said about the last answer itself."""

from __future__ import annotations

from dataclasses import replace

from assistant.dialogue.answer import Answer, Request, Value
from assistant.dialogue.conversation import Conversation
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.say import reason_aloud, render, rule_words
from assistant.dialogue.setting import VoiceSetting
from assistant.dialogue.talking import talks

ALONE = frozenset({"stop", "repeat", "why", "more", "help"})
"""Intents that mean the last answer only where nothing else was said."""


@talks("stop")
def stop(talk: Conversation, request: Request) -> Outcome:
    """Drop whatever was asked; a round stays, but a bare number belongs to nothing now."""
    return Outcome(Answer("ok"), "stop", keep_context=True, changes={"asked_place": ""})


@talks("repeat")
def repeat(talk: Conversation, request: Request) -> Outcome:
    """Say the last reply again."""
    reply, aloud = talk.state.last_reply, talk.state.last_aloud
    return Outcome(Answer("nothing"), "repeat", text=reply or None, aloud=aloud, keep_context=True)


@talks("why")
def why(talk: Conversation, request: Request) -> Outcome:
    """Tell the reason of the last answer and where its rule stands: sections for the eye only."""
    last = talk.state.last_answer
    if last is None or not last.sources:
        return Outcome(Answer("nothing"), "why", keep_context=True)
    reason = _reply_of(talk, last, last.why)
    rule = f"{reason} {rule_words(last.sources)}".strip()
    aloud = reason_aloud(reason, last.sources)
    return Outcome(Answer("answer", {"rule": rule}, last.sources), "why", aloud=aloud, keep_context=True)


@talks("more")
def more(talk: Conversation, request: Request) -> Outcome:
    """Tell the rest of the last answer."""
    last = talk.state.last_answer
    told = _reply_of(talk, last, last.more) if last else ""
    return Outcome(Answer("nothing"), "more", text=told or None, keep_context=True)


@talks("help")
def help_with(talk: Conversation, request: Request) -> Outcome:
    """Say in one sentence what can be said, with a place of this kitchen."""
    cold = next((item for item in talk.site.places if item.kind == "cold_holding"), talk.site.places[0])
    values: dict[str, Value] = {"place": talk.shown(cold.id), "number": "38"}
    if talk.site.kitchen.units == "C":
        values["number"] = "4"
    return Outcome(Answer("answer", values), "help", keep_context=True)


def _reply_of(talk: Conversation, answer: Answer, key: str) -> str:
    last = talk.state.last_request
    name = answer.intent or (last.intent if last else "")
    if not name or name not in talk.catalogue or key not in talk.catalogue[name].replies:
        return ""
    return render(replace(answer, reply=key, caution=""), name, talk.catalogue)


SETTING = "voice_setting"
VOICE = "voice_"
"""How the names of concepts begin that say which way the voice changes."""
_STEPS = {"louder": (1.25, 1.0), "quieter": (0.8, 1.0), "slower": (1.0, 0.85), "faster": (1.0, 1.15)}


@talks(SETTING)
def change(talk: Conversation, request: Request) -> Outcome:
    """Change the setting by one step; what was asked before stays asked."""
    now = talk.state.voice
    step = next((name for name in _STEPS if request.slots.has(f"{VOICE}{name}")), "normal_voice")
    wanted = now.changed(*_STEPS[step]) if step in _STEPS else VoiceSetting()
    key = "most" if wanted == now and step in _STEPS else step
    changes = {"voice": wanted}
    answer = Answer(key)
    return replace(Outcome(answer, SETTING, keep_context=True, changes=changes), pending=talk.state.pending)
