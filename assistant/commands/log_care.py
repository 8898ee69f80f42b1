"""``kitchen log`` verbs that look after the log: verify, head, export, send, thin out."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from assistant.commands.show import counted, tell
from assistant.errors import DamagedLogError, InputError
from assistant.options import Options
from assistant.renewing import telling

if TYPE_CHECKING:
    from assistant.logbook.verify import Report
    from assistant.logbook.views import Head

FILE = click.Path(path_type=Path)


def progress(label: str) -> Any:
    """Return what tells every ten thousandth entry on standard error."""

    def tell(count: int) -> None:
        if count and count % 10_000 == 0:
            click.echo(f"{label} {count} entries ...", err=True)

    return tell


def _older_rules(report: Report) -> str:
    """Say which actions an older version of this program called open or closed by other rules."""
    named = ", ".join(str(number) for number in report.by_older_rules[:10])
    more = len(report.by_older_rules) - 10
    return (
        "The list of open actions was made by an older version of this program; by today's rules these stand"
        f" otherwise: {named}{f' and {more} more' if more > 0 else ''}. It is made anew from the entries when"
        " the log is next opened."
    )


def tell_report(report: Report, as_json: bool, what: str) -> None:
    """Print what a check found; raises ``DamagedLogError`` for a fault."""
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
                    "by_older_rules": list(report.by_older_rules),
                }
            )
        )
    elif report.ok:
        if report.removed_by_rule:
            click.echo(
                f"Entries 1 to {report.removed_by_rule} were removed by rule; their note is in the chain."
            )
        click.echo(
            f"{what}: {counted(report.checked, 'entry', 'entries')} and {counted(report.clips, 'clip')} "
            f"as written. Head {report.head}"
        )
        if report.by_older_rules:
            click.echo(_older_rules(report))
    if report.first is not None:
        raise DamagedLogError(
            f"The log is not whole. First fault: {report.first.text}. Keep a copy and call the manager."
        )


@click.command()
@click.argument("file", type=FILE, required=False)
@click.option("--anchors", default="", help="A file of chain heads noted outside, or one head as printed.")
@click.option("--no-clips", is_flag=True, help="Check the entries only.")
@click.option("--database", default="", help="Check every kitchen in the office's database instead.")
@click.pass_obj
def verify(settings: dict[str, Any], file: Path | None, anchors: str, no_clips: bool, database: str) -> None:
    """Find any changed, removed, inserted, reordered or cut entry or clip; or check an exported FILE."""
    from assistant.logbook.anchors import anchors_from, read_anchors
    from assistant.logbook.care import load_care
    from assistant.logbook.export import verify_json_lines
    from assistant.logbook.verify import verify as check

    heads = anchors_from(anchors) if anchors else ()
    if file is not None:
        beside = file.with_name(file.name + ".head")
        heads += read_anchors(beside) if beside.is_file() else ()
        tell_report(verify_json_lines(file, heads), settings["json"], f"Verified {file}")
        return
    if database:
        _verify_office(database, heads, settings["json"])
        return
    folder = settings["options"].folder
    care = load_care(folder)
    for place in care.places():
        if not place.is_file():
            click.echo(f"The heads noted in {place} are out of reach, so they were not looked at.", err=True)
    report = check(folder, (*heads, *care.heads()), clips=not no_clips, progress=progress("checked"))
    tell_report(report, settings["json"], "Verified")


def _verify_office(url: str, heads: tuple[Head, ...], as_json: bool) -> None:
    """Check every kitchen's chain in the office's database; tell all before the first fault ends it."""
    from assistant.logbook.postgres import Office
    from assistant.logbook.verify import verify_source

    wrong: list[str] = []
    with Office.open(url) as office:
        for each in office.sites():
            report = verify_source(office, each.site, (each.head, *heads))
            first = report.first.text if report.first else ""
            wrong += [f"{each.site}: {first}"] if first else []
            told = first or f"{report.checked} entries are as they were written"
            told += f". {_older_rules(report).rstrip('.')}" if report.by_older_rules else ""
            tell(
                as_json,
                f"{each.site}: {told}. Head {report.head}",
                kitchen=each.site,
                ok=report.ok,
                fault=first,
            )
    if wrong:
        raise DamagedLogError(f"{len(wrong)} of the logs are not whole. First: {wrong[0]}.")


@click.command()
@click.option("--to", type=FILE, help="Add the head to this file, kept away from the log.")
@click.pass_obj
def head(settings: dict[str, Any], to: Path | None) -> None:
    """Print count and hash of the last entry: note it outside, and cuts are found too."""
    from assistant.logbook.anchors import add_anchor
    from assistant.logbook.store import open_views

    options: Options = settings["options"]
    with open_views(options.folder, progress=telling()) as views:
        now = views.head()
    if to is not None:
        add_anchor(to, now, options.clock(options.load_site()).now())
    tell(settings["json"], str(now), count=now.count, hash=now.hash)


@click.command()
@click.argument("file", type=FILE)
@click.pass_obj
def export(settings: dict[str, Any], file: Path) -> None:
    """Write the log to FILE: a .csv for a spreadsheet, or a .jsonl that can be verified."""
    from assistant.logbook.care import load_care
    from assistant.logbook.export import export as write
    from assistant.logbook.store import open_views
    from assistant.logbook.verify import verify as check

    forms = {".csv": "csv", ".jsonl": "jsonl"}
    if file.suffix.lower() not in forms:
        raise InputError(f"'{file.name}' must end in .csv or .jsonl, so that the form is clear.")
    options: Options = settings["options"]
    now = options.clock(options.load_site()).now()
    first = check(options.folder, load_care(options.folder).heads(), clips=False).first
    with open_views(options.folder, progress=telling()) as views:
        count = write(views, file, forms[file.suffix.lower()], now)  # type: ignore[arg-type]
    text = f"{counted(count, 'entry', 'entries')} written to {file}; the chain head is beside it."
    tell(settings["json"], text, entries=count, file=file, fault=first.text if first else "")
    if first:
        raise DamagedLogError(f"The log is not whole, and neither is this file. First fault: {first.text}.")


@click.command()
@click.argument("url")
@click.option("--clips", is_flag=True, help="Send the clips too.")
@click.option("--recheck", is_flag=True, help="With --clips: replace clips that the office has damaged.")
@click.pass_obj
def send(settings: dict[str, Any], url: str, clips: bool, recheck: bool) -> None:
    """Send new entries on to the office's PostgreSQL database; safe to repeat."""
    from assistant.logbook.sending import send as send_on

    _note_facts(settings["options"])
    sent = send_on(
        settings["options"].folder, url, clips=clips, recheck=recheck, progress=progress("sent")
    )  # fmt: skip
    with_clips = f" and {counted(sent.clips, 'clip')}" if clips else ""
    told = f"{counted(sent.entries, 'entry', 'entries')}{with_clips} sent"
    text = f"{told}; the office has the log up to {sent.head}."
    tell(
        settings["json"], text, entries=sent.entries, clips=sent.clips, head=str(sent.head), odd=sent.odd,
        clips_left_out=list(sent.clips_left_out),
    )  # fmt: skip
    if sent.odd:
        click.echo(f"{sent.odd[:1].upper()}{sent.odd[1:]}.", err=True)
    for path in sent.clips_left_out:
        click.echo(f"The clip {path} is not as it was logged, so it was not sent.", err=True)


