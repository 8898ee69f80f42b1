"""How well Spanish is heard: 300 commands and readings by synthetic voices that no model of ours has heard.

    uv run python -m tests.benchmarks.spanish_hearing --plan plan.csv    # then, in the trainer's environment:
    VENV/bin/python models/training/jobs.py plan.csv VOICES plan.npz --plan
    VENV/bin/python models/training/speak.py plan.npz kokoro.onnx spoken.npz
    uv run python -m tests.benchmarks.spanish_hearing --speech plan.npz spoken.npz --levels clean 10 5 --show

All speech is synthetic (Kokoro: em_alex, pm_alex, if_sara and im_nicola, made for Spanish, Portuguese and
Italian, and four English voices, which speak Spanish with an accent), noise is the hearing benchmark's. The
language is not told: the listener has to hear it. Every clip counts as called: the phrase is not measured
here. A trial is right when the assistant does from sound what
it does from the typed words; what is logged beside that is a wrong number.
"""

from __future__ import annotations

import argparse
import csv
import random
import sys
import time
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, replace
from decimal import Decimal
from pathlib import Path

import numpy as np

from assistant.audio.utterance import Utterance
from assistant.dialogue.conversation import interpreter_for
from assistant.dialogue.turn import Turn
from assistant.site import Site, load_site
from assistant.speech.engines import open_engine
from assistant.speech.recogniser import Recogniser, recognise
from intents.es.spell import say_integer, say_number
from intents.hypotheses import Hypotheses
from tests.benchmarks.hearing_conditions import Condition, disturb
from tests.benchmarks.hearing_judge import deeds, logged, same_deed
from tests.benchmarks.hearing_road import FreshRoad

VOICES = (
    "em_alex",
    "pm_alex",
    "if_sara",
    "im_nicola",
    "em_alex",
    "if_sara",
    "af_kore",
    "am_michael",
    "bf_emma",
    "bm_george",
)
SPEEDS = ("0.9", "1.0", "1.0", "1.1", "1.2")
EXCHANGES = Path(__file__).parents[1] / "dialogue" / "exchanges" / "spanish.csv"
READINGS, COMMANDS, SEED = 200, 100, 20261130
PLACES = {
    "cuarto frío": (30, 48),
    "walk in": (30, 48),
    "cámara fría": (30, 48),
    "refri de preparación": (32, 48),
    "refri": (32, 48),
    "refri de postres": (32, 48),
    "congelador uno": (-12, 12),
    "mesa de vapor": (130, 175),
    "cubeta de cuat": (100, 450),
    "cubeta de cloro uno": (50, 250),
    "tercer fregadero": (150, 450),
    "lavaplatos": (30, 200),
    "pollo": (150, 190),
    "carne molida": (140, 180),
    "salmón": (130, 160),
    "hielera chica tres": (31, 47),
}
"""Places and foods as they are called in the example kitchen, and least and most of what is read there."""
AROUND = (
    "{place} {number}",
    "{place} {number}",
    "{place} a {number}",
    "{place} en {number}",
    "{place} marca {number}",
    "anota {place} {number}",
)
FOODS = (
    "pollo crudo",
    "carne molida",
    "salmón",
    "arroz",
    "queso",
    "lechuga",
    "frijoles",
    "camarones",
    "huevos",
    "leche",
)
ASKED = ("dónde va el {food}", "a qué temperatura va el {food}", "cuánto dura el {food}")
"""The article as cooks in a hurry have it: always the same."""


class SpanishRoad(FreshRoad):
    """The example kitchen, whose language is Spanish."""

    def __init__(self) -> None:
        site = load_site()
        kitchen = site.kitchen.model_copy(update={"language": "es"})
        self._site: Site = site.model_copy(update={"kitchen": kitchen})
        self._interpreter = interpreter_for(self._site)


