"""Sends a kitchen's log on to the office: goes on where it stopped, never sends twice, checks on arrival."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from itertools import islice
from pathlib import Path

from assistant.errors import InputError
from assistant.logbook.canonical import decode
from assistant.logbook.clips import FOLDER_NAME, clip_path
from assistant.logbook.database import FILE_NAME, Database
from assistant.logbook.postgres import Office, Stored
from assistant.logbook.troubles import explained
from assistant.logbook.views import Head, Views

BATCH = 2000


@dataclass(frozen=True, slots=True)
class Sent:
    """What one sending did: entries and clips sent now, and the head that the office now has."""

    site: str
    entries: int
    clips: int
    head: Head


def send(
    folder: Path, url: str, *, clips: bool = False, progress: Callable[[int], None] | None = None
) -> Sent:
    """Send what the office does not have yet; ``progress`` gets the number of entries sent so far.

    Each batch is kept by the office as a whole, so a broken line costs nothing. Raises ``InputError``
    when the office holds another history under this kitchen's name.
    """
    with Office.open(url) as office, Views(Database(folder / FILE_NAME, writable=False)) as views:
        site = chain_site(views)
        if not site:
            return Sent("", 0, 0, Head(0, views.head().hash))
        head = first = office.head(site)
        _check_common_past(views, site, head)
        while batch := _batch(views, head.count + 1):
            head = office.receive(site, batch)
            if progress:
                progress(head.count - first.count)
        sent = _send_clips(office, views, site, folder / FOLDER_NAME) if clips else 0
        return Sent(site, head.count - first.count, sent, head)


def chain_site(views: Views) -> str:
    """Return the name that a log's chain goes by: the kitchen's name at its first entry ('' if empty)."""
    lines = views.lines(limit=1).lines
    return lines[0].site if lines else ""


def _check_common_past(views: Views, site: str, head: Head) -> None:
    if head.count == 0:
        return
    known = next(views.stored(head.count, first=head.count), None)
    if known is None or known[1] != head.hash:
        raise InputError(
            f"the office holds another history of '{site}' up to entry {head.count}: either two kitchens"
            " share the name, or one of the two logs was altered; run the check on both"
        )


def _batch(views: Views, first: int) -> list[Stored]:
    stored = islice(views.stored(first + BATCH - 1, first=first), BATCH)
    entries = ((decode(body, entry_hash), body) for body, entry_hash in stored)
    return [(entry.id, entry.previous_hash, entry.hash, body) for entry, body in entries]


def _send_clips(office: Office, views: Views, site: str, folder: Path) -> int:
    known = office.clip_paths(site)
    sent = 0
    for entry in views.entries():
        if entry.clip is None or entry.clip.path in known:
            continue
        path = clip_path(folder, entry.clip)
        if path.is_file():  # else removed by the retention rule, or missed by verify
            with explained(path):
                sound = path.read_bytes()
            office.receive_clip(site, entry.clip.path, sound)
            sent += 1
    return sent
