"""What is made of the tables at every start, kept on the disk: reading it back takes a tenth of the time.

A kept value counts only with the hash of every table and line of code that it was made of, and with its own:
one that is old, cut or altered is made anew. Where nothing can be written, nothing is kept. Each place where
the program is installed has files of its own: two of them do not undo each other's.
"""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Callable
from contextlib import suppress
from functools import cache
from pathlib import Path
from typing import Any

from platformdirs import user_cache_path

import assistant.rules
import intents

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
    """Return the SHA-256 (hex) of every table and line of code that kept values are made of."""
    total = hashlib.sha256()
    for root in (*intents.__path__, *assistant.rules.__path__):
        for folder, below, names in os.walk(root):
            below.sort()
            for name in sorted(names):
                if name.endswith(SOURCES):
                    with open(os.path.join(folder, name), "rb", buffering=0) as file:
                        content = file.read()
                    total.update(f"{folder[len(root) :]} {name} {len(content)}\n".encode())
                    total.update(content)
    return total.hexdigest()
