"""How words are said, by the rules of the voice's library, in the phones of the streaming model."""

from __future__ import annotations

import re
import subprocess
import tomllib
from collections.abc import Iterable
from functools import cache
from importlib.resources import files
from typing import Any

from assistant.audio.child import child_command

_PATIENCE_S = 10.0
_UNSAID = re.compile(r"[ˈˌ\s‍͡]")


@cache
def _table() -> dict[str, Any]:
    return tomllib.loads((files("assistant.speech") / "phones.toml").read_text("utf-8"))


@cache
def phones() -> tuple[str, ...]:
    """Return the phones in the order of the model's outputs."""
    return tuple(str(_table()["phones"]).split())


def pronounced(words: Iterable[str]) -> dict[str, tuple[str, ...]]:
    """Return the phones of each word ("marlene": M AA R L IY N); none where there is no such library."""
    asked = list(dict.fromkeys(words))
    if not asked:
        return {}
    try:
        done = subprocess.run(
            child_command("assistant.speech.phones_process"),
            input="".join(f"{word}\n" for word in asked),
            capture_output=True,
            encoding="utf-8",
            timeout=_PATIENCE_S,
            check=False,
        )
    except (OSError, subprocess.TimeoutExpired):
        return {}
    said = zip(asked, done.stdout.splitlines(), strict=False)
    return {word: found for word, signs in said if (found := _phones_of(signs))}


def _phones_of(signs: str) -> tuple[str, ...]:
    table: dict[str, str] = _table()["signs"]
    known = "|".join(sorted(map(re.escape, table), key=len, reverse=True))
    return tuple(phone for sign in re.findall(known, _UNSAID.sub("", signs)) for phone in table[sign].split())
