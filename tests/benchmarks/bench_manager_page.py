"""How long the manager's pages and the report take over a large log. One command::

    uv run python -m tests.benchmarks.bench_manager_page --entries 1000000

Prints one Markdown table. The log is made up (``made_up_kitchen.py``) and removed afterwards, or kept in
``--folder`` and used again, also the one of ``bench_logbook``.
"""

from __future__ import annotations

import argparse
import tempfile
from collections.abc import Callable
from datetime import datetime, timedelta
from pathlib import Path
from time import perf_counter, sleep

from starlette.testclient import TestClient

from assistant.logbook import SetClock, open_views
from assistant.logbook.database import FILE_NAME
from assistant.manager.app import build as build_page
from assistant.manager.desk import LocalDesk
from assistant.manager.report import gather
from assistant.manager.report_pdf import write_report
from assistant.site import load_site
from tests.benchmarks.bench_logbook import build
from tests.benchmarks.made_up_kitchen import BEGIN, PEOPLE, PLACES, timed


def pages(client: TestClient, year_ago: str) -> dict[str, Callable[[], object]]:
    """The pages that a manager opens, by name."""
    paths = {
        "today at a glance": "/",
        "a day a year ago": f"/?day={year_ago}",
        "log, newest page": "/log",
        "log, one place that failed": f"/log?place={PLACES[3]}&failed=1",
        "log, one person, all years": f"/log?person={PEOPLE[1]}",
        "log, a page from the middle": f"/log?order=oldest&after={year_ago}~0~",
        "places, a week": "/places",
        "open actions": "/actions",
        "review": "/review",
        "one entry": "/entry/12345",
        "record": "/record",
    }
    return {name: lambda path=path: client.get(path).raise_for_status() for name, path in paths.items()}


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
    """Build the log if it is not there, open every page, print."""
    clock = SetClock(BEGIN)
    if not (folder / FILE_NAME).exists():
        build(folder, entries, clock)
    with open_views(folder) as views:
        clock.time = datetime.fromisoformat(next(views.entries(views.head().count)).at_local)
    desk = LocalDesk(folder, load_site(), clock)
    client = TestClient(build_page(desk, folder), base_url="http://127.0.0.1")
    began = perf_counter()
    while "entries checked at" not in client.get("/record").text:  # the page's own check runs beside it
        sleep(1)
    print(f"the page's own check of the entries: {perf_counter() - began:.0f} s\n", flush=True)
    last = clock.time.date()
    print(f"| {entries:,} entries | median ms | worst ms |\n| --- | ---: | ---: |")
    for title, page in pages(client, (last - timedelta(days=365)).isoformat()).items():
        print("| {} | {:.0f} | {:.0f} |".format(title, *timed(page)))

    def report(days: int) -> None:
        with open_views(folder) as views:
            found = gather(views, desk.site, last - timedelta(days=days - 1), last, clock.now())
        write_report(found, desk.site, folder / "report.pdf")

    for days in (7, 31):
        print(
            "| report of {} days, PDF | {:.0f} | {:.0f} |".format(days, *timed(lambda d=days: report(d), 3))
        )


if __name__ == "__main__":
    main()