@click.command()
@click.option("--keep-days", type=click.IntRange(min=1), required=True, help="Days to keep.")
@click.option("--entries", is_flag=True, help="Remove entries too, not only clips.")
@click.option("--clock-checked", is_flag=True, help="Say that the clock was looked at and is right.")
@click.option("--yes", is_flag=True, help="Do not ask before entries are removed.")
@click.pass_obj
def thin(settings: dict[str, Any], keep_days: int, entries: bool, clock_checked: bool, yes: bool) -> None:
    """Remove old clips (or entries) by rule, with a note in the chain. Entries need a backup of today."""
    from assistant.kitchen import open_kitchen
    from assistant.logbook.retention import remove_clips, remove_entries
    from assistant.logbook.store import open_views

    options: Options = settings["options"]
    open_views(options.folder, progress=telling()).close()
    if entries:
        _want_a_backup(options)
        if not yes:
            asked = f"Remove all entries older than {keep_days} days for good (they stay in the backup)?"
            click.confirm(asked, abort=True, err=True)
    with open_kitchen(settings["options"], begin=False) as kitchen:
        remove = remove_entries if entries else remove_clips
        count = remove(kitchen.log, keep_days, clock_checked=clock_checked)
    what = "entries" if entries else "clips"
    removed = counted(count, "entry", "entries") if entries else counted(count, "clip")
    text = f"{removed} older than {keep_days} days removed; a note in the log says so."
    tell(settings["json"], text, removed=count, what=what)


def _want_a_backup(options: Options) -> None:
    """Raise ``InputError`` unless a backup holds every entry but those of the last day."""
    from datetime import timedelta

    from assistant.logbook.care import load_care

    now = options.clock(options.load_site()).now()
    last = load_care(options.folder).last_backup()
    if last is None or now - last > timedelta(days=1):
        raise InputError(
            "Entries are only removed after a backup of the last day: set where with 'kitchen log care"
            " --backup-to FOLDER', make one with 'kitchen log nightly --now', then try again."
        )


def _note_facts(options: Options) -> None:
    """Put places and rounds into the chain where they changed since, so that the office has them, too."""
    from assistant.logbook.facts import facts_draft, facts_of, last_facts
    from assistant.logbook.store import Logbook, open_views

    if options.site_file is None:
        return
    site = options.load_site()
    with open_views(options.folder, progress=telling()) as views:
        if not views.head().count or last_facts(views) == facts_of(site):
            return
    with Logbook.open(options.folder, site=site.kitchen.name, clock=options.clock(site)) as log:
        log.append(facts_draft(site, "places and rounds as they are sent to the office"))


CARE: tuple[click.Command, ...] = (verify, head, export, send, thin)
