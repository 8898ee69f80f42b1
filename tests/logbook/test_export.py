"""CSV and JSON Lines: complete, described, checkable by anybody with SHA-256."""

from __future__ import annotations

import csv
import hashlib
import json
from datetime import date
from pathlib import Path

import pytest

from assistant.errors import InputError, LogWriteError
from assistant.logbook import Draft, Entry, Filter, Logbook
from assistant.logbook.anchors import add_anchor, read_anchors
from assistant.logbook.entry import Limits
from assistant.logbook.export import columns, export, verify_json_lines
from assistant.logbook.verify import verify


@pytest.fixture
def filled(log: Logbook, failed: Draft, opened: Draft) -> Logbook:
    """A fail with limits and its action, a correction, a note."""
    failed = failed.model_copy(update={"limits": Limits(high="41", unit="F")})
    log.append([failed, opened])
    log.append(Draft(kind="correction", subject="walk-in", refers_to=1, value="-4", verdict="pass"))
    log.append(Draft(kind="note", subject="note", note="=1+1", words="año, ½ pan"))
    return log


def rows_of(path: Path) -> list[dict[str, str]]:
    """The rows of a CSV as a spreadsheet reads them."""
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def test_csv_shows_lines_as_logged_and_as_they_stand(filled: Logbook, tmp_path: Path) -> None:
    """Original and corrected value side by side."""
    path = tmp_path / "log.csv"
    assert export(filled.views, path, "csv", filled.clock.now()) == 3
    first, action, _ = rows_of(path)
    assert (first["value"], first["verdict"], first["limits_high"]) == ("45", "fail", "41")
    assert (first["stands_value"], first["stands_verdict"], first["amended_by"]) == ("-4", "pass", "3")
    assert (action["open"], action["closed_by"]) == ("", "3")


def test_csv_never_holds_a_formula(filled: Logbook, tmp_path: Path) -> None:
    """What was said is text; a negative number stays a number."""
    export(filled.views, tmp_path / "log.csv", "csv", filled.clock.now())
    rows = rows_of(tmp_path / "log.csv")
    assert rows[2]["note"] == "'=1+1"
    assert rows[0]["stands_value"] == "-4"


def test_csv_takes_a_filter(filled: Logbook, tmp_path: Path) -> None:
    """Only notes; an empty choice still names its columns."""
    path = tmp_path / "log.csv"
    assert export(filled.views, path, "csv", filled.clock.now(), Filter(kinds=("note",))) == 1
    assert export(filled.views, path, "csv", filled.clock.now(), Filter.on(date(1999, 1, 1))) == 0
    assert path.read_text(encoding="utf-8-sig").startswith("id,site,kind,day")


def test_json_lines_hold_the_exact_bytes(filled: Logbook, tmp_path: Path) -> None:
    """Without its last member each line hashes to it: done here by hand."""
    path = tmp_path / "log.jsonl"
    assert export(filled.views, path, "jsonl", filled.clock.now()) == 4
    previous = "0" * 64
    for line in path.read_bytes().splitlines():
        entry = json.loads(line)
        body = line[: line.rindex(b',"hash":"')] + b"}"
        assert hashlib.sha256(body).hexdigest() == entry["hash"]
        assert entry["previous_hash"] == previous
        previous = entry["hash"]


def test_json_lines_take_no_filter(filled: Logbook, tmp_path: Path) -> None:
    """A part of a chain cannot be checked."""
    with pytest.raises(InputError, match="filter a CSV"):
        export(filled.views, tmp_path / "x", "jsonl", filled.clock.now(), Filter(failed=True))


def test_the_head_lies_beside_each_export(filled: Logbook, tmp_path: Path) -> None:
    """And the log is checked against it later."""
    export(filled.views, tmp_path / "log.csv", "csv", filled.clock.now())
    heads = read_anchors(tmp_path / "log.csv.head")
    assert heads == (filled.views.head(),)
    filled.append(Draft(kind="note", subject="note"))
    assert verify(filled.folder, heads).ok


def test_an_exported_chain_is_checked(filled: Logbook, tmp_path: Path) -> None:
    """Honest, altered, cut."""
    path = tmp_path / "log.jsonl"
    export(filled.views, path, "jsonl", filled.clock.now())
    heads = read_anchors(tmp_path / "log.jsonl.head")
    assert verify_json_lines(path, heads).ok
    content = path.read_bytes()
    path.write_bytes(content.replace(b'"value":"45"', b'"value":"35"'))
    first = verify_json_lines(path, heads).first
    assert first is not None
    assert first.entry == 1
    path.write_bytes(b"".join(content.splitlines(keepends=True)[:3]))
    first = verify_json_lines(path, heads).first
    assert first is not None
    assert "cut: it ends at 3" in first.text
    path.write_bytes(b"nonsense\n" + content)
    assert not verify_json_lines(path, heads).ok


def test_every_member_and_column_is_described() -> None:
    """The table names all fields of an entry, in the order of the CSV, and nothing else."""
    described = {row["column"] for row in columns() if row["in"] == "both"}
    nested = {"limits", "clip"}
    assert {name for name in described if name.partition("_")[0] not in nested} == (
        set(Entry.model_fields) - nested
    )
    assert {name for name in described if name.startswith("limits_")} == {
        f"limits_{name}" for name in Limits.model_fields
    }
    assert all(row["form"] and row["meaning"] for row in columns())


def test_an_export_that_cannot_be_written_leaves_nothing(filled: Logbook, tmp_path: Path) -> None:
    """A file is where the folder should be."""
    (tmp_path / "taken").write_text("")
    with pytest.raises(LogWriteError):
        export(filled.views, tmp_path / "taken" / "log.csv", "csv", filled.clock.now())


def test_heads_are_read_with_their_remarks(filled: Logbook, tmp_path: Path) -> None:
    """One a line; empty lines and remarks are fine."""
    path = tmp_path / "heads.txt"
    add_anchor(path, filled.views.head(), filled.clock.now(), "printed\nfor the inspector")
    add_anchor(path, filled.views.head(), filled.clock.now())
    path.write_text("# heads\n\n" + path.read_text())
    assert read_anchors(path) == (filled.views.head(),) * 2
    with pytest.raises(InputError, match="cannot be read"):
        read_anchors(tmp_path / "none.txt")
