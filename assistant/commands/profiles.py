"""``kitchen profiles``: the jurisdictions, and every figure in force under one."""

from __future__ import annotations

from typing import Any

import click

from assistant.errors import InputError
from assistant.rules.profile import UnknownProfileError, load_profile, profile_names


@click.command()
@click.argument("name", default="")
@click.pass_obj
def profiles(settings: dict[str, Any], name: str) -> None:
    """List the jurisdictions, or every figure of NAME with its source and flag."""
    if not name:
        for each in profile_names():
            click.echo(f"{each:18} {load_profile(each).title}")
        return
    try:
        profile = load_profile(name)
    except UnknownProfileError as error:
        raise InputError(f"{str(error)[:1].upper()}{str(error)[1:]}.") from None
    for key, limit in sorted(profile.limits.items()):
        source = f"{limit.citation.document}, {limit.citation.section} [{limit.citation.flag}]"
        assumed = "  (own text not read: stricter neighbour)" if limit.assumed else ""
        click.echo(f"{key:38} {limit.value} {limit.unit:8} {source}{assumed}")
