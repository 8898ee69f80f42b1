"""``kitchen log`` verbs that look after the log: verify, head, export, backup, restore, send, thin out."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from assistant.commands.show import counted, tell
from assistant.errors import DamagedLogError, InputError
from assistant.options import Options

if TYPE_CHECKING:
    from assistant.logbook.verify import Report

FILE = click.Path(path_type=Path)


def _progress(label: str) -> Any:
    def tell(count: int) -> None:
        if count and count % 10_000 == 0:
            click.echo(f"{label} {count} entries ...", err=True)

    return tell


def _tell(report: Report, as_json: bool, what: str) -> None:
    if as_json:
        faults = [{"entry": fault.entry, "text": fault.text} for fault in report.faults]
        head = str(report.head)
        click.echo(
            json.dumps(
                {
                    "ok": report.ok,
                    "checked": report.checked,
                    "clips": report.clips,
                    "head": head,
                    "faults": faults,
                }
            )
        )
    elif report.ok:
        click.echo(
            f"{what}: {counted(report.checked, 'entry', 'entries')} and {counted(report.clips, 'clip')} "
            f"as written. Head {report.head}"
        )
    if report.first is not None:
        raise DamagedLogError(
            f"The log is not whole. First fault: {report.first.text}. Keep a copy and call the manager."
        )


@click.command()
@click.option("--anchors", type=FILE, help="File of chain heads noted outside.")
@click.option("--no-clips", is_flag=True, help="Check the entries only.")
@click.pass_obj
def verify(settings: dict[str, Any], anchors: Path | None, no_clips: bool) -> None:
    """Find any changed, removed, inserted, reordered or cut entry or clip."""
    from assistant.logbook.anchors import read_anchors
    from assistant.logbook.verify import verify as check

    heads = read_anchors(anchors) if anchors else ()
    folder = settings["options"].folder
    _tell(
        check(folder, heads, clips=not no_clips, progress=_progress("checked")), settings["json"], "Verified"
    )


@click.command()
@click.option("--to", type=FILE, help="Add the head to this file, kept away from the log.")
@click.pass_obj
def head(settings: dict[str, Any], to: Path | None) -> None:
    """Print count and hash of the last entry: note it outside, and cuts are found too."""
    from assistant.logbook.anchors import add_anchor
    from assistant.logbook.store import open_views

    options: Options = settings["options"]
    with open_views(options.folder) as views:
        now = views.head()
    if to is not None:
        add_anchor(to, now, options.clock(options.load_site()).now())
    tell(settings["json"], str(now), count=now.count, hash=now.hash)


@click.command()
@click.argument("file", type=FILE)
@click.pass_obj
def export(settings: dict[str, Any], file: Path) -> None:
    """Write the log to FILE: a .csv for a spreadsheet, or a .jsonl that can be verified."""
    from assistant.logbook.export import export as write
    from assistant.logbook.store import open_views

    forms = {".csv": "csv", ".jsonl": "jsonl"}
    if file.suffix.lower() not in forms:
        raise InputError(f"'{file.name}' must end in .csv or .jsonl, so that the form is clear.")
    options: Options = settings["options"]
    now = options.clock(options.load_site()).now()
    with open_views(options.folder) as views:
        count = write(views, file, forms[file.suffix.lower()], now)  # type: ignore[arg-type]
    text = f"{counted(count, 'entry', 'entries')} written to {file}; the chain head is beside it."
    tell(settings["json"], text, entries=count, file=file)


@click.command()
@click.argument("folder", type=FILE)
@click.pass_obj
def backup(settings: dict[str, Any], folder: Path) -> None:
    """Copy the log and its clips to FOLDER and check the copy."""
    from assistant.logbook.backup import backup as copy
    from assistant.logbook.store import open_views

    options: Options = settings["options"]
    when = options.clock(options.load_site()).now()
    open_views(options.folder).close()  # where no log is, no folder for its copy is made
    _tell(
        copy(options.folder, folder, when, _progress("copied")),
        settings["json"],
        f"Backed up to {folder}",
    )


@click.command()
@click.argument("folder", type=FILE)
@click.pass_obj
def restore(settings: dict[str, Any], folder: Path) -> None:
    """Bring a backup from FOLDER back where no log is, and check what came out."""
    from assistant.logbook.backup import restore as copy

    _tell(copy(folder, settings["options"].folder, _progress("restored")), settings["json"], "Restored")


@click.command()
@click.argument("url")
@click.option("--clips", is_flag=True, help="Send the clips too.")
@click.pass_obj
def send(settings: dict[str, Any], url: str, clips: bool) -> None:
    """Send new entries on to the office's PostgreSQL database; safe to repeat."""
    from assistant.logbook.sending import send as send_on

    sent = send_on(settings["options"].folder, url, clips=clips, progress=_progress("sent"))
    text = f"{counted(sent.entries, 'entry', 'entries')} sent; the office has the log up to {sent.head}."
    tell(settings["json"], text, entries=sent.entries, head=str(sent.head))


@click.command()
@click.option("--keep-days", type=click.IntRange(min=1), required=True, help="Days to keep.")
@click.option("--entries", is_flag=True, help="Remove entries too, not only clips.")
@click.option("--clock-checked", is_flag=True, help="Say that the clock was looked at and is right.")
@click.pass_obj
def thin(settings: dict[str, Any], keep_days: int, entries: bool, clock_checked: bool) -> None:
    """Remove old clips (or entries) by rule, with a note in the chain."""
    from assistant.kitchen import open_kitchen
    from assistant.logbook.retention import remove_clips, remove_entries

    with open_kitchen(settings["options"], begin=False) as kitchen:
        remove = remove_entries if entries else remove_clips
        count = remove(kitchen.log, keep_days, clock_checked=clock_checked)
    what = "entries" if entries else "clips"
    text = f"{count} {what} older than {keep_days} days removed; a note in the log says so."
    tell(settings["json"], text, removed=count, what=what)


CARE: tuple[click.Command, ...] = (verify, head, export, backup, restore, send, thin)
