"""Which entries somebody asks for: plain values in, the condition of a query out."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import NamedTuple, Self

from assistant.errors import InputError
from assistant.logbook.clock import utc_text
from assistant.logbook.entry import Kind

NO_INDEX = "({} || '')"
"""Keeps a database from choosing the index of a column where another finds far fewer rows."""

_UNJUDGED = (
    "s.kind = 'reading' AND s.verdict NOT IN ('pass', 'fail') AND s.withdrawn = 0"
    " AND NOT (s.measured = 'cooling' AND s.verdict = 'cannot judge')"
)


class Cursor(NamedTuple):
    """Where a page of lines ended; ``str`` and ``parse`` carry it through an address."""

    day: str
    id: int
    site: str

    def __str__(self) -> str:
        """Return one word without spaces."""
        return f"{self.day}~{self.id}~{self.site}"

    @classmethod
    def parse(cls, text: str) -> Self:
        """Return the cursor that ``str`` wrote; raises ``InputError`` for anything else."""
        day, _, rest = text.partition("~")
        number, parted, site = rest.partition("~")
        if not parted or not number.isdecimal():
            raise InputError(f"'{text}' is no place in the log: begin again at the first page")
        return cls(day, int(number), site)


@dataclass(frozen=True, slots=True)
class Filter:
    """Conditions that all hold; empty ones do not count. Days are local and include both ends.

    ``failed``, ``unjudged`` (readings without a verdict, but those on the way of cooling) and ``open`` leave
    out what was withdrawn. ``since`` and ``until`` are aware times (until
    itself is left out). ``open_after`` leaves the actions that the entry of that number and those before it
    had not closed. Corrections and withdrawals show on the line that they change; ``amendments``
    lists them as lines too.
    """

    first_day: date | None = None
    last_day: date | None = None
    since: datetime | None = None
    until: datetime | None = None
    kinds: tuple[Kind, ...] = ()
    subject: str = ""
    place: str = ""
    item: str = ""
    measured: str = ""
    person: str = ""
    site: str = ""
    refers_to: int | None = None
    open_after: int | None = None
    failed: bool = False
    unjudged: bool = False
    open: bool = False
    standing_only: bool = False
    amendments: bool = False

    @classmethod
    def on(cls, day: date) -> Filter:
        """Everything of one local day."""
        return cls(first_day=day, last_day=day)

    @classmethod
    def week_of(cls, day: date) -> Filter:
        """Everything from Monday to Sunday around ``day``."""
        monday = day - timedelta(days=day.weekday())
        return cls(first_day=monday, last_day=monday + timedelta(days=6))

    def condition(self) -> tuple[str, list[object]]:
        """Return SQL over the table ``s`` (standing) and its parameters."""
        terms: list[tuple[str, object]] = [
            (f"s.{name} = ?", getattr(self, name))
            for name in ("subject", "place", "item", "measured", "person", "site")
            if getattr(self, name)
        ]
        terms += [(f"s.day {sign} ?", day.isoformat()) for sign, day in self._days() if day]
        terms += [("s.at >= ?", utc_text(self.since))] if self.since else []
        terms += [("s.at < ?", utc_text(self.until))] if self.until else []
        terms += [("s.refers_to = ?", self.refers_to)] if self.refers_to is not None else []
        texts = [text for text, _ in terms]
        parameters = [value for _, value in terms]
        if self.kinds:
            kind = "s.kind" if self.refers_to is None else NO_INDEX.format("s.kind")
            texts.append(f"{kind} IN ({', '.join('?' for _ in self.kinds)})")
            parameters += self.kinds
        elif not self.amendments:
            texts.append("s.kind NOT IN ('correction', 'withdrawal')")
        texts += ["s.verdict = 'fail' AND s.withdrawn = 0"] if self.failed else []
        texts += [_UNJUDGED] if self.unjudged else []
        texts += ["s.open = 1"] if self.open else []
        if self.open_after is not None:
            texts.append("s.kind = 'action_opened' AND (s.open = 1 OR s.closed_by > ?)")
            parameters.append(self.open_after)
        texts += ["s.withdrawn = 0"] if self.standing_only else []
        return " AND ".join(texts) or "1 = 1", parameters

    def _days(self) -> list[tuple[str, date | None]]:
        """The span of days; times narrow it by a day more on each side, for any offset from UTC."""
        first = self.first_day or (self.since.date() - timedelta(days=1) if self.since else None)
        last = self.last_day or (self.until.date() + timedelta(days=1) if self.until else None)
        return [(">=", first), ("<=", last)]
