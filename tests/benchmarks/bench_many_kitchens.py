"""How a month of many kitchens loads into PostgreSQL, and how the office's pages answer then. One command::

    uv run python -m tests.benchmarks.bench_many_kitchens --kitchens 2000 --entries 1800

Needs PostgreSQL's server programs; starts a private server that flushes as in earnest, and removes it.
Each kitchen has its own chain; the entries are made up (``made_up_kitchen.py``). Making them is not
counted; checking them on arrival is. ``--senders`` of them arrive at the same time.
"""

from __future__ import annotations

import argparse
import os
from collections.abc import Callable, Iterator
from concurrent.futures import ProcessPoolExecutor
from datetime import date, timedelta
from itertools import islice
from time import perf_counter

from assistant.logbook import Draft, Filter
from assistant.logbook.canonical import FIRST_HASH, digest, encode
from assistant.logbook.clock import utc_text
from assistant.logbook.postgres import Office, Stored
from assistant.logbook.sending import BATCH
from assistant.logbook.verify import verify_source
from tests.benchmarks.made_up_kitchen import BEGIN, PLACES, timed, turns
from tests.logbook.private_postgres import private_postgres

A_DAY = 60


def chain(site: str, seed: int, entries: int) -> Iterator[Stored]:
    """Make one kitchen's stored entries without a file of its own."""
    number, previous = 0, FIRST_HASH
    for when, drafts in turns(seed, entries, A_DAY):
        before: list[int] = []
        for draft in drafts:
            number += 1
            body = _body(draft, before, site, number, previous, when.isoformat(), utc_text(when))
            yield number, previous, digest(body), body
            previous = digest(body)
            before.append(number)


def _body(
    draft: Draft, before: list[int], site: str, number: int, previous: str, local: str, utc: str
) -> bytes:
    if draft.refers_to is not None and draft.refers_to < 0:
        draft = draft.model_copy(update={"refers_to": before[draft.refers_to]})
    return encode(draft, site=site, id=number, previous_hash=previous, at_utc=utc, at_local=local)


def load(url: str, kitchens: range, entries: int) -> tuple[int, float]:
    """Send some kitchens' months; return the entries and the seconds that their arrival took."""
    arrived, took = 0, 0.0
    with Office.open(url) as office:
        for kitchen in kitchens:
            road = chain(f"Kitchen {kitchen:05}", kitchen, entries)
            while batch := list(islice(road, BATCH)):
                began = perf_counter()
                office.receive(f"Kitchen {kitchen:05}", batch)
                took += perf_counter() - began
                arrived += len(batch)
    return arrived, took


def queries(office: Office, last: date, kitchen: str) -> dict[str, Callable[[], object]]:
    """What the office's pages ask, by name."""
    everywhere, here = office.views(), office.views(kitchen)
    week = Filter(first_day=last - timedelta(days=6), last_day=last, failed=True)
    month = Filter(first_day=last - timedelta(days=30), last_day=last, subject=PLACES[3], kinds=("reading",))
    return {
        "all kitchens: a day at a glance": lambda: everywhere.day(last),
        "all kitchens: failed this week, first page": lambda: everywhere.lines(week),
        "all kitchens: still open, first page": everywhere.open_actions,
        "all kitchens: newest page": lambda: everywhere.lines(newest_first=True),
        "all kitchens: heads": office.sites,
        "all kitchens: the choices of a filter": lambda: everywhere.values_of("subject"),
        "one kitchen: a day at a glance": lambda: here.day(last),
        "one kitchen: failed this week": lambda: here.lines(week),
        "one kitchen: still open": here.open_actions,
        "one kitchen: a place's month for a chart": lambda: list(here.each(month)),
        "one kitchen: check a month's chain": lambda: verify_source(office, kitchen),
        "one kitchen: 60 more entries arrive": _arrivals(office),
    }


def _arrivals(office: Office) -> Callable[[], object]:
    road = chain("Kitchen that reports", 1, 10**6)
    return lambda: office.receive("Kitchen that reports", list(islice(road, A_DAY)))


def main() -> None:
    """Load, measure, print one Markdown table."""
    options = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    options.add_argument("--kitchens", type=int, default=2000)
    options.add_argument(
        "--entries", type=int, default=30 * A_DAY, help="a kitchen (default: a month of 60 a day)"
    )
    options.add_argument("--senders", type=int, default=os.cpu_count() or 1)
    chosen = options.parse_args()
    with private_postgres(durable=True) as url:
        began = perf_counter()
        parts = [range(each, chosen.kitchens, chosen.senders) for each in range(chosen.senders)]
        with ProcessPoolExecutor(chosen.senders) as pool:
            done = list(pool.map(load, [url] * len(parts), parts, [chosen.entries] * len(parts)))
        took, arrived = perf_counter() - began, sum(part[0] for part in done)
        arrival = sum(part[1] for part in done)
        print(
            f"{arrived:,} entries of {chosen.kitchens:,} kitchens by {chosen.senders} senders: {took:.0f} s,"
        )
        print(f"{arrival:.0f} s of them arrival: {arrived / arrival:,.0f} entries a second and sender\n")
        with Office.open(url) as office:
            office.rows("VACUUM ANALYZE")  # as the server does by itself in time
            size = office.rows("SELECT pg_database_size(current_database())")[0][0]
            last = BEGIN.date() + timedelta(days=chosen.entries // A_DAY - 2)
            print("| the office asks | median ms | worst ms |\n| --- | ---: | ---: |")
            for title, query in queries(office, last, "Kitchen 00001").items():
                print("| {} | {:.1f} | {:.1f} |".format(title, *timed(query)))
        print(f"\ndatabase: {size / 2**20:,.0f} MiB, {size / arrived:.0f} bytes an entry")


if __name__ == "__main__":
    main()