def said(value: Decimal, rng: random.Random) -> str:
    """Spell a number in one of the ways of kitchens."""
    if value != value.to_integral_value():
        return say_number(value).replace(" coma ", rng.choice((" coma ", " punto ")))
    number = int(value)
    if number < 0 and rng.random() < 0.4:
        return f"{say_integer(-number)} bajo cero"
    return say_integer(number)


def readings(rng: random.Random, road: FreshRoad) -> Iterator[str]:
    """Sentences which, typed, log just the number that they were made with."""
    places = list(PLACES.items())
    for at in range(10 * READINGS):
        place, (least, most) = places[at % len(places)]
        value = Decimal(rng.randint(least, most))
        if most < 50 and rng.random() < 0.2:
            value += Decimal(rng.randint(1, 9)) / 10
        text = rng.choice(AROUND).format(place=place, number=said(value, rng))
        if [number for _, number in logged(road((), Hypotheses.typed(text)))] == [value]:
            yield text


def commands(rng: random.Random, road: FreshRoad) -> Iterator[str]:
    """Questions and orders that are answered without anything said before."""
    with EXCHANGES.open(encoding="utf-8", newline="") as rows:
        written = [row["say"] for row in csv.DictReader(rows)]
    asked = [ask.format(food=food) for ask in ASKED for food in FOODS]
    rng.shuffle(written)
    for text in [*asked, *written]:
        turn = road((), Hypotheses.typed(text))
        if turn.reply and not turn.silent and not any(mark.isdigit() for mark in text) and not logged(turn):
            yield text


def plan(road: FreshRoad) -> list[dict[str, str]]:
    """Who says what: the same list each time."""
    rng = random.Random(SEED)
    texts: dict[str, None] = {}
    for source, count in ((readings, READINGS), (commands, COMMANDS)):
        most = len(texts) + count
        for text in source(rng, road):
            texts[text] = None
            if len(texts) == most:
                break
    return [
        {"text": text, "voice": VOICES[at % len(VOICES)], "speed": rng.choice(SPEEDS), "language": "es"}
        for at, text in enumerate(texts)
    ]


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


def tried(
    road: FreshRoad, recogniser: Recogniser, text: str, clip: np.ndarray, condition: Condition
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
    return Trial(text, kind, len(meant), heard, turn, spent)


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
    """Write the plan, or hear and print the table."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--plan", type=Path)
    parser.add_argument("--speech", type=Path, nargs=2, metavar=("JOBS", "CLIPS"))
    parser.add_argument("--levels", nargs="+", default=["clean", "10", "5"])
    parser.add_argument("--every", type=int, default=1, help="only every so manieth sentence")
    parser.add_argument("--engine", default="", help="a model by name; nothing: what the program would use")
    parser.add_argument("--show", action="store_true", help="print what was not right")
    options = parser.parse_args()
    road = SpanishRoad()
    planned = plan(road)
    if options.plan:
        with options.plan.open("w", encoding="utf-8", newline="") as out:
            table = csv.DictWriter(out, list(planned[0]))
            table.writeheader()
            table.writerows(planned)
        return
    if not options.speech:
        sys.exit("benchmark stopped: give --plan FILE or --speech JOBS CLIPS")
    clips = spoken(*options.speech)
    recogniser = open_engine(options.engine, language="es")
    print("| level | said | right | asked | other | wrong numbers | taken for English | computing |")
    print(f"| --- |{' ---: |' * 7}")
    for level in options.levels:
        condition = Condition("clean") if level == "clean" else Condition(f"{level} dB", float(level))
        texts = [each["text"] for each in planned[:: options.every] if each["text"] in clips]
        trials = [tried(road, recogniser, text, clips[text], condition) for text in texts]
        print(row(condition.name, trials), flush=True)
        for trial in trials if options.show else ():
            if trial.kind != "right":
                words = f"{trial.said!r} heard {trial.heard.best!r} ({trial.heard.language})"
                print(f"  {trial.kind}: {words}: {deeds(trial.turn)} {trial.turn.reply!r}")


if __name__ == "__main__":
    main()
