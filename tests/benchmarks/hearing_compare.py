"""Listeners side by side on the trials that all of them have heard, by level of noise. One command::

    uv run python -m tests.benchmarks.hearing_compare whisper whisper+vosk=models/kitchen_en

Hear first with ``hearing --unheard`` (each engine alone). A plus makes two of them a pair, as in the program.
"""

from __future__ import annotations

import argparse
import statistics
import sys

from tests.benchmarks.hearing import results
from tests.benchmarks.hearing_conditions import CONDITIONS
from tests.benchmarks.hearing_engines import label
from tests.benchmarks.hearing_listen import read_heard, trial_key, trials_unheard, wanted
from tests.benchmarks.hearing_report import Result, Row
from tests.benchmarks.hearing_road import FreshRoad

HEADER = (
    "listener",
    "level",
    "commands",
    "right",
    "asked",
    "no answer",
    "no rule",
    "wrong answer",
    "wrong numbers",
    "chatter acted on",
    "computing after the end",
)


def line(listener: str, level: str, found: list[Result]) -> str:
    """One line of the table."""
    row = Row.of("condition", level, found)
    shares = [f"{row.counts[name] / row.trials:.1%}" if row.trials else "–" for name in SHOWN]
    wrong = f"{row.counts['wrong number']} of {row.numbers_said}"
    wait = f"{statistics.median(r.finish_ms + r.turn_ms for r in found):.0f} ms"
    cells = [listener, level, str(row.trials), *shares, wrong, f"{row.acted} of {row.chatter}", wait]
    return f"| {' | '.join(cells)} |"


SHOWN = ("right", "asked", "unheard", "unsure", "wrong")


def main() -> None:
    """Read the options, judge, print the table."""
    parser = argparse.ArgumentParser(description="Compare listeners (synthetic speech, unheard voices).")
    parser.add_argument("engines", nargs="+")
    parser.add_argument("--half", choices=("tune", "report", "all"), default="report")
    options = parser.parse_args()
    alone = {part for engine in options.engines for part in engine.split("+")}
    keys = set.intersection(*(set(read_heard(label(name))) for name in alone))
    chosen = [t for t in wanted(trials_unheard(), None, options.half, unheard=True) if trial_key(*t) in keys]
    if not chosen:
        sys.exit("nothing was heard by all of them yet; run hearing --unheard with each")
    print(f"| {' | '.join(HEADER)} |\n| --- | --- |{' ---: |' * (len(HEADER) - 2)}")
    for engine in options.engines:
        judged = results(engine, FreshRoad(), chosen)
        for condition in CONDITIONS:
            if inside := [r for r in judged if r.condition == condition.name]:
                print(line(engine.replace("vosk=models/", ""), condition.name, inside))


if __name__ == "__main__":
    main()
