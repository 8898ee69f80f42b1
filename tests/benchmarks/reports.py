"""Reports made of parts (place x value x time x aside x order), on three invented kitchens, one in Celsius.

What is said and what it means comes from ``tests/dialogue/reports/matrix.toml`` (``matrix_es.toml`` in
Spanish); what has to hold comes from the task of a record: a value or a time that nobody said is never
stored, and a time said is never stored as now in silence. Run ``uv run python -m tests.benchmarks.reports``;
``--show WRONG`` prints those of a kind, ``--language es`` says them in Spanish.
"""

from __future__ import annotations

import argparse
import random
import tempfile
import tomllib
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from decimal import Decimal
from functools import cache
from pathlib import Path
from typing import Any

from assistant.dialogue.conversation import Conversation
from assistant.dialogue.turn import Turn
from assistant.logbook.clock import SetClock
from assistant.logbook.store import Logbook
from assistant.site import Site, load_site
from intents.catalogue import load_catalogue
from intents.hypotheses import Hypotheses
from intents.language import language
from intents.wording import wording

FOLDER = Path(__file__).resolve().parents[1] / "dialogue" / "reports"
NOW = datetime(2026, 3, 2, 14, 40, tzinfo=UTC)
ENGLISH = "en"
KINDS = ("cold_holding", "freezer", "hot_holding", "sanitizer_bucket")
WRONG = ("wrong value", "wrong time", "now in silence", "wrong place", "logged though to come")
"""What must never be."""


@dataclass(frozen=True, slots=True)
class Case:
    """One report: where, what is said, the value and place meant, and when it was."""

    site: Path | None
    say: str
    place: str
    value: Decimal
    at: str


def _named(name: str, code: str) -> str:
    return name if code == ENGLISH else f"{name}_{code}"


def kitchens(code: str) -> tuple[Path | None, ...]:
    """Return the example kitchen and the invented ones of a language."""
    return (None, *sorted((FOLDER / _named("sites", code)).glob("*.toml")))


def kitchen(path: Path | None, code: str) -> Site:
    """Return a kitchen, the example one speaking a language."""
    site = load_site(path) if path else load_site()
    return site.model_copy(update={"kitchen": site.kitchen.model_copy(update={"language": code})})


@cache
def _table(code: str) -> dict[str, Any]:
    return tomllib.loads((FOLDER / f"{_named('matrix', code)}.toml").read_text(encoding="utf-8"))


def cases(code: str = ENGLISH) -> Iterator[Case]:
    """Give every report of the matrix of a language."""
    table, say_integer = _table(code), language(code).spell.say_integer
    for path in kitchens(code):
        site = kitchen(path, code)
        for item in (item for item in site.equipment if item.kind in KINDS):
            place = f"{item.id} {item.numbers[0]}" if item.numbers else item.id
            name = wording(code).shown(item.name)
            spoken = f"{name} {say_integer(item.numbers[0])}" if item.numbers else name
            for said, value in table["values"][item.kind][site.kitchen.units]:
                for time in table["time"]:
                    for order in table["orders"]["plain"]:
                        core = order.format(place=spoken, value=said, time=time["say"]).strip(" ,")
                        for front, back in _asides(table):
                            say = " ".join(filter(None, (front, core))) + (f", {back}" if back else "")
                            yield Case(path, say, place, Decimal(value), time["at"])


def _asides(table: dict[str, Any]) -> Iterator[tuple[str, str]]:
    yield "", ""
    yield from ((front, "") for front in table["aside"]["front"][1:])
    yield from (("", back) for back in table["aside"]["back"][1:])


def sample(count: int, seed: int = 7, code: str = ENGLISH) -> tuple[Case, ...]:
    """Return ``count`` of the matrix's reports, the same for the same seed, by kitchen."""
    chosen = random.Random(seed).sample(list(cases(code)), count)
    return tuple(sorted(chosen, key=lambda case: str(case.site)))


def judge(case: Case, turn: Turn) -> str:
    """Return what became of a report, in one or two words."""
    readings = [e for e in turn.entries if e.kind == "reading"]
    if not readings:
        if turn.intent == "backdate":
            return "refused" if case.at == "old" else "refused a time of today"
        if case.at == "ahead":
            return "nothing logged, to come"
        return "asked" if turn.asks else "silent" if not turn.reply else "not understood"
    if any(Decimal(e.value or 0) != case.value for e in readings):
        return "wrong value"
    if any(e.subject != case.place for e in readings):
        return "wrong place"
    if case.at == "ahead":
        return "logged though to come"
    said = readings[0].said_at
    if case.at == "now":
        return "kept" if said is None else "wrong time"
    if said is None:
        unused = load_catalogue(turn.language)["fragments"].replies["unused"].partition(" {")[0]
        return "given back" if unused in turn.reply else "now in silence"
    return "kept" if datetime.fromisoformat(said).strftime("%H:%M") == case.at else "wrong time"


def run(chosen: tuple[Case, ...], code: str = ENGLISH) -> Iterator[tuple[Case, Turn, str]]:
    """Give each report with the turn that it got, each said to a fresh conversation of its kitchen."""
    with tempfile.TemporaryDirectory() as folder:
        for number, path in enumerate(dict.fromkeys(case.site for case in chosen)):
            clock = SetClock(NOW)
            with Logbook.open(Path(folder) / str(number), clock=clock) as log:
                talk = Conversation(kitchen(path, code), log, clock)
                for case in (case for case in chosen if case.site == path):
                    talk.fresh()
                    turn = talk.hear(Hypotheses.typed(case.say))
                    yield case, turn, judge(case, turn)


def main() -> None:
    """Run a sample of the matrix, or all of it, and print what became of it."""
    parser = argparse.ArgumentParser(description="Reports made of parts, judged.")
    parser.add_argument("--count", type=int, default=2000, help="how many reports; 0 for the whole matrix")
    parser.add_argument("--show", default="", help="print the reports that came to this")
    parser.add_argument("--seed", type=int, default=7, help="which sample")
    parser.add_argument("--language", default=ENGLISH, help="in which language they are said")
    wanted = parser.parse_args()
    code = wanted.language
    chosen = sample(wanted.count, wanted.seed, code) if wanted.count else tuple(cases(code))
    counts: Counter[str] = Counter()
    for case, turn, became in run(chosen, code):
        counts[became] += 1
        if became == wanted.show or (wanted.show == "WRONG" and became in WRONG):
            print(f"{became}: {case.say!r} -> {turn.reply!r}")
    for became, count in counts.most_common():
        print(f"{became:28}{count:6}{100 * count / len(chosen):7.1f} %")


if __name__ == "__main__":
    main()
