"""From sound to answer and log: conversations of synthetic clips through the real default recogniser.

Right answers come from the same sources as the typed exchanges (tests/dialogue/exchanges): the model food
code for placing and thawing, the invented label of the example kitchen for strengths.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from assistant.audio.sound_files import read_sound
from assistant.dialogue.conversation import Conversation
from assistant.dialogue.turn import Turn
from assistant.ear import hear
from assistant.logbook.store import Logbook
from tests.listener import HearsOnce

pytestmark = pytest.mark.sound
CLIPS = Path(__file__).resolve().parents[1] / "audio_fixtures"

Step = tuple[str, str, str, str]
"""Clip, intent, a part of the reply, and "subject=value" of the reading logged (or nothing)."""

CONVERSATIONS: list[list[Step]] = [
    [
        ("demo/wake_cook_ground_beef", "storage_place", "155", ""),
        ("demo/cook_and_the_turkey", "storage_place", "165", ""),
        ("demo/cook_why", "why", "3-302.11", ""),
        ("demo/cook_thaw_chicken", "thaw_how", "70°F", ""),
    ],
    [
        ("demo/setup_mix_bleach", "mix_sanitizer", "percent", ""),
        ("demo/setup_six_percent", "mix_sanitizer", "how much water", ""),
        ("demo/setup_two_gallons", "mix_sanitizer", "teaspoons", ""),
    ],
    [
        ("demo/wake_setup_quat_200", "reading", "200 ppm", "quat bucket=200"),
        ("demo/setup_chlorine_25", "reading", "too weak", "chlorine bucket=25"),
        ("demo/setup_chlorine_100", "reading", "good", "chlorine bucket=100"),
        ("demo/setup_walk_in_38", "reading", "38°F", "walk-in=38"),
        ("demo/wake_manager_failed", "log_failed", "25 ppm", ""),
        ("demo/manager_still_open", "log_open", "nothing is open", ""),
        ("demo/manager_play_back", "log_playback", "1 failed", ""),
    ],
    [("sanitizer_reading/quat_bucket_four_hundred", "reading", "400 ppm", "quat bucket=400")],
    [("sanitizer_reading/bleach_bucket_two_hundred", "reading", "200 ppm", "chlorine bucket=200")],
    [("temperature_reading/reach_in_thirty_nine", "reading", "39°F", "reach-in=39")],
    [("temperature_reading/walk_in_thirty_eight_point_five", "reading", "38.5°F", "walk-in=38.5")],
    [("temperature_reading/freezer_minus_two", "reading", "-2°F", "freezer=-2")],
    [("temperature_reading/prep_table_thirty_eight", "reading", "38°F", "prep cooler=38")],
    [
        (
            "temperature_reading/walk_in_thirty_eight_and_reach_in_thirty_seven",
            "reading",
            "37°F",
            "walk-in=38;reach-in=37",
        )
    ],
]


@pytest.mark.parametrize("steps", CONVERSATIONS, ids=lambda steps: steps[0][0])
def test_conversation_from_sound(
    steps: list[Step], talk: Conversation, log: Logbook, recogniser: HearsOnce
) -> None:
    """Every clip of the conversation is understood, answered and logged; a read-back number gets its yes."""
    for clip, intent, part, logged in steps:
        turn = _hear(clip, talk, log, recogniser)
        if turn.asks and turn.intent == "reading":
            turn = _hear("demo/setup_yes", talk, log, recogniser)
        said = f"{clip}: {turn.heard!r} -> {turn.intent}: {turn.reply!r}"
        assert turn.intent == intent, said
        assert part.lower() in turn.reply.lower(), said
        readings = [f"{e.subject}={e.value}" for e in turn.entries if e.value is not None]
        assert ";".join(readings) == logged, said
        assert all(e.clip is not None for e in turn.entries if e.kind == "reading"), said


@pytest.mark.parametrize("clip", sorted(path.stem for path in (CLIPS / "chatter").glob("*.flac")))
def test_chatter_logs_nothing(clip: str, talk: Conversation, log: Logbook, recogniser: HearsOnce) -> None:
    """Kitchen talk, even taken as addressed, never writes a number to the log."""
    turn = _hear(f"chatter/{clip}", talk, log, recogniser)
    assert not [entry for entry in turn.entries if entry.value is not None], turn.reply


def _hear(clip: str, talk: Conversation, log: Logbook, recogniser: HearsOnce) -> Turn:
    return hear(talk, recogniser, read_sound(CLIPS / f"{clip}.flac", said_at=talk.clock.now()), log)
