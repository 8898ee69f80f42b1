"""``kitchen models``: which speech models exist, which are installed, where; fetch and check them."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import click

from assistant.errors import InputError
from models.fetch import Progress, fetch, install_from
from models.manifest import find_entry
from models.registry import ModelStatus, choose, partner_of, survey, wrong_files


@click.group(invoke_without_command=True)
@click.pass_context
def models(context: click.Context) -> None:
    """List the speech models; get one from its publisher or from a stick."""
    if context.invoked_subcommand is not None:
        return
    chosen = choose()
    default, partner = chosen.entry, partner_of(chosen)
    for found in survey():
        if context.obj["json"]:
            click.echo(json.dumps(_as_json(found, default.name)))
            continue
        mark = "*" if found.entry == default else "+" if partner and found.entry == partner.entry else " "
        state = (
            str(found.path)
            if found.path
            else f"not installed ({found.note})"
            if found.note not in ("", "not installed")
            else "not installed"
        )
        entry = found.entry
        size, knows = f"{entry.size_bytes / 1e6:.0f} MB", ",".join(entry.languages)
        click.echo(f"{mark} {entry.name:30} {entry.engine:8} {knows:5}  {size:>7}  {entry.license}")
        click.echo(f"    {entry.title}\n    {state}")
    if not context.obj["json"]:
        click.echo("* listens by default, + listens along with it. Fetch another: kitchen models get NAME")


def _as_json(found: ModelStatus, default: str) -> dict[str, Any]:
    entry = found.entry
    return {
        "name": entry.name,
        "engine": entry.engine,
        "language": entry.language,
        "languages": list(entry.languages),
        "title": entry.title,
        "license": entry.license,
        "size_bytes": entry.size_bytes,
        "installed": found.installed,
        "path": str(found.path) if found.path else None,
        "note": found.note,
        "default": entry.name == default,
    }


@models.command()
@click.argument("name", default="")
@click.option(
    "--from", "source", type=click.Path(path_type=Path), help="A ZIP file or folder, for instance on a stick."
)
@click.pass_obj
def get(settings: dict[str, Any], name: str, source: Path | None) -> None:
    """Fetch and install the model NAME, or install it --from FILE."""
    if not name and source is None:
        raise InputError("Which model? Say its name (see: kitchen models), or give --from FILE.")
    found = (
        install_from(source, name=name or None, report=_bar())
        if source is not None
        else fetch(find_entry(name), report=_bar())
    )
    click.echo("", err=True)
    click.echo(f"{found.entry.name} is installed at {found.path}." + (f" {found.note}" if found.note else ""))


def _bar() -> Any:
    def tell(progress: Progress) -> None:
        share = f" {100 * progress.done / progress.total:.0f} %" if progress.total else ""
        click.echo(f"\r{progress.stage} {progress.done / 1e6:.1f} MB{share}   ", nl=False, err=True)

    return tell


@models.command()
@click.argument("name", default="")
def check(name: str) -> None:
    """Check the files of installed models against their known hashes."""
    wrong = False
    for found in survey():
        if found.installed and (not name or found.entry.name == name):
            bad = wrong_files(found)
            wrong = wrong or bool(bad)
            known = (
                "as published"
                if found.entry.sha256
                else "no hash is known, looked at by size and structure only"
            )
            click.echo(f"{found.entry.name}: " + (f"DAMAGED: {', '.join(bad)}" if bad else known))
    if wrong:
        raise InputError("A model is damaged. Remove its folder and get it again.")
