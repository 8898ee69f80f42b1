"""People who may open the page with a name and a PIN of their own, and what each role may do there."""

from __future__ import annotations

import json
import secrets
import unicodedata
from dataclasses import asdict, dataclass
from datetime import date
from functools import cache
from pathlib import Path
from typing import Literal, get_args

from assistant.errors import InputError
from assistant.logbook.clips import write_whole
from assistant.logbook.troubles import explained
from assistant.manager.pin import check_strength, hashed, matches

FILE_NAME = "people.json"
Role = Literal["cook", "lead", "manager", "inspector"]
Right = Literal["read", "tell", "note", "close", "sign", "doubt", "set up"]
"""Read the pages, type readings, write notes, close actions, sign days off, look at the signs of made-up
readings, change what the kitchen has."""
RIGHTS: dict[Role, frozenset[Right]] = {
    "cook": frozenset({"read", "tell", "note"}),
    "inspector": frozenset({"read"}),
    "lead": frozenset({"read", "tell", "note", "close", "sign"}),
    "manager": frozenset({"read", "tell", "note", "close", "sign", "doubt", "set up"}),
}
LONGEST_NAME = 60
_ALLOWED = " .,'’·-()&/#"
"""Beside letters, marks and digits."""


@dataclass(frozen=True, slots=True)
class Person:
    """Somebody with a PIN; ``until`` (a day, or '') is the last day that it opens the page."""

    name: str
    role: Role
    secret: dict[str, str | int]
    until: str = ""

    def may_enter(self, today: date) -> bool:
        """Whether the PIN still opens the page."""
        return not self.until or today.isoformat() <= self.until


def load_people(folder: Path) -> tuple[Person, ...]:
    """Return everybody with a PIN; raises ``InputError`` for a file that cannot be used."""
    path = folder / FILE_NAME
    if not path.is_file():
        return ()
    try:
        found = tuple(Person(**each) for each in json.loads(path.read_text(encoding="utf-8")))
    except (OSError, ValueError, TypeError) as error:
        raise InputError(
            f"The file {path} cannot be used: set the people again ({type(error).__name__})."
        ) from None
    if any(person.role not in RIGHTS for person in found):
        raise InputError(f"The file {path} cannot be used: it names a role that there is not.")
    return found


def set_person(folder: Path, name: str, role: str, pin: str, until: date | None = None) -> Person:
    """Give somebody a PIN, or a new one; raises ``InputError`` for a name, role or PIN that will not do."""
    name = checked_name(name)
    if role not in get_args(Role):
        raise InputError(f"'{role}' is no role; choose one of {', '.join(get_args(Role))}.")
    if role == "inspector" and until is None:
        raise InputError("An inspector's PIN needs a last day; give it with --until.")
    check_strength(pin, name)
    person = Person(name, role, hashed(pin), until.isoformat() if until else "")  # type: ignore[arg-type]
    others = [each for each in load_people(folder) if each.name.casefold() != name.casefold()]
    _keep(folder, (*others, person))
    return person


def remove_person(folder: Path, name: str) -> None:
    """Take somebody's PIN away; raises ``InputError`` for an unknown name."""
    known = load_people(folder)
    left = [each for each in known if each.name.casefold() != name.strip().casefold()]
    if len(left) == len(known):
        raise InputError(f"Nobody called '{name}' has a PIN here.")
    _keep(folder, tuple(left))


def find_person(folder: Path, name: str, pin: str, today: date) -> Person | None:
    """Return who has this name and PIN and may enter today, or ``None``. Takes as long for a wrong name."""
    known = {each.name.casefold(): each for each in load_people(folder)}
    person = known.get(" ".join(name.split()).casefold())
    right = matches(pin, person.secret if person else _nobody())
    return person if person and right and person.may_enter(today) else None


@cache
def _nobody() -> dict[str, str | int]:
    """A secret that nobody has, so that an unknown name takes as long as a known one."""
    return hashed(secrets.token_hex(16))


def checked_name(text: str) -> str:
    """Return a name, tidied; raises ``InputError`` for one that is empty, too long, or no plain text."""
    name = unicodedata.normalize("NFC", " ".join(text.split()))
    if not name:
        raise InputError("Write your name; the form was sent without it.")
    if len(name) > LONGEST_NAME:
        raise InputError(f"Write your name in at most {LONGEST_NAME} characters.")
    strange = [each for each in name if unicodedata.category(each)[0] not in "LMN" and each not in _ALLOWED]
    if strange or not any(unicodedata.category(each)[0] == "L" for each in name):
        raise InputError("A name is written with letters, digits and ordinary marks; write it plainly.")
    return name


def _keep(folder: Path, people: tuple[Person, ...]) -> None:
    text = json.dumps([asdict(each) for each in people], ensure_ascii=False, indent=1)
    with explained(folder):
        write_whole(folder / FILE_NAME, text.encode("utf-8"))
