"""How fast the log answers when it is large, and how long checking takes. One command::

    uv run python -m tests.benchmarks.bench_logbook --entries 1000000

Prints one Markdown table. The log is made up (``made_up_kitchen.py``) and removed afterwards, or kept in
``--folder`` and used again.
"""

from __future__ import annotations

import argparse
import random
import tempfile
from collections.abc import Callable
from datetime import date, datetime, timedelta
from itertools import islice
from pathlib import Path
from time import perf_counter, process_time

from assistant.logbook import Cursor, Draft, Filter, Logbook, SetClock, Views, open_views
from assistant.logbook.database import FILE_NAME
from assistant.logbook.verify import verify
from tests.benchmarks.made_up_kitchen import BEGIN, PEOPLE, PLACES, timed, turns

VERIFIED = 100_000
BATCH = 500


def check(folder: Path) -> str:
    """Verify an honest log and say how long that took."""
    began, used = perf_counter(), process_time()
    assert verify(folder).ok
    return f"{perf_counter() - began:.1f} s ({process_time() - used:.1f} s of processor)"


def build(folder: Path, entries: int, clock: SetClock) -> str:
    """Fill a log, many turns a transaction; return how long checking the first part took."""
    checked = ""
    with Logbook.open(folder, site="Pine Street", clock=clock) as log:
        road = turns(1, entries)
        while batch := list(islice(road, BATCH)):
            with log.database.atomic():
                for clock.time, drafts in batch:
                    log.append(drafts)
            if not checked and log.views.head().count >= VERIFIED:
                checked = check(folder)
    return checked


def queries(views: Views, last: date) -> dict[str, Callable[[], object]]:
    """What the page and the voice ask, by name."""
    week, year = Filter.week_of(last), Filter(first_day=last - timedelta(days=365), last_day=last)
    chance = random.Random(3)
    middle = BEGIN.date() + timedelta(days=chance.randint(100, 200))
    return {
        "today at a glance": lambda: views.day(last),
        "play back today": lambda: list(views.each(Filter.on(last))),
        "what failed this week": lambda: views.lines(Filter(
            first_day=week.first_day, last_day=week.last_day, failed=True)),
        "what failed in a year, first page": lambda: views.lines(Filter(
            first_day=year.first_day, last_day=last, failed=True)),
        "what is still open": views.open_actions,
        "what did a place read last": lambda: views.latest(Filter(subject=PLACES[3], kinds=("reading",))),
        "one person's page of a year": lambda: views.lines(Filter(
            first_day=year.first_day, last_day=last, person=PEOPLE[1])),
        "newest page of all": lambda: views.lines(newest_first=True),
        "a page from the middle": lambda: views.lines(after=Cursor(middle.isoformat(), 0, "")),
        "a place's month for a chart": lambda: list(views.each(Filter(
            first_day=last - timedelta(days=30), last_day=last, subject=PLACES[3], kinds=("reading",)))),
        "the choices of the filters": lambda: (views.values_of("subject"), views.values_of("person")),
        "one entry with its amendments": lambda: views.line(chance.randint(1, VERIFIED)),
        "chain head": views.head,
    }  # fmt: skip


def main() -> None:
    """Build, measure, print."""
    options = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    options.add_argument("--entries", type=int, default=1_000_000)
    options.add_argument("--folder", type=Path, help="where to keep the log for the next run")
    chosen = options.parse_args()
    with tempfile.TemporaryDirectory() as name:
        measure(chosen.folder or Path(name), chosen.entries)


def measure(folder: Path, entries: int) -> None:
    """Build the log if it is not there, time everything, print."""
    clock, checked, began = SetClock(BEGIN), "not measured", perf_counter()
    if not (folder / FILE_NAME).exists():
        checked = build(folder, entries, clock)
    built = perf_counter() - began
    with open_views(folder) as views:
        clock.time = datetime.fromisoformat(next(views.entries(views.head().count)).at_local)
        print(f"| {entries:,} entries | median ms | worst ms |\n| --- | ---: | ---: |")
        for title, query in queries(views, clock.time.date()).items():
            print("| {} | {:.1f} | {:.1f} |".format(title, *timed(query)), flush=True)
    with Logbook.open(folder, site="Pine Street", clock=clock) as log:
        note = Draft(kind="note", subject="note", words="a word for the record")
        print(
            "| append one turn, on the disk | {:.1f} | {:.1f} |".format(*timed(lambda: log.append(note), 25))
        )
    took = check(folder)
    size = (folder / FILE_NAME).stat().st_size
    print(f"\nchecking {VERIFIED:,} entries: {checked}; checking all: {took}")
    print(f"building: {built:.0f} s; file: {size / 2**20:.0f} MiB, {size / entries:.0f} bytes an entry")


if __name__ == "__main__":
    main()
