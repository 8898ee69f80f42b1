"""Sound files in and out: any common WAV, FLAC or OGG becomes an ``Utterance``, or one clear sentence."""

from __future__ import annotations

import io
import os
import struct
from datetime import datetime
from pathlib import Path

import numpy as np
import soundfile
import soxr
from numpy.typing import NDArray

from assistant.audio.utterance import RATE, Samples, Utterance
from assistant.errors import InputError, in_words

MAX_SECONDS = 60.0
"""One utterance is a sentence or two; anything longer is a recording of something else."""

_LOWEST_RATE, _HIGHEST_RATE = 4_000, 384_000
_BLOCK_FRAMES = 1 << 16
_BEGINNINGS = (b"RIFF", b"RIFX", b"RF64", b"fLaC", b"OggS", b"FORM", b"caff", b".snd", b"ID3")
"""How files of sound begin; an MP3 without a title begins with eleven set bits."""
_UNKNOWN_SIZES = (0, 0xFFFFFFFF, 0x7FFFFFFF)  # written by programs that stream a WAV file

_Wave = NDArray[np.float32]  # shape (frames, channels), full scale is 1.0


def read_sound(
    path: str | Path, *, max_seconds: float = MAX_SECONDS, said_at: datetime | None = None
) -> Utterance:
    """Read a sound file of any common rate, width and channel count as mono 16 kHz.

    Raises ``InputError`` in one sentence for a file that is missing, empty, cut off, not sound,
    longer than ``max_seconds`` (found out without reading it all) or that holds impossible numbers.
    """
    path = Path(path)
    _check_file(path)
    try:
        _check_beginning(path)
        with soundfile.SoundFile(path) as file:
            rate = file.samplerate
            _check_header(path, file, max_seconds)
            wave = _read_blocks(path, file, max_seconds)
    except soundfile.LibsndfileError:
        raise InputError(_not_sound(path)) from None
    except OSError as fault:
        raise InputError(f"'{path}' cannot be read ({in_words(fault)}); check it") from None
    return Utterance(resample(_mono(wave), rate), said_at, path.name)


def resample(mono: NDArray[np.float32], rate: int, to_rate: int = RATE) -> Samples:
    """Return float sound (shape (n,), full scale 1.0, ``rate`` a second) as 16-bit at ``to_rate``."""
    if rate != to_rate and len(mono):
        mono = soxr.resample(mono, rate, to_rate)
    return np.clip(np.round(mono * 32768.0), -32768, 32767).astype(np.int16)


def flac_bytes(samples: Samples, rate: int = RATE) -> bytes:
    """Return ``samples`` as a FLAC file's bytes: exact, about half the size of WAV."""
    return _encode(samples, rate, "FLAC")


def write_flac(path: str | Path, samples: Samples, rate: int = RATE) -> None:
    """Write a FLAC file whole or not at all. Raises ``OSError`` when the disk refuses."""
    _write(Path(path), flac_bytes(samples, rate))


def write_wav(path: str | Path, samples: Samples, rate: int = RATE) -> None:
    """Write a 16-bit WAV file whole or not at all. Raises ``OSError`` when the disk refuses."""
    _write(Path(path), _encode(samples, rate, "WAV"))


def _encode(samples: Samples, rate: int, container: str) -> bytes:
    target = io.BytesIO()
    soundfile.write(target, samples, rate, format=container, subtype="PCM_16")
    return target.getvalue()


def _write(path: Path, content: bytes) -> None:
    half = path.with_name(f".{path.name}.{os.getpid()}.part")
    try:
        half.write_bytes(content)
        half.replace(path)
    finally:
        half.unlink(missing_ok=True)


def _check_file(path: Path) -> None:
    try:
        if path.is_dir():
            raise InputError(f"'{path}' is a folder; name a sound file in it")
        size = path.stat().st_size
    except FileNotFoundError:
        raise InputError(f"there is no sound file '{path}'; check the name") from None
    except OSError as fault:
        raise InputError(f"'{path}' cannot be read ({in_words(fault)}); check its rights") from None
    if size == 0:
        raise InputError(f"the sound file '{path}' is empty; record it again")


