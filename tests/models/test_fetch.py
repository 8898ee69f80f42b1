"""Models arrive whole or not at all, over a bad line, from a bad server, from a stick."""

import shutil
from pathlib import Path

import pytest

from assistant.errors import InputError, KitchenError
from models import fetch as fetch_module
from models.download import FetchError
from models.fetch import Progress, fetch, install_from
from models.registry import status
from models.unpack import BadArchiveError


def leftovers(folder: Path) -> list[str]:
    """Return what lies in the folder besides an installed model."""
    return sorted(
        path.name for path in folder.rglob("*") if path.is_file() and "small-en/" not in path.as_posix()
    )


def test_a_model_is_fetched_checked_and_unpacked(entry, server, tmp_path):
    """The usual case: its files are there, with progress from the first byte to the last."""
    seen: list[Progress] = []
    found = fetch(entry(), tmp_path, seen.append)
    assert found.path == tmp_path / "small-en"
    assert (found.path / "conf" / "model.conf").read_text() == "--beam=10\n"
    assert found.note == ""
    assert list(dict.fromkeys(step.stage for step in seen)) == ["download", "check", "unpack"]
    downloads = [step for step in seen if step.stage == "download"]
    assert downloads[-1] == Progress("download", len(server.content), len(server.content))
    assert leftovers(tmp_path) == ["small-en.zip.part.tag"]


def test_an_installed_model_is_not_fetched_again(entry, server, tmp_path):
    """The second call asks nobody."""
    fetch(entry(), tmp_path)
    fetch(entry(), tmp_path)
    assert len(server.asked) == 1


def test_a_broken_line_is_picked_up_where_it_broke(entry, server, tmp_path):
    """The next request asks for the rest only."""
    server.break_after = [100_000, 50_000]
    assert fetch(entry(), tmp_path).installed
    assert server.asked == ["", "bytes=100000-", "bytes=150000-"]


def test_after_giving_up_the_next_run_goes_on(entry, server, tmp_path):
    """The part stays, nothing is installed, and the sentence says what to do."""
    server.break_after = [10_000] * 4
    with pytest.raises(FetchError, match=r"stopped after 0.0 MB .*run it again to go on"):
        fetch(entry(), tmp_path)
    assert not status(entry(), tmp_path).installed
    server.asked.clear()
    assert fetch(entry(), tmp_path).installed
    assert server.asked == ["bytes=40000-"]


def test_a_file_that_changed_meanwhile_is_fetched_anew(entry, server, tmp_path):
    """Halves of two files would make rubbish."""
    server.break_after = [10_000] * 4
    with pytest.raises(FetchError):
        fetch(entry(), tmp_path)
    server.tag = '"two"'
    found = fetch(entry(), tmp_path)
    assert found.installed
    assert found.note == ""


def test_a_server_without_ranges_is_asked_for_the_whole_again(entry, server, tmp_path):
    """It answers 200 with everything; the old part is dropped."""
    server.ranges = False
    server.break_after = [10_000]
    assert fetch(entry(), tmp_path).installed


@pytest.mark.parametrize("code", [404, 500, 503])
def test_a_refusal_is_told_with_its_number(entry, server, tmp_path, code):
    """One sentence, no half model."""
    server.status = code
    with pytest.raises(FetchError, match=f"answers {code}"):
        fetch(entry(), tmp_path)
    assert not status(entry(), tmp_path).installed


def test_nobody_answering_is_told(entry, tmp_path):
    """A wrong address or no network at all."""
    with pytest.raises(FetchError, match="run it again"):
        fetch(entry(address="http://127.0.0.1:9/none.zip"), tmp_path)


def test_an_address_that_is_none_is_told(entry, tmp_path):
    """A slip in the manifest."""
    with pytest.raises((InputError, FetchError)):
        fetch(entry(address="nonsense"), tmp_path)


def test_a_wrong_checksum_is_refused_and_thrown_away(entry, tmp_path):
    """The next run begins anew instead of going on with rubbish."""
    with pytest.raises(BadArchiveError, match="wrong checksum"):
        fetch(entry(sha256={"archive": "0" * 64}), tmp_path)
    assert not status(entry(), tmp_path).installed
    assert "small-en.zip.part" not in leftovers(tmp_path)


def test_a_file_far_larger_than_promised_is_refused_at_once(entry, tmp_path):
    """Before the disk is full."""
    with pytest.raises(InputError, match="larger than the model should be"):
        fetch(entry(size_bytes=1000), tmp_path)


def test_a_file_far_smaller_than_promised_is_refused(entry, tmp_path):
    """A login page of a guest network, for instance."""
    with pytest.raises(BadArchiveError, match="it is refused"):
        fetch(entry(size_bytes=10_000_000), tmp_path)


def test_without_a_known_checksum_it_is_said(entry, tmp_path):
    """Size and structure are checked, and the model's state says that this was all."""
    found = fetch(entry(sha256={}), tmp_path)
    assert found.installed
    assert found.note == "checked by size and structure only"


