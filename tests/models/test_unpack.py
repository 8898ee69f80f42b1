"""An archive cannot write outside its folder, make links, or fill the disk."""

import stat
import zipfile

import pytest

from models import unpack
from models.unpack import BadArchiveError, copy_folder, unpack_zip


def archive(tmp_path, *members, **contents):
    """Write a ZIP file; ``members`` are (name or ZipInfo, content)."""
    path = tmp_path / "a.zip"
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as file:
        for name, content in members:
            file.writestr(name, content)
    (tmp_path / "out").mkdir()
    return path, tmp_path / "out"


@pytest.mark.parametrize(
    "name",
    ["../evil", "m/../../evil", "/etc/evil", "..\\evil", "C:\\evil", "C:/evil", "m/..", "\\\\host\\evil"],
)
def test_no_name_leads_outside(tmp_path, name):
    """Every way to climb out of a folder is refused, before anything is written."""
    path, out = archive(tmp_path, ("m/ok", b"1"), (name, b"2"))
    with pytest.raises(BadArchiveError, match="outside its folder"):
        unpack_zip(path, out)
    assert list(out.iterdir()) == []
    assert not (tmp_path / "evil").exists()


@pytest.mark.parametrize("kind", [stat.S_IFLNK, stat.S_IFIFO, stat.S_IFCHR])
def test_no_links_and_no_devices(tmp_path, kind):
    """A link could point anywhere."""
    link = zipfile.ZipInfo("m/link")
    link.external_attr = (kind | 0o777) << 16
    path, out = archive(tmp_path, (link, b"/etc/passwd"))
    with pytest.raises(BadArchiveError, match="link or device"):
        unpack_zip(path, out)


def test_a_bomb_is_refused_by_what_it_claims(tmp_path):
    """Fifty megabytes of nothing in fifty kilobytes."""
    path, out = archive(tmp_path, ("m/bomb", bytes(50_000_000)))
    with pytest.raises(BadArchiveError, match="unpacks to more"):
        unpack_zip(path, out)


def test_a_bomb_that_lies_about_its_size_is_stopped(tmp_path, monkeypatch):
    """The bytes written are counted, whatever the archive says."""
    path, out = archive(tmp_path, ("m/bomb", bytes(5_000_000)))
    monkeypatch.setattr(unpack, "_BLOCK", 1 << 16)
    honest = zipfile.ZipFile.infolist

    def lying(opened: zipfile.ZipFile) -> list[zipfile.ZipInfo]:
        members = honest(opened)
        for member in members:
            opened.NameToInfo[member.filename].file_size = 5_000_000
        return [_smaller(member) for member in members]

    def _smaller(member: zipfile.ZipInfo) -> zipfile.ZipInfo:
        smaller = zipfile.ZipInfo(member.filename)
        smaller.external_attr, smaller.flag_bits, smaller.file_size = (
            member.external_attr,
            member.flag_bits,
            10,
        )
        return smaller

    monkeypatch.setattr(zipfile.ZipFile, "infolist", lying)
    real = zipfile.ZipFile.open
    monkeypatch.setattr(
        zipfile.ZipFile, "open", lambda opened, member: real(opened, opened.NameToInfo[member.filename])
    )
    with pytest.raises(BadArchiveError, match="larger than the archive says"):
        unpack_zip(path, out)


def test_too_many_files_are_refused(tmp_path, monkeypatch):
    """A model has a few dozen."""
    monkeypatch.setattr(unpack, "MOST_FILES", 3)
    path, out = archive(tmp_path, *[(f"m/{number}", b"") for number in range(4)])
    with pytest.raises(BadArchiveError, match="unpacks to more"):
        unpack_zip(path, out)


@pytest.mark.parametrize("names", [["a/x", "b/x"], ["x"], []])
def test_it_must_hold_one_folder(tmp_path, names):
    """Anything else is no model."""
    path, out = archive(tmp_path, *[(name, b"1") for name in names])
    with pytest.raises(BadArchiveError, match="does not hold one model folder"):
        unpack_zip(path, out)


def test_a_good_archive_comes_out_as_it_was(tmp_path):
    """With progress that ends at the whole."""
    path, out = archive(tmp_path, ("m/", b""), ("m/a/b", b"12345"))
    steps = []
    assert unpack_zip(path, out, lambda done, total: steps.append((done, total))) == out / "m"
    assert (out / "m" / "a" / "b").read_bytes() == b"12345"
    assert steps[-1] == (5, 5)


def test_a_folder_with_a_link_is_refused(tmp_path):
    """A stick may hold one by mistake or on purpose."""
    (tmp_path / "m").mkdir()
    (tmp_path / "m" / "link").symlink_to("/etc/passwd")
    (tmp_path / "out").mkdir()
    with pytest.raises(BadArchiveError, match="is a link"):
        copy_folder(tmp_path / "m", tmp_path / "out")
