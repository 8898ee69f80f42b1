"""Backups by themselves, with all that is needed to go on; what is whole of a damaged log is saved."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from datetime import datetime, timedelta
from pathlib import Path

import numpy as np
import pytest

from assistant.errors import InputError
from assistant.logbook import Draft, Logbook, SetClock
from assistant.logbook.backup import backup, restore
from assistant.logbook.care import Care, load_care, save_care
from assistant.logbook.database import FILE_NAME
from assistant.logbook.export import verify_json_lines
from assistant.logbook.nightly import nightly
from assistant.logbook.salvage import LIST_NAME, REST_NAME, salvage
from assistant.logbook.scripts import statements
from assistant.logbook.verify import verify


@pytest.fixture
def days(log: Logbook, passed: Draft, clock: SetClock) -> Logbook:
    """Ten readings with their clips."""
    for number in range(10):
        clip = log.keep_clip(np.full(300, number, np.int16), 16000)
        log.append(passed.model_copy(update={"clip": clip}))
        clock.move(minutes=5)
    return log


def test_settings_read_back(tmp_path: Path) -> None:
    """As they were kept, quotes and all; without a file nothing is set."""
    assert load_care(tmp_path) == Care()
    care = Care(heads_to='/mnt/sti"ck/heads.txt', backup_to="/mnt/día", backup_at="23:45")
    save_care(tmp_path, care)
    assert load_care(tmp_path) == care


@pytest.mark.parametrize("text", ['backup_at = "25:00"', "nonsense", "colour = 1", "\udcff"])
def test_settings_that_cannot_be_used_are_one_sentence(tmp_path: Path, text: str) -> None:
    """The file is named, and the command that sets it again."""
    (tmp_path / "care.toml").write_bytes(text.encode("utf-8", "surrogateescape"))
    with pytest.raises(InputError, match="kitchen log care"):
        load_care(tmp_path)


def test_the_nights_backup_is_made_once(days: Logbook, tmp_path: Path) -> None:
    """Not before its hour, then once, then again the next night."""
    save_care(days.folder, Care(backup_to=str(tmp_path / "disk"), backup_at="03:00"))
    day = datetime(2026, 3, 3, tzinfo=days.clock.now().tzinfo)
    assert not nightly(days.folder, day.replace(hour=2)).done
    assert nightly(days.folder, day.replace(hour=3)).done
    assert not nightly(days.folder, day.replace(hour=4)).done
    assert nightly(days.folder, day.replace(hour=3) + timedelta(days=1)).done
    assert load_care(days.folder).last_backup() == day.replace(hour=3) + timedelta(days=1)
    assert [head.count for head in load_care(days.folder).heads()] == [10, 10]


def test_a_night_that_fails_says_why(days: Logbook, tmp_path: Path) -> None:
    """The disk is not there: a file stands in its place."""
    (tmp_path / "disk").write_text("")
    save_care(days.folder, Care(backup_to=str(tmp_path / "disk")))
    night = nightly(days.folder, days.clock.now())
    assert not night.done
    assert "the night's backup was not made" in night.fault


def test_a_backup_holds_what_is_needed_to_go_on(days: Logbook, tmp_path: Path) -> None:
    """PIN, people, settings and the site file come back with the log."""
    for name in ("manager_pin.json", "people.json"):
        (days.folder / name).write_text("{}")
    save_care(days.folder, Care(backup_at="04:00"))
    (tmp_path / "mine.toml").write_text("[kitchen]\nname = 'Pine Street'\n")
    backup(days.folder, tmp_path / "disk", days.clock.now(), site_file=tmp_path / "mine.toml")
    restore(tmp_path / "disk", tmp_path / "new")
    for name in ("manager_pin.json", "people.json", "care.toml", "site.toml", "heads.txt"):
        assert (tmp_path / "new" / name).is_file(), name
    assert (tmp_path / "new" / "manager_pin.json").stat().st_mode & 0o077 == 0


def test_a_damaged_clip_in_the_backup_is_made_again_and_named(days: Logbook, tmp_path: Path) -> None:
    """Same length, other bytes: the next backup mends it. What was left half-written goes."""
    backup(days.folder, tmp_path / "disk", days.clock.now())
    copy = sorted((tmp_path / "disk" / "clips").rglob("*.flac"))[3]
    copy.write_bytes(bytes(copy.stat().st_size))
    (copy.parent / ".left.flac.1.part").write_bytes(b"half")
    mended: list[str] = []
    report = backup(days.folder, tmp_path / "disk", days.clock.now(), mended=mended)
    assert report.ok
    assert mended == [copy.relative_to(tmp_path / "disk" / "clips").as_posix()]
    assert not list((tmp_path / "disk").rglob("*.part"))


def test_files_are_their_owners_alone(days: Logbook, tmp_path: Path) -> None:
    """Folders 700, files 600, also in a backup, whatever the machine's habit is."""
    backup(days.folder, tmp_path / "disk", days.clock.now())
    for folder in (days.folder, tmp_path / "disk"):
        for path in (folder, *folder.rglob("*")):
            assert path.stat().st_mode & 0o077 == 0, path


def damage(folder: Path, number: int) -> None:
    """Change the text of one entry."""
    with closing(sqlite3.connect(folder / FILE_NAME, isolation_level=None)) as raw:
        raw.execute("DROP TRIGGER entries_no_update")
        raw.execute("UPDATE entries SET body = x'7b7d' WHERE id = ?", [number])
        raw.execute(next(each for each in statements("schema.sql") if "entries_no_update" in each))


def test_what_is_whole_is_saved(days: Logbook, tmp_path: Path) -> None:
    """Six before a damaged entry are a log again, three after it are a file; one clip is lost, and listed."""
    damage(days.folder, 7)
    sorted(days.clips_folder.rglob("*.flac"))[1].write_bytes(b"noise")
    saved = salvage(days.folder, tmp_path / "saved")
    assert (saved.in_chain, saved.beside, saved.clips) == (6, 3, 8)
    assert [line.partition(":")[0] for line in saved.lost] == ["entry 7", "clip of entry 2"]
    assert verify(tmp_path / "saved", clips=False).ok
    assert verify_json_lines(tmp_path / "saved" / REST_NAME).ok
    assert len((tmp_path / "saved" / LIST_NAME).read_text().splitlines()) == 2


def test_pages_of_zeros_do_not_stop_the_saving(days: Logbook, tmp_path: Path) -> None:
    """The middle of the file overwritten: what can be read before and after it is saved."""
    path = days.folder / FILE_NAME
    days.close()
    content = bytearray(path.read_bytes())
    with closing(sqlite3.connect(path)) as raw:
        query = "SELECT pageno FROM dbstat WHERE name = 'entries' AND pagetype = 'leaf'"
        pages = [row[0] for row in raw.execute(query)]
        (size,) = raw.execute("PRAGMA page_size").fetchone()
    content[(pages[1] - 1) * size : pages[1] * size] = bytes(size)
    path.write_bytes(content)
    saved = salvage(days.folder, tmp_path / "saved")
    assert saved.in_chain + saved.beside < 10
    assert saved.in_chain > 0
    assert saved.lost
    assert verify(tmp_path / "saved", clips=False).ok


def test_saving_never_overwrites(days: Logbook, tmp_path: Path) -> None:
    """Neither the damaged log itself nor another one."""
    with pytest.raises(InputError, match="already"):
        salvage(days.folder, days.folder)
    with pytest.raises(InputError, match="no log"):
        salvage(tmp_path / "nowhere", tmp_path / "saved")