def test_a_web_page_instead_of_an_archive_is_refused(entry, server, tmp_path):
    """The right size does not make it a model."""
    server.content = b"<html>" * (len(server.content) // 6)
    with pytest.raises(BadArchiveError, match="damaged or no ZIP"):
        fetch(entry(sha256={}), tmp_path)
    assert not status(entry(), tmp_path).installed


def test_a_full_disk_is_told_before_anything_is_fetched(entry, server, tmp_path, monkeypatch):
    """The sentence names both figures."""
    usage = shutil.disk_usage(tmp_path)._replace(free=1000)
    monkeypatch.setattr(fetch_module.shutil, "disk_usage", lambda path: usage)
    with pytest.raises(KitchenError, match="make room"):
        fetch(entry(), tmp_path)
    assert server.asked == []


def test_a_crash_while_unpacking_leaves_no_model(entry, tmp_path, monkeypatch):
    """Whatever stops the program, the name appears only when all is there; afterwards it works."""

    def crash(model: Path) -> None:
        raise KeyboardInterrupt

    with monkeypatch.context() as patch:
        patch.setattr(fetch_module, "_flush", crash)
        with pytest.raises(KeyboardInterrupt):
            fetch(entry(), tmp_path)
    assert not (tmp_path / "small-en").exists()
    assert fetch(entry(), tmp_path).installed


def test_a_whole_download_is_not_fetched_again_after_a_crash(entry, server, tmp_path, monkeypatch):
    """The server says that nothing is left to send, and unpacking begins."""

    def crash(model: Path) -> None:
        raise KeyboardInterrupt

    with monkeypatch.context() as patch:
        patch.setattr(fetch_module, "_flush", crash)
        with pytest.raises(KeyboardInterrupt):
            fetch(entry(), tmp_path)
    assert fetch(entry(), tmp_path).installed
    assert server.asked == ["", f"bytes={len(server.content)}-"]


def test_a_part_longer_than_the_file_is_thrown_away(entry, server, tmp_path):
    """The server refuses the range; it is another file, so all is fetched anew."""
    work = tmp_path / ".fetching"
    work.mkdir()
    (work / "small-en.zip.part").write_bytes(b"x" * (len(server.content) + 5))
    (work / "small-en.zip.part.tag").write_text('{"tag": "\\"one\\""}')
    assert fetch(entry(), tmp_path).installed
    assert server.asked == [f"bytes={len(server.content) + 5}-", ""]


def test_a_half_copied_folder_is_replaced(entry, tmp_path):
    """Somebody copied a model by hand and pulled the stick."""
    (tmp_path / "small-en" / "am").mkdir(parents=True)
    (tmp_path / "small-en" / "am" / "final.mdl").write_bytes(b"half")
    assert status(entry(), tmp_path).note == "incomplete: conf/model.conf missing"
    found = fetch(entry(), tmp_path)
    assert found.installed
    assert (found.path / "am" / "final.mdl").stat().st_size == 300_000


def test_two_programs_at_once_do_not_mix(entry, tmp_path):
    """The second is told to wait; a lock that a crash left behind is ignored after a while."""
    work = tmp_path / ".fetching"
    work.mkdir()
    lock = work / "small-en.lock"
    lock.touch()
    with pytest.raises(KitchenError, match="another program is installing"):
        fetch(entry(), tmp_path)
    import os

    os.utime(lock, (0, 0))
    assert fetch(entry(), tmp_path).installed


def test_a_carried_model_is_not_fetched(entry, tmp_path):
    """It is there already."""
    with pytest.raises(InputError, match="comes with the program"):
        fetch(entry(source="shipped"), tmp_path)


def test_a_folder_that_cannot_be_written_is_told(entry, tmp_path):
    """A file lies where the folder should be."""
    (tmp_path / "file").touch()
    with pytest.raises(KitchenError, match="cannot be written"):
        fetch(entry(), tmp_path / "file")


@pytest.fixture
def known(entry, monkeypatch):
    """Let the made-up model be the only known one."""
    monkeypatch.setattr(fetch_module, "load_manifest", lambda: (entry(),))
    return entry()


def test_a_model_comes_from_a_stick_as_a_file(known, server, tmp_path):
    """The file's name says which model it is; it is checked like a fetched one."""
    stick = tmp_path / "stick" / "small-en.zip"
    stick.parent.mkdir()
    stick.write_bytes(server.content)
    found = install_from(stick, tmp_path / "models")
    assert found.installed
    assert found.note == ""
    assert stick.exists()
    assert server.asked == []


def test_a_model_comes_from_a_stick_as_a_folder(known, tmp_path):
    """Unpacked already: structure is all that can be checked."""
    folder = tmp_path / "stick" / "renamed"
    for name in known.needs:
        (folder / name).parent.mkdir(parents=True)
        (folder / name).write_text("x")
    with pytest.raises(InputError, match="names no known speech model; say which it is"):
        install_from(folder, tmp_path / "models")
    found = install_from(folder, tmp_path / "models", "small-en")
    assert found.path == tmp_path / "models" / "small-en"
    assert found.note == "checked by size and structure only"


@pytest.mark.parametrize(("name", "content"), [("small-en.zip", b"rubbish" * 43_000), ("small-en.zip", b"")])
def test_a_bad_file_on_the_stick_is_refused_and_kept(known, tmp_path, name, content):
    """The stick is not ours to clean."""
    stick = tmp_path / name
    stick.write_bytes(content)
    with pytest.raises(BadArchiveError):
        install_from(stick, tmp_path / "models")
    assert stick.exists()
    assert not status(known, tmp_path / "models").installed


def test_a_missing_stick_is_told(known, tmp_path):
    """One sentence."""
    with pytest.raises(InputError, match="there is no file or folder"):
        install_from(tmp_path / "none.zip", tmp_path)
