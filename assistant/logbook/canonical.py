"""The exact bytes of an entry and their hash. What is hashed is what is stored, never a re-made copy.

Form: RFC 8785 (JSON Canonicalization Scheme) over the entry's fields without ``hash``; an optional
field that is empty (null, "" or false) is left out, so that a later version can add fields without
touching what is stored. The hash is SHA-256 in hex; each body holds the hash of the entry before.
"""

from __future__ import annotations

import hashlib
import json
from typing import Any

import rfc8785

from assistant.errors import InputError
from assistant.logbook.entry import Draft, Entry

FIRST_HASH = "0" * 64
"""What the first entry names as the hash before it."""

_EMPTY = (None, "", False)
_OPTIONAL = {
    name for name, field in Entry.model_fields.items() if not field.is_required() and field.default in _EMPTY
}


def encode(draft: Draft, **added: Any) -> bytes:
    """Return the canonical bytes of ``draft`` with the store's own fields added."""
    fields = draft.model_dump(exclude_none=True) | added
    kept = {name: value for name, value in fields.items() if name not in _OPTIONAL or value not in _EMPTY}
    try:
        return rfc8785.dumps(kept)
    except (rfc8785.CanonicalizationError, UnicodeEncodeError) as error:
        raise InputError(f"this cannot be logged, it holds a character that is not text: {error}") from error


def digest(body: bytes) -> str:
    """Return the SHA-256 of the stored bytes, in hex."""
    return hashlib.sha256(body).hexdigest()


def is_canonical(body: bytes) -> bool:
    """Whether bytes are the one way to write what they say: no name twice, no other order, no spaces."""
    try:
        return bool(rfc8785.dumps(json.loads(body)) == body)
    except (ValueError, rfc8785.CanonicalizationError):
        return False


def decode(body: bytes, entry_hash: str) -> Entry:
    """Return the entry that the stored bytes spell; raises pydantic's ``ValidationError`` if none."""
    return Entry.model_validate_json(body[:-1] + b',"hash":"' + entry_hash.encode("ascii") + b'"}')
