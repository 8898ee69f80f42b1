"""An invented week in the example kitchen, for trying the page and the report. Seeded: the same each time.

To look at it::

    uv run python -m tests.manager.sample_log /tmp/sample
    uv run kitchen --state /tmp/sample --at 2026-03-01T14:30 manager
"""

from __future__ import annotations

import argparse
import random
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from datetime import date, datetime, timedelta, timezone
from decimal import Decimal
from functools import partial
from pathlib import Path

import numpy as np

from assistant.dialogue.judge import judge_reading
from assistant.dialogue.record import drafts_for
from assistant.logbook import Clip, Draft, Entry, Filter, Logbook, SetClock
from assistant.logbook.entry import Limits
from assistant.site import Site, load_site
from intents.readings import Reading

ZONE = timezone(timedelta(hours=-6))
MONDAY = date(2026, 2, 23)
USUAL = {
    "walk-in": 37.4, "reach-in": 38.2, "prep cooler": 39.1, "dessert cooler": 37.8, "low-boy 1": 38.0,
    "low-boy 2": 38.8, "line cooler 1": 39.6, "freezer": -2.0, "steam table": 148.0, "hand sink 1": 101.0,
    "dish machine": 184.0,
}  # fmt: skip
STRIPS = {"quat bucket 1": (200, 300), "quat bucket 2": (200, 300), "third sink": (200, 300)}
SOUND_EVERY = 3
SOUP = ((1.0, 98), (2.0, 68.5), (4.0, 48.5), (5.5, 40))


class Shift:
    """Somebody at work: says things at the clock's time, each turn a moment after the last."""

    def __init__(self, log: Logbook, clock: SetClock, site: Site, seed: int) -> None:
        """Write to ``log``, whose clock is ``clock``."""
        self.log, self.clock, self.site = log, clock, site
        self.chance = random.Random(seed)
        self.person = ""
        self.turns = 0

    def at(self, day: date, hour: float) -> None:
        """Set the clock to a time of a day in hours, a few seconds off, but never back."""
        wanted = datetime(day.year, day.month, day.day, tzinfo=ZONE) + timedelta(hours=hour)
        self.clock.time = max(self.clock.time, wanted + timedelta(seconds=self.chance.randint(0, 50)))

    def sign_in(self, person: str) -> None:
        """Let ``person`` speak from here on."""
        self.person = person
        self.say(Draft(kind="sign_in", subject=person, words=f"this is {person.lower()}"))

    def say(self, *drafts: Draft, minutes: float = 0.8) -> tuple[Entry, ...]:
        """Log one turn as heard and let some time pass."""
        self.turns += 1
        clip = self._clip() if self.turns % SOUND_EVERY == 0 else None
        confidence = f"{self.chance.uniform(0.84, 0.99):.3f}"
        heard = {"person": self.person, "confidence": confidence, "engine": "whisper", "model": "tiny.en"}
        turn = [
            draft.model_copy(update={**heard, "clip": clip, "person": draft.person or self.person})
            for draft in drafts
        ]
        entries = self.log.append(turn)
        self.clock.move(seconds=60 * minutes * self.chance.uniform(0.7, 1.4))
        return entries

    def read(self, place: str, value: float | str, measured: str = "") -> tuple[Entry, ...]:
        """Say a reading, judged as the assistant judges it; a failed one opens its action."""
        ppm = place in STRIPS or place.startswith("chlorine")
        number = Decimal(str(value))
        reading = Reading(place, "equipment", number, "ppm" if ppm else "temperature", "", measured)
        words = f"{place} {number}"
        drafts = [
            d.model_copy(update={"words": words})
            for d in drafts_for([judge_reading(reading, self.site)], self.site)
        ]
        return self.say(*drafts)

    def usual(self, place: str) -> tuple[Entry, ...]:
        """Say what a place usually reads."""
        if place in STRIPS:
            return self.read(place, self.chance.choice(STRIPS[place]))
        return self.read(place, f"{self.chance.gauss(USUAL[place], 0.7):.1f}")

    def round(self, name: str, skip: tuple[str, ...] = ()) -> None:
        """Go a round of the site file."""
        plan = next(plan for plan in self.site.rounds if plan.id == name)
        self.say(Draft(kind="round", subject=name, note="begun", words=f"start {plan.name}"))
        for place in plan.places:
            if place not in skip:
                self.usual(place)
        self.say(Draft(kind="round", subject=name, note="left" if skip else "ended", words="done"))

    def cooling(self, food: str, hours: float, degrees: float) -> None:
        """Say one reading of food that cools, so many hours after 135°F."""
        late = (hours > 2 and degrees > 70) or (hours > 6 and degrees > 41)
        verdict = "fail" if late else "pass" if degrees <= 41 else "cannot judge"
        draft = Draft(
            kind="reading", subject=food, item=food, measured="cooling", value=f"{degrees:g}", unit="F",
            verdict=verdict, limits=Limits(high="41", unit="F"), rule="FDA Food Code 2022, 3-501.14(A)",
            profile="fda_2022", note=f"{hours:g} h after 135°F",
            words=f"{food} {degrees:g} at {hours:g} hours",
        )  # fmt: skip
        action = Draft(
            kind="action_opened", subject=food, measured="cooling", refers_to=-1, note="throw it out"
        )
        self.say(*([draft, action] if late else [draft]))

    def sign_off(self, day: date, person: str = "Marlene") -> None:
        """Review a day."""
        count = self.log.views.count(replace(Filter.on(day), amendments=True))
        still_open = len(self.log.views.open_actions())
        note = f"reviewed {day}: {count} entries, {still_open} open"
        self.say(Draft(kind="review", subject=day.isoformat(), person=person, note=note))

    def _clip(self) -> Clip:
        """Keep half a second of a made-up tone: no speech, but a file that a player can play."""
        steps = np.arange(8000) / 16000
        tone = 6000 * np.sin(2 * np.pi * (300 + 20 * (self.turns % 20)) * steps)
        return self.log.keep_clip(tone.astype(np.int16), 16000)


