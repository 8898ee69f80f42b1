"""The end of an utterance: after a silence that the caller chooses, or at the cap."""

import numpy as np
import pytest

from assistant.audio.end_of_speech import EndOfSpeech, EndSettings, Phase
from assistant.audio.utterance import RATE
from assistant.audio.voice_activity import probabilities_of, speech_spans

FRAME = 480


def run(end: EndOfSpeech, sound: np.ndarray, frame: int = FRAME) -> int | None:
    """Feed ``sound`` in frames; return the number of samples fed when the end was declared."""
    for at in range(0, len(sound), frame):
        if end.accept(sound[at : at + frame]) is Phase.ENDED:
            return min(at + frame, len(sound))
    return None


def last_speech(sound: np.ndarray) -> float:
    """Return when the last speech ends, in seconds, by the activity model over the whole sound."""
    return speech_spans(probabilities_of(sound))[-1][1] * 512 / RATE


@pytest.mark.parametrize("hang_s", [0.3, 0.6, 1.2])
def test_the_end_comes_after_the_chosen_silence(clip, quiet, hang_s):
    """Within one step of the model, whatever the silence asked for."""
    sound = np.concatenate([quiet(0.5), clip("demo/cook_ground_beef"), quiet(2)])
    ended = run(EndOfSpeech(EndSettings(hang_s=hang_s)), sound)
    assert ended / RATE - last_speech(sound) == pytest.approx(hang_s, abs=0.1)


def test_the_caller_may_shorten_the_wait_while_it_runs(clip, quiet):
    """What was said is complete: the end comes at once."""
    end = EndOfSpeech(EndSettings(hang_s=2.0))
    assert run(end, np.concatenate([quiet(0.3), clip("demo/cook_ground_beef"), quiet(0.6)])) is None
    assert end.phase is Phase.PAUSE
    assert end.silence_s > 0.3
    end.hang_s = 0.3
    assert end.accept(quiet(0.04)) is Phase.ENDED
    assert end.ended_by == "silence"


def test_the_caller_may_lengthen_the_wait_and_it_counts_for_one_utterance_only(clip, quiet):
    """A number is still missing: the pause is no end, and the next utterance waits as usual."""
    words = clip("demo/cook_ground_beef")
    end = EndOfSpeech()
    assert run(end, np.concatenate([quiet(0.3), words])) is None
    end.hang_s = 1.5
    assert run(end, quiet(0.8)) is None
    assert run(end, np.concatenate([words, quiet(1.7)])) is not None
    assert len(end.take()) / RATE > 2 * len(words) / RATE
    assert end.hang_s == 0.6


