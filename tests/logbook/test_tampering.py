"""Every kind of tampering is found and the first place named; honest logs are clean."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
import rfc8785
from hypothesis import given
from hypothesis import strategies as st

from assistant.errors import InputError
from assistant.logbook import Draft, Head, Logbook, SetClock
from assistant.logbook.canonical import digest
from assistant.logbook.database import FILE_NAME, Database
from assistant.logbook.entry import Entry
from assistant.logbook.scripts import statements
from assistant.logbook.standing import Keeper
from assistant.logbook.verify import verify
from tests.logbook.random_logs import MORNING, QUICK, SLOW, logs

Row = tuple[str, int, str, str, bytes]
Change = Callable[[list[Row], int], list[Row]]


def rewrite(folder: Path, change: Callable[[list[Row]], list[Row]]) -> None:
    """Replace all entries by what ``change`` makes of them; the guards are put back as they were."""
    with closing(sqlite3.connect(folder / FILE_NAME, isolation_level=None)) as raw:
        raw.execute("PRAGMA synchronous = OFF")
        raw.execute("BEGIN")
        guards = [each for each in statements("schema.sql") if each.startswith("CREATE TRIGGER")]
        for guard in guards:
            raw.execute(f"DROP TRIGGER {guard.split()[2]}")
        rows = raw.execute("SELECT site, id, previous_hash, hash, body FROM entries ORDER BY id").fetchall()
        raw.execute("DELETE FROM entries")
        raw.executemany("INSERT INTO entries VALUES (?, ?, ?, ?, ?)", change(rows))
        for guard in guards:
            raw.execute(guard)
        raw.execute("COMMIT")


def changed_body(body: bytes, **fields: object) -> bytes:
    """Return the canonical bytes with other fields."""
    return rfc8785.dumps({**json.loads(body), **fields})


def change_text(rows: list[Row], at: int) -> list[Row]:
    """Change what was logged and leave the hash."""
    site, number, previous, stored, body = rows[at]
    return [*rows[:at], (site, number, previous, stored, changed_body(body, note="altered")), *rows[at + 1 :]]


def change_and_hash(rows: list[Row], at: int) -> list[Row]:
    """Change what was logged and put the right hash to it, in this entry alone."""
    site, number, previous, _, body = rows[at]
    altered = changed_body(body, note="altered")
    return [*rows[:at], (site, number, previous, digest(altered), altered), *rows[at + 1 :]]


def change_hash_column(rows: list[Row], at: int) -> list[Row]:
    """Change the stored hash alone."""
    site, number, previous, stored, body = rows[at]
    flipped = ("0" if stored[0] != "0" else "1") + stored[1:]
    return [*rows[:at], (site, number, previous, flipped, body), *rows[at + 1 :]]


def change_previous_column(rows: list[Row], at: int) -> list[Row]:
    """Change the copy of the previous hash alone."""
    site, number, _, stored, body = rows[at]
    return [*rows[:at], (site, number, "f" * 64, stored, body), *rows[at + 1 :]]


def change_site_column(rows: list[Row], at: int) -> list[Row]:
    """Hide an entry from queries by moving it to another site."""
    _, *rest = rows[at]
    return [*rows[:at], ("elsewhere", *rest), *rows[at + 1 :]]  # type: ignore[list-item]


def remove(rows: list[Row], at: int) -> list[Row]:
    """Take one entry out."""
    return rows[:at] + rows[at + 1 :]


def remove_and_renumber(rows: list[Row], at: int) -> list[Row]:
    """Take one entry out and close the gap in the numbers."""
    return _renumbered(remove(rows, at))


def insert_copy(rows: list[Row], at: int) -> list[Row]:
    """Put in a second copy of an entry and renumber the rest."""
    return _renumbered(rows[: at + 1] + rows[at:])


def insert_forged(rows: list[Row], at: int) -> list[Row]:
    """Put in an entry that follows rightly from the one before it, and renumber the rest."""
    forged = _linked(rows[: at + 1])[-1:]
    body = changed_body(forged[0][4], note="never happened", id=at + 2, previous_hash=rows[at][3])
    return _renumbered([*rows[: at + 1], (rows[at][0], 0, rows[at][3], digest(body), body), *rows[at + 1 :]])


def swap(rows: list[Row], at: int) -> list[Row]:
    """Exchange an entry with the next one (the last with the one before)."""
    first = min(at, len(rows) - 2)
    return _renumbered([*rows[:first], rows[first + 1], rows[first], *rows[first + 2 :]])


def cut(rows: list[Row], at: int) -> list[Row]:
    """Cut the log's end off."""
    return rows[:at]


