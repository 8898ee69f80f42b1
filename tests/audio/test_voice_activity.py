"""Where somebody speaks, by the model; spans and cuts by plain arithmetic."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.audio.utterance import RATE, Utterance
from assistant.audio.voice_activity import (
    CHUNK,
    VoiceActivity,
    cut_to_speech,
    has_speech,
    probabilities_of,
    speech_spans,
    trim_to_speech,
)


def test_speech_is_found_and_silence_is_not(clip, quiet):
    """A clip has speech; room noise has none."""
    assert has_speech(Utterance(clip("demo/cook_ground_beef")))
    assert not has_speech(Utterance(quiet(2)))
    assert not has_speech(Utterance(np.zeros(0, np.int16)))


def test_trimming_takes_away_the_silence_around(clip, quiet):
    """Three seconds before and after shrink to the pad."""
    words = clip("demo/cook_ground_beef")
    around = Utterance(np.concatenate([quiet(3), words, quiet(3)]), source="a")
    trimmed = trim_to_speech(around)
    assert len(words) - 0.6 * RATE < len(trimmed.samples) < len(words) + 0.5 * RATE
    assert trimmed.source == "a"


@pytest.mark.parametrize("step", [1, 100, 512, 700, 5000])
def test_the_size_of_frames_does_not_matter(clip, step):
    """Any cutting gives the same probabilities."""
    words = clip("demo/cook_why")[: 20 * CHUNK]
    activity = VoiceActivity()
    found = [p for at in range(0, len(words), step) for p in activity.accept(words[at : at + step])]
    assert found == probabilities_of(words)


def test_a_reset_forgets_the_past(clip):
    """Two utterances in a row do not influence each other."""
    activity = VoiceActivity()
    words = clip("demo/cook_why")
    first = activity.accept(words)
    activity.reset()
    assert activity.accept(words) == first


@pytest.mark.parametrize(
    ("pattern", "spans"),
    [
        ("", []),
        ("0000", []),
        ("011110", [(1, 5)]),
        ("0110", []),
        ("01111000011110", [(1, 13)]),
        ("0111100000000000000000011110", [(1, 5), (23, 27)]),
        ("00001111", [(4, 8)]),
        ("01555510", [(1, 7)]),
        ("05555550", []),
    ],
)
def test_spans(pattern, spans):
    """1 is speech, 0 silence, 5 between the two thresholds: it prolongs speech but begins none."""
    assert speech_spans({"0": 0.0, "1": 0.9, "5": 0.4}[character] for character in pattern) == spans


@given(st.lists(st.floats(0, 1)))
def test_spans_are_in_order_and_inside(probabilities):
    """Whatever the model says."""
    spans = speech_spans(probabilities)
    edges = [edge for span in spans for edge in span]
    assert edges == sorted(edges)
    assert all(0 <= begun < ended <= len(probabilities) for begun, ended in spans)


@given(st.integers(0, 9), st.integers(1, 5), st.floats(0, 1))
def test_a_cut_holds_the_span_and_no_more_than_the_pad(begun, length, pad):
    """Never outside the sound, never less than the speech."""
    sound = np.arange(20 * CHUNK, dtype=np.int16)
    cut = cut_to_speech(sound, [(begun, begun + length)], pad)
    assert cut[0] <= begun * CHUNK
    assert cut[-1] >= (begun + length) * CHUNK - 1
    assert len(cut) <= (length * CHUNK) + 2 * int(pad * RATE)
