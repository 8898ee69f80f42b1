"""Reads what an address or a form asks for; a fault is one clear sentence."""

from __future__ import annotations

import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from typing import cast, get_args
from urllib.parse import urlencode

from assistant.errors import InputError
from assistant.logbook.entry import Kind
from assistant.logbook.query import Cursor, Filter
from assistant.logbook.views import Line

KINDS: tuple[str, ...] = get_args(Kind)
LONGEST_SPAN_DAYS = 92
FIRST_YEAR, LAST_YEAR = 2000, 2099
_LONGEST_TEXT = 500


def day_of(text: str, otherwise: date) -> date:
    """Return the day that ``text`` writes, ``otherwise`` for an empty one; raises ``InputError``."""
    if not text.strip():
        return otherwise
    try:
        day = date.fromisoformat(text.strip())
    except ValueError:
        raise InputError(f"'{text[:40]}' is no day; write one like 2026-03-02.") from None
    if not FIRST_YEAR <= day.year <= LAST_YEAR:
        raise InputError(f"{day} is no day of this log; write one like 2026-03-02.")
    return day


def span_of(asked: Mapping[str, str], today: date, days: int) -> tuple[date, date]:
    """Return the span ``from`` .. ``to``, the last ``days`` by default; raises ``InputError``."""
    last = day_of(asked.get("to", ""), today)
    first = day_of(asked.get("from", ""), last - timedelta(days=days - 1))
    if first > last:
        raise InputError(f"The span begins on {first}, after its end on {last}; swap the two days.")
    return first, last


def short_span_of(asked: Mapping[str, str], today: date, days: int) -> tuple[date, date]:
    """Return the span as ``span_of`` does; raises ``InputError`` for more than a quarter of a year."""
    first, last = span_of(asked, today, days)
    if (last - first).days >= LONGEST_SPAN_DAYS:
        raise InputError(f"That is more than {LONGEST_SPAN_DAYS} days; choose a shorter span.")
    return first, last


@dataclass(frozen=True, slots=True)
class LogQuery:
    """What the log's page was asked for, as read from its address."""

    wanted: Filter
    after: Cursor | None
    newest_first: bool
    asked: Mapping[str, str]
    said: str = ""
    """Words looked for in what was said, noted and named."""

    def holds(self, line: Line) -> bool:
        """Whether an entry holds the words looked for, in any case and with or without accents."""
        entry, now = line.entry, line.now
        text = " ".join((
            entry.words, entry.note, now.note, now.subject, now.item, now.place, now.person, now.amount,
            now.value or "", *(f"{each.words} {each.note}" for each in line.amendments),
        ))  # fmt: skip
        return all(word in plain_text(text) for word in plain_text(self.said).split())

    def address(self, **changed: str) -> str:
        """Return the address of the same question with something changed."""
        values = {**self.asked, **changed}
        return "/log?" + urlencode({key: value for key, value in values.items() if value})


def log_query(asked: Mapping[str, str], today: date) -> LogQuery:
    """Return the filter that an address asks for; raises ``InputError`` in one sentence."""
    kind = asked.get("kind", "")
    if kind and kind not in KINDS:
        raise InputError(f"'{kind[:40]}' is no kind of entry; choose one from the list.")
    span = bool(asked.get("from") or asked.get("to"))
    first, last = span_of(asked, today, 7) if span else (None, None)
    wanted = Filter(
        first_day=first,
        last_day=last,
        kinds=(cast(Kind, kind),) if kind else (),
        subject=asked.get("place", ""),
        item=asked.get("food", ""),
        person=asked.get("person", ""),
        site=asked.get("kitchen", ""),
        failed=asked.get("failed") == "1",
        unjudged=asked.get("unjudged") == "1",
        open=asked.get("open") == "1",
    )
    after = Cursor.parse(asked["after"]) if asked.get("after") else None
    names = (
        "from", "to", "place", "food", "said", "person", "kind", "failed", "unjudged", "open", "kitchen",
        "order",
    )  # fmt: skip
    kept = {name: asked[name] for name in names if asked.get(name)}
    said = " ".join(asked.get("said", "").split())[:_LONGEST_TEXT]
    return LogQuery(wanted, after, asked.get("order") != "oldest", kept, said)


def plain_text(text: str) -> str:
    """Return a text for looking things up: small letters without accents."""
    apart = unicodedata.normalize("NFKD", text.casefold())
    return "".join(each for each in apart if not unicodedata.combining(each))


def text_of(form: Mapping[str, str], name: str, what: str, shortest: int = 1) -> str:
    """Return a line of a form, tidied; raises ``InputError`` for one too short or too long."""
    text = " ".join(form.get(name, "").split())
    if len(text) < shortest:
        raise InputError(f"Write {what}; the form was sent without it.")
    if len(text) > _LONGEST_TEXT:
        raise InputError(f"Write {what} in at most {_LONGEST_TEXT} characters.")
    return text