def test_the_utterance_holds_its_first_and_last_sounds(clip, quiet):
    """With sound from before the beginning, so that soft consonants are not cut."""
    words = clip("demo/cook_ground_beef")
    end = EndOfSpeech()
    run(end, np.concatenate([quiet(3), words, quiet(1)]))
    taken = end.take()
    assert len(words) < len(taken) < len(words) + 1.6 * RATE
    middle = words[len(words) // 2 : len(words) // 2 + 200].tobytes()
    assert middle in taken.tobytes()


def test_fresh_sound_put_together_is_the_utterance(clip, quiet):
    """A streaming recogniser gets every sample once and in order."""
    sound = np.concatenate([quiet(1), clip("demo/cook_ground_beef"), quiet(1)])
    end, parts = EndOfSpeech(), []
    for at in range(0, len(sound), FRAME):
        phase = end.accept(sound[at : at + FRAME])
        parts.append(end.fresh())
        if phase is Phase.ENDED:
            break
    assert np.array_equal(np.concatenate(parts), end.take())


def test_two_utterances_in_a_row(clip, quiet):
    """The second is found in what came after the first, even within one big frame."""
    words = clip("demo/cook_ground_beef")
    end = EndOfSpeech()
    sound = np.concatenate([quiet(0.5), words, quiet(1), words, quiet(1)])
    assert end.accept(sound) is Phase.ENDED
    first = end.take()
    assert end.accept(np.zeros(0, np.int16)) is Phase.ENDED
    assert abs(len(first) - len(end.take())) < RATE // 2


@pytest.mark.parametrize("frame", [1, 37, 512, 16000])
def test_the_size_of_frames_does_not_matter(clip, quiet, frame):
    """The same utterance comes out."""
    sound = np.concatenate([quiet(0.2), clip("demo/cook_why"), quiet(1)])
    expected, end = EndOfSpeech(), EndOfSpeech()
    run(expected, sound)
    run(end, sound, frame)
    assert np.array_equal(end.take(), expected.take())


def test_endless_babble_is_cut_at_the_cap(clip):
    """Somebody talks on and on at the next station."""
    babble = np.concatenate([clip("demo/cook_ground_beef")] * 6)
    end = EndOfSpeech(EndSettings(hang_s=1.5, longest_s=3.0))
    assert run(end, babble) is not None
    assert end.ended_by == "length"
    assert len(end.take()) / RATE == pytest.approx(3.0, abs=0.1)


def test_an_utterance_may_begin_late(clip, quiet):
    """What others said before the phrase is dropped, and the cap counts from there."""
    words = clip("demo/cook_ground_beef")
    end = EndOfSpeech(EndSettings(hang_s=1.5, longest_s=4.0))
    assert run(end, np.concatenate([words] * 2)) is None
    end.fresh()
    end.begin_late(1.0)
    assert len(end.fresh()) == RATE
    assert end.speech_s == 1.0
    assert run(end, words) is None


def test_the_end_of_an_overlong_stretch_begins_the_next_one(clip):
    """A wake phrase across the cut is heard whole."""
    babble = np.concatenate([clip("demo/cook_ground_beef")] * 6)
    end = EndOfSpeech(EndSettings(hang_s=1.5, longest_s=3.0))
    run(end, babble)
    first = end.take(keep_s=1.0)
    run(end, babble[:4800])
    assert np.array_equal(end.take()[: RATE // 2], first[-RATE:][: RATE // 2])


def made_noises() -> dict[str, np.ndarray]:
    """Return kitchen-like sounds without speech: a fan, clinks, a beep."""
    random = np.random.default_rng(3)
    time = np.arange(10 * RATE) / RATE
    clinks = np.zeros(len(time))
    for at in range(0, len(time) - 4000, 9000):
        clinks[at : at + 4000] += 15000 * np.exp(-np.arange(4000) / 300) * np.sin(np.arange(4000) * 1.3)
    return {
        "fan": random.normal(0, 2500, len(time)).astype(np.int16),
        "clinks": clinks.astype(np.int16),
        "beep": (6000 * np.sin(2 * np.pi * 2000 * time) * (time % 1 < 0.2)).astype(np.int16),
        "silence": np.zeros(len(time), np.int16),
    }


@pytest.mark.parametrize("kind", made_noises())
def test_noise_begins_no_utterance(kind):
    """Ten seconds of it leave the stream waiting, with only the pre-roll in memory."""
    end = EndOfSpeech()
    assert run(end, made_noises()[kind]) is None
    assert end.phase is Phase.WAITING
    assert len(end.take()) == 0


def test_memory_stays_small_while_nobody_speaks(quiet):
    """A minute of silence keeps no more than the pre-roll."""
    end = EndOfSpeech()
    run(end, quiet(60), 16000)
    assert len(end._sound) + len(end._after) < RATE


def test_a_reset_forgets_what_came_after_the_end_too(clip, quiet):
    """After the program has spoken nothing old may turn up."""
    end = EndOfSpeech()
    end.accept(np.concatenate([clip("demo/cook_ground_beef"), quiet(1), clip("demo/cook_ground_beef")]))
    end.reset()
    assert end.accept(quiet(0.1)) is Phase.WAITING
