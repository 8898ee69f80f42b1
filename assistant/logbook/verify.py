"""Checks that nothing was changed since it was logged: entries, clips, and heads noted outside the log.

A hash chain shows later change, not that an entry was honest when made; and a log cut at its end, or
made anew as a whole, shows only against a head that was noted elsewhere (an anchor).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from assistant.errors import InputError, KitchenError
from assistant.logbook.canonical import FIRST_HASH
from assistant.logbook.chain import Chain, Fault
from assistant.logbook.clips import FOLDER_NAME, clip_path, hash_file
from assistant.logbook.database import FILE_NAME, Database
from assistant.logbook.entry import Entry
from assistant.logbook.settle import AMENDING
from assistant.logbook.standing import COLUMNS, Keeper, Rows, Standing, fresh
from assistant.logbook.views import Head

_CHUNK = 2000
_MOST_FAULTS = 20
_COLUMNS = ", ".join(f"s.{name}" for name in COLUMNS)
_QUERY = (
    f"SELECT e.id, e.previous_hash, e.hash, e.body, e.site, {_COLUMNS} FROM entries e"
    " LEFT JOIN standing s ON s.site = e.site AND s.id = e.id WHERE e.id > ?"
)


@dataclass(frozen=True, slots=True)
class Report:
    """What a check found. ``faults`` are in the order of the log; at most 20 are listed."""

    head: Head
    checked: int
    clips: int
    faults: tuple[Fault, ...]
    removed_by_rule: int = 0

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
        missing = database.guards_missing()
        if missing:
            check.fault(0, f"the guards against change are missing or altered: {', '.join(missing)}")
        sites = [str(row[0]) for row in database.rows("SELECT site FROM entries ORDER BY id LIMIT 1")]
        return check.run(sites[0] if sites else "")
    finally:
        database.close()


def verify_source(
    source: Rows, site: str, anchors: Iterable[Head] = (), progress: Callable[[int], None] | None = None
) -> Report:
    """Check one site's entries in any database (no clips)."""
    return _Check(source, anchors, progress, shared=True).run(site)


@dataclass(slots=True)
class _Seen:
    """What has to wait for the end of the log, where the rules that explain it stand."""

    missing_clips: dict[str, tuple[int, str]] = field(default_factory=dict)
    clip_rule: str = ""
    removal_rules: dict[int, str] = field(default_factory=dict)
    look_again: set[int] = field(default_factory=set)


