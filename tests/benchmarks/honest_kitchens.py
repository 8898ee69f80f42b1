"""Made-up months of honest kitchens, and of people who make readings up, for the hints' error rates. Seeded.

What is assumed of an honest kitchen is our own judgement (common practice, no source), wide on purpose:
steady and unsteady coolers, whole and tenth-degree displays, people who round, who tell several places in one
breath or read them off a note, who forget to sign in, who work both shifts.
"""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from math import exp

from assistant.logbook import Entry, Limits
from assistant.manager.worth_patterns import Undone

DAYS = 28
BEGIN = datetime(2026, 1, 5, tzinfo=UTC)
PEOPLE = ("Ana", "Ben", "Cho", "Dee", "Eli", "Fay", "Gus")
LIMITS = Limits(high="41", unit="F")


@dataclass
class Cooler:
    """A place whose air wanders about a mean and now and then is far too warm."""

    name: str
    mean: float
    spread: float
    hours: float
    fails: float
    away: float = 0.0
    last: datetime = BEGIN

    def read(self, chance: random.Random, at: datetime) -> float:
        """Return what a thermometer shows at ``at``."""
        keep = exp(-max((at - self.last).total_seconds(), 0) / 3600 / self.hours)
        self.away = self.away * keep + chance.gauss(0, self.spread * (1 - keep * keep) ** 0.5)
        self.last = at
        warm = chance.uniform(5, 12) if chance.random() < self.fails else 0.0
        return self.mean + self.away + warm + chance.gauss(0, 0.3)


@dataclass
class House:
    """One kitchen's habits."""

    chance: random.Random
    coolers: list[Cooler]
    tenths: bool
    style: str
    people: tuple[str, ...]
    rounders: set[str]
    owner: str
    entries: list[Entry] = field(default_factory=list)

    def tell(self, at: datetime, person: str, place: str, value: str, unit: str = "F") -> None:
        """Add one reading."""
        judged = "pass" if unit == "ppm" or float(value) <= 41 else "fail"
        stamp = at.isoformat(timespec="microseconds")
        self.entries.append(Entry.model_construct(
            kind="reading", subject=place, place=place, measured="ppm" if unit == "ppm" else "air",
            value=value,
            unit=unit, verdict=judged, limits=LIMITS, person=person, id=len(self.entries) + 1, site="made up",
            at_utc=stamp, at_local=stamp, said_at=None, previous_hash="", hash="",
        ))  # fmt: skip


def house(seed: int) -> House:
    """Return a kitchen with habits drawn by ``seed``."""
    chance = random.Random(seed)
    fails = chance.uniform(0.001, 0.03)
    coolers = [
        Cooler(
            f"cooler {n}", chance.uniform(35.5, 38.5), chance.uniform(0.4, 1.5), chance.uniform(1, 8), fails
        )
        for n in range(1, chance.randint(4, 8) + 1)
    ]
    people = tuple(chance.sample(PEOPLE, chance.randint(4, 7)))
    style = chance.choices(("walks", "one breath", "from a note"), (70, 20, 10))[0]
    rounders = {person for person in people if chance.random() < 0.1}
    owner = people[0] if chance.random() < 0.1 else ""
    return House(chance, coolers, chance.random() < 0.6, style, people, rounders, owner)


def honest_month(seed: int) -> House:
    """Return four weeks of readings, all of them taken."""
    home = house(seed)
    for at, person in shifts(home):
        for number in range(home.chance.randint(2, 3)):
            walk(home, at + timedelta(hours=2.5 * number, minutes=home.chance.uniform(0, 30)), person)
    return home


