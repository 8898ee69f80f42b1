"""Made-up readings of made-up kitchens, for benchmarks of the log. Seeded: the same each time."""

from __future__ import annotations

import random
import statistics
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from time import perf_counter

from assistant.logbook import Draft, Limits

PLACES = [
    f"{kind} {number}" for kind in ("walk-in", "reach-in", "hot well", "bucket") for number in range(1, 6)
]
PEOPLE = ("Dana", "Sam", "Lee", "Ines", "Tariq", "Mo")
BEGIN = datetime(2025, 3, 1, 6, tzinfo=UTC)


def turns(seed: int, entries: int, a_day: int = 240) -> Iterator[tuple[datetime, list[Draft]]]:
    """Yield (time, drafts) until ``entries`` are made: 3 % fail, get an action and mostly a recheck.

    One in a hundred is corrected, one in two hundred withdrawn, one in three hundred not taken.
    """
    chance = random.Random(seed)
    made = reading = 0
    while made < entries:
        when = BEGIN + timedelta(days=made // a_day, minutes=3 * (made % a_day))
        turn = _turn(chance, reading)
        reading = made + 1 if turn[0].kind == "reading" else reading
        made += len(turn)
        yield when, turn


def _turn(chance: random.Random, reading: int) -> list[Draft]:
    place, person, luck = chance.choice(PLACES), chance.choice(PEOPLE), chance.random()
    if luck < 0.03:
        failed = _reading(place, person, chance.randint(42, 60), "fail")
        turn = [
            failed,
            Draft(kind="action_opened", subject=place, measured="air", person=person, refers_to=-1),
        ]
        return turn + ([_reading(place, person, 38, "pass")] if luck < 0.029 else [])
    if luck < 0.04 and reading:
        return [Draft(kind="correction", subject=place, refers_to=reading, value="39", verdict="pass")]
    if luck < 0.045 and reading:
        return [Draft(kind="withdrawal", subject=place, refers_to=reading)]
    if luck < 0.048:
        return [Draft(kind="not_taken", subject=place, note="no probe at hand", person=person)]
    return [_reading(place, person, chance.randint(33, 41), "pass")]


def _reading(place: str, person: str, value: int, verdict: str) -> Draft:
    return Draft.model_validate({
        "kind": "reading", "subject": place, "measured": "air", "value": str(value), "unit": "F",
        "verdict": verdict, "limits": Limits(high="41", unit="F"), "rule": "Food Code 2022 3-501.16(A)(2)",
        "profile": "fda_2022", "person": person, "words": f"{place} {value}", "confidence": "0.93",
        "engine": "whisper", "model": "tiny.en",
    })  # fmt: skip


def timed(job: Callable[[], object], times: int = 7) -> tuple[float, float]:
    """Return the median and the worst of ``times`` runs, in milliseconds; the first run warms up."""
    job()
    took = []
    for _ in range(times):
        began = perf_counter()
        job()
        took.append((perf_counter() - began) * 1000)
    return statistics.median(took), max(took)
