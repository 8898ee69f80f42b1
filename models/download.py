"""Fetch one file over HTTP so that a broken line costs nothing: what is there is kept and continued."""

from __future__ import annotations

import http.client
import json
import socket
import ssl
import time
import urllib.error
import urllib.request
from collections.abc import Callable
from pathlib import Path

from assistant.errors import InputError, KitchenError, in_words

_BLOCK = 1 << 16
_TIMEOUT_S = 30.0
_TRIES = 4
_PAUSE_S = 1.0
_OK, _PARTIAL, _RANGE_REFUSED = 200, 206, 416


class FetchError(KitchenError):
    """The download did not succeed; what came so far is kept for the next try."""


def download(
    address: str,
    part: Path,
    most_bytes: int,
    progress: Callable[[int, int], None] | None = None,
    pause_s: float = _PAUSE_S,
) -> None:
    """Fetch ``address`` into ``part``, going on where an earlier try ended.

    The server must still hold the same file: its tag is kept beside ``part`` and sent along. Never
    takes more than ``most_bytes``. ``progress`` gets bytes done and in all (0 if unknown). Raises
    ``FetchError``, or ``InputError`` if the address or the file behind it cannot be right.
    """
    fault: Exception | None = None
    for attempt in range(_TRIES):
        if attempt:
            time.sleep(pause_s * attempt)
        try:
            if _once(address, part, most_bytes, progress):
                return
        except urllib.error.HTTPError as refused:
            refused.close()
            if refused.code == _RANGE_REFUSED:  # all of it is here already, or it is another file
                if part.exists() and refused.headers.get("Content-Range") == f"bytes */{part.stat().st_size}":
                    return
                _forget(part)
                continue
            raise FetchError(f"the server of '{address}' answers {refused.code}; try again later") from None
        except (OSError, http.client.HTTPException) as broken:
            fault = broken
        except InputError:
            raise
        except ValueError:
            raise InputError(f"'{address}' is no address that can be fetched") from None
    done = part.stat().st_size if part.exists() else 0
    raise FetchError(f"the download stopped after {done / 1e6:.1f} MB ({_why(fault)}); run it again to go on")


def _why(fault: Exception | None) -> str:
    """Return in plain words why a line broke."""
    cause = fault.reason if isinstance(fault, urllib.error.URLError) else fault
    if isinstance(cause, socket.gaierror):
        return "the address was not found: is this machine online?"
    if isinstance(cause, ssl.SSLError):
        return "the connection is not secure: is the machine's date right?"
    return in_words(cause) if isinstance(cause, OSError) and cause.errno else "the line broke"


def _once(address: str, part: Path, most: int, progress: Callable[[int, int], None] | None) -> bool:
    """Make one request and return whether the file is whole."""
    have = part.stat().st_size if part.exists() else 0
    tag = _tag(part)
    request = urllib.request.Request(address, headers={"Accept-Encoding": "identity"})
    if have and tag:
        request.add_header("Range", f"bytes={have}-")
        request.add_header("If-Range", tag)
    with urllib.request.urlopen(request, timeout=_TIMEOUT_S) as answer:
        length = answer.headers.get("Content-Length")
        went_on = answer.status == _PARTIAL and (answer.headers.get("Content-Range") or "").startswith(
            f"bytes {have}-"
        )
        have = have if went_on else 0
        total = have + int(length) if length else 0
        if total > most:
            raise InputError(f"the file at '{address}' is larger than the model should be; it is refused")
        if not went_on:
            _remember(part, answer.headers.get("ETag") or answer.headers.get("Last-Modified") or "")
        with part.open("ab" if went_on else "wb") as file:
            while block := answer.read(_BLOCK):
                have += len(block)
                if have > most:
                    raise InputError(f"the file at '{address}' is larger than it said; it is refused")
                file.write(block)
                if progress is not None:
                    progress(have, total)
    return total == 0 or have == total


def _tag(part: Path) -> str:
    try:
        tag = str(json.loads(_tag_file(part).read_text("utf-8"))["tag"])
    except (OSError, ValueError, KeyError, TypeError):
        return ""
    return "" if tag.startswith("W/") else tag  # a weak tag promises no equal bytes


def _remember(part: Path, tag: str) -> None:
    _tag_file(part).write_text(json.dumps({"tag": tag}), "utf-8")


def _forget(part: Path) -> None:
    part.unlink(missing_ok=True)
    _tag_file(part).unlink(missing_ok=True)


def _tag_file(part: Path) -> Path:
    return part.with_name(part.name + ".tag")
