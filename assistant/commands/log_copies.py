"""``kitchen log`` verbs for copies: backup, restore, what happens by itself, saving a damaged log."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from assistant.commands.log_care import FILE, progress, tell_report
from assistant.commands.show import tell
from assistant.errors import DamagedLogError, InputError
from assistant.options import Options
from assistant.renewing import telling


@click.command()
@click.argument("folder", type=FILE)
@click.pass_obj
def backup(settings: dict[str, Any], folder: Path) -> None:
    """Copy log, clips, PIN, people, settings and site file to FOLDER and check the copy."""
    from assistant.logbook.backup import backup as copy
    from assistant.logbook.store import open_views

    options: Options = settings["options"]
    when = options.clock(options.load_site()).now()
    open_views(options.folder, progress=telling()).close()  # where no log is, no folder for its copy is made
    mended: list[str] = []
    report = copy(
        options.folder, folder, when, progress("copied"), site_file=options.site_file, mended=mended
    )  # fmt: skip
    for path in mended:
        click.echo(f"The clip {path} was damaged in the backup; it was copied again.", err=True)
    tell_report(report, settings["json"], f"Backed up to {folder}")


@click.command()
@click.argument("folder", type=FILE)
@click.pass_obj
def restore(settings: dict[str, Any], folder: Path) -> None:
    """Bring a backup from FOLDER back where no log is, and check what came out."""
    from assistant.logbook.backup import SITE_NAME
    from assistant.logbook.backup import restore as copy

    state = settings["options"].folder
    tell_report(copy(folder, state, progress("restored")), settings["json"], "Restored")
    if (state / SITE_NAME).is_file():
        click.echo(f"The kitchen's own facts came along: use them with --site {state / SITE_NAME}", err=True)


@click.command()
@click.argument("folder", type=FILE)
@click.pass_obj
def salvage(settings: dict[str, Any], folder: Path) -> None:
    """Save what is whole of this damaged log into FOLDER, with a list of what is not."""
    from assistant.logbook.salvage import LIST_NAME, REST_NAME
    from assistant.logbook.salvage import salvage as save

    saved = save(settings["options"].folder, folder)
    rest = f", {saved.beside} more in {REST_NAME}" if saved.beside else ""
    text = (
        f"Saved to {folder}: {saved.in_chain} entries as a log{rest}, {saved.clips} clips."
        f" Not whole: {len(saved.lost)}, listed in {LIST_NAME}."
    )
    tell(
        settings["json"], text, entries=saved.in_chain, beside=saved.beside, clips=saved.clips,
        lost=list(saved.lost),
    )  # fmt: skip


@click.command()
@click.option("--heads-to", help="A file on another disk that gets the chain's head every hour; '' for none.")
@click.option("--backup-to", help="A folder on another disk for the night's backup; '' for none.")
@click.option("--backup-at", help="When the night's backup is made, such as 03:00.")
@click.pass_obj
def care(
    settings: dict[str, Any], heads_to: str | None, backup_to: str | None, backup_at: str | None
) -> None:
    """Set what is kept away from this machine by itself; without options, show it."""
    from pydantic import ValidationError

    from assistant.logbook.care import load_care, save_care

    options: Options = settings["options"]
    now = load_care(options.folder)
    changed = {name: _absolute(place) for name, place in (("heads_to", heads_to), ("backup_to", backup_to))}
    changed["backup_at"] = backup_at
    if given := {name: value for name, value in changed.items() if value is not None}:
        try:
            now = type(now).model_validate({**now.model_dump(), **given})
        except ValidationError:
            raise InputError(f"'{backup_at}' is no time of day; write one like 03:00.") from None
        save_care(options.folder, now)
    last = now.last_backup()
    lines = (
        f"Heads noted in: {now.heads_to or 'nowhere else'}",
        f"Backups to: {f'{now.backup_to}, every night at {now.backup_at}' if now.backup_to else 'nowhere'}",
        f"Last backup: {last.isoformat(' ', 'minutes') if last else 'none'}",
    )
    tell(settings["json"], "\n".join(lines), **now.model_dump(), last_backup=last)


def _absolute(place: str | None) -> str | None:
    return str(Path(place).absolute()) if place else place


@click.command()
@click.option("--now", is_flag=True, help="Make the backup now, whatever the hour.")
@click.pass_obj
def nightly(settings: dict[str, Any], now: bool) -> None:
    """Make the night's backup if it is due and check all; the manager's page does this by itself."""
    from assistant.logbook.care import load_care
    from assistant.logbook.nightly import nightly as work
    from assistant.logbook.store import open_views

    options: Options = settings["options"]
    open_views(options.folder, progress=telling()).close()
    if not load_care(options.folder).backup_to:
        raise InputError("No backup is set: say where with 'kitchen log care --backup-to FOLDER'.")
    night = work(
        options.folder, options.clock(options.load_site()).now(), site_file=options.site_file, force=now
    )  # fmt: skip
    if night.fault:
        raise DamagedLogError(f"{night.fault[:1].upper()}{night.fault[1:]}.")
    text = (
        "The backup was made and checks out."
        if night.done
        else "The night's backup is made already, or not due."
    )
    tell(settings["json"], text, done=night.done, mended=list(night.mended))


COPIES: tuple[click.Command, ...] = (backup, restore, salvage, care, nightly)
