"""What becomes of numbers that people say: logged, asked about or logged wrong, and what other gates do.

    uv run python -m tests.benchmarks.people_numbers MANIFEST --half counted
    uv run python -m tests.benchmarks.people_numbers MANIFEST --telephone PACKAGES/usr/share/asterisk/sounds

MANIFEST is a CSV file with the columns ``set``, ``file``, ``speaker`` and ``words``; its set ``digits`` holds
single digits. Two or three of one speaker are joined behind a place of a committed synthetic clip ("hey
kitchen, walk in"), as loud as that, so only the number is a person's. ``--telephone`` adds the numbers of one
speaker in ordinary words (tests/benchmarks/human_speech.py). Both listeners hear it, and the whole road after
them decides. Only numbers that are logged at once when typed are drawn.

Speakers are split by the checksum of the name: rows of the gate were chosen on the half ``chosen``.
"""

from __future__ import annotations

import argparse
import random
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path

import numpy as np

from assistant.audio.sound_files import read_sound
from assistant.audio.utterance import RATE, Samples, Utterance
from assistant.dialogue.conversation import interpreter_for
from assistant.dialogue.hearing import Heard, choose, numbers_of
from assistant.dialogue.turn import Turn
from assistant.dialogue.wake import after_wake
from assistant.ear import open_recogniser
from assistant.site import load_site
from assistant.speech.recogniser import recognise
from audio_fixtures.voices import FOLDER
from intents.hypotheses import Hypotheses
from tests.benchmarks.calls import recordings
from tests.benchmarks.hearing_conditions import Condition, disturb
from tests.benchmarks.hearing_judge import logged
from tests.benchmarks.hearing_road import FreshRoad
from tests.benchmarks.human_speech import UNITS, cut_word, in_words, word_parts

PLACES = {
    "01a_walk_in": ("walk in", 32, 49),
    "02a_reach_in": ("reach in", 32, 49),
    "03a_quat_bucket": ("quat bucket", 100, 499),
    "06a_prep_cooler": ("prep cooler", 32, 49),
    "09a_third_sink": ("third sink", 100, 499),
}
"""First halves of the committed clips with a pause, what they say, and numbers that make sense there."""
_TRIES = 50
GATES = ((0.9, 0.5), (0.95, 0.1), (0.98, 0.02), (0.98, 0.0), (0.99, 0.0), (0.995, 0.0), (0.999, 0.0))
"""Shares of the first and the second listener that a gate may ask for; the shipped ones: gate.toml."""


@dataclass(frozen=True)
class Trial:
    """A number behind a place, as sound, and the number that was said."""

    who: str
    place: str
    value: Decimal
    sound: Samples


@dataclass(frozen=True)
class Result:
    """What came of a trial, and what the gate saw."""

    trial: Trial
    outcome: str
    heard: Heard | None

    @property
    def numbers_right(self) -> bool:
        """Whether the meaning that was chosen has just the number that was said."""
        return self.numbers == [self.trial.value]

    @property
    def numbers(self) -> list[Decimal]:
        """The numbers of the meaning that was chosen; without one the gate has nothing to decide."""
        if self.heard is None or not self.heard.interpretation.readings.options:
            return []
        return [Decimal(value) for _, value in numbers_of(self.heard.interpretation)]


