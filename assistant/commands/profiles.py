"""``kitchen profiles``: the jurisdictions, and every figure in force under one."""

from __future__ import annotations

from typing import Any

import click

from assistant.commands.show import tell
from assistant.errors import InputError
from assistant.rules.profile import UnknownProfileError, load_profile, profile_names


@click.command()
@click.argument("name", default="")
@click.pass_obj
def profiles(settings: dict[str, Any], name: str) -> None:
    """List the jurisdictions, or every figure of NAME with its source and flag."""
    as_json: bool = settings["json"]
    if not name:
        for each in profile_names():
            title = load_profile(each).title
            tell(as_json, f"{each:18} {title}", name=each, title=title)
        return
    try:
        profile = load_profile(name)
    except UnknownProfileError as error:
        raise InputError(f"{str(error)[:1].upper()}{str(error)[1:]}.") from None
    for key, limit in sorted(profile.limits.items()):
        cited = limit.citation
        source = f"{cited.document}, {cited.section} [{cited.flag}]"
        source += "  (own text not read: stricter neighbour)" if limit.assumed else ""
        tell(
            as_json,
            f"{key:38} {limit.value} {limit.unit:8} {source}",
            key=key, value=str(limit.value), unit=limit.unit, document=cited.document, section=cited.section,
            flag=cited.flag, assumed=limit.assumed,
        )  # fmt: skip