def rebuild_changed(rows: list[Row], at: int) -> list[Row]:
    """Change one entry and make the whole chain after it anew: the perfect forgery."""
    return _linked(change_and_hash(rows, at))


def rebuild_without(rows: list[Row], at: int) -> list[Row]:
    """Take one entry out and make the whole chain after it anew."""
    return _linked(remove_and_renumber(rows, at))


def _renumbered(rows: list[Row]) -> list[Row]:
    return [(site, number, *rest) for number, (site, _, *rest) in enumerate(rows, 1)]  # type: ignore[misc]


def _linked(rows: list[Row]) -> list[Row]:
    linked: list[Row] = []
    previous = "0" * 64
    for site, number, _, _, body in rows:
        body = changed_body(body, id=number, previous_hash=previous)
        linked.append((site, number, previous, digest(body), body))
        previous = linked[-1][3]
    return linked


def restand(folder: Path, site: str) -> None:
    """Make the derived table anew as well, so that it agrees with the altered entries."""
    database = Database(folder / FILE_NAME, writable=True)
    with database.atomic():
        database.rows("DELETE FROM standing")
        keeper = Keeper(database, site)
        for number, body in database.rows("SELECT id, body FROM entries ORDER BY id"):
            entry = Entry.model_validate_json(body[:-1] + b',"hash":""}')
            keeper.add(entry.model_copy(update={"id": number}))
        keeper.flush()
    database.close()


WAYS: tuple[Change, ...] = (
    change_text, change_and_hash, change_hash_column, change_previous_column, change_site_column, remove,
    remove_and_renumber, insert_copy, insert_forged, swap, cut, rebuild_changed, rebuild_without,
)  # fmt: skip
NEED_AN_ANCHOR = (rebuild_changed, rebuild_without)
"""A chain made anew as a whole agrees with itself: only a head noted outside shows it."""

Structure = Callable[[Path], None]


def altered(folder: Path, *steps: str, schema: bool = False) -> None:
    """Run statements on the file as somebody with a tool for it would; ``schema`` opens the list of parts."""
    with closing(sqlite3.connect(folder / FILE_NAME, isolation_level=None)) as raw:
        if schema:
            raw.execute("PRAGMA writable_schema = ON")
        for step in steps:
            raw.execute(step)


def index_with_a_condition(folder: Path) -> None:
    """The index of failed readings made anew so that it leaves a place out, under its old name."""
    altered(
        folder, "DROP INDEX standing_failed",
        "CREATE INDEX standing_failed ON standing (day, site, id)"
        " WHERE verdict = 'fail' AND withdrawn = 0 AND subject <> 'walk-in'",
    )  # fmt: skip


def index_with_a_hidden_condition(folder: Path) -> None:
    """The same, and its text in the list of parts put back as it was shipped."""
    shipped = next(each for each in statements("standing.sql") if " standing_failed " in each)
    index_with_a_condition(folder)
    quoted = shipped.replace("'", "''")
    altered(folder, f"UPDATE sqlite_master SET sql = '{quoted}' WHERE name = 'standing_failed'", schema=True)


def swapped_index(folder: Path) -> None:
    """Two indexes of one shape exchanged: what failed is looked for among what is open."""
    altered(
        folder,
        "UPDATE sqlite_master SET rootpage = (SELECT sum(rootpage) FROM sqlite_master WHERE name IN"
        " ('standing_failed', 'standing_day')) - rootpage WHERE name IN ('standing_failed', 'standing_day')",
        schema=True,
    )