class _Check:
    def __init__(
        self,
        source: Rows,
        anchors: Iterable[Head],
        progress: Callable[[int], None] | None,
        *,
        clips_folder: Path | None = None,
        shared: bool = False,
    ) -> None:
        """``shared`` says that the database holds other sites' entries beside those of this chain."""
        self._source = source
        self._given = tuple(anchors)
        self._anchors = {anchor.count: anchor for anchor in self._given}
        self._clips_folder = clips_folder
        self._shared = shared
        self._progress = progress or (lambda done: None)
        self._faults: list[Fault] = []
        self._seen = _Seen()
        self._clips = 0
        self._checked = 0
        self._removed = 0

    def fault(self, number: int, text: str) -> None:
        self._faults.append(Fault(number, text))

    def run(self, site: str) -> Report:
        chain = Chain()
        keeper = Keeper(self._source, site)
        try:
            for row in self._rows(site):
                self._follow(chain, site, row)
                if len(self._faults) >= _MOST_FAULTS:
                    break
            else:
                self._finish(chain, keeper, site)
        except KitchenError as error:
            self.fault(chain.count + 1, f"the log cannot be read after entry {chain.count}: {error}")
        faults = sorted(self._faults, key=lambda fault: fault.entry or 1 << 62)
        head = Head(chain.count, chain.hash)
        return Report(head, self._checked, self._clips, tuple(faults[:_MOST_FAULTS]), self._removed)

    def _rows(self, site: str) -> Iterator[tuple[Any, ...]]:
        last = 0
        query, sites = (f"{_QUERY} AND e.site = ?", [site]) if self._shared else (_QUERY, [])
        while rows := self._source.rows(f"{query} ORDER BY e.id LIMIT ?", [last, *sites, _CHUNK]):
            yield from rows
            last = int(rows[-1][0])
            self._progress(self._checked)

    def _follow(self, chain: Chain, site: str, row: tuple[Any, ...]) -> None:
        number, previous_hash, stored_hash = int(row[0]), str(row[1]), str(row[2])
        body = row[3].encode() if isinstance(row[3], str) else bytes(row[3])
        if not self._checked and number > 1:  # may be the retention rule: its note tells at the end
            self._removed = number - 1
            self._seen.removal_rules[0] = previous_hash
            chain.count, chain.hash = number - 1, previous_hash
        self._checked += 1
        found = chain.follow(number, previous_hash, stored_hash, body)
        anchor = self._anchors.get(number)
        if isinstance(found, Fault):
            self._faults.append(found)
        elif row[4] != site:
            self.fault(number, f"entry {number} was put in or changed: it carries another site")
        elif anchor and anchor.hash != stored_hash:
            self.fault(number, f"the log up to entry {number} is not the one whose head was noted outside")
        else:
            self._take(found, site, Standing(*row[5:]) if row[5] is not None else None)

    def _take(self, entry: Entry, site: str, row: Standing | None) -> None:
        if entry.clip is not None and self._clips_folder:
            self._check_clip(entry, self._clips_folder)
        if entry.kind == "retention":
            self._note_rule(entry)
        plain = entry.kind not in (*AMENDING, "action_opened")
        refers_to = row.refers_to if row and entry.refers_to else None
        if not plain or row != fresh(site, entry, refers_to) or entry.refers_to:
            self._seen.look_again.add(entry.id)

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

    def _finish(self, chain: Chain, keeper: Keeper, site: str) -> None:
        rules, begun_at = self._seen.removal_rules, self._seen.removal_rules.pop(0, FIRST_HASH)
        if self._removed and rules.get(self._removed) != begun_at:
            self.fault(1, f"entries 1 to {self._removed} are missing and no retention note covers them")
        for day, (number, path) in self._seen.missing_clips.items():
            if day >= self._seen.clip_rule:
                self.fault(number, f"the clip of entry {number} is missing: {path}")
        for anchor in self._given:
            self._check_anchor(anchor, chain)
        if not self._faults:  # else the derived table has nothing sound to be held against
            self._check_standing(keeper, site)

    def _check_anchor(self, anchor: Head, chain: Chain) -> None:
        if anchor.count > chain.count:
            self.fault(
                chain.count + 1,
                f"the log was cut: it ends at entry {chain.count}, a head noted outside is of {anchor.count}",
            )
        elif self._anchors[anchor.count] != anchor:
            self.fault(anchor.count, f"two different heads were noted for {anchor.count} entries")
        elif anchor.count == self._removed and anchor.hash != self._first_hash():
            self.fault(1, f"the head noted for {anchor.count} entries is not the one that this log followed")

    def _first_hash(self) -> str:
        return self._seen.removal_rules.get(self._removed, FIRST_HASH)

    def _check_standing(self, keeper: Keeper, site: str) -> None:
        for number in sorted(self._seen.look_again):
            if not (self._agrees(keeper, site, number) or self._agrees(keeper, site, number)):
                self.fault(number, f"the table of how entries stand was altered at entry {number}")
        kept, newest = self._source.rows(
            "SELECT (SELECT count(*) FROM standing s WHERE s.site = ?),"
            " (SELECT count(*) FROM entries e WHERE e.site = ?)",
            [site, site],
        )[0]
        if kept != newest:
            self.fault(0, f"the table of how entries stand has {kept} rows for {newest} entries")

    def _agrees(self, keeper: Keeper, site: str, number: int) -> bool:
        """Asked twice before a fault is reported: a writer may have come in between the two queries."""
        rows = self._source.rows(
            f"SELECT {_COLUMNS} FROM standing s WHERE s.site = ? AND s.id = ?", [site, number]
        )
        return bool(rows) and Standing(*rows[0]) == keeper.expected(number)
