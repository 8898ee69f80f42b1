"""The hard soak: four people at once, loud, in the assistant's own commands, and perhaps a caller among them.

    uv run python -m tests.benchmarks.soak_crowd --hours 1                     # nobody calls
    uv run python -m tests.benchmarks.soak_crowd --hours 1 --calls --near 10   # 10 dB above the four together
    uv run python -m tests.benchmarks.soak_crowd --calls --people 0            # the same caller, alone

Wanted without a caller: 0 entries and at most 1 answer an hour; with one: 0 entries of words that he did not
say. Faster than real time, through the real loop and the default recogniser. The caller says the phrase and a
command in one breath, says yes or no to what is read back, and after half of the answers says another command
without the phrase. It tells how many of these were answered rightly, and every answer to other words. An
entry is of his words where he told its number of its subject within the quarter of an hour for which it is
read back, also where he had given up waiting for the answer or says yes to it beside another one.
"""

from __future__ import annotations

import argparse
import tempfile
import time
from collections import Counter
from pathlib import Path

from assistant.dialogue.conversation import interpreter_for
from assistant.ear import open_recogniser
from assistant.live.events import Answered, Event, Ignored
from assistant.site import load_site
from tests.benchmarks.soak_crowd_sound import Caller, Crowd, CrowdSource, Outcome
from tests.benchmarks.soak_sound import Run

TOLD_EVERY_S = 300.0


class Tally:
    """Takes the loop's events: to whom each answer went."""

    def __init__(self, source: CrowdSource, crowd: Crowd, caller: Caller | None) -> None:
        self.source, self.crowd, self.caller = source, crowd, caller
        self.ended: Counter[str] = Counter()
        self.others: list[str] = []
        self.wrong_entries: list[str] = []
        self.late_entries = 0
        self.kitchen: Run | None = None
        self._told = 0.0
        self._began = time.monotonic()

    def watch(self, event: Event) -> None:
        """Take one event of the loop."""
        now = self.source.now
        if isinstance(event, Ignored):
            self.ended[event.reason] += 1
        elif isinstance(event, Answered):
            self._answered(event, now)
        if now - self._told >= TOLD_EVERY_S:
            self._told = now
            self.print(f"{now / 60:.0f} min, {time.monotonic() - self._began:.0f} s spent")

    def _answered(self, event: Answered, now: float) -> None:
        turn = event.turn
        outcome = self.caller.answered(turn, now) if self.caller else Outcome.OTHER
        entries = [entry for entry in turn.entries if entry.kind != "not_taken"]
        logged = [f"{entry.subject} {entry.value}" for entry in entries]
        what = f"{now:.0f} s: {turn.heard!r} -> {turn.reply!r} [{', '.join(logged)}] ({outcome.value})"
        self.ended["silent turns" if turn.silent else outcome.value] += 1
        if outcome is not Outcome.RIGHT and not turn.silent:
            self.others.append(what)
        numbers = [entry for entry in entries if entry.value is not None]
        his = self.caller is not None and all(self.caller.has_told(entry, now) for entry in numbers)
        if logged and not (his and (numbers or outcome is Outcome.RIGHT)):
            self.wrong_entries.append(what)
        elif logged and outcome is not Outcome.RIGHT:
            self.late_entries += 1
        if not turn.silent and (outcome is not Outcome.RIGHT):
            said = f"the caller {self.caller.words!r}; " if self.caller and outcome is Outcome.ASKED else ""
            print(f"  {what}; {said}others: {self.crowd.words_at(now)}", flush=True)

    def print(self, head: str) -> None:
        """Print what there is so far."""
        assert self.kitchen is not None
        calls = f"; {self.caller.told()}" if self.caller else ""
        print(
            f"{head}: {self.crowd.count} utterances of others; ended: {dict(self.ended)}; entries"
            f" {self.kitchen.log.views.count()}, of other words {len(self.wrong_entries)},"
            f" of his words after another answer or late {self.late_entries};"
            f" answers to other words {len(self.others)};"
            f" phrase alone {len(self.kitchen.attention.woken)}{calls}",
            flush=True,
        )


def run(seconds: float, seed: int, people: int, near_db: float | None, engine: str) -> None:
    """Make the sound, listen to it, and print what came of it."""
    site = load_site()
    interpreter = interpreter_for(site)
    recogniser = open_recogniser(interpreter, engine, site.kitchen.wake_phrase)
    crowd = Crowd(seed, people)
    source = CrowdSource(crowd, seconds)
    caller = Caller(source, seed, near_db, site) if near_db is not None else None
    tally = Tally(source, crowd, caller)
    with tempfile.TemporaryDirectory() as folder:
        tally.kitchen = Run(site, interpreter, recogniser, source, Path(folder), tally.watch)
        tally.kitchen.loop.run()
        tally.print(f"{seconds / 60:.0f} minutes, seed {seed}, {people} people, near {near_db} dB")
        for wrong in tally.wrong_entries:
            print(f"  ENTRY of other words: {wrong}")
        if caller:
            print("  missed calls: " + "; ".join(caller.missed_calls))
            print("  missed follow-ups: " + "; ".join(caller.missed_follows))
        tally.kitchen.close()
    recogniser.close()


def main() -> None:
    """Read the options and run."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.soak_crowd", description=__doc__)
    parser.formatter_class = argparse.RawDescriptionHelpFormatter
    parser.add_argument("--hours", type=float, default=0.0)
    parser.add_argument("--minutes", type=float, default=20.0)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--people", type=int, default=4, help="how many talk at once (default: 4)")
    parser.add_argument("--calls", action="store_true", help="with a caller among them")
    parser.add_argument("--near", type=float, default=10.0, help="decibels of the caller above all others")
    parser.add_argument("--engine", default="", help="engine or model (default: the program's)")
    options = parser.parse_args()
    seconds = options.hours * 3600 or options.minutes * 60
    run(seconds, options.seed, options.people, options.near if options.calls else None, options.engine)


if __name__ == "__main__":
    main()
