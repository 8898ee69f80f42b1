"""Called, and others talk on: what follows comes from near, is asked about among others, and ends in time."""

from __future__ import annotations

import numpy as np
import pytest

from assistant.audio.frames import Block, SampleSource
from assistant.audio.player import SilentPlayer
from assistant.audio.sound_files import read_sound
from assistant.audio.utterance import RATE, Samples
from assistant.dialogue.conversation import Conversation
from assistant.kitchen import Kitchen
from assistant.live.attention import FAR_DB, Attention
from assistant.live.events import Answered, Event, Ignored
from assistant.live.loop import LiveLoop
from assistant.live.speaking import Mouth
from assistant.logbook.clock import SetClock
from assistant.logbook.store import Logbook
from assistant.site import Site
from assistant.speech.fake import ScriptedRecogniser
from assistant.speech.voice import SilentVoice
from audio_fixtures.voices import FOLDER
from intents.hypotheses import Hypotheses, Hypothesis
from intents.interpret import Interpreter

GO = "hey kitchen where does the ground beef go"


@pytest.fixture
def kitchen(site: Site, log: Logbook, clock: SetClock, interpreter: Interpreter) -> Kitchen:
    """The example kitchen with an empty log."""
    return Kitchen(site, clock, log, Conversation(site, log, clock, interpreter))


def heard(words: str, second: str | None, crowded: bool) -> Hypotheses:
    """Return what two listeners made of one sound; the second may have heard nothing."""
    other = () if second is None else (Hypothesis(second),)
    return Hypotheses((Hypothesis(words),), 0.95, "scripted", "none", second=other, crowded=crowded)


def says(kitchen: Kitchen, said: list[str], louder_db: list[float]) -> list[str]:
    """Let the loop hear the same clip so much louder each time, and return what came of it."""
    speech = read_sound(FOLDER / "demo" / "cook_why.flac").samples.astype(np.float32) / 8
    silence = np.zeros(int(1.6 * RATE), np.int16)
    parts: list[Samples] = [silence]
    for louder in louder_db:
        parts += [np.round(speech * np.float32(10 ** (louder / 20))).astype(np.int16), silence]
    sound, events, at = np.concatenate(parts), list[Event](), [0.0]
    scripts = [Hypotheses((Hypothesis(text),), 0.9, "scripted", "none") for text in said]
    source = SampleSource(np.zeros(0, np.int16), clock=lambda: 0.0)
    mouth = Mouth(SilentVoice(), SilentPlayer(), lambda: at[0])
    loop = LiveLoop(kitchen, ScriptedRecogniser(scripts), source, mouth, events.append, lambda: at[0])
    for begin in range(0, len(sound), 480):
        at[0] = (begin + 480) / RATE
        loop.step(Block(sound[begin : begin + 480], at[0]))
        loop._idle()
    ends = [event for event in events if isinstance(event, Answered | Ignored)]
    return [e.turn.reply and e.turn.heard if isinstance(e, Answered) else f"({e.reason})" for e in ends]


def test_a_follow_up_from_afar_is_not_taken(kitchen: Kitchen) -> None:
    """Whoever called may turn away a little; somebody at four times the distance is somebody else."""
    said = [GO, "and the turkey", "walk in thirty eight", "and the ham"]
    assert says(kitchen, said, [0.0, -4.0, -12.0, 0.0]) == [GO, said[1], "(from afar)", said[2]]
    assert kitchen.log.views.count() == 1, "the third words were the fourth sound's"


def test_the_switch_has_no_distance() -> None:
    """Whoever pressed it may stand anywhere; the next call sets the distance anew."""
    attention = Attention("hey kitchen")
    attention.called(60.0)
    assert attention.near(60.0 - FAR_DB)
    assert not attention.near(59.0 - FAR_DB)
    attention.called(None)
    assert attention.near(1.0)


