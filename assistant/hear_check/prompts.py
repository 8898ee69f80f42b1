"""What somebody is asked to say: the site's own places with numbers that make sense there."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from itertools import cycle

from assistant.hear_check.table import table
from assistant.site import Site
from intents.equipment_kinds import equipment_kinds
from intents.interpret import Interpreter
from intents.language import language


@dataclass(frozen=True)
class Prompt:
    """What somebody is asked to say. ``reading``: the part behind the wake phrase, if there is one."""

    words: str
    called: bool
    reading: str


def prompts(site: Site, interpreter: Interpreter, count: int = 12) -> list[Prompt]:
    """Return ``count`` sentences: the wake phrase alone or before a reading, and readings alone."""
    phrase, readings = site.kitchen.wake_phrase, cycle(_readings(site, interpreter))
    shapes = cycle(("phrase", "both", "reading", "both", "reading", "reading"))
    found: list[Prompt] = []
    for shape in shapes:
        if len(found) >= count:
            break
        reading = "" if shape == "phrase" else next(readings, "")
        called = shape != "reading" or not reading
        words = ", ".join(part for part in (phrase if called else "", reading) if part)
        found.append(Prompt(words, called, reading))
    return found


def _readings(site: Site, interpreter: Interpreter) -> list[str]:
    """Return readings of the site's places that are understood as just that when typed."""
    spell = language(interpreter.lexicon.language).spell
    found: list[str] = []
    used: dict[str, Iterator[int]] = {}
    for place in site.equipment:
        kind = equipment_kinds()[place.kind]
        by_strip = kind.get("measured") == "ppm"
        if not by_strip and "temperature" not in kind:
            continue
        numbers = table()["numbers"]["ppm" if by_strip else site.kitchen.units]
        value = next(used.setdefault(place.kind, cycle(numbers.get(place.kind, numbers["other"]))))
        words = f"{place.name} {spell.say_integer(value)}"
        options = interpreter.interpret(words).readings.options
        if len(options) == 1 and [reading.value for reading in options[0]] == [Decimal(value)]:
            found.append(words)
    return found
