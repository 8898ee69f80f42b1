"""The language of a kitchen: one whose pack is complete."""

from __future__ import annotations

from intents.language import languages, packs


def spoken_language(code: str) -> str:
    """Return the code of a language that a kitchen may speak; raises ``ValueError`` for any other."""
    if code in languages():
        return code
    pack = packs().get(code)
    partial = (
        f"'{code}' ({pack.name}) is not complete and can only be tried: kitchen ask --language {code}"
        if pack
        else ""
    )
    raise ValueError(f"{partial or repr(code) + ' is no language here'}; write {' or '.join(languages())}")