def test_two_turns_that_came_to_nothing_close_the_window(kitchen: Kitchen) -> None:
    """Talk that means nothing to it twice: then the phrase is needed again, though the time is not over."""
    said = [GO, "he said it was fine", "and the turkey"]
    assert says(kitchen, said, [0.0] * 3) == [GO, "", said[2]]
    said = [GO, "he said it was fine", "that is what I told her", "and the turkey"]
    assert says(kitchen, said, [0.0] * 4) == [GO, "", "", "(not addressed)"]


def test_an_answer_does_not_open_what_was_closed() -> None:
    """What closes the window may have been told aloud: the end of that opens nothing; a call does."""
    attention = Attention("hey kitchen")
    attention.answered(0.0, asks=False)
    for _ in range(2):
        attention.came_to(something=False)
    attention.answered(1.0, asks=False)
    assert not attention.awake(2.0)
    attention.called(60.0)
    attention.answered(3.0, asks=False)
    assert attention.awake(4.0)


@pytest.mark.parametrize("crowded", [False, True])
def test_a_reading_among_several_voices_is_asked_about(kitchen: Kitchen, crowded: bool) -> None:
    """Both listeners are sure of it, but it may be two people's words."""
    turn = kitchen.conversation.hear(heard("walk in thirty eight", "walk in thirty eight", crowded))
    assert bool(turn.entries) is not crowded
    assert turn.asks is crowded


@pytest.mark.parametrize("others", [False, True])
def test_a_reading_in_a_window_with_other_voices_is_asked_about(kitchen: Kitchen, others: bool) -> None:
    """They fell silent for it, but it may still be one of them who says it; the next call begins anew."""
    attention, talk = Attention("hey kitchen"), kitchen.conversation
    attention.called(60.0)
    attention.among(heard("how cold", "how cold", crowded=False), others=others, found=True)
    said = heard("walk in thirty eight", "walk in thirty eight", crowded=False)
    turn = talk.hear(attention.among(said, others=False, found=False))
    assert (turn.asks, bool(turn.entries)) == (others, not others)
    attention.called(60.0)
    assert not attention.among(said, others=False, found=True).others_before
    assert not attention.among(said, others=False, found=False).others_before


@pytest.mark.parametrize(
    ("second", "logged"), [("yes", True), (None, False), ("the rice", False), ("reach in forty", False)]
)
def test_a_yes_among_several_voices_needs_both_listeners(
    kitchen: Kitchen, second: str | None, logged: bool
) -> None:
    """Out of several voices one listener hears a yes easily. The question stays open."""
    kitchen.conversation.hear(heard("walk in thirty eight", "walk in thirty eight", crowded=True))
    turn = kitchen.conversation.hear(heard("yes", second, crowded=True))
    assert bool(turn.entries) is logged
    assert logged or kitchen.conversation.state.pending is not None


@pytest.mark.parametrize("second", ["where does the ham go", "what failed today", None])
def test_a_question_among_several_voices_needs_both_listeners(kitchen: Kitchen, second: str | None) -> None:
    """What only one of them made of it is let go in silence."""
    turn = kitchen.conversation.hear(heard("where does the ham go", second, crowded=True))
    assert turn.silent is (second != "where does the ham go")


def test_an_emergency_is_heard_out_of_any_crowd(kitchen: Kitchen) -> None:
    """By its own words, whatever the other listener made of them."""
    assert not kitchen.conversation.hear(heard("Dev passed out", "and", crowded=True)).silent


@pytest.mark.parametrize("crowded", [False, True])
def test_somebody_elses_number_is_read_back_only_once(kitchen: Kitchen, crowded: bool) -> None:
    """What was not called among several voices does not ride on the next answer, where a yes would log it."""
    talk = kitchen.conversation
    talk.hear(heard("gravy one fifty two i think", "gravy one fifty two i think", crowded))
    answer = talk.hear(Hypotheses.typed("how cold does the walk-in have to be"))
    assert ("152" in answer.reply) is not crowded
