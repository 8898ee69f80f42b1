"""``kitchen languages``: the languages that are there, and what one that is not complete still lacks."""

from __future__ import annotations

from typing import Any

import click

from assistant.commands.show import tell
from assistant.errors import InputError
from intents.language import Pack, packs


@click.command()
@click.argument("code", default="")
@click.pass_obj
def languages(settings: dict[str, Any], code: str) -> None:
    """List the languages, or all that CODE, which is not complete, still lacks."""
    as_json: bool = settings["json"]
    for pack in (pack_of(code),) if code else packs().values():
        from intents.lacking import lacking_of

        lacks = () if pack.complete else lacking_of(pack.code)
        state = "complete" if pack.complete else f"partial, to be tried only; lacks {len(lacks)}"
        text = f"{pack.code:4} {pack.name}: {state}"
        tell(as_json, text, code=pack.code, name=pack.name, complete=pack.complete, lacks=len(lacks))
        for kind, name in lacks if code else ():
            tell(as_json, f"{kind:8} {name}", code=pack.code, kind=kind, lacks=name)


def pack_of(code: str) -> Pack:
    """Return a language pack; raises ``InputError`` for one that is not there."""
    if code not in packs():
        raise InputError(f"There is no language '{code[:40]}'. There are: {', '.join(packs())}.")
    return packs()[code]
