"""Louder, quieter, slower, faster: settings of the conversation that the speaking part reads."""

from __future__ import annotations

from dataclasses import replace

from assistant.dialogue.answer import Answer, Request
from assistant.dialogue.conversation import Conversation
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.setting import VoiceSetting
from assistant.dialogue.talking import talks

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
