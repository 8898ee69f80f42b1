"""The microphone as a source of frames, captured in a child process that is replaced when it fails."""

from __future__ import annotations

import queue
import subprocess
import threading
import time
from collections.abc import Sequence
from typing import IO

import numpy as np

from assistant.audio.capture_process import HEADER
from assistant.audio.child import child_command
from assistant.audio.frames import Block, SourceState

_FIRST_S = 10.0  # until the first block of a process: imports, and opening the device
_WATCHDOG_S = 2.0  # without a block the device counts as lost
_PAUSES_S = (0.3, 0.6, 1.2, 2.5, 5.0)  # before each try to find it again
_MOST_WAITING = 1_000  # blocks: half a minute
_COMMAND = tuple(child_command("assistant.audio.capture_process"))


class Microphone:
    """A device by its full name (empty: the default one), whatever its own rate.

    Unplugging makes the state LOST, plugging in again makes it RUNNING: ``read`` sees to both, so it
    must be called regularly. The first block after a loss says that something is missing before it.
    For one reading thread.
    """

    def __init__(self, device: str = "", command: Sequence[str] = _COMMAND) -> None:
        self._command = [*command, device]
        self._child: _Capture | None = None
        self._again_at = 0.0
        self._failures = 0
        self._gap = 0
        self._closed = False
        self.problem = ""
        self.restarts = 0
        self.overflows = 0

    @property
    def state(self) -> SourceState:
        """LOST from a failure until the next block arrives."""
        if self._closed:
            return SourceState.ENDED
        return SourceState.LOST if self.problem else SourceState.RUNNING

    @property
    def process_id(self) -> int | None:
        """The number of the capturing process, if one runs."""
        return self._child.pid if self._child is not None else None

    def start(self) -> None:
        """Begin to capture; what goes wrong shows in ``state`` and ``problem``."""
        self._closed = False
        if self._child is None:
            self._child = _Capture(self._command)

    def read(self, timeout_s: float) -> Block | None:
        """Return the next block, or None if none came in time."""
        until = time.monotonic() + timeout_s
        while not self._closed:
            if self._child is None:
                wait = min(self._again_at, until) - time.monotonic()
                if wait > 0:
                    time.sleep(wait)
                if time.monotonic() < self._again_at:
                    return None
                self.restarts += 1
                self._child = _Capture(self._command)
            block = self._child.block(max(0.0, min(until, self._child.deadline) - time.monotonic()))
            if block is not None:
                return self._passed_on(block)
            if self._child.over():
                self._lose()
            elif time.monotonic() >= until:
                return None
        return None

    def close(self) -> None:
        """Stop capturing; ``start`` begins again."""
        self._closed = True
        if self._child is not None:
            self._child.end()
            self._child = None

    def _passed_on(self, block: Block) -> Block:
        self._failures = 0
        self.problem = ""
        lost, self._gap = block.lost + self._gap, 0
        self.overflows += block.lost
        return Block(block.samples, block.at, lost) if lost != block.lost else block

    def _lose(self) -> None:
        assert self._child is not None
        self.problem = self._child.why or "the microphone gives no sound; check its plug"
        self._child.end()
        self._child = None
        self._gap = 1
        self._again_at = time.monotonic() + _PAUSES_S[min(self._failures, len(_PAUSES_S) - 1)]
        self._failures += 1


class _Capture:
    """One run of ``capture_process`` with the thread that reads from it."""

    def __init__(self, command: list[str]) -> None:
        self.why = ""
        self.deadline = time.monotonic() + _FIRST_S
        self._blocks: queue.Queue[Block] = queue.Queue(_MOST_WAITING)
        self._process = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL)
        assert self._process.stdout is not None
        self._reader = threading.Thread(target=self._listen, args=(self._process.stdout,), daemon=True)
        self._reader.start()

    @property
    def pid(self) -> int:
        return self._process.pid

    def block(self, timeout_s: float) -> Block | None:
        """Return the next block and put the deadline off, or None."""
        wait = time.monotonic() + timeout_s
        while True:
            try:
                block = self._blocks.get(timeout=min(0.05, max(0.001, wait - time.monotonic())))
            except queue.Empty:
                if time.monotonic() >= wait or not self._reader.is_alive():
                    return None
                continue
            self.deadline = time.monotonic() + _WATCHDOG_S
            return block

    def over(self) -> bool:
        """Whether no block can be expected any more."""
        ended = not self._reader.is_alive() and self._blocks.empty()
        return ended or time.monotonic() >= self.deadline

    def end(self) -> None:
        self._process.kill()
        self._process.wait()
        self._reader.join()
        if self._process.stdout is not None:
            self._process.stdout.close()

    def _listen(self, pipe: IO[bytes]) -> None:
        missed = 0
        while len(head := pipe.read(HEADER.size)) == HEADER.size:
            kind, lost, length = HEADER.unpack(head)
            content = pipe.read(length)
            if len(content) < length:
                return
            if kind == b"E":
                self.why = content.decode("utf-8", "replace")
            elif kind == b"S" and length:
                samples = np.frombuffer(content, "<i2").astype(np.int16, copy=False)
                try:
                    self._blocks.put_nowait(Block(samples, time.monotonic(), lost + missed))
                    missed = 0
                except queue.Full:  # nobody reads: newest sound is dropped, and the gap is told
                    missed += lost + 1
