"""What a third look would be worth in doubt: the same sound once more in other forms, or to a third listener.

    uv run python -m tests.benchmarks.third_look OUT.jsonl --speech
    uv run python -m tests.benchmarks.third_look OUT.jsonl --people MANIFEST --sets chosen:60:1202

Each trial is heard by both listeners, then by Whisper in other forms (slower, faster, later, with less of the
noise) and by the larger model. The road runs twice, with the gate as it is and wide open, so any rule can be
counted afterwards without hearing anything anew. A line of OUT holds both outcomes, the shares that the gate
saw each time (``first``, ``second``), the share of each look that holds the same numbers, and how loud speech
and the rest were. ``--speech`` takes what ``hearing_speech --unheard`` made, ``--people`` what
``people_numbers`` joins (HALF:COUNT:SEED, parted by commas). ``--part 0/10`` takes one of ten parts, for as
many processes.
"""

from __future__ import annotations

import argparse
import json
import math
import random
import time
from collections.abc import Callable, Iterator
from dataclasses import asdict, dataclass, replace
from pathlib import Path
from typing import Any, cast

import numpy as np
import soundfile
import soxr

from assistant.audio.utterance import RATE, Samples
from assistant.audio.voice_activity import CHUNK, cut_to_speech
from assistant.dialogue import amounts_told, calibrations, doubt, gate, hearing
from assistant.dialogue.turn import Turn
from assistant.dialogue.wake import after_wake, strip_wake
from assistant.speech.engines import open_engine
from assistant.speech.heard import Spans
from assistant.speech.vosk import VoskRecogniser
from assistant.speech.whisper import WhisperRecogniser
from assistant.speech.whisper_engine import WhisperEngine
from intents.hypotheses import Hypotheses, Hypothesis
from intents.interpret import Interpretation
from models.manifest import shipped_folder
from tests.benchmarks import people_numbers
from tests.benchmarks.hearing_conditions import CONDITIONS, Condition, disturb
from tests.benchmarks.hearing_engines import vocabulary
from tests.benchmarks.hearing_judge import judge
from tests.benchmarks.hearing_listen import FRAME, trial_key
from tests.benchmarks.hearing_road import FreshRoad
from tests.benchmarks.hearing_speech import WAKE_PHRASE, Clip, half_of, plan_unheard

LEVELS = tuple(each for each in CONDITIONS if not each.room)
PEOPLES_LEVELS = (Condition("as recorded"), *(Condition(f"{snr} dB", float(snr)) for snr in (10, 5, 0)))
SLOWER, FASTER, LATER_S = 0.92, 1.08, 0.37
LONGEST_S = 20.0
Looks = dict[str, list[Hypothesis]]
Row = dict[str, Any]


def played(sound: Samples, faster: float) -> Samples:
    """Return ``sound`` as if it were played faster: shorter, and higher."""
    resampled = soxr.resample(sound.astype(np.float32), RATE, RATE / faster)
    return np.clip(np.rint(resampled), -32768, 32767).astype(np.int16)


def without_noise(sound: Samples, noise: Samples) -> Samples:
    """Return ``sound`` with the spectrum of ``noise`` taken away, where there is enough of it to know."""
    size, step = 512, 128
    if len(noise) < 4 * size:
        return sound
    window = np.hanning(size + 1)[:-1]

    def frames(samples: Samples) -> np.ndarray:
        padded = np.concatenate([np.zeros(size), samples.astype(np.float64), np.zeros(size)])
        return np.lib.stride_tricks.sliding_window_view(padded, size)[::step] * window

    spectra = np.fft.rfft(frames(sound), axis=1)
    floor = np.mean(np.abs(np.fft.rfft(frames(noise)[4:-4], axis=1)) ** 2, axis=0)
    kept = np.sqrt(np.maximum(0.0, 1 - 1.2 * floor / np.maximum(np.abs(spectra) ** 2, 1e-9)))
    cleaned = np.fft.irfft(spectra * np.maximum(0.15, kept), axis=1) * window
    out, weight = np.zeros(len(sound) + 3 * size), np.zeros(len(sound) + 3 * size)
    for at, frame in enumerate(cleaned):
        out[at * step : at * step + size] += frame
        weight[at * step : at * step + size] += window**2
    whole = (out / np.maximum(weight, 1e-3))[size : size + len(sound)]
    return np.clip(np.rint(whole), -32768, 32767).astype(np.int16)


