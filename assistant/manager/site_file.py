"""The site file, changed from the page: comments and order stay, and its own rules decide."""

from __future__ import annotations

import hashlib
import os
import re
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import tomlkit
from tomlkit.items import AoT, Table
from tomlkit.toml_document import TOMLDocument

from assistant.errors import InputError, LogWriteError
from assistant.site import Site, load_site, parse_site

HEAD = """\
# The facts of this kitchen. Change them on the manager's page or here; it keeps remarks like this.
# Figures of a sanitizer must be those printed on ITS label. Which keys there are: kitchen site --keys
"""
Values = Mapping[str, Any]
"""What a form says of one thing, by key; ``None`` for what it leaves empty."""


@dataclass(frozen=True, slots=True)
class Change:
    """A change of the file that its rules accept: the texts and the kitchens before and after."""

    before: str
    after: str
    site: Site


@dataclass(frozen=True, slots=True)
class SiteFile:
    """The file at ``path``; it need not be there yet."""

    path: Path

    @property
    def exists(self) -> bool:
        """Whether there is a file."""
        return self.path.is_file()

    def text(self) -> str:
        """Return what is in it, or how a new one begins; raises ``InputError``."""
        if not self.exists:
            return HEAD
        load_site(self.path)  # one that has a fault is mended by hand first
        return self.path.read_text(encoding="utf-8")

    def mark(self) -> str:
        """Return what is another once the file was changed."""
        return hashlib.sha256(self.text().encode()).hexdigest()[:16]

    def site(self) -> Site:
        """Return what the file says; an empty kitchen where there is none. Raises ``InputError``."""
        return parse_site(self.text(), self.path.name)

    def changed(self, edit: Callable[[TOMLDocument], None]) -> Change:
        """Return what ``edit`` would make of the file; raises ``InputError`` for what its rules refuse."""
        before = self.text()
        document = tomlkit.parse(before)
        edit(document)
        after = _tidy(tomlkit.dumps(document))
        site = parse_site(after, self.path.name)
        _ = site.profile  # an unknown food code is refused here
        return Change(before, after, site)

    @contextmanager
    def writing(self, change: Change) -> Iterator[Callable[[], None]]:
        """Write the new file whole beside the old one; calling the value puts it in its place.

        Raises ``LogWriteError`` where that cannot be done; then nothing has changed.
        """
        target = self.path.resolve()
        beside = target.with_name(f".{target.name}.{os.getpid()}.part")
        try:
            target.parent.mkdir(parents=True, exist_ok=True)
            mode = target.stat().st_mode & 0o777 if target.exists() else 0o644
            with os.fdopen(os.open(beside, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, mode), "wb") as file:
                file.write(change.after.encode("utf-8"))
                file.flush()
                os.fsync(file.fileno())
            yield lambda: os.replace(beside, target)
        except OSError as error:
            raise LogWriteError(f"The site file {self.path} cannot be written ({error.strerror})") from None
        finally:
            with suppress(OSError):
                beside.unlink(missing_ok=True)


def put_row(document: TOMLDocument, key: str, number: int | None, values: Values) -> None:
    """Change a row of ``[[key]]``, or add one (``number`` ``None``); raises ``InputError`` for none such."""
    if number is None:
        row = tomlkit.table()
        _put(row, values)
        rows = document.get(key)
        if not isinstance(rows, AoT):
            document.pop(key, None)
            rows = tomlkit.aot()
            rows.append(row)
            document.append(key, rows)
            return
        rows.append(row)
        return
    _put(_row(document, key, number), values)


def take_row(document: TOMLDocument, key: str, number: int) -> None:
    """Take a row of ``[[key]]`` out; raises ``InputError`` for none such."""
    _row(document, key, number)
    del document[key][number]
    if not document[key]:
        del document[key]


def put_table(document: TOMLDocument, key: str, values: Values) -> None:
    """Change the values of ``[key]``, which is made where it is missing."""
    if key not in document:
        document.append(key, tomlkit.table())
    table = document[key]
    assert isinstance(table, Table)
    _put(table, values)


def _row(document: TOMLDocument, key: str, number: int) -> Table:
    rows = document.get(key)
    if not isinstance(rows, AoT) or not 0 <= number < len(rows):
        raise InputError("That is not in the site file any more; load the page again.")
    return rows[number]


def _put(table: Table, values: Values) -> None:
    """Change what differs, and nothing else, so that what is written around it stays."""
    for key, value in values.items():
        if value is None:
            table.pop(key, None)
        elif key not in table or table[key] != value:
            table[key] = value


_HEADING = re.compile(r"(?<=[^\n]\n)(?=\[\[?[a-z_]+\]\]?$)", re.MULTILINE)


def _tidy(text: str) -> str:
    """Put a blank line before each heading that follows a value; comments above a heading stay there."""
    parts = _HEADING.split(text)
    for number, part in enumerate(parts[:-1]):
        if not part.rstrip("\n").rpartition("\n")[2].lstrip().startswith("#"):
            parts[number] = part + "\n"
    return "".join(parts)
