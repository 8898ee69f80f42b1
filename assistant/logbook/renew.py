"""Makes the table of how entries stand anew where an older version of this program made it by other rules.

The table is no part of the record: it follows from the entries. What closes a corrective action was told
apart more finely with time, and a log of an older version is neither altered nor wrong for that.
"""

from __future__ import annotations

from collections.abc import Callable

from pydantic import ValidationError

from assistant.errors import DamagedLogError
from assistant.logbook.canonical import decode
from assistant.logbook.scratch import Scratch, differing, row_of
from assistant.logbook.standing import COLUMNS, Keeper, Rows, Standing

RULES = 3
"""Of what closes an action; raised whenever ``standing`` decides otherwise about the same entries."""
BY_RULES = ("open", "closed_by")
"""The columns that these rules decide; all others hold what an entry itself says, in every version."""
Progress = Callable[[int, int], None]
"""Told every few thousand entries how many are done, of how many; each is gone through twice."""
_CHUNK = 2000
_BY_RULES = tuple(COLUMNS.index(name) for name in BY_RULES)


class Anew:
    """The table of one kitchen, made from its entries in a file of its own."""

    def __init__(self, source: Rows, site: str, progress: Progress | None = None) -> None:
        """Begin with no entry read; ``progress`` hears how far it came."""
        self._source, self._site, self._last = source, site, 0
        self._progress = progress
        self._all = 0
        self._scratch = Scratch()
        self._keeper = Keeper(self._scratch, site, source)

    def follow(self) -> None:
        """Read the entries that came since; raises ``DamagedLogError`` for one that cannot be read."""
        counted = self._source.rows("SELECT max(id) FROM entries WHERE site = ?", [self._site])
        self._all = int(counted[0][0] or 0)
        while rows := self._source.rows(
            "SELECT id, body, hash FROM entries WHERE site = ? AND id > ? ORDER BY id LIMIT ?",
            [self._site, self._last, _CHUNK],
        ):
            for number, body, stored_hash in rows:
                try:
                    self._keeper.add(decode(bytes(body), str(stored_hash)))
                except (ValidationError, UnicodeEncodeError):
                    raise DamagedLogError(f"entry {number} was altered and cannot be read") from None
                self._last = int(number)
            self._tell(self._last)

    def put(self) -> tuple[int, ...]:
        """Write what differs into the log's own table, inside the caller's transaction; return where."""
        self._keeper.flush()
        changed = tuple(differing(
            self._source, self._scratch, self._site, lambda number: self._tell(self._all + number)
        ))  # fmt: skip
        for count, number in enumerate(changed):
            if count % _CHUNK == 0:
                self._tell(2 * self._all)
            self._source.rows("DELETE FROM standing WHERE site = ? AND id = ?", [self._site, number])
            if row := row_of(self._scratch, self._site, number):
                self._source.put([Standing(*row)])
        return changed

    def _tell(self, done: int) -> None:
        if self._progress:
            self._progress(done, 2 * self._all)

    def close(self) -> None:
        """Drop the file."""
        self._scratch.close()


def differs_by_rules(one: tuple[object, ...] | None, other: tuple[object, ...] | None) -> bool:
    """Whether two rows of one entry say the same but for what the rules of closing decide."""
    if one is None or other is None:
        return False
    return all(
        a == b for number, (a, b) in enumerate(zip(one, other, strict=True)) if number not in _BY_RULES
    )
