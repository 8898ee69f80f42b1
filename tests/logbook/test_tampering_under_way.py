"""Tampering while a program runs or entries are on their way: a file put back, a derived value turned."""

from __future__ import annotations

import shutil
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory
from unittest.mock import patch

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.errors import LogWriteError
from assistant.logbook import Draft, Logbook, SetClock, open_views
from assistant.logbook.database import FILE_NAME
from assistant.logbook.standing import COLUMNS, Keeper, Standing
from assistant.logbook.store import lost as lost_head
from assistant.logbook.verify import verify
from tests.logbook.random_logs import MORNING, QUICK, SLOW, logs


@given(logs, logs, st.booleans(), st.booleans())
@SLOW
def test_every_rollback_while_running_is_found(
    before: list[Draft], lost: list[Draft], replaced: bool, by_page: bool
) -> None:
    """An older file put back under a program, whatever it held: copied over the newer one or in its place."""
    with TemporaryDirectory(dir=QUICK) as name:
        folder = Path(name)
        with Logbook.open(folder, site="Pine Street", clock=SetClock(MORNING)) as log:
            log.append(before)
            log.database.copy_to(folder / "earlier")
            log.append(lost)
            with open_views(folder) as views:
                seen = views.head()
            (shutil.move if replaced else shutil.copy)(folder / "earlier", folder / FILE_NAME)
            if by_page:
                with open_views(folder) as views:
                    assert lost_head(views._source, seen) == seen
            log.append(Draft(kind="note", subject="note"))
        report = verify(folder)
        assert report.first is not None
        assert f"it had {len(before) + len(lost)} entries" in report.first.text


DERIVED = [name for name in COLUMNS if name not in ("site", "id")]


@given(logs, st.sampled_from(DERIVED), st.integers(0, 7), st.booleans())
@SLOW
def test_every_derived_value_turned_on_its_way_is_refused(
    turn: list[Draft], column: str, place: int, arriving: bool
) -> None:
    """In the writer's own file, and by the check that the office makes of what arrived: nothing is kept."""
    with (
        TemporaryDirectory(dir=QUICK) as name,
        Logbook.open(Path(name), site="Pine Street", clock=SetClock(MORNING)) as log,
    ):
        (first,) = log.append(Draft(kind="note", subject="note"))
        put, number = log.database.put, first.id + 1 + place % len(turn)

        def turned(rows: Sequence[Standing]) -> None:
            put([replace(row, **{column: other(row, column)}) if row.id == number else row for row in rows])

        with (
            patch.object(log.database, "put", turned),
            pytest.raises(LogWriteError, match="did not give"),
        ):
            log.append(turn)
        assert log.views.head().count == 1
        if arriving:
            entries = log.append(turn)
            assert Keeper(log.database, "Pine Street").misread(entries) is None
            value = other_value(log, number, column)
            log.database.rows(f"UPDATE standing SET {column} = ? WHERE id = ?", [value, number])
            assert Keeper(log.database, "Pine Street").misread(entries) == number


def other(row: Standing, column: str) -> object:
    """Another value of the same kind than the row has."""
    value = getattr(row, column)
    return f"{value}x" if isinstance(value, str) else (value or 0) + 1


def other_value(log: Logbook, number: int, column: str) -> object:
    """The same, of a row in the table."""
    ((value,),) = log.database.rows(f"SELECT {column} FROM standing WHERE id = ?", [number])
    return f"{value}x" if isinstance(value, str) else (value or 0) + 1