def levels_of(sound: Samples, spans: Spans) -> dict[str, float]:
    """Return decibels of speech and of the rest (without it, of the softest three chunks)."""
    count = len(sound) // CHUNK
    power = (sound[: count * CHUNK].astype(np.float64).reshape(count, CHUNK) ** 2).mean(1) + 1
    inside, beside = np.zeros(count, bool), np.ones(count, bool)
    for begun, ended in spans:
        inside[begun:ended] = True
        beside[max(0, begun - 2) : ended + 2] = False
    speech = power[inside].mean() if inside.any() else power.mean()
    rest = power[beside].mean() if beside.sum() > 1 else np.sort(power)[:3].mean()
    tenths = np.percentile(power, (10, 50, 90))
    return {
        name: round(10 * math.log10(value), 1)
        for name, value in zip(("speech", "rest", "p10", "p50", "p90"), (speech, rest, *tenths), strict=True)
    }


class Watched:
    """The gate's question, kept with what each look would have said; ``wide`` lets everything pass."""

    def __init__(self, road: FreshRoad) -> None:
        self.interpret = road.interpret
        self.looks: Looks = {}
        self.wide = False
        self.asked: list[Row] = []
        self._agreed = gate.agreed
        for module, name in (
            (gate, "agreed"),
            (doubt, "agreed"),
            (calibrations, "agreed"),
            (amounts_told, "gate_agreed"),
        ):
            setattr(module, name, self.agreed)

    def agreed(self, heard: hearing.Heard, key: str = "log_at_once") -> bool:
        """Answer as the gate does, or always yes, and keep what was asked."""
        now = self._agreed(heard, key)
        if heard.typed:
            return now
        meant = heard.interpretation
        shares = {name: round(self._share(said, meant), 4) for name, said in self.looks.items()}
        first, second = round(heard.agreement, 4), round(heard.second or 0.0, 4)
        numbers = hearing.numbers_of(meant)
        self.asked.append(
            {"key": key, "first": first, "second": second, "numbers": numbers, "now": now, "looks": shares}
        )
        return now or (self.wide and not heard.beside_others)

    def _share(self, said: list[Hypothesis], meant: Interpretation) -> float:
        said = [replace(each, text=strip_wake(each.text, WAKE_PHRASE)[0]) for each in said]
        read = [
            hearing._Read(each.text, each.share, self.interpret(hearing.as_spoken(each.text)), self.interpret)
            for each in said
        ]
        chosen = hearing._Read("", 1.0, meant, self.interpret)
        return hearing._agreement(read, chosen, hearing.Loose.SPELLING)


@dataclass
class Sound:
    """One trial as it was heard: by both, in each look, with what each took and how loud it was."""

    hypotheses: Hypotheses
    looks: Looks
    milliseconds: dict[str, float]
    levels: dict[str, float]


class Ears:
    """Both listeners, one core each, and the larger model."""

    def __init__(self) -> None:
        words = vocabulary()
        self.first = cast(WhisperRecogniser, open_engine("whisper-kitchen-en-3", words, cpu_threads=1))
        self.second = VoskRecogniser(shipped_folder() / "kitchen_en", words, own_phrases=True)
        larger = open_engine("whisper-kitchen-1", words, language="en", cpu_threads=1)
        self._larger = cast(WhisperRecogniser, larger)._need_engine()
        self.first.warm_up()
        self.second.warm_up()

    def hear(self, sound: Samples) -> Sound:
        """Hear it as the program does, then look again."""
        for listener in (self.first, self.second):
            listener.start()
            for at in range(0, len(sound), FRAME):
                listener.accept(sound[at : at + FRAME])
        spans = self.first._heard.spans()
        said, beside = self.first.finish(), self.second.finish()
        pair = replace(said, second=beside.alternatives, woken=beside.woken)
        cut = cut_to_speech(sound, spans, 0.2) if spans else sound[:0]
        found = Sound(pair, {}, {"first": sum(said.timings_ms.values())}, levels_of(sound, spans))
        if not said.alternatives or not 0 < len(cut) < LONGEST_S * RATE:
            return found
        engine = self.first._need_engine()
        quiet = np.ones(len(sound), bool)
        for begun, ended in spans:
            quiet[max(0, begun - 2) * CHUNK : (ended + 2) * CHUNK] = False
        forms: dict[str, tuple[WhisperEngine, Samples]] = {
            "slow": (engine, played(cut, SLOWER)),
            "fast": (engine, played(cut, FASTER)),
            "late": (engine, np.concatenate([np.zeros(int(LATER_S * RATE), np.int16), cut])),
            "less noise": (engine, without_noise(cut, sound[quiet])),
            "larger": (self._larger, cut),
        }
        for name, (listener, form) in forms.items():
            guesses, spent = listener.decode(form)
            mass = sum(math.exp(each.log_probability) for each in guesses) or 1.0
            found.looks[name] = [
                Hypothesis(each.text, math.exp(each.log_probability) / mass) for each in guesses
            ]
            found.milliseconds[name] = sum(spent.values())
        return found


Trial = tuple[Row, Samples, tuple[str, ...], Callable[[Turn, Hypotheses], str], bool]
"""What it is, its sound, the turns before, how an outcome is named, and whether it is a person's."""


