"""The microphone's parent process: whatever the capturing process does, blocks or a sentence come out.

The capturing process is played here by small scripts that speak its protocol; the real one is in test_live.
"""

import os
import signal
import sys
import time

import pytest

from assistant.audio import microphone as module
from assistant.audio.frames import SourceState
from assistant.audio.microphone import Microphone

PRELUDE = """
import os, sys, time
from assistant.audio.capture_process import HEADER
def say(kind, content=b"", lost=0):
    os.write(1, HEADER.pack(kind, lost, len(content)) + content)
"""


def acting(script: str) -> Microphone:
    """Return a microphone whose capturing process runs ``script``."""
    return Microphone("", [sys.executable, "-c", PRELUDE + script])


def read_until(microphone: Microphone, seconds: float, wanted: int) -> list:
    """Read until so many blocks came, or the time is over."""
    blocks, until = [], time.monotonic() + seconds
    while len(blocks) < wanted and time.monotonic() < until:
        block = microphone.read(0.2)
        if block is not None:
            blocks.append(block)
    return blocks


@pytest.fixture(autouse=True)
def impatient(monkeypatch):
    """Short waits, so that the tests are quick."""
    monkeypatch.setattr(module, "_WATCHDOG_S", 0.5)
    monkeypatch.setattr(module, "_PAUSES_S", (0.05,))


def test_blocks_arrive_in_order():
    """Three blocks with known samples, the loss before the second counted."""
    microphone = acting(
        'say(b"R", b"mic")\n'
        'say(b"S", b"\\x01\\x00\\x02\\x00")\nsay(b"S", b"\\x03\\x00", 2)\n'
        'say(b"S", b"\\x04\\x00")\ntime.sleep(60)'
    )
    microphone.start()
    blocks = read_until(microphone, 20, 3)
    microphone.close()
    assert [list(block.samples) for block in blocks] == [[1, 2], [3], [4]]
    assert [block.lost for block in blocks] == [0, 2, 0]
    assert microphone.overflows == 2
    assert blocks[0].at <= blocks[1].at <= blocks[2].at
    assert microphone.state is SourceState.ENDED


def test_a_device_that_is_not_there_is_a_state_with_a_sentence():
    """The sentence of the capturing process is shown, and it is tried again."""
    microphone = acting('say(b"E", b"this machine has no microphone; plug one in")\nsys.exit(3)')
    microphone.start()
    until = time.monotonic() + 20
    while microphone.restarts < 2 and time.monotonic() < until:
        assert microphone.read(0.1) is None
    assert microphone.state is SourceState.LOST
    assert microphone.problem == "this machine has no microphone; plug one in"
    microphone.close()


def test_a_process_that_dies_is_replaced_and_the_gap_is_told():
    """Each run gives one block and dies; from the second on a block says that something is missing."""
    microphone = acting('say(b"S", b"\\x01\\x00")')
    microphone.start()
    blocks = read_until(microphone, 30, 3)
    microphone.close()
    assert [block.lost for block in blocks] == [0, 1, 1]
    assert microphone.restarts == 2


def test_a_device_that_falls_silent_is_lost_after_the_watchdog():
    """No block at all for a while, although the process lives: it is killed and replaced."""
    microphone = acting('say(b"S", b"\\x01\\x00")\ntime.sleep(60)')
    microphone.start()
    assert len(read_until(microphone, 20, 1)) == 1
    until = time.monotonic() + 20
    while microphone.state is not SourceState.LOST and time.monotonic() < until:
        microphone.read(0.1)
    assert "no sound" in microphone.problem
    assert len(read_until(microphone, 20, 1)) == 1
    assert microphone.state is SourceState.RUNNING
    microphone.close()


def test_a_killed_process_leaves_half_a_block_that_is_not_used():
    """The header promises more than comes."""
    microphone = acting('os.write(1, HEADER.pack(b"S", 0, 100) + b"\\x01\\x00")')
    microphone.start()
    assert microphone.read(1) is None
    microphone.close()


def test_closing_ends_the_process():
    """Nobody listens on after the program has ended."""
    microphone = acting("time.sleep(60)")
    microphone.start()
    number = microphone.process_id
    microphone.close()
    with pytest.raises(ProcessLookupError):
        os.kill(number, 0)
    assert microphone.read(0.1) is None


def test_a_reader_that_is_too_slow_gets_the_gap_told(monkeypatch, tmp_path):
    """The queue is full: sound is dropped, counted, and told with the next block that fits."""
    monkeypatch.setattr(module, "_MOST_WAITING", 2)
    monkeypatch.setattr(module, "_WATCHDOG_S", 60)
    microphone = acting(
        'for n in range(5): say(b"S", bytes([n, 0]))\n'
        f"open({str(tmp_path / 'sent')!r}, 'w').close()\n"
        f"while not os.path.exists({str(tmp_path / 'more')!r}): time.sleep(0.01)\n"
        'say(b"S", b"\\x09\\x00")\ntime.sleep(60)'
    )
    microphone.start()
    while not (tmp_path / "sent").exists():
        time.sleep(0.01)
    time.sleep(0.5)  # the pipe is emptied by a thread of ours
    blocks = read_until(microphone, 20, 2)
    (tmp_path / "more").touch()
    blocks += read_until(microphone, 20, 1)
    microphone.close()
    assert [int(block.samples[0]) for block in blocks] == [0, 1, 9]
    assert blocks[-1].lost == 3


@pytest.mark.skipif(not hasattr(signal, "SIGSTOP"), reason="needs the stop signal, which Windows has not")
def test_a_stuck_process_is_killed():
    """A driver that hangs takes its process with it, not ours."""
    microphone = acting('while True: say(b"S", b"\\x01\\x00"); time.sleep(0.05)')
    microphone.start()
    assert len(read_until(microphone, 20, 2)) == 2
    os.kill(microphone.process_id, signal.SIGSTOP)
    until = time.monotonic() + 20
    while microphone.restarts == 0 and time.monotonic() < until:
        microphone.read(0.1)
    assert microphone.restarts == 1
    assert len(read_until(microphone, 20, 1)) == 1
    microphone.close()
