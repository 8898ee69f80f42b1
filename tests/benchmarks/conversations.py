"""Random conversations of known sentences: no turn ends in a fault, and every log verifies.

Sentences of every intent, of the tables of exchanges, and replies to whatever is open, in any order and
at any time of a shift. A turn has to be a turn (words or silence), every entry has the words that it was
made of, and the log proves whole afterwards. Run ``uv run python -m tests.benchmarks.conversations``.
"""

from __future__ import annotations

import argparse
import csv
import random
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from functools import cache
from pathlib import Path

from assistant.dialogue.conversation import Conversation, interpreter_for
from assistant.logbook.clock import SetClock
from assistant.logbook.store import Logbook
from assistant.logbook.verify import verify
from assistant.site import load_site
from intents.hypotheses import Hypotheses
from tests.benchmarks.reports import kitchens

EXCHANGES = Path(__file__).resolve().parents[1] / "dialogue" / "exchanges"
REPLIES = (
    "yes", "no", "two", "number three", "the first one", "the second one", "the small one", "the other one",
    "half a pan", "ten pounds", "two hours", "since six", "i don't know", "cooking", "hot holding", "cold",
    "scratch that", "make that forty one", "no, forty", "switch those", "the middle one was thirty nine",
    "now thirty nine", "two hundred", "forty", "it's fixed", "moved it to the reach-in", "tossed it",
    "what's the limit there", "now what", "is that ok", "never mind", "and the turkey", "why", "next",
    "chili started cooling", "a second batch of chili is cooling now", "big pot of soup started cooling",
    "the soup is at ninety", "chili sixty", "threw out the chili", "what's still open",
)  # fmt: skip
"""What may be said to any open question, and what refers to anything said before."""
TURNS = 8
"""Turns of one conversation; four in ten are replies."""
EVERY = 40
"""Conversations to a log."""


@dataclass
class Found:
    """What the conversations came to."""

    turns: int = 0
    entries: int = 0
    silent: int = 0
    faults: list[str] = field(default_factory=list)
    broken: list[str] = field(default_factory=list)


@cache
def sentences() -> tuple[str, ...]:
    """Return every example of an intent and every sentence of the exchanges, each once."""
    pack = interpreter_for(load_site())
    found = {e.say for intent in pack.catalogue.intents.values() for e in intent.examples}
    for path in sorted(EXCHANGES.glob("*.csv")):
        with path.open(encoding="utf-8", newline="") as file:
            found |= {row["say"] for row in csv.DictReader(file) if not row["say"].startswith("(")}
    return tuple(sorted(found))


def run(turns: int, seed: int) -> Found:
    """Have about ``turns`` turns of random talk in the invented kitchens, the same for the same seed."""
    found, chance = Found(), random.Random(seed)
    sites = kitchens("en")
    interpreters = {path: interpreter_for(load_site(path) if path else load_site()) for path in sites}
    with tempfile.TemporaryDirectory() as folder:
        number = 0
        while found.turns < turns:
            path, number = sites[number % len(sites)], number + 1
            clock = SetClock(datetime(2026, 3, 2, 9, tzinfo=UTC))
            site = load_site(path) if path else load_site()
            where = Path(folder) / str(number)
            with Logbook.open(where, clock=clock) as log:
                talk = Conversation(site, log, clock, interpreters[path])
                for _ in range(EVERY):
                    if found.turns >= turns:
                        break
                    talk.fresh()
                    _talk(talk, clock, chance, found)
            found.broken += [str(fault) for fault in verify(where).faults]
    return found


def _talk(talk: Conversation, clock: SetClock, chance: random.Random, found: Found) -> None:
    said: list[str] = []
    for sentence in _said(chance):
        said.append(sentence)
        clock.time += timedelta(seconds=chance.choice((5, 20, 20, 60, 200, 1800)))
        turn = talk.hear(Hypotheses.typed(sentence))
        found.turns += 1
        found.entries += len(turn.entries)
        found.silent += turn.silent
        if turn.reply == talk.catalogue["unsure"].replies["fault"]:
            found.faults.append(" / ".join(said))
        if any(not entry.words for entry in turn.entries if entry.kind != "clock_change"):
            found.faults.append(f"an entry without words: {' / '.join(said)}")


def _said(chance: random.Random) -> Iterator[str]:
    for _ in range(TURNS):
        yield chance.choice(REPLIES if chance.random() < 0.4 else sentences())


def main() -> None:
    """Run so many turns and print what they came to; faults come with the conversation that led there."""
    parser = argparse.ArgumentParser(description="Random conversations of known sentences.")
    parser.add_argument("--count", type=int, default=20_000, help="how many turns")
    parser.add_argument("--seed", type=int, default=11, help="which ones")
    wanted = parser.parse_args()
    found = run(wanted.count, wanted.seed)
    print(*found.faults, *found.broken, sep="\n")
    print(
        f"{found.turns} turns, {found.entries} entries, {found.silent} silent; faults {len(found.faults)}, ",
        end="",
    )
    print(f"logs that do not verify {len(found.broken)}")


if __name__ == "__main__":
    main()
