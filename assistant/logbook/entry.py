"""One line of the log, exactly as stored: strict, frozen, no floats (numbers are decimal text)."""

from __future__ import annotations

from datetime import datetime
from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, StringConstraints

DecimalText = Annotated[str, StringConstraints(pattern=r"^-?\d{1,7}(\.\d{1,4})?$")]
"""A number as text, so that 40.5 is stored as said and never as a binary fraction."""

Kind = Literal[
    "reading",  # a measured value with its verdict
    "event",  # something done: a delivery accepted, a sink cleaned, a wash
    "correction",  # changes an earlier entry's value or subject; names it in ``refers_to``
    "withdrawal",  # takes an earlier entry back; names it
    "action_opened",  # a corrective action stays open until closed; names the failed reading
    "action_closed",  # by a passing recheck, or by the manager; names the action
    "discard",  # food thrown out, with the amount
    "not_taken",  # a reading that was due but not made, and why
    "sign_in",  # who speaks from here on
    "round",  # a guided round begun, ended or left
    "clock",  # a running clock started or ended (thaw, cooling, time as the control)
    "contact",  # what touched what
    "review",  # the manager looked and signed
    "note",  # said for the record
    "retention",  # old clips or entries removed by rule
    "clock_change",  # the machine's clock jumped
    "rollback",  # entries that were there vanished while the program ran; ``item`` is the head they had
]


class Strict(BaseModel):
    """Base of everything stored: nothing coerced, nothing unknown, nothing changed later."""

    model_config = ConfigDict(strict=True, extra="forbid", frozen=True, allow_inf_nan=False)


class Limits(Strict):
    """The range in force when the reading was judged; an open end is null."""

    low: DecimalText | None = None
    high: DecimalText | None = None
    unit: str


class Clip(Strict):
    """The kept sound: a path below the clips folder and the hash of the file's bytes."""

    path: str
    sha256: str


class Draft(Strict):
    """What a turn wants logged. The store adds number, times and chain.

    ``subject`` is what a recheck must match (the walk-in, the quat bucket); ``place`` and ``item``
    say where and which food, when that is more than the subject. ``refers_to`` is an entry's
    number, or, counted back within the same turn, a negative one: -1 is the draft just before.
    """

    kind: Kind
    subject: str
    place: str = ""
    item: str = ""
    measured: str = ""  # ppm, air, food, water, surface, rinse, minutes ...
    value: DecimalText | None = None
    unit: str = ""
    verdict: Literal["pass", "fail", "cannot judge"] | None = None
    limits: Limits | None = None
    rule: str = ""  # document and section in force
    profile: str = ""
    person: str = ""
    amount: str = ""  # how much was thrown out, as said ("half a pan")
    said_at: str | None = None  # ISO 8601 with offset; when it differs from the time of entry
    late: bool = False
    refers_to: int | None = None
    note: str = ""
    words: str = ""  # as heard
    confidence: DecimalText | None = None  # 0 to 1
    engine: str = ""
    model: str = ""
    language: str = "en"
    facts: str = ""  # of a change of the set-up: places and rounds since then, as JSON
    clip: Clip | None = None


class Entry(Draft):
    """A stored line: a draft with its number, its times, its site, and the chain's hashes (hex)."""

    id: int
    site: str
    at_utc: str  # ISO 8601, UTC, microseconds
    at_local: str  # ISO 8601 with the site's offset
    clock_suspect: bool = False
    clock_by_hand: bool = False  # the time was given on the command line, not read from a clock
    previous_hash: str
    hash: str

    @property
    def moment(self) -> datetime:
        """The local time that this entry speaks of: the one told with it, else when it was made."""
        at = datetime.fromisoformat(self.at_local)
        if self.said_at is None:
            return at
        return datetime.fromisoformat(self.said_at).astimezone(at.tzinfo)