def spoken(road: FreshRoad, kinds: set[str]) -> Iterator[Callable[[], Trial]]:
    """Give each clip of the voices that no model heard, at each level."""
    for clip in plan_unheard():
        kind = clip.sentence.kind if not clip.sentence.values else "number"
        if clip.path.exists() and kind in kinds:
            yield from (lambda clip=clip, at=at: _clip(clip, at, road) for at in LEVELS)  # type: ignore[misc]


def _clip(clip: Clip, condition: Condition, road: FreshRoad) -> Trial:
    speech, _ = soundfile.read(clip.path, dtype="float32")
    key, sentence = trial_key(clip, condition), clip.sentence
    before = tuple(words for words in sentence.before.split(";") if words)

    def outcome(turn: Turn, heard: Hypotheses) -> str:
        return judge(sentence, road(before, Hypotheses.typed(sentence.text)), turn, heard).outcome

    what = {"key": key, "group": half_of(clip, True), "kind": sentence.kind, "level": condition.name}
    what |= {"said": sentence.text, "values": sentence.values}
    return what, disturb(speech, condition, key), before, outcome, False


def said_by_people(
    road: FreshRoad, manifest: Path, sounds: Path | None, sets: str
) -> Iterator[Callable[[], Trial]]:
    """Give each number that ``people_numbers`` joins, at each level."""
    for each in sets.split(","):
        half, count, seed = each.split(":")
        trials = list(people_numbers.digit_trials(manifest, half, int(count), int(seed), road))
        if sounds and half == "counted":
            trials += people_numbers.telephone_trials(sounds, int(count), int(seed), road)
        for at, trial in enumerate(trials):
            for condition in PEOPLES_LEVELS:
                yield lambda trial=trial, at=at, condition=condition, each=each: _number(  # type: ignore[misc]
                    trial, f"{trial.who} {at}", condition, each
                )


def _number(trial: people_numbers.Trial, key: str, condition: Condition, group: str) -> Trial:
    what = {"key": key, "group": group, "kind": trial.who, "level": condition.name}
    what |= {"said": trial.place, "values": str(trial.value)}
    sound = disturb(trial.sound.astype(np.float32) / 32768, condition, key)
    return what, sound, (), lambda turn, _: people_numbers.outcome(turn, trial), True


def taken(trial: Trial, ears: Ears, road: FreshRoad, watched: Watched) -> Row:
    """Hear one trial and run the road with the gate as it is, and wide open."""
    row, sound, before, outcome, person = trial
    heard = ears.hear(sound)
    hypotheses = after_wake(heard.hypotheses, WAKE_PHRASE) if person else heard.hypotheses
    watched.looks = heard.looks
    for name, wide in (("now", False), ("open", True)):
        watched.wide, watched.asked = wide, []
        turn = road(before, hypotheses)
        row[f"asked {name}"] = watched.asked
        row[name] = outcome(turn, hypotheses)
    row["heard"], row["levels"] = asdict(heard.hypotheses), heard.levels
    row["looks"] = {name: [asdict(each) for each in said] for name, said in heard.looks.items()}
    return row | {"milliseconds": heard.milliseconds}


def main() -> None:
    """Read the options, hear, write."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.third_look", description=__doc__)
    parser.formatter_class = argparse.RawDescriptionHelpFormatter
    parser.add_argument("out", type=Path)
    parser.add_argument("--speech", action="store_true", help="the benchmark's speech")
    parser.add_argument("--kinds", default="number", help="number, command (without one), chatter, by commas")
    parser.add_argument("--people", type=Path, help="manifest of people's recordings")
    parser.add_argument("--telephone", type=Path, help="folder of telephone prompts with spoken numbers")
    parser.add_argument("--sets", default="chosen:60:1202", help="HALF:COUNT:SEED, parted by commas")
    parser.add_argument("--part", default="0/1", help="which part of how many")
    parser.add_argument("--seconds", type=float, default=math.inf, help="stop after so long")
    options = parser.parse_args()
    began, road = time.monotonic(), FreshRoad()
    trials = list(spoken(road, set(options.kinds.split(",")))) if options.speech else []
    if options.people:
        trials += said_by_people(road, options.people, options.telephone, options.sets)
    random.Random(3).shuffle(trials)  # any first part is a fair sample
    part, of = (int(number) for number in options.part.split("/"))
    ears, watched, done = Ears(), Watched(road), 0
    with options.out.open("w", encoding="utf-8") as out:
        for make in trials[part::of]:
            if time.monotonic() - began > options.seconds:
                break
            out.write(json.dumps(taken(make(), ears, road, watched)) + "\n")
            out.flush()
            done += 1
    print(f"{done} of {len(trials[part::of])} trials in {time.monotonic() - began:.0f} s")


if __name__ == "__main__":
    main()