def joined(place: str, parts: list[Samples], rng: random.Random) -> Samples:
    """Return a place and a number behind it, as loud, with a short pause after each part."""
    said = read_sound(FOLDER / "pause" / f"{place}.flac").samples
    loud = _loudness(said) / _loudness(np.concatenate(parts))
    spoken = [said]
    for part in parts:
        louder = np.clip(part * loud, -32767, 32767).astype(np.int16)
        spoken += [louder, np.zeros(rng.randrange(1200), np.int16)]
    return np.concatenate([*spoken, np.zeros(RATE // 2, np.int16)])


def _loudness(samples: Samples) -> float:
    """Return the root mean square of the louder half: of the speech."""
    power = np.sort(samples.astype(np.float64) ** 2)
    return float(np.sqrt(power[len(power) // 2 :].mean()))


def drawn(
    count: int, rng: random.Random, road: FreshRoad, say: Callable[[int], str]
) -> Iterator[tuple[str, int]]:
    """Draw ``count`` places and numbers which, typed as ``say`` says them, are logged at once."""
    places = list(PLACES.items())
    for at in range(count):
        place, (name, least, most) = places[at % len(places)]
        for _ in range(_TRIES):
            value = rng.randint(least, most)
            if logged_values(road((), Hypotheses.typed(f"{name} {say(value)}"))) == [Decimal(value)]:
                yield place, value
                break


def by_digit(value: int) -> str:
    """Say each digit by itself."""
    return " ".join(UNITS[int(digit)] for digit in str(value))


def digit_trials(manifest: Path, half: str, count: int, seed: int, road: FreshRoad) -> Iterator[Trial]:
    """Digits of one speaker in twos and threes: ``count`` numbers of each speaker."""
    spoken: dict[str, dict[str, list[Path]]] = {}
    for each in recordings(manifest):
        if each.kind == "digits" and half in ("all", each.half):
            spoken.setdefault(each.speaker, {}).setdefault(each.words, []).append(each.path)
    for speaker, paths in sorted(spoken.items()):
        rng = random.Random(f"{seed} {speaker}")
        for place, value in drawn(count, rng, road, by_digit):
            parts = [cut_word(rng.choice(paths[UNITS[int(digit)]])) for digit in str(value)]
            yield Trial(speaker, place, Decimal(value), joined(place, parts, rng))


def telephone_trials(sounds: Path, count: int, seed: int, road: FreshRoad) -> Iterator[Trial]:
    """Numbers of one speaker in ordinary words ("two hundred fifty")."""
    folder, rng = next(sounds.rglob("digits")), random.Random(seed)
    for place, value in drawn(count, rng, road, in_words):
        parts = [cut_word(folder / f"{part}.wav") for part in word_parts(value)]
        yield Trial("telephone", place, Decimal(value), joined(place, parts, rng))


def logged_values(turn: Turn) -> list[Decimal]:
    """Return the numbers that a turn logged."""
    return [value for _, value in logged(turn)]


def outcome(turn: Turn, trial: Trial) -> str:
    """Name what the turn did with the number."""
    if values := logged_values(turn):
        return "logged" if values == [trial.value] else "WRONG"
    if turn.asks:
        return "read back" if in_reply(turn, trial) else "asked"
    return "say again" if turn.intent == "reading" else "unheard"


def in_reply(turn: Turn, trial: Trial) -> bool:
    """Tell whether the question has the right number in it: "yes" is all that is left to say."""
    return f"{trial.value}" in turn.reply


class Ear:
    """The shipped listeners and the road behind them."""

    def __init__(self) -> None:
        site = load_site()
        self._phrase = site.kitchen.wake_phrase
        self._interpreter = interpreter_for(site)
        self._recogniser = open_recogniser(self._interpreter, "", self._phrase)
        self.road = FreshRoad()

    def take(self, trial: Trial, condition: Condition, key: str) -> Result:
        """Hear one trial."""
        sound = disturb(trial.sound.astype(np.float32) / 32768, condition, key)
        hypotheses = after_wake(recognise(self._recogniser, Utterance(sound)), self._phrase)
        return Result(trial, outcome(self.road((), hypotheses), trial), self._chosen(hypotheses))

    def _chosen(self, hypotheses: Hypotheses) -> Heard | None:
        return choose(hypotheses, self._interpreter.interpret)


def main() -> None:
    """Read the options, run, and print the tables."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.people_numbers", description=__doc__)
    parser.formatter_class = argparse.RawDescriptionHelpFormatter
    parser.add_argument("manifest", type=Path)
    parser.add_argument("--half", choices=("chosen", "counted", "all"), default="counted")
    parser.add_argument("--count", type=int, default=60, help="numbers of each speaker (default: 60)")
    parser.add_argument("--telephone", type=Path, help="folder of telephone prompts with spoken numbers")
    parser.add_argument("--snr", type=float, help="decibels of speech above noise (default: as recorded)")
    parser.add_argument("--seed", type=int, default=5)
    parser.add_argument("--show", action="store_true", help="print what was not logged")
    options = parser.parse_args()
    condition = Condition("as recorded" if options.snr is None else f"{options.snr:g} dB", options.snr)
    ear = Ear()
    trials = list(digit_trials(options.manifest, options.half, options.count, options.seed, ear.road))
    if options.telephone:
        trials += telephone_trials(options.telephone, options.count, options.seed, ear.road)
    results: list[Result] = []
    for at, trial in enumerate(trials):
        result = ear.take(trial, condition, f"{trial.who} {at}")
        results.append(result)
        if options.show and result.outcome != "logged" and (heard := result.heard):
            rival = heard.rival.heard.words if heard.rival else ()
            shares = f"{heard.agreement:.3f} {heard.second or 0:.3f}"
            print(
                f"  {trial.who} {trial.value}: {result.outcome} {shares} {heard.text!r} {' '.join(rival)!r}"
            )
    kinds = ("logged", "read back", "asked", "say again", "unheard", "WRONG")
    head = f"| speaker | numbers | {' | '.join(kinds)} |\n| --- |{' ---: |' * (len(kinds) + 1)}"
    print(f"\n{condition.name}\n\n{head}")
    for who in dict.fromkeys(trial.who for trial in trials):
        counts = Counter(result.outcome for result in results if result.trial.who == who)
        print(f"| {who} | {counts.total()} | {' | '.join(str(counts[kind]) for kind in kinds)} |")
    print("\n| first at least | second at least | taken | of these wrong |\n| ---: | ---: | ---: | ---: |")
    for first, second in GATES:
        taken = [
            r for r in results if r.heard and r.heard.agreement >= first and (r.heard.second or 0.0) >= second
        ]
        print(f"| {first} | {second} | {len(taken)} | {sum(not r.numbers_right for r in taken)} |")


if __name__ == "__main__":
    main()
