"""How well Spanish is heard: 300 commands and readings by synthetic voices that no model of ours has heard.

    VENV/bin/python models/training/jobs.py tests/benchmarks/spanish_commands.csv VOICES plan.npz --plan
    VENV/bin/python models/training/speak.py plan.npz kokoro.onnx spoken.npz
    uv run python -m tests.benchmarks.spanish_hearing plan.npz spoken.npz --levels clean 10 5 --show

The first two run in the trainer's environment. 200 readings are places of the example kitchen with numbers
drawn by a seeded script, such that what is typed is logged; 100 commands are our own exchanges and questions.

All speech is synthetic (Kokoro: em_alex, pm_alex, if_sara and im_nicola, made for Spanish, Portuguese and
Italian, and four English voices, which speak Spanish with an accent), noise is the hearing benchmark's. The
language is not told: the listener has to hear it. Every clip counts as called: the phrase is not measured
here. A trial is right when the assistant does from sound what
it does from the typed words; what is logged beside that is a wrong number.
"""

from __future__ import annotations

import argparse
import csv
import sys
import time
from collections import Counter
from dataclasses import dataclass, replace
from decimal import Decimal
from pathlib import Path

import numpy as np

from assistant.audio.utterance import Utterance
from assistant.dialogue.conversation import interpreter_for
from assistant.dialogue.hearing import choose, numbers_of
from assistant.dialogue.turn import Turn
from assistant.site import Site, load_site
from assistant.speech.engines import open_engine
from assistant.speech.recogniser import Recogniser, recognise
from intents.hypotheses import Hypotheses
from tests.benchmarks.hearing_conditions import Condition, disturb
from tests.benchmarks.hearing_judge import deeds, logged, same_deed
from tests.benchmarks.hearing_road import FreshRoad

COMMANDS = Path(__file__).with_name("spanish_commands.csv")


GATES = (0.9, 0.95, 0.97, 0.98, 0.985, 0.99, 0.995)
"""Shares of the one listener that a gate may ask for; the shipped ones: gate.toml."""


class SpanishRoad(FreshRoad):
    """The example kitchen, whose language is Spanish."""

    def __init__(self) -> None:
        site = load_site()
        kitchen = site.kitchen.model_copy(update={"language": "es"})
        self._site: Site = site.model_copy(update={"kitchen": kitchen})
        self._interpreter = interpreter_for(self._site)

    def sure(self, heard: Hypotheses) -> tuple[float, list[Decimal]]:
        """Return the share of the mass that agrees on the numbers, and the numbers."""
        chosen = choose(heard, self._interpreter.interpret)
        if chosen is None or not chosen.interpretation.readings.options:
            return 0.0, []
        return chosen.agreement, [Decimal(value) for _, value in numbers_of(chosen.interpretation)]


def planned(table: Path = COMMANDS) -> list[str]:
    """What is said, in the order of the table."""
    with table.open(encoding="utf-8", newline="") as rows:
        return [row["text"] for row in csv.DictReader(rows)]


def spoken(jobs: Path, speech: Path) -> dict[str, np.ndarray]:
    """The clips by their text, 16 kHz, as ``speak.py`` wrote them."""
    texts, clips = np.load(jobs)["text"], dict(np.load(speech))
    at = clips["at"]
    return {str(texts[job]): clips["audio"][at[k] : at[k + 1]] for k, job in enumerate(clips["job"])}


def hear(recogniser: Recogniser, clip: np.ndarray, condition: Condition, key: str) -> Hypotheses:
    """Play a clip, with silence around it."""
    padded = np.pad(clip.astype(np.float32) / 32768 * 0.5, (4800, 8000))
    return recognise(recogniser, Utterance(disturb(padded, condition, key)))


@dataclass(frozen=True)
class Trial:
    """What came of one clip."""

    said: str
    kind: str
    numbers: int
    heard: Hypotheses
    turn: Turn
    milliseconds: float
    agreement: float
    numbers_right: bool


def tried(
    road: SpanishRoad, recogniser: Recogniser, text: str, clip: np.ndarray, condition: Condition
) -> Trial:
    """Hear one clip, let it be answered, and compare with the typed words."""
    typed = road((), Hypotheses.typed(text))
    begun = time.perf_counter()
    heard = hear(recogniser, clip, condition, text)
    spent = (time.perf_counter() - begun) * 1e3
    turn = road((), replace(heard, woken=True))
    meant = logged(typed)
    if any(number not in meant for number in logged(turn)):
        kind = "WRONG"
    elif same_deed(typed, turn):
        kind = "right"
    else:
        kind = "asked" if turn.asks and not typed.asks else "other"
    agreement, numbers = road.sure(heard)
    right = numbers == [number for _, number in meant]
    return Trial(text, kind, len(meant), heard, turn, spent, agreement, right)


def row(level: str, trials: list[Trial]) -> str:
    """Return a line of the table."""
    kinds = Counter(trial.kind for trial in trials)
    shares = " | ".join(f"{kinds[kind] / len(trials):.1%}" for kind in ("right", "asked", "other"))
    numbers = sum(trial.numbers for trial in trials)
    english = sum(trial.heard.language == "en" for trial in trials)
    spent = [trial.milliseconds for trial in trials]
    times = f"{np.median(spent):.0f} ({np.percentile(spent, 95):.0f}) ms"
    return f"| {level} | {len(trials)} | {shares} | {kinds['WRONG']} of {numbers} | {english} | {times} |"


def main() -> None:
    """Hear and print the table."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("jobs", type=Path)
    parser.add_argument("clips", type=Path)
    parser.add_argument("--commands", type=Path, default=COMMANDS, help="table of what is said")
    parser.add_argument("--levels", nargs="+", default=["clean", "10", "5"])
    parser.add_argument("--every", type=int, default=1, help="only every so manieth sentence")
    parser.add_argument("--engine", default="", help="a model by name; nothing: what the program would use")
    parser.add_argument("--show", action="store_true", help="print what was not right")
    options = parser.parse_args()
    road = SpanishRoad()
    try:
        clips = spoken(options.jobs, options.clips)
    except (OSError, KeyError, ValueError) as fault:
        sys.exit(f"benchmark stopped: {fault}")
    recogniser = open_engine(options.engine, language="es")
    every: list[Trial] = []
    print("| level | said | right | asked | other | wrong numbers | taken for English | computing |")
    print(f"| --- |{' ---: |' * 7}")
    for level in options.levels:
        condition = Condition("clean") if level == "clean" else Condition(f"{level} dB", float(level))
        texts = [text for text in planned(options.commands)[:: options.every] if text in clips]
        trials = [tried(road, recogniser, text, clips[text], condition) for text in texts]
        print(row(condition.name, trials), flush=True)
        every += trials
        for trial in trials if options.show else ():
            if trial.kind != "right":
                words = f"{trial.said!r} heard {trial.heard.best!r} ({trial.heard.language})"
                print(f"  {trial.kind}: {words}: {deeds(trial.turn)} {trial.turn.reply!r}")
    print("\n| share at least | numbers taken | of these wrong |\n| ---: | ---: | ---: |")
    for least in GATES:
        taken = [trial for trial in every if trial.numbers and trial.agreement >= least]
        print(f"| {least} | {len(taken)} | {sum(not trial.numbers_right for trial in taken)} |")


if __name__ == "__main__":
    main()
