"""Follows the chain of hashes entry by entry and says at which one it breaks."""

from __future__ import annotations

from dataclasses import dataclass

from pydantic import ValidationError

from assistant.logbook.canonical import FIRST_HASH, decode, digest
from assistant.logbook.entry import Entry


@dataclass(frozen=True, slots=True)
class Fault:
    """Something that is not as it was logged: the entry it shows at (0 for none) and a sentence."""

    entry: int
    text: str


@dataclass(slots=True)
class Chain:
    """Where the chain stands; feed it stored rows in order. Goes on after a fault from what is stored."""

    count: int = 0
    hash: str = FIRST_HASH

    def follow(self, number: int, previous_hash: str, stored_hash: str, body: bytes) -> Entry | Fault:
        """Return the entry if the row follows from the last one unaltered, else what is wrong."""
        expected, before = self.count + 1, self.hash
        self.count, self.hash = number, stored_hash
        if number != expected:
            return Fault(min(number, expected), _gap(number, expected))
        if digest(body) != stored_hash:
            return Fault(number, f"entry {number} was changed: its text does not give its hash")
        try:
            entry = decode(body, stored_hash)
        except (ValidationError, UnicodeEncodeError):
            return Fault(number, f"entry {number} was put in: it is no entry of this log")
        if entry.id != number:
            return Fault(number, f"entry {number} was put in or moved: its text says {entry.id}")
        if entry.previous_hash != before or previous_hash != before:
            return Fault(number, _broken_link(number))
        return entry


def _gap(number: int, expected: int) -> str:
    if number < expected:
        return f"entry {number} comes a second time or out of order"
    missing = f"entry {expected} is" if number == expected + 1 else f"entries {expected} to {number - 1} are"
    return f"{missing} missing: removed from the log"


def _broken_link(number: int) -> str:
    if number == 1:
        return "entry 1 is not the first one: entries before it were removed"
    return (
        f"entry {number} does not follow from entry {number - 1}: one of the two was changed, put in, "
        "removed or moved"
    )
