"""Checks that nothing was changed since it was logged: entries, clips, and heads noted outside the log.

A hash chain shows later change, not that an entry was honest when made; and a log cut at its end, or
made anew as a whole, shows only against a head that was noted elsewhere (an anchor).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from contextlib import AbstractContextManager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Protocol

from assistant.errors import InputError, KitchenError
from assistant.logbook.canonical import FIRST_HASH
from assistant.logbook.chain import Chain, Fault
from assistant.logbook.clips import FOLDER_NAME, clip_path, hash_file
from assistant.logbook.database import FILE_NAME, Database
from assistant.logbook.entry import Entry
from assistant.logbook.renew import differs_by_rules
from assistant.logbook.scratch import Scratch, differing, row_of
from assistant.logbook.standing import Keeper, Rows
from assistant.logbook.views import Head

_CHUNK = 2000
_MOST_FAULTS = 20
_QUERY = "SELECT e.id, e.previous_hash, e.hash, e.body, e.site FROM entries e WHERE e.id > ?"


@dataclass(frozen=True, slots=True)
class Report:
    """What a check found. ``faults`` are in the order of the log; at most 20 are listed.

    ``by_older_rules`` are actions that an older version of this program called open or closed where today's
    rules say otherwise: no fault, the table is made anew when the log is next opened to be written.
    """

    head: Head
    checked: int
    clips: int
    faults: tuple[Fault, ...]
    removed_by_rule: int = 0
    by_older_rules: tuple[int, ...] = ()

    @property
    def ok(self) -> bool:
        """True when nothing was altered, as far as the anchors given can tell."""
        return not self.faults

    @property
    def first(self) -> Fault | None:
        """The first fault, or ``None``."""
        return self.faults[0] if self.faults else None


def verify(
    folder: Path | str,
    anchors: Iterable[Head] = (),
    *,
    clips: bool = True,
    progress: Callable[[int], None] | None = None,
) -> Report:
    """Check the log in ``folder`` against itself, its clips and the ``anchors`` noted outside.

    Reads in pieces, so a running assistant goes on logging. ``progress`` gets the number of entries
    checked so far. Raises ``InputError`` where there is no log or its file cannot be read at all.
    """
    folder = Path(folder)
    return verify_file(folder / FILE_NAME, folder / FOLDER_NAME if clips else None, anchors, progress)


def verify_file(
    path: Path,
    clips_folder: Path | None,
    anchors: Iterable[Head] = (),
    progress: Callable[[int], None] | None = None,
) -> Report:
    """Check a log by its file and, if given, its clips folder; see ``verify``."""
    database = Database(path, writable=False)
    try:
        check = _Check(database, anchors, progress, clips_folder=clips_folder)
        for text in database.shape_faults():
            check.fault(0, f"the log is not built as this program builds it: {text}")
        for text in database.page_faults():
            check.fault(0, f"the file of the log is damaged: {text}")
        sites = [str(row[0]) for row in database.rows("SELECT site FROM entries ORDER BY id LIMIT 1")]
        return check.run(sites[0] if sites else "")
    finally:
        database.close()


def verify_source(
    source: Snapshots, site: str, anchors: Iterable[Head] = (), progress: Callable[[int], None] | None = None
) -> Report:
    """Check one site's entries in a shared database (no clips), and the database's own structure."""
    check = _Check(source, anchors, progress, shared=True)
    for text in source.shape_faults():
        check.fault(0, f"the database is not built as this program builds it: {text}")
    return check.run(site)


class Snapshots(Rows, Protocol):
    """A database that can hold one picture for a few queries while others go on writing."""

    def snapshot(self) -> AbstractContextManager[None]:
        """Hold the picture."""
        ...

    def shape_faults(self) -> tuple[str, ...]:
        """Return what of the structure is missing, altered or not ours."""
        ...

    def older(self, site: str = "") -> bool:
        """Return whether the derived rows of a site were made by the rules of an older version."""
        ...


@dataclass(slots=True)
class _Seen:
    """What has to wait for the end of the log, where the rules that explain it stand."""

    missing_clips: dict[str, tuple[int, str]] = field(default_factory=dict)
    clip_rule: str = ""
    removal_rules: dict[int, str] = field(default_factory=dict)


class _Check:
    def __init__(
        self,
        source: Snapshots,
        anchors: Iterable[Head],
        progress: Callable[[int], None] | None,
        *,
        clips_folder: Path | None = None,
        shared: bool = False,
    ) -> None:
        """``shared`` says that the database holds other sites' entries beside those of this chain."""
        self._source = source
        self._given = tuple(anchors)
        self._anchors: dict[int, list[Head]] = {}
        for anchor in self._given:
            self._anchors.setdefault(anchor.count, []).append(anchor)
        self._clips_folder = clips_folder
        self._shared = shared
        self._progress = progress or (lambda done: None)
        self._faults: list[Fault] = []
        self._seen = _Seen()
        self._sound = True
        self._clips = 0
        self._checked = 0
        self._removed = 0
        self._older: tuple[int, ...] = ()

    def fault(self, number: int, text: str) -> None:
        self._faults.append(Fault(number, text))

    def run(self, site: str) -> Report:
        chain = Chain()
        scratch = Scratch()
        keeper = Keeper(scratch, site, self._source)
        try:
            for row in self._rows(site):
                self._follow(chain, site, row, keeper)
                if len(self._faults) >= _MOST_FAULTS:
                    break
            else:
                self._finish(chain)
                self._check_standing(chain, keeper, scratch, site)
        except KitchenError as error:
            self.fault(chain.count + 1, f"the log cannot be read after entry {chain.count}: {error}")
        finally:
            scratch.close()
        faults = sorted(self._faults, key=lambda fault: fault.entry or 1 << 62)
        head = Head(chain.count, chain.hash)
        return Report(
            head, self._checked, self._clips, tuple(faults[:_MOST_FAULTS]), self._removed, self._older
        )

    def _rows(self, site: str, last: int = 0) -> Iterator[tuple[Any, ...]]:
        query, sites = (f"{_QUERY} AND e.site = ?", [site]) if self._shared else (_QUERY, [])
        while rows := self._source.rows(f"{query} ORDER BY e.id LIMIT ?", [last, *sites, _CHUNK]):
            yield from rows
            last = int(rows[-1][0])
            self._progress(self._checked)

    def _follow(self, chain: Chain, site: str, row: tuple[Any, ...], keeper: Keeper) -> None:
        number, previous_hash, stored_hash = int(row[0]), str(row[1]), str(row[2])
        body = row[3].encode() if isinstance(row[3], str) else bytes(row[3])
        if not self._checked and number > 1:  # may be the retention rule: its note tells at the end
            self._removed = number - 1
            self._seen.removal_rules[0] = previous_hash
            chain.count, chain.hash = number - 1, previous_hash
        self._checked += 1
        found = chain.follow(number, previous_hash, stored_hash, body)
        if isinstance(found, Fault):
            self._sound = False
            self._faults.append(found)
        elif row[4] != site:
            self._sound = False
            self.fault(number, f"entry {number} was put in or changed: it carries another site")
        elif not all(anchor.fits(stored_hash) for anchor in self._anchors.get(number, ())):
            self._sound = False
            self._other_head(number, stored_hash)
        else:
            self._take(found)
            if self._sound:
                keeper.add(found)

    def _other_head(self, number: int, stored_hash: str) -> None:
        if any(anchor.fits(stored_hash) for anchor in self._anchors[number]):
            self.fault(number, f"two different heads were noted for {number} entries")
        else:
            self.fault(number, f"the log up to entry {number} is not the one whose head was noted outside")

    def _take(self, entry: Entry) -> None:
        if entry.clip is not None and self._clips_folder:
            self._check_clip(entry, self._clips_folder)
        if entry.kind == "retention":
            self._note_rule(entry)
        elif entry.kind == "rollback":
            self.fault(entry.id, f"entry {entry.id} tells that {entry.note}")

    def _check_clip(self, entry: Entry, folder: Path) -> None:
        assert entry.clip is not None
        try:
            path = clip_path(folder, entry.clip)
            if not path.is_file():
                day = entry.clip.path.partition("/")[0]
                self._seen.missing_clips.setdefault(day, (entry.id, entry.clip.path))
                return
            self._clips += 1
            if hash_file(path) != entry.clip.sha256:
                self.fault(entry.id, f"the clip of entry {entry.id} was changed: {entry.clip.path}")
        except (InputError, OSError) as error:
            self.fault(entry.id, f"the clip of entry {entry.id} cannot be read: {error}")

    def _note_rule(self, entry: Entry) -> None:
        if entry.subject == "clips":
            self._seen.clip_rule = max(self._seen.clip_rule, entry.item)
        elif entry.subject == "entries" and entry.value:
            self._seen.removal_rules[int(entry.value)] = entry.item

    def _finish(self, chain: Chain) -> None:
        rules, begun_at = self._seen.removal_rules, self._seen.removal_rules.pop(0, FIRST_HASH)
        if self._removed and rules.get(self._removed) != begun_at:
            self.fault(1, f"entries 1 to {self._removed} are missing and no retention note covers them")
        for day, (number, path) in self._seen.missing_clips.items():
            if day >= self._seen.clip_rule:
                self.fault(number, f"the clip of entry {number} is missing: {path}")
        for anchor in self._given:
            self._check_anchor(anchor, chain)

    def _check_anchor(self, anchor: Head, chain: Chain) -> None:
        if anchor.count > chain.count:
            self.fault(
                chain.count + 1,
                f"the log was cut: it ends at entry {chain.count}, a head noted outside is of {anchor.count}",
            )
        elif anchor.count == self._removed and not anchor.fits(self._first_hash()):
            self.fault(1, f"the head noted for {anchor.count} entries is not the one that this log followed")

    def _first_hash(self) -> str:
        return self._seen.removal_rules.get(self._removed, FIRST_HASH)

    def _check_standing(self, chain: Chain, keeper: Keeper, scratch: Scratch, site: str) -> None:
        """Hold the derived table against one made anew; what differs is looked at again in one picture.

        A writer may have come in between: then the entries that it added are taken up first.
        """
        if not self._sound:  # else there is nothing to hold the derived table against
            return
        keeper.flush()
        suspects = differing(self._source, scratch, site)
        if not suspects:
            return
        with self._source.snapshot():
            for row in self._rows(site, chain.count):
                self._follow(chain, site, row, keeper)
            keeper.flush()
            rows = {n: (row_of(self._source, site, n), row_of(scratch, site, n)) for n in suspects}
            older = self._source.older(site)
        found = {number: pair for number, pair in rows.items() if pair[0] != pair[1]}
        self._older = tuple(each for each, pair in found.items() if older and differs_by_rules(*pair))
        altered = [each for each in found if each not in set(self._older)]
        for number in altered[:_MOST_FAULTS]:
            self.fault(number, f"the table of how entries stand was altered at entry {number}")
