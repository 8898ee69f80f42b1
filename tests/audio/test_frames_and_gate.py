"""Frames from samples, and the gate that keeps the program from hearing itself."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.audio.frames import Block, SampleSource, SourceState
from assistant.audio.half_duplex import HalfDuplexGate
from assistant.audio.utterance import RATE


class Clock:
    """A clock that only moves when somebody sleeps."""

    now = 100.0

    def __call__(self) -> float:
        return self.now

    def sleep(self, seconds: float) -> None:
        self.now += seconds


def test_samples_come_in_blocks_and_end():
    """Nothing is lost, and the state says when it is over."""
    samples = np.arange(1000, dtype=np.int16)
    source = SampleSource(samples, block=300)
    source.start()
    blocks = []
    while (block := source.read(1)) is not None:
        blocks.append(block.samples)
    assert [len(block) for block in blocks] == [300, 300, 300, 100]
    assert np.array_equal(np.concatenate(blocks), samples)
    assert source.state is SourceState.ENDED


def test_real_time_waits_for_each_block():
    """A second of sound takes a second, and a short wait gives nothing."""
    clock = Clock()
    source = SampleSource(np.zeros(RATE, np.int16), True, RATE // 2, clock=clock, sleep=clock.sleep)
    source.start()
    assert source.read(0.2) is None
    assert source.read(1).at == pytest.approx(100.5)
    assert source.read(1).at == pytest.approx(101.0)
    assert clock.now == pytest.approx(101.0)


def test_gaps_are_marked_where_they_are_asked_for():
    """To try out what a listener does with lost sound."""
    source = SampleSource(np.zeros(900, np.int16), block=300, gaps=frozenset({1}))
    assert [source.read(1).lost for _ in range(3)] == [0, 1, 0]


def block(start: float, seconds: float = 0.03) -> Block:
    """Return a block captured from ``start`` on."""
    return Block(np.zeros(int(seconds * RATE), np.int16), start + seconds)


def test_before_any_speech_everything_passes():
    """The gate is open from the start."""
    assert HalfDuplexGate().passes(block(0))


@pytest.mark.parametrize(
    ("start", "passes"),
    [(9.9, True), (9.98, False), (10.0, False), (10.5, False), (11.2, False), (11.34, False), (11.36, True)],
)
def test_while_speaking_and_for_the_tail_nothing_passes(start, passes):
    """Speaking from 10 to 11 with a tail of 0.35 s: blocks that touch it are dropped whole."""
    gate = HalfDuplexGate(0.35)
    gate.speaking_began(10.0)
    gate.speaking_ended(11.0)
    assert gate.passes(block(start)) is passes


def test_an_answer_that_has_not_ended_keeps_the_gate_closed():
    """However long it takes."""
    gate = HalfDuplexGate()
    gate.speaking_began(10.0)
    assert not gate.passes(block(1000.0))


def test_an_end_without_a_beginning_closes_nothing():
    """A stop that came too early does no harm."""
    gate = HalfDuplexGate()
    gate.speaking_ended(10.0)
    assert gate.passes(block(10.0))


@given(st.floats(0, 20), st.floats(0.001, 3), st.floats(0, 5), st.floats(0, 5))
def test_no_sound_of_our_own_ever_passes(start, seconds, began, length):
    """For any block and any answer: what passes has no instant in common with answer and tail."""
    gate = HalfDuplexGate(0.35)
    gate.speaking_began(began)
    gate.speaking_ended(began + length)
    captured = block(start, seconds)
    end = captured.at
    begin = end - len(captured.samples) / RATE
    if gate.passes(captured):
        assert end <= began + 1e-9 or begin >= began + length + 0.35 - 1e-9