Step = tuple[float, Callable[[], object]]


def run(shift: Shift, day: date, steps: list[Step]) -> None:
    """Take the steps of a day in the order of their times (hours after midnight)."""
    for hour, step in sorted(steps, key=lambda each: each[0]):
        shift.at(day, hour)
        step()


def batch(shift: Shift, food: str, begin: float, path: tuple[tuple[float, float], ...]) -> list[Step]:
    """A food that begins to cool at ``begin``: ``path`` has hours since then and degrees."""
    return [(begin + hours, partial(shift.cooling, food, hours, degrees)) for hours, degrees in path]


def correct(shift: Shift) -> None:
    """Say a wrong number and put it right in the next breath."""
    wrong = shift.read("walk-in", "83")[0]
    shift.say(Draft(
        kind="correction", subject="walk-in", place="walk-in", measured="air", value="38", unit="F",
        verdict="pass", limits=Limits(high="41", unit="F"), refers_to=wrong.id, words="no, thirty eight",
    ))  # fmt: skip


def ordinary_day(shift: Shift, day: date, number: int) -> None:
    """A day with what happens in an ordinary week: one thing goes wrong, most is mended."""
    skipped = {2: ("low-boy 2",)}.get(number, ())
    steps: list[Step] = [
        (5.85, partial(shift.sign_in, "Rosa")),
        (5.9, partial(shift.read, "probe 1", "32.4", "ice water")),
        (6.0, partial(shift.round, "opening")),
        (10.75, partial(shift.round, "line check", skipped)),
        (14.6, partial(shift.sign_in, "Dev")),
        (21.7, partial(shift.round, "close", ("dessert cooler",) if number == 0 else ())),
    ]
    if number % 2 == 0:
        steps += batch(shift, "chicken soup", 11.5, SOUP)
    if number == 1:
        steps += [(13.2, partial(shift.read, "prep cooler", each, "food")) for each in ("46.5", "40.2")]
    if number == 3:
        steps.append((13.6, partial(correct, shift)))
    if number == 4:
        steps += [
            (15.1 + n / 5, partial(shift.read, "chlorine bucket 1", v)) for n, v in enumerate(("25", "100"))
        ]
        melon = Draft(
            kind="discard", subject="cut melon", item="cut melon", amount="half a pan", note="sat out"
        )
        steps.append((15.7, partial(shift.say, melon)))
    if number != 5:
        steps.append((16.3, partial(shift.round, "line check")))
    else:
        blank = Draft(kind="not_taken", subject="dessert cooler", note="no probe at hand")
        steps += [(21.6, partial(shift.say, blank)), (21.9, partial(shift.read, "line cooler 1", "44.5"))]
    if number < 5:
        steps.append((22.5, partial(shift.sign_off, day)))
    run(shift, day, steps)


