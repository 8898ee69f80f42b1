"""What the page does by itself at night, and what it says about it."""

from __future__ import annotations

from pathlib import Path

from starlette.testclient import TestClient

from assistant.logbook import SetClock
from assistant.logbook.care import Care, save_care
from assistant.logbook.verify import verify
from assistant.manager.app import build
from assistant.manager.desk import LocalDesk
from assistant.manager.night_shift import NightShift
from assistant.manager.proof import Proof


def test_the_nights_backup_is_made_and_told(desk: LocalDesk, tmp_path: Path, now: SetClock) -> None:
    """First nothing is set, then it is made, and every page says when."""
    page = TestClient(build(desk, desk.folder), base_url="http://127.0.0.1")
    assert "No backup is made by itself" in page.get("/").text
    save_care(desk.folder, Care(backup_to=str(tmp_path / "disk")))
    assert "none yet" in page.get("/").text
    shift = NightShift(desk, Proof(desk))
    shift.look(now.now())
    assert shift.fault == ""
    assert verify(tmp_path / "disk").ok
    assert "Last backup: Sunday 1 March 2026, 2:30 pm" in page.get("/log").text


def test_a_night_that_failed_is_an_alarm_until_one_works(
    desk: LocalDesk, tmp_path: Path, now: SetClock
) -> None:
    """The disk was not there; then it is."""
    (tmp_path / "disk").write_text("")
    save_care(desk.folder, Care(backup_to=str(tmp_path / "disk")))
    shift = NightShift(desk, Proof(desk))
    shift.look(now.now())
    assert "backup was not made" in shift.fault
    (tmp_path / "disk").unlink()
    shift.look(now.now())
    assert shift.fault == ""
