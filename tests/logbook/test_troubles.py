"""Full, read-only, locked, damaged: one clear sentence, and nothing that was logged is lost."""

from __future__ import annotations

import os
import shutil
import sqlite3
import subprocess
import sys
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import numpy as np
import pytest

from assistant.errors import InputError, LogWriteError
from assistant.logbook import Draft, Logbook, SetClock, open_views
from assistant.logbook.database import FILE_NAME
from assistant.logbook.verify import verify

NOTE = Draft(kind="note", subject="note", words="a word or two for the record")


def fill(log: Logbook) -> None:
    """Log until that fails; five thousand notes are more than any disk here holds."""
    for _ in range(5000):
        log.append([NOTE, NOTE])


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A file system of 512 KiB."""
    folder = tmp_path / "small"
    folder.mkdir()
    options = ["mount", "-t", "tmpfs", "-o", "size=512k", "tmpfs", str(folder)]
    if shutil.which("mount") is None or subprocess.run(options, capture_output=True).returncode:
        pytest.skip("a small file system can be mounted by the administrator only")
    try:
        yield folder
    finally:
        subprocess.run(["umount", str(folder)], check=True)


def test_a_full_disk_loses_nothing_and_says_so(small_disk: Path, clock: SetClock) -> None:
    """Logged until it is full: every turn that was acknowledged is there, whole, before and after."""
    with Logbook.open(small_disk, clock=clock) as log:
        acknowledged = []
        append, log.append = log.append, lambda turn: acknowledged.append(append(turn))  # type: ignore
        with pytest.raises(LogWriteError, match=r"the disk is full.*free some space") as caught:
            fill(log)
        assert caught.value.exit_code == 4
        assert log.views.count() == 2 * len(acknowledged) > 100
    assert verify(small_disk).head.count == 2 * len(acknowledged)


def test_after_space_was_made_it_goes_on(small_disk: Path, clock: SetClock) -> None:
    """The same open log, no restart."""
    ballast = small_disk / "ballast"
    ballast.write_bytes(bytes(120_000))
    with Logbook.open(small_disk, clock=clock) as log:
        with pytest.raises(LogWriteError):
            fill(log)
        before = log.views.head().count
        ballast.unlink()
        (entry,) = log.append(NOTE)
        assert entry.id == before + 1
    assert verify(small_disk).ok


def test_a_clip_that_does_not_fit_leaves_nothing_behind(small_disk: Path, clock: SetClock) -> None:
    """No half file, and the log can still be read."""
    noise = np.random.default_rng(1).integers(-9000, 9000, 900_000).astype(np.int16)
    with Logbook.open(small_disk, clock=clock) as log:
        log.append(NOTE)
        with pytest.raises(LogWriteError, match="disk is full"):
            log.keep_clip(noise, 16000)
        assert [path for path in log.clips_folder.rglob("*") if path.is_file()] == []
        assert log.views.count() == 1


def test_a_file_size_limit_is_met_like_a_full_disk(tmp_path: Path) -> None:
    """A quota in a process of its own; what it acknowledged is there."""
    script = (
        "import resource, sys; from assistant.logbook import *; from assistant.errors import LogWriteError\n"
        "resource.setrlimit(resource.RLIMIT_FSIZE, (400_000, 400_000))\n"
        "log, draft = Logbook.open(sys.argv[1]), Draft(kind='note', subject='n', words='x' * 9000)\n"
        "try:\n"
        "    while True: print(log.append(draft)[0].id, flush=True)\n"
        "except LogWriteError as error: print('LogWriteError', error, flush=True)\n"
    )
    done = subprocess.run([sys.executable, "-c", script, str(tmp_path)], capture_output=True, text=True)
    *numbers, last = done.stdout.splitlines()
    assert last.startswith("LogWriteError "), done.stderr
    assert "nothing logged before is lost" in last
    report = verify(tmp_path)
    assert (report.ok, report.head.count) == (True, int(numbers[-1]))


@pytest.fixture
def locked_folder(tmp_path: Path, clock: SetClock) -> Iterator[Path]:
    """A log with one entry in a folder that cannot be written to."""
    folder = tmp_path / "state"
    with Logbook.open(folder, clock=clock) as log:
        log.append(NOTE)
    if os.geteuid() != 0:
        folder.chmod(0o555)
        (folder / FILE_NAME).chmod(0o444)
        yield folder
        folder.chmod(0o755)
        return
    for options in (["--bind", str(folder), str(folder)], ["-o", "remount,ro,bind", str(folder)]):
        if subprocess.run(["mount", *options], capture_output=True).returncode:
            pytest.skip("a folder that the administrator cannot write to needs a mount, not allowed here")
    yield folder
    subprocess.run(["umount", "--lazy", str(folder)], check=True)


def test_a_read_only_folder_says_so_and_can_be_read(locked_folder: Path) -> None:
    """The page still shows the log."""
    with pytest.raises(LogWriteError, match="read-only here"), Logbook.open(locked_folder) as log:
        log.append(NOTE)
    with open_views(locked_folder) as views:
        assert views.count() == 1
    assert verify(locked_folder).ok


def test_a_folder_that_cannot_be_made_says_so(tmp_path: Path) -> None:
    """A file is in the way."""
    (tmp_path / "state").write_text("a file")
    with pytest.raises(InputError, match="state is a file"):
        Logbook.open(tmp_path / "state")


def test_a_locked_log_says_so(log: Logbook) -> None:
    """Another program holds it longer than anybody would wait."""
    log.database.rows("PRAGMA busy_timeout = 50")
    with closing(sqlite3.connect(log.folder / FILE_NAME, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        with pytest.raises(LogWriteError, match="another program holds the log"):
            log.append(NOTE)
        other.execute("ROLLBACK")
    assert log.append(NOTE)[0].id == 1


@pytest.mark.parametrize("content", [b"not a database" * 100, b"SQLite format 3\x00" + b"\xff" * 5000])
def test_a_damaged_file_says_so_and_is_left_alone(tmp_path: Path, content: bytes) -> None:
    """It may still be of use to whoever repairs it."""
    (tmp_path / FILE_NAME).write_bytes(content)
    with pytest.raises(InputError, match="damaged or no log"):
        Logbook.open(tmp_path)
    assert (tmp_path / FILE_NAME).read_bytes() == content


def test_damage_in_the_middle_is_reported_by_verify(log: Logbook) -> None:
    """A worn memory card: pages of zeros."""
    log.append(NOTE.model_copy(update={"words": "x" * 500}) for _ in range(200))
    log.close()
    file = log.folder / FILE_NAME
    content = bytearray(file.read_bytes())
    content[len(content) // 2 : len(content) // 2 + 8192] = bytes(8192)
    file.write_bytes(content)
    assert not verify(log.folder).ok


@pytest.mark.parametrize("statement", ["DROP TRIGGER entries_no_update", "DROP TRIGGER entries_in_order"])
def test_a_log_without_its_guards_is_not_written_to(log: Logbook, statement: str) -> None:
    """Somebody altered the file: reading goes on, writing does not."""
    with closing(sqlite3.connect(log.folder / FILE_NAME)) as raw:
        raw.execute(statement)
    with pytest.raises(InputError, match="not built as this program builds it"):
        Logbook.open(log.folder)
    with open_views(log.folder) as views:
        assert views.count() == 0


def test_a_log_of_a_newer_version_is_not_touched(log: Logbook) -> None:
    """An older program must not write what it does not know."""
    with closing(sqlite3.connect(log.folder / FILE_NAME)) as raw:
        raw.execute("PRAGMA user_version = 99")
    with pytest.raises(InputError, match="newer version"):
        Logbook.open(log.folder)


def test_another_programs_database_is_left_alone(tmp_path: Path) -> None:
    """It has tables, but no log."""
    with closing(sqlite3.connect(tmp_path / FILE_NAME)) as raw:
        raw.execute("CREATE TABLE recipes (name TEXT)")
    with pytest.raises(InputError, match="belongs to another program"):
        Logbook.open(tmp_path)
    with pytest.raises(InputError, match="holds no log yet"):
        open_views(tmp_path)


def test_there_is_nothing_to_read_where_there_is_no_log(tmp_path: Path) -> None:
    """And none is made by looking."""
    with pytest.raises(InputError, match="there is no log"):
        open_views(tmp_path)
    assert list(tmp_path.iterdir()) == []