def terrible_day(shift: Shift, day: date) -> None:
    """Everything fails, much stays open, a lot is thrown out, and somebody has a very long name."""
    name = "Maximiliana-Konstantina Featherstonehaugh-Papadopoulou"
    steps: list[Step] = [(5.5, partial(shift.sign_in, name))]
    for number in range(14):
        hour = 5.6 + number * 0.85
        for n, place in enumerate(("walk-in", "reach-in", "prep cooler", "low-boy 1")):
            steps.append((hour + n / 50, partial(shift.read, place, f"{44 + number * 1.5:.1f}")))
        steps.append((hour + 0.1, partial(shift.read, "steam table", f"{118 - number}")))
        steps.append((hour + 0.12, partial(shift.read, "quat bucket 1", "100")))
        blank = Draft(kind="not_taken", subject="dish machine", note="the machine is down again: " * 6)
        steps.append((hour + 0.14, partial(shift.say, blank)))
    steps += batch(shift, "beef stew", 9.3, ((2.5, 112), (5, 88), (7, 71)))
    for number, food in enumerate(
        ("beef stew", "rice", "cut melon", '<b>bold</b> & "quoted" salad — naïve 冷')
    ):
        amount, note = "the whole batch, about 20 lb", "too warm for too long"
        drop = Draft(kind="discard", subject=food, item=food, amount=amount, note=note)
        steps.append((18 + number / 20, partial(shift.say, drop)))
    run(shift, day, steps)


def ordinary_week(folder: Path, seed: int = 11, days: int = 7) -> None:
    """Fill the log in ``folder`` with a week; its last day ends in the afternoon."""
    with _shift(folder, seed) as shift:
        for number in range(days):
            day = MONDAY + timedelta(days=number)
            if number < 6:
                ordinary_day(shift, day, number)
                continue
            steps: list[Step] = [
                (5.9, partial(shift.sign_in, "Rosa")),
                (6.0, partial(shift.round, "opening", ("freezer",))),
            ]
            run(shift, day, steps + batch(shift, "chicken soup", 12.0, ((1.0, 98), (2.0, 68.5))))


@contextmanager
def _shift(folder: Path, seed: int) -> Iterator[Shift]:
    clock, site = SetClock(datetime(2026, 2, 23, 5, 30, tzinfo=ZONE)), load_site()
    with Logbook.open(folder, site=site.kitchen.name, clock=clock) as log:
        yield Shift(log, clock, site, seed)


def one_terrible_day(folder: Path, seed: int = 12) -> None:
    """Fill the log in ``folder`` with one day on which nothing works."""
    with _shift(folder, seed) as shift:
        terrible_day(shift, MONDAY)


HOSTILE = (
    "<script>alert(1)</script>",
    "Maximiliana-Konstantina " * 6 + "Donaudampfschifffahrtsgesellschaftskapitänswitwe" * 2,
    "محمد الطباخ",
)
"""Names that somebody may have: a tag, a very long one, one written from right to left."""


def month(folder: Path, seed: int = 13, *, terrible: bool = False, days: int = 28) -> None:
    """Fill the log with four weeks, ordinary or terrible (with people who are called oddly)."""
    with _shift(folder, seed) as shift:
        for number in range(days):
            day = MONDAY + timedelta(days=number - days + 7)
            if number == 0:
                shift.clock.time = datetime(day.year, day.month, day.day, 5, 0, tzinfo=ZONE)
            if not terrible:
                ordinary_day(shift, day, number % 6)
                continue
            terrible_day(shift, day)
            name = HOSTILE[number % len(HOSTILE)]
            shift.sign_in(name)
            for place in ("walk-in", name):
                shift.say(
                    Draft(kind="reading", subject=place, item=name, measured="food", value="61", unit="F",
                          verdict="fail", limits=Limits(high="41", unit="F"), words=name, note=name),
                    Draft(kind="action_opened", subject=place, refers_to=-1, note=f"throw out: {name}"),
                )  # fmt: skip


def main() -> None:
    """Fill a folder from the command line."""
    options = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    options.add_argument("folder", type=Path)
    options.add_argument("--terrible", action="store_true", help="one terrible day instead of a week")
    options.add_argument("--month", action="store_true", help="four weeks of it")
    chosen = options.parse_args()
    if chosen.month:
        month(chosen.folder, terrible=chosen.terrible)
        return
    (one_terrible_day if chosen.terrible else ordinary_week)(chosen.folder)


if __name__ == "__main__":
    main()
