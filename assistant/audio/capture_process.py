"""The child process that owns the microphone: it writes 16 kHz blocks to standard output until it is killed.

Run by ``assistant.audio.microphone``, never by hand. It lives apart because only a fresh process makes
the sound library look for devices anew, and because a stuck driver can then be killed.
"""

from __future__ import annotations

import os
import queue
import struct
import sys
from collections.abc import Callable
from typing import Any

import numpy as np
import soxr

from assistant.audio.devices import CHECK_DEVICE, Device, find_device, portaudio
from assistant.audio.utterance import RATE, Samples
from assistant.errors import KitchenError

HEADER = struct.Struct("<cII")
"""Kind (S sound, R ready, E error), blocks lost before it, length of what follows in bytes."""

_BLOCK_S = 0.03
_MOST_WAITING = 300  # blocks: nine seconds; beyond that the reader is not coming back in time
_SILENT_S = 2.0


class _Counts:
    """What the callback shares: plain numbers, no locks."""

    overflows = 0


def main(arguments: list[str]) -> int:
    """Capture from the device named by the first argument (empty: the default one)."""
    try:
        device = find_device(arguments[0], "input")
        stream, blocks, counts, channels = _open(device)
    except KitchenError as fault:
        _send(b"E", 0, str(fault).encode())
        return 3
    except Exception:  # PortAudio's own errors, in words for programmers
        _send(b"E", 0, f"the microphone '{device.name}' cannot be opened; {CHECK_DEVICE}".encode())
        return 3
    _send(b"R", 0, device.name.encode())
    with stream:
        return _pump(blocks, counts, channels, device.rate)


def _open(device: Device) -> tuple[Any, queue.SimpleQueue[bytes], _Counts, int]:
    """Open one channel, or two where the device has no fewer."""
    module = portaudio()
    blocks: queue.SimpleQueue[bytes] = queue.SimpleQueue()
    counts = _Counts()
    for channels in (1, 2):
        try:
            stream = module.RawInputStream(
                samplerate=device.rate,
                blocksize=int(device.rate * _BLOCK_S),
                device=device.index,
                channels=channels,
                dtype="int16",
                latency="high",
                callback=_taker(blocks, counts),
            )
        except module.PortAudioError:
            if channels == 2 or device.inputs < 2:
                raise
        else:
            return stream, blocks, counts, channels
    raise AssertionError("unreachable: the second try returns or raises")


def _taker(blocks: queue.SimpleQueue[bytes], counts: _Counts) -> Callable[..., None]:
    """Return the callback: it copies, puts and counts, and never waits."""

    def take(frames: Any, _count: int, _time: Any, status: Any) -> None:
        if status:
            counts.overflows += 1
        if blocks.qsize() < _MOST_WAITING:
            blocks.put(bytes(frames))
        else:
            counts.overflows += 1

    return take


def _pump(blocks: queue.SimpleQueue[bytes], counts: _Counts, channels: int, rate: int) -> int:
    """Resample block by block and hand on, until the device or the reader is gone."""
    resampler = soxr.ResampleStream(rate, RATE, 1, dtype="int16") if rate != RATE else None
    told = 0
    while True:
        try:
            raw = blocks.get(timeout=_SILENT_S)
        except queue.Empty:
            _send(b"E", 0, b"the microphone gives no more sound; check its plug")
            return 3
        sound: Samples = np.frombuffer(raw, np.int16)
        if channels > 1:
            sound = sound.reshape(-1, channels).mean(axis=1).astype(np.int16)
        if resampler is not None:
            sound = resampler.resample_chunk(sound)
        overflows = counts.overflows
        if not _send(b"S", overflows - told, sound.astype("<i2").tobytes()):
            return 0
        told = overflows


def _send(kind: bytes, lost: int, content: bytes) -> bool:
    message = HEADER.pack(kind, lost, len(content)) + content
    try:
        while message:
            message = message[os.write(1, message) :]
    except OSError:  # the reader is gone
        return False
    return True


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