def foreign_trigger(folder: Path) -> None:
    """Whatever fails from now on is turned into a pass."""
    altered(
        folder,
        "CREATE TRIGGER kinder AFTER INSERT ON standing WHEN NEW.verdict = 'fail'"
        " BEGIN UPDATE standing SET verdict = 'pass' WHERE id = NEW.id; END",
    )


def view_in_place_of_table(folder: Path) -> None:
    """The derived table put aside, and a view that leaves fails out in its place."""
    altered(
        folder, "ALTER TABLE standing RENAME TO kept",
        "CREATE VIEW standing AS SELECT * FROM kept WHERE verdict <> 'fail'",
    )  # fmt: skip


def foreign_index(folder: Path) -> None:
    """An index of somebody else's."""
    altered(folder, "CREATE INDEX more ON standing (verdict) WHERE verdict = 'pass'")


def damaged_index(folder: Path) -> None:
    """One page of an index overwritten with zeros."""
    with closing(sqlite3.connect(folder / FILE_NAME)) as raw:
        (page,) = raw.execute("SELECT rootpage FROM sqlite_master WHERE name = 'standing_kind'").fetchone()
        (size,) = raw.execute("PRAGMA page_size").fetchone()
    with (folder / FILE_NAME).open("r+b") as file:
        file.seek((page - 1) * size)
        file.write(bytes(size))


STRUCTURES: tuple[Structure, ...] = (
    index_with_a_condition, index_with_a_hidden_condition, swapped_index, foreign_trigger,
    view_in_place_of_table, foreign_index, damaged_index,
)  # fmt: skip
MIXED = [
    Draft(kind="reading", subject="walk-in", measured="air", value="45", unit="F", verdict="fail"),
    Draft(kind="action_opened", subject="walk-in", measured="air", refers_to=-1),
    Draft(kind="reading", subject="fryer", measured="air", value="45", unit="F", verdict="fail"),
    Draft(kind="withdrawal", subject="fryer", refers_to=-1),
    Draft(kind="note", subject="note"),
]
"""A fail that stays open, and one that was taken back."""


def written(folder: Path, turn: list[Draft]) -> Head:
    """Log a turn and return the head as it is noted outside."""
    with Logbook.open(folder, site="Pine Street", clock=SetClock(MORNING)) as log:
        log.append(turn)
        return log.views.head()


@given(logs)
@SLOW
def test_an_honest_log_is_clean(turn: list[Draft]) -> None:
    """Whatever words, numbers and characters were logged."""
    with TemporaryDirectory(dir=QUICK) as folder:
        head = written(Path(folder), turn)
        report = verify(folder, [head])
        assert report.faults == ()
        assert report.head == head


@given(logs, st.sampled_from(WAYS), st.integers(0, 7), st.booleans())
@SLOW
def test_every_kind_of_tampering_is_found(turn: list[Draft], way: Change, place: int, restood: bool) -> None:
    """At any place, also when the derived table was made to agree; given the head noted outside."""
    at = place % (len(turn) - (way is insert_forged))  # one more at the end is simply an entry
    with TemporaryDirectory(dir=QUICK) as folder:
        head = written(Path(folder), turn)
        rewrite(Path(folder), lambda rows: way(rows, at))
        if restood:
            restand(Path(folder), "Pine Street")
        report = verify(folder, [head])
        assert not report.ok
        assert report.first is not None
        if way not in NEED_AN_ANCHOR:
            assert report.first.entry in {at, at + 1, at + 2, at + 3}


@pytest.mark.parametrize("way", [each for each in WAYS if each not in (*NEED_AN_ANCHOR, cut)])
@pytest.mark.parametrize("at", [0, 2, 4])
def test_all_but_the_perfect_forgery_show_without_any_head(tmp_path: Path, way: Change, at: int) -> None:
    """In the middle of a log its own chain tells."""
    written(tmp_path, [Draft(kind="note", subject="note", words=f"word {n}") for n in range(7)])
    rewrite(tmp_path, lambda rows: way(rows, at))
    restand(tmp_path, "Pine Street")
    first = verify(tmp_path).first
    assert first is not None
    assert first.entry in {at, at + 1, at + 2, at + 3}