def _check_beginning(path: Path) -> None:
    """Refuse what begins as no sound does: the library tries all it can read, and some of it prints."""
    with path.open("rb") as file:
        head = file.read(4)
    mpeg = len(head) > 1 and head[0] == 0xFF and head[1] & 0xE0 == 0xE0
    if not (head.startswith(_BEGINNINGS) or mpeg):
        raise InputError(_not_sound(path))


def _check_header(path: Path, file: soundfile.SoundFile, max_seconds: float) -> None:
    if not _LOWEST_RATE <= file.samplerate <= _HIGHEST_RATE:
        raise InputError(
            f"'{path}' has {file.samplerate} samples a second, unfit for speech; record it at 16000 or 48000"
        )
    known = 0 < file.frames < 1 << 62
    if known and file.frames > max_seconds * file.samplerate:
        raise InputError(_too_long(path, f"{file.frames / file.samplerate:.0f} seconds", max_seconds))
    missing = _wav_bytes_missing(path) if file.format in ("WAV", "WAVEX") else 0
    if missing > 1:
        raise InputError(_cut_off(path))


def _read_blocks(path: Path, file: soundfile.SoundFile, max_seconds: float) -> _Wave:
    limit = int(max_seconds * file.samplerate)
    blocks: list[_Wave] = []
    count = 0
    try:
        while len(block := file.read(_BLOCK_FRAMES, dtype="float32", always_2d=True)):
            blocks.append(block)
            count += len(block)
            if count > limit:
                raise InputError(_too_long(path, f"more than {max_seconds:.0f} seconds", max_seconds))
    except soundfile.LibsndfileError:
        raise InputError(_cut_off(path)) from None
    if count == 0:
        raise InputError(f"the sound file '{path}' holds no sound; record it again")
    if count < file.frames < 1 << 62:
        raise InputError(_cut_off(path))
    wave: _Wave = np.concatenate(blocks)
    if not np.isfinite(wave).all():
        raise InputError(f"'{path}' holds values that are no sound (NaN or infinite); record it again")
    return wave


def _mono(wave: _Wave) -> NDArray[np.float32]:
    """Mix to one channel; when the channels cancel out, the loudest one is taken instead."""
    peak = float(np.abs(wave).max())
    if peak > 1.0:  # floating-point files may exceed full scale without having lost anything
        wave = wave / np.float32(peak)
    mixed = wave.mean(axis=1, dtype=np.float32)
    energies = (wave.astype(np.float64) ** 2).mean(axis=0)
    loudest = int(energies.argmax())
    if float((mixed.astype(np.float64) ** 2).mean()) < 0.1 * energies[loudest]:
        mixed = wave[:, loudest]
    return np.ascontiguousarray(mixed, np.float32)


def _wav_bytes_missing(path: Path) -> int:
    """Return how many bytes of sound a WAV header promises beyond the end of the file.

    The reading library shortens such files silently, and a reading that lost its last digit would
    be a wrong one.
    """
    size = path.stat().st_size
    with path.open("rb") as file:
        if file.read(4) != b"RIFF":
            return 0
        file.seek(12)
        while len(head := file.read(8)) == 8:
            name, length = struct.unpack("<4sI", head)
            if name == b"data":
                return 0 if length in _UNKNOWN_SIZES else max(0, file.tell() + length - size)
            file.seek(length + length % 2, os.SEEK_CUR)
    return 0


def _not_sound(path: Path) -> str:
    return f"'{path}' is not a sound file that this program can read; give it a WAV, FLAC or OGG file"


def _too_long(path: Path, length: str, max_seconds: float) -> str:
    return f"'{path}' is {length} long; give one utterance a file, of {max_seconds:.0f} seconds at most"


def _cut_off(path: Path) -> str:
    return f"the sound file '{path}' is cut off before its end; copy or record it again"