def shifts(home: House) -> Iterator[tuple[datetime, str]]:
    """Yield each shift's start and who is signed in; now and then it is still the one before."""
    signed = home.people[0]
    for day in range(DAYS):
        for slot, hour in enumerate((6, 15)):
            on = home.people[(day + 3 * slot + day // 5) % len(home.people)]
            if home.owner and day % 7 != 6:
                on = home.owner
            signed = signed if home.chance.random() < 0.05 else on
            yield BEGIN + timedelta(days=day, hours=hour), signed


def walk(home: House, at: datetime, person: str) -> None:
    """Go round once and tell what was read, in the kitchen's own way."""
    told, group = at, home.chance.randint(2, 4)
    for number, cooler in enumerate(home.coolers):
        at += timedelta(seconds=max(8.0, home.chance.lognormvariate(3.55, 0.5)))
        value = cooler.read(home.chance, at)
        whole = not home.tenths or person in home.rounders
        text = f"{value:.0f}" if whole else f"{value:.1f}"
        if home.style == "walks":
            told = at
        elif home.style == "from a note":
            told = (at if number == 0 else told) + timedelta(seconds=home.chance.uniform(3.5, 6))
        elif number % group == 0:
            told = at
        home.tell(told, person, cooler.name, text)
    home.tell(at + timedelta(seconds=20), person, "bucket", home.chance.choice(("200", "200", "300")), "ppm")


def made_up_month(seed: int, how: str) -> House:
    """Return a month in which one person makes readings up: ``desk``, ``same number``, ``copies`` ..."""
    home = house(seed)
    home.style, home.owner, home.rounders = "walks", "", set()
    cheat = home.people[1]
    begun: dict[str, str] = {}
    for at, on in shifts(home):
        person = cheat if how == "name" else on
        for number in range(home.chance.randint(2, 3)):
            begin = at + timedelta(hours=2.5 * number, minutes=home.chance.uniform(0, 30))
            if how == "clockwork" and person == cheat:
                walk(home, at + timedelta(hours=2.5 * number), person)
            elif how == "copies" and person == cheat and number and begun:
                copies(home, begin, person, begun)
            elif how == "desk" and person == cheat:
                desk(home, begin, person)
            elif how == "same number" and person == cheat:
                before = len(home.entries)
                walk(home, begin, person)
                cold = [n for n in range(before, len(home.entries)) if home.entries[n].subject == "cooler 1"]
                for place in cold:
                    home.entries[place] = home.entries[place].model_copy(
                        update={"value": "38", "verdict": "pass"}
                    )
            else:
                walk(home, begin, person)
                if how == "copies" and person == cheat and not begun:
                    begun = {each.subject: each.value or "" for each in home.entries if each.person == cheat}
    return home


MISHEARD, FAILS_OF_THEM, NOTICED_LATE = 0.01, 0.6, 0.05
"""Numbers heard wrongly, how many of them read as a fail, and how many of those are noticed only later."""


def undone_of(home: House, seed: int, *, hides: bool = False) -> tuple[Undone, ...]:
    """Return the fails of a month that were undone: slips of hearing; ``hides``: true fails too."""
    chance = random.Random(1_000_000 + seed)
    found = []
    for entry in home.entries:
        slip = chance.random() < MISHEARD * FAILS_OF_THEM
        hidden = hides and entry.verdict == "fail" and chance.random() < 0.8
        if not slip and not hidden:
            continue
        late = hidden or chance.random() < NOTICED_LATE
        minutes = chance.uniform(20, 300) if late else 0.3
        at = datetime.fromisoformat(entry.at_utc) + timedelta(minutes=minutes)
        by = entry.model_copy(update={"kind": "correction", "at_utc": at.isoformat(timespec="microseconds")})
        found.append(Undone(entry, by))
    return tuple(found)


def copies(home: House, at: datetime, person: str, before: dict[str, str]) -> None:
    """Tell the numbers of a round before once more, at the places and at their pace."""
    for cooler in home.coolers:
        at += timedelta(seconds=max(8.0, home.chance.lognormvariate(3.55, 0.5)))
        home.tell(at, person, cooler.name, before[cooler.name])


def desk(home: House, at: datetime, person: str) -> None:
    """Invent a round at the desk: whole numbers in range, one after the other, never a bad one."""
    for cooler in home.coolers:
        at += timedelta(seconds=home.chance.uniform(2.5, 4.5))
        home.tell(at, person, cooler.name, str(home.chance.randint(36, 39)))
