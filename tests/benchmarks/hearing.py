"""The hearing benchmark: how well the assistant hears, by noise, voice and number style. One command::

    uv run python -m tests.benchmarks.hearing --engine whisper --limit 1000

It takes the speech that ``hearing_speech`` made (all of it synthetic), plays it under seeded noise through
an engine, lets the whole assistant answer, and writes ``<engine>.md``, ``<engine>.csv`` and every trial to
the folder given with ``--out``. Trials are in an order in which any first part is a fair sample; what was
heard is kept, so a run goes on where it stopped, and ``--judge-only`` repeats the rest within a minute;
after a change of the engine or its hints ``--again`` hears all anew.
``--unheard`` takes the voices that had no part in training our own model, the only fair ones for it.
``--fixtures`` takes the committed clips instead, which every checkout holds.
Two engines with a plus between them ("whisper+vosk") are judged as a pair: a number needs both.
"""

from __future__ import annotations

import argparse
import sys
import time
from collections.abc import Iterable
from pathlib import Path

from audio_fixtures.voices import voices
from intents.hypotheses import Hypotheses
from tests.benchmarks.hearing_conditions import Condition, noise_for
from tests.benchmarks.hearing_engines import ENGINES, label, make_engine, pair
from tests.benchmarks.hearing_fixtures import fixture_trials
from tests.benchmarks.hearing_judge import Road, judge
from tests.benchmarks.hearing_listen import (
    forget,
    listen,
    read_heard,
    trial_key,
    trials,
    trials_unheard,
    wanted,
)
from tests.benchmarks.hearing_report import Result, write
from tests.benchmarks.hearing_speech import Clip


def results(engine: str, road: Road, chosen: Iterable[tuple[Clip, Condition]]) -> list[Result]:
    """Judge those of the ``chosen`` trials that ``engine`` (or both of a pair) has heard."""
    first, _, second = engine.partition("+")
    heard_first = read_heard(label(first))
    heard_second = read_heard(label(second)) if second else {}
    typed = {}
    found: list[Result] = []
    for clip, condition in chosen:
        key = trial_key(clip, condition)
        if key not in heard_first or (second and key not in heard_second):
            continue
        heard = pair(heard_first[key], heard_second[key]) if second else heard_first[key]
        sentence = clip.sentence
        before = tuple(words for words in sentence.before.split(";") if words)
        if sentence.id not in typed:
            typed[sentence.id] = road(before, Hypotheses.typed(sentence.text))
        begun = time.perf_counter()
        turn = road(before, heard.hypotheses)
        spent = turn.timings_ms.get("understand", 0.0) + turn.timings_ms.get("answer", 0.0)
        verdict = judge(sentence, typed[sentence.id], turn, heard.hypotheses)
        kind = noise_for(key) if condition.snr_db is not None else "none"
        found.append(
            Result(
                clip,
                condition.name,
                kind,
                verdict,
                heard.hypotheses.best,
                heard.seconds,
                heard.accept_ms,
                heard.finish_ms,
                spent or (time.perf_counter() - begun) * 1e3,
                heard.memory_mb,
                heard.hypotheses.timings_ms,
            )
        )
    return found


def main() -> None:
    """Read the options, listen, judge, write the table."""
    parser = argparse.ArgumentParser(description="Measure how well the assistant hears (synthetic speech).")
    engines = f"one of {', '.join(ENGINES)}; NAME=FOLDER for a model of your own; two with a + are a pair"
    parser.add_argument("--engine", default="whisper", help=engines)
    parser.add_argument("--limit", type=int, help="only the first so many trials; any first part is fair")
    parser.add_argument("--fixtures", action="store_true", help="the committed clips, all voices")
    parser.add_argument("--unheard", action="store_true", help="voices that our own model never heard")
    parser.add_argument("--half", choices=("tune", "report", "all"), default="report", help="which voices")
    parser.add_argument("--voices", default="", help="only these voices, by name, parted by commas")
    parser.add_argument("--out", type=Path, default=Path("."), help="folder for the tables")
    parser.add_argument("--again", action="store_true", help="hear anew, as after a change of the engine")
    parser.add_argument("--judge-only", action="store_true", help="use what was heard before; hear nothing")
    options = parser.parse_args()
    try:
        run(options)
    except (ValueError, OSError) as fault:
        sys.exit(f"benchmark stopped: {fault}")


def run(options: argparse.Namespace) -> None:
    """Do what the options say."""
    from tests.benchmarks.hearing_road import FreshRoad

    names = frozenset(name for name in options.voices.split(",") if name)
    if unknown := names - set(voices()):
        raise ValueError(f"no voice called {', '.join(sorted(unknown))}; see audio_fixtures/voices.csv")
    half = "all" if options.fixtures else options.half
    source = fixture_trials if options.fixtures else trials_unheard if options.unheard else trials
    every = source()
    chosen = list(wanted(every, options.limit, half, names, options.unheard))
    if not options.judge_only:
        for name in options.engine.split("+"):
            if options.again:
                forget(label(name))
            listen(label(name), make_engine(name), chosen)
    judged = results(options.engine, FreshRoad(), chosen)
    if not judged:
        raise ValueError("nothing was heard yet; make the speech first (tests/benchmarks/hearing_speech.py)")
    name = "+".join(label(each) for each in options.engine.split("+"))
    title = f"{name}: {len(judged)} trials, voices: {options.voices or half}"
    name += "-fixtures" if options.fixtures else ""
    name += "-unheard" if options.unheard else ""
    write(options.out, name, title, judged)
    print(f"{title}: {options.out / name}.md")


if __name__ == "__main__":
    main()
