"""Unpack a model's archive so that nothing in it can do harm: no path escapes, links or size bombs."""

from __future__ import annotations

import shutil
import stat
import zipfile
from collections.abc import Callable
from pathlib import Path, PurePosixPath

from assistant.errors import InputError

MOST_FILES = 5_000
MOST_BYTES = 4 << 30
MOST_GROWTH = 60  # a model shrinks to a half or a third; a bomb grows a thousandfold
_BLOCK = 1 << 20


class BadArchiveError(InputError):
    """The archive is damaged, or holds what no model holds."""


def unpack_zip(archive: Path, target: Path, progress: Callable[[int, int], None] | None = None) -> Path:
    """Unpack ``archive`` into the empty folder ``target`` and return the one folder that it holds.

    Bytes are counted while they are written: what the archive claims is not believed. ``progress``
    gets bytes done and bytes in all. Raises ``BadArchiveError``.
    """
    try:
        with zipfile.ZipFile(archive) as opened:
            members = [_safe(member) for member in opened.infolist()]
            allowed = min(MOST_BYTES, archive.stat().st_size * MOST_GROWTH + _BLOCK)
            total = sum(member.file_size for member in members)
            if len(members) > MOST_FILES or total > allowed:
                raise BadArchiveError(f"'{archive.name}' unpacks to more than a speech model; it is refused")
            done = 0
            for member in members:
                done += _write(opened, member, target, allowed - done)
                if progress is not None:
                    progress(done, total)
    except (zipfile.BadZipFile, NotImplementedError, EOFError, RuntimeError) as fault:
        raise BadArchiveError(f"'{archive.name}' is damaged or no ZIP file ({fault})") from None
    return _only_folder(archive, target)


def copy_folder(source: Path, target: Path) -> Path:
    """Copy a model that is unpacked already, below ``target``; links in it are refused."""
    for path in source.rglob("*"):
        if path.is_symlink():
            raise BadArchiveError(f"'{path}' is a link; copy the model itself onto the stick")
    copied = target / source.name
    shutil.copytree(source, copied)
    return copied


def _safe(member: zipfile.ZipInfo) -> zipfile.ZipInfo:
    name = member.filename
    path = PurePosixPath(name)
    kind = stat.S_IFMT(member.external_attr >> 16)
    outside = path.is_absolute() or ".." in path.parts or "\\" in name or ":" in name or "\0" in name
    if outside or not path.parts:
        raise BadArchiveError(f"the archive wants to write outside its folder ('{name}'); it is refused")
    if kind not in (0, stat.S_IFREG, stat.S_IFDIR):
        raise BadArchiveError(f"the archive holds a link or device ('{name}'); it is refused")
    if member.flag_bits & 1:
        raise BadArchiveError("the archive is encrypted; it is refused")
    return member


def _write(opened: zipfile.ZipFile, member: zipfile.ZipInfo, target: Path, allowed: int) -> int:
    path = target.joinpath(*PurePosixPath(member.filename).parts)
    if member.is_dir():
        path.mkdir(parents=True, exist_ok=True)
        return 0
    path.parent.mkdir(parents=True, exist_ok=True)
    count = 0
    with opened.open(member) as packed, path.open("xb") as file:
        while block := packed.read(_BLOCK):
            count += len(block)
            if count > allowed:
                raise BadArchiveError(f"'{member.filename}' is larger than the archive says; it is refused")
            file.write(block)
    return count


def _only_folder(archive: Path, target: Path) -> Path:
    found = [path for path in target.iterdir() if not path.name.startswith(("__MACOSX", "."))]
    if len(found) != 1 or not found[0].is_dir():
        raise BadArchiveError(f"'{archive.name}' does not hold one model folder; it is refused")
    return found[0]