@pytest.mark.parametrize("at", [0, 3, 6])
def test_a_changed_text_is_named_exactly(tmp_path: Path, at: int) -> None:
    """The number of the altered entry itself."""
    written(tmp_path, [Draft(kind="note", subject="note", words=f"word {n}") for n in range(7)])
    rewrite(tmp_path, lambda rows: change_text(rows, at))
    first = verify(tmp_path).first
    assert first is not None
    assert (first.entry, "was changed" in first.text) == (at + 1, True)


@pytest.mark.parametrize(
    ("statement", "says"),
    [
        ("UPDATE standing SET verdict = 'pass' WHERE id = 1", "entry 1"),
        ("UPDATE standing SET open = 0 WHERE id = 2", "entry 2"),
        ("UPDATE standing SET root = id WHERE id = 4", "entry 4"),
        ("DELETE FROM standing WHERE id = 5", "entry 5"),
        ("INSERT INTO standing SELECT site, 9, 9, kind, day, at, entered, subject, place, item, measured,"
         " person, verdict, refers_to, 0, 0, 0, NULL FROM standing WHERE id = 1", "entry 9"),
    ],
)  # fmt: skip
def test_an_altered_table_of_standing_is_found(tmp_path: Path, statement: str, says: str) -> None:
    """The page reads it, so it is held against the entries."""
    written(tmp_path, [
        Draft(kind="reading", subject="walk-in", verdict="fail"),
        Draft(kind="action_opened", subject="walk-in", refers_to=-1),
        Draft(kind="note", subject="note"),
        Draft(kind="withdrawal", subject="note", refers_to=-1),
        Draft(kind="note", subject="note"),
    ])  # fmt: skip
    assert verify(tmp_path).ok
    with closing(sqlite3.connect(tmp_path / FILE_NAME)) as raw, raw:
        raw.execute(statement)
    first = verify(tmp_path).first
    assert first is not None
    assert says in first.text


@pytest.mark.parametrize("way", STRUCTURES)
def test_a_structure_that_is_not_ours_is_found(tmp_path: Path, way: Structure) -> None:
    """What hides or turns an answer without touching an entry: the entries alone would look sound."""
    written(tmp_path, MIXED)
    way(tmp_path)
    assert not verify(tmp_path).ok


@given(logs, st.sampled_from(STRUCTURES))
@SLOW
def test_every_structure_that_is_not_ours_is_found(turn: list[Draft], way: Structure) -> None:
    """Whatever was logged, beside one failed reading and its action."""
    with TemporaryDirectory(dir=QUICK) as folder:
        head = written(Path(folder), [*MIXED, *turn])
        way(Path(folder))
        assert not verify(folder, [head]).ok


@pytest.mark.parametrize("way", [foreign_trigger, view_in_place_of_table])
def test_nothing_is_written_into_a_structure_that_is_not_ours(tmp_path: Path, way: Structure) -> None:
    """Neither by a program that starts, nor by one that was running when it was altered."""
    with Logbook.open(tmp_path, site="Pine Street") as log:
        log.append(MIXED)
        way(tmp_path)
        with pytest.raises(InputError, match="not built as this program builds it"):
            log.append(Draft(kind="note", subject="note"))
    with pytest.raises(InputError, match="not built as this program builds it"):
        Logbook.open(tmp_path, site="Pine Street")


def test_a_withdrawal_struck_from_the_derived_table_is_found(tmp_path: Path) -> None:
    """The withdrawn entry's own row made to look as if nothing had happened to it."""
    written(tmp_path, MIXED)
    with closing(sqlite3.connect(tmp_path / FILE_NAME)) as raw, raw:
        raw.execute("UPDATE standing SET amended = 0, withdrawn = 0 WHERE id = 3")
    first = verify(tmp_path).first
    assert first is not None
    assert "entry 3" in first.text


def test_a_missing_guard_is_reported(tmp_path: Path) -> None:
    """Somebody took a trigger away."""
    written(tmp_path, [Draft(kind="note", subject="note")])
    with closing(sqlite3.connect(tmp_path / FILE_NAME)) as raw:
        raw.execute("DROP TRIGGER entries_no_delete")
    first = verify(tmp_path).first
    assert first is not None
    assert "entries_no_delete" in first.text
