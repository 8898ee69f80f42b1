"""Sends a kitchen's log on to the office: goes on where it stopped, never sends twice, checks on arrival."""

from __future__ import annotations

import hashlib
import time
from collections.abc import Callable
from dataclasses import dataclass
from itertools import islice
from pathlib import Path

from assistant.errors import InputError, LogWriteError
from assistant.logbook.anchors import read_anchors
from assistant.logbook.canonical import decode
from assistant.logbook.clips import FOLDER_NAME, clip_path, write_whole
from assistant.logbook.database import FILE_NAME, Database
from assistant.logbook.postgres import Office, Stored
from assistant.logbook.troubles import explained
from assistant.logbook.views import Head, Views

BATCH = 2000
TRIES, FIRST_PAUSE, LONGEST_PAUSE = 5, 2.0, 60.0
SENT_NAME = "sent_head.txt"
"""In the folder of the log: the head that the office had after the last sending."""


@dataclass(frozen=True, slots=True)
class Sent:
    """What one sending did: entries and clips sent now, the head that the office now has, and what was odd.

    ``clips_left_out`` are clips that are not what was logged: they are not sent.
    """

    site: str
    entries: int
    clips: int
    head: Head
    odd: str = ""
    clips_left_out: tuple[str, ...] = ()


def send(
    folder: Path,
    url: str,
    *,
    clips: bool = False,
    recheck: bool = False,
    tries: int = TRIES,
    pause: Callable[[float], None] = time.sleep,
    progress: Callable[[int], None] | None = None,
) -> Sent:
    """Send what the office does not have yet; ``progress`` gets the number of entries sent so far.

    Each batch is kept by the office as a whole, so a broken line costs nothing: it is tried again up to
    ``tries`` times, after growing pauses (seconds), from where it broke. ``recheck`` sends every clip again
    that the office does not hold whole. Raises ``InputError`` when the office holds another history under
    this kitchen's name, ``LogWriteError`` when it cannot be reached.
    """
    done = _Done()
    for attempt in range(1, tries + 1):
        try:
            return _send_once(folder, url, done, clips=clips, recheck=recheck, progress=progress)
        except LogWriteError:
            if attempt == tries:
                raise
            pause(min(FIRST_PAUSE * 2.0 ** (attempt - 1), LONGEST_PAUSE))
    raise AssertionError("at least one try")


@dataclass(slots=True)
class _Done:
    """What earlier tries of one sending did already."""

    entries: int = 0
    clips: int = 0
    odd: str = ""


def _send_once(
    folder: Path,
    url: str,
    done: _Done,
    *,
    clips: bool,
    recheck: bool,
    progress: Callable[[int], None] | None,
) -> Sent:
    with Office.open(url) as office, Views(Database(folder / FILE_NAME, writable=False)) as views:
        site = chain_site(views)
        if not site:
            return Sent("", 0, 0, Head(0, views.head().hash))
        head = office.head(site)
        _check_common_past(views, site, head)
        done.odd = done.odd or _gone(folder, head)
        while batch := _batch(views, head.count + 1):
            before, head = head, office.receive(site, batch)
            done.entries += head.count - before.count
            if progress:
                progress(done.entries)
        _note_sent(folder, head)
        left_out = (
            _send_clips(office, views, site, folder / FOLDER_NAME, done, recheck=recheck) if clips else ()
        )
        return Sent(site, done.entries, done.clips, head, done.odd, tuple(left_out))


def _gone(folder: Path, head: Head) -> str:
    """Say when the office has less than it had after the last sending."""
    path = folder / SENT_NAME
    noted = read_anchors(path)[-1:] if path.is_file() else ()
    if not noted or noted[0].count <= head.count:
        return ""
    return (
        f"the office had this log up to entry {noted[0].count}, and now had it up to entry {head.count} only:"
        " something was lost there; it was sent again"
    )


def _note_sent(folder: Path, head: Head) -> None:
    with explained(folder):
        write_whole(folder / SENT_NAME, f"{head}\n".encode("ascii"))


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


def _send_clips(
    office: Office, views: Views, site: str, folder: Path, done: _Done, *, recheck: bool
) -> list[str]:
    """Send the clips that the office lacks; return those that are not as logged and stay here."""
    hashes = office.clip_hashes(site) if recheck else {}
    known = set() if recheck else office.clip_paths(site)
    left_out: list[str] = []
    for entry in views.entries():
        clip = entry.clip
        if clip is None or clip.path in known or hashes.get(clip.path) == clip.sha256:
            continue
        path = clip_path(folder, clip)
        if not path.is_file():  # removed by the retention rule, or missed by verify
            continue
        with explained(path):
            sound = path.read_bytes()
        if hashlib.sha256(sound).hexdigest() != clip.sha256:
            left_out.append(clip.path)
            continue
        office.receive_clip(site, clip.path, sound, clip.sha256)
        done.clips += 1
    return left_out
