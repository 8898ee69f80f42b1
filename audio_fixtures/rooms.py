"""A room around the speaker: the image method for a box-shaped room with equally hard walls.

Method: Allen and Berkley, "Image method for efficiently simulating small-room acoustics", Journal of the
Acoustical Society of America 65 (1979), in its plainest form (whole-sample delays, one reflection factor
for all walls), then a high-pass, because images of one sign pile up a rumble that no room has. The walls'
absorption follows from the wanted reverberation time by Eyring's formula. Both from memory; a box decays
more slowly than the formula says, so ``BOX`` was set by measuring, and the tests measure the decay again.
"""

from __future__ import annotations

from functools import cache

import numpy as np
import numpy.typing as npt

from audio_fixtures.voices import RATE, Samples

Floats = npt.NDArray[np.float64]

SOUND_M_S = 343.0
KITCHEN_M = (7.0, 5.0, 3.0)
MICROPHONE_M = (1.5, 2.2, 1.4)
BOX = 1.3
"""How much more a bare box must absorb than Eyring's formula says."""
HIGH_PASS_HZ = 150.0


@cache
def impulse_response(rt60_s: float = 0.5, distance_m: float = 1.5) -> Samples:
    """Response at the microphone to a click ``distance_m`` away, at 16 kHz.

    The direct sound has about height 1. Raises ValueError when the talker would stand outside the room
    or the room would not ring.
    """
    if not (0.05 <= rt60_s <= 2 and 0.1 <= distance_m <= 5):
        raise ValueError("a room needs 0.05 to 2 s of reverberation and 0.1 to 5 m of distance")
    room = np.array(KITCHEN_M)
    microphone = np.array(MICROPHONE_M)
    talker = microphone + distance_m * np.array([0.96, 0.28, 0.0])
    distances, bounces = _images(room, talker, microphone, rt60_s)
    volume, surface = room.prod(), 2 * (room[0] * room[1] + room[1] * room[2] + room[0] * room[2])
    reflection = np.exp(-BOX * 0.161 * volume / (surface * rt60_s) / 2)
    response = np.zeros(int(rt60_s * RATE) + RATE // 20)
    arrival = np.rint(distances / SOUND_M_S * RATE).astype(int)
    inside = arrival < len(response)
    np.add.at(response, arrival[inside], (reflection**bounces * distance_m / distances)[inside])
    hertz = np.maximum(np.fft.rfftfreq(len(response), 1 / RATE), 1.0)
    spectrum = np.fft.rfft(response) / (1 + (HIGH_PASS_HZ / hertz) ** 4)
    return np.fft.irfft(spectrum, len(response)).astype(np.float32)


def _images(
    room: Floats,
    talker: Floats,
    microphone: Floats,
    rt60_s: float,
) -> tuple[Floats, Floats]:
    """Distance in metres and number of wall bounces of every mirror image heard within the decay."""
    squares: list[Floats] = []
    counts: list[Floats] = []
    for axis in range(3):
        order = int(np.ceil(rt60_s * SOUND_M_S / (2 * room[axis]))) + 1
        shift = np.arange(-order, order + 1)
        places = [2 * shift * room[axis] + talker[axis], 2 * shift * room[axis] - talker[axis]]
        squares.append((np.concatenate(places) - microphone[axis]) ** 2)
        counts.append(np.concatenate([np.abs(2 * shift), np.abs(2 * shift - 1)]))
    square = squares[0][:, None, None] + squares[1][None, :, None] + squares[2][None, None, :]
    count = counts[0][:, None, None] + counts[1][None, :, None] + counts[2][None, None, :]
    return np.sqrt(square).ravel(), count.ravel()


def respond(speech: Samples, rt60_s: float = 0.5, distance_m: float = 1.5) -> Samples:
    """``speech`` as the microphone hears it in the room: same length, same peak."""
    response = impulse_response(rt60_s, distance_m)
    size = 1 << (len(speech) + len(response)).bit_length()
    wet = np.fft.irfft(np.fft.rfft(speech, size) * np.fft.rfft(response, size), size)[: len(speech)]
    return np.asarray(wet * (np.abs(speech).max() / np.abs(wet).max()), dtype=np.float32)
