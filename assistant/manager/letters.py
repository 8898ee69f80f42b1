"""Fonts of this machine for letters that our own lacks (Chinese, Thai ...), looked for when one is met."""

from __future__ import annotations

import shutil
import subprocess
import unicodedata
from functools import cache
from pathlib import Path

from fontTools.ttLib import TTFont, TTLibError

SECONDS = 10.0
LARGEST = 40_000_000
_ENDINGS = (".ttf", ".otf")


@cache
def font_for(letter: str) -> Path | None:
    """Return a font file of this machine that can draw ``letter``, or ``None``."""
    return next((path for path in _candidates(letter) if _draws(path, letter)), None)


def needs_shaping(text: str) -> bool:
    """Whether a text has letters that join, stack or run from right to left: they are put in place first."""
    return any(
        unicodedata.bidirectional(each) in ("R", "AL", "AN", "NSM") or unicodedata.category(each) == "Mc"
        for each in text
    )


def _candidates(letter: str) -> list[Path]:
    """Return files that the system says have a letter, those with one font in them, a regular one first."""
    tool = shutil.which("fc-list")
    if tool is None:
        return _by_folder()
    try:
        listed = subprocess.run(
            [tool, f":charset={ord(letter):x}", "file", "style"],
            capture_output=True,
            timeout=SECONDS,
            check=True,
        ).stdout.decode("utf-8", "replace")
    except (OSError, subprocess.SubprocessError):
        return _by_folder()
    found = [line.partition(": ") for line in listed.splitlines()]
    found.sort(key=lambda each: ("Regular" not in each[2], each[0]))
    return [Path(each[0]) for each in found if each[0].lower().endswith(_ENDINGS)]


@cache
def _by_folder() -> list[Path]:
    """Return fonts from the usual folders of a system that has no list of them (Windows)."""
    folders = (Path("C:/Windows/Fonts"), Path("/usr/share/fonts"), Path("/Library/Fonts"))
    return [
        path for folder in folders if folder.is_dir() for path in sorted(folder.rglob("*"))
        if path.suffix.lower() in _ENDINGS
    ]  # fmt: skip


@cache
def _letters(path: Path) -> frozenset[int]:
    try:
        if path.stat().st_size > LARGEST:
            return frozenset()
        with TTFont(path, lazy=True) as font:
            return frozenset(font.getBestCmap() or ())
    except (OSError, TTLibError, KeyError, AssertionError):
        return frozenset()


def _draws(path: Path, letter: str) -> bool:
    return ord(letter) in _letters(path)
