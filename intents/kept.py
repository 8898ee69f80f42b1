"""What is made of the tables at every start, kept on the disk: reading it back takes a tenth of the time.

A kept value counts only while every table and file of code that it was made of is the same, and with its own
hash: one that is old, cut or altered is made anew. Where nothing can be written, nothing is kept. Each place
where the program is installed has files of its own: two of them do not undo each other's.
"""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Callable, Iterator
from contextlib import suppress
from functools import cache
from pathlib import Path
from typing import Any

from platformdirs import user_cache_path

import assistant.rules
import intents

SECOND = 1_000_000_000
"""In nanoseconds."""
SOURCES = (".csv", ".py", ".toml")
"""What the values are made of, in ``intents`` and ``assistant.rules``."""


def kept(name: str, make: Callable[[], Any], of: str = "") -> Any:
    """Return what ``make`` returns (plain JSON values; a tuple may come back as a list), kept as ``name``.

    ``of``: what else it was made of, such as a site's names. What other names gave is made anew.
    """
    here = hashlib.sha256(intents.__path__[0].encode()).hexdigest()[:8]
    path = user_cache_path("kitchen-assistant", appauthor=False) / f"{name}-{here}.json"
    with suppress(OSError, ValueError):
        head, _, body = path.read_bytes().partition(b"\n")
        if head.decode() == _head(body, of):
            return json.loads(body)
    value = make()
    _keep(path, json.dumps(value).encode(), of)
    return value


def _keep(path: Path, body: bytes, of: str) -> None:
    part = path.with_name(f".{path.name}.{os.getpid()}.part")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        part.write_bytes(_head(body, of).encode() + b"\n" + body)
        part.replace(path)
    except OSError:
        with suppress(OSError):
            part.unlink(missing_ok=True)


def _head(body: bytes, of: str) -> str:
    return f"{sources_hash()} {hashlib.sha256(body + of.encode()).hexdigest()}"


@cache
def sources_hash() -> str:
    """Return the SHA-256 (hex) of what tells every table and file of code that kept values are made of.

    Reading 800 files at every start takes longer than reading what is kept. Told are name, length and number
    of each file and the moments of its last changes, of which nobody can set the second; where the disk keeps
    whole seconds only, as an image of a whole system may for years, its bytes are told, too.
    """
    roots = (*intents.__path__, *assistant.rules.__path__)
    told = sorted(line for root in roots for line in _sources(root, ""))
    return hashlib.sha256("\n".join(told).encode()).hexdigest()


def _hash_of(path: str) -> str:
    with open(path, "rb") as file:
        return hashlib.sha256(file.read()).hexdigest()


def _sources(root: str, below: str) -> Iterator[str]:
    with os.scandir(os.path.join(root, below)) as entries:
        for entry in entries:
            name = f"{below}/{entry.name}" if below else entry.name
            if entry.name.endswith(SOURCES):
                it = os.stat(entry.path)
                content = "" if it.st_ctime_ns % SECOND else _hash_of(entry.path)
                yield f"{name} {it.st_size} {it.st_ino} {it.st_mtime_ns} {it.st_ctime_ns} {content}"
            elif entry.name != "__pycache__" and entry.is_dir():
                yield from _sources(root, name)
