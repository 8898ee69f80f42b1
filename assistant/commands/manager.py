"""``kitchen manager``: the manager's page in a browser, and its PIN."""

from __future__ import annotations

import sys
from collections.abc import Callable
from contextlib import suppress
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from assistant.errors import InputError
from assistant.options import Options

if TYPE_CHECKING:
    from assistant.logbook.clock import Clock
    from assistant.site import Site

PORT = 8517


@click.group(invoke_without_command=True)
@click.option("--host", default="127.0.0.1", show_default=True, help="Address; another one needs a PIN.")
@click.option("--port", default=PORT, show_default=True, type=click.IntRange(1, 65535))
@click.option(
    "--database", default="", help="The office's database (postgresql://...): all kitchens, read-only."
)
@click.option("--certificate", type=click.Path(path_type=Path, exists=True), help="TLS certificate (PEM).")
@click.option("--key", type=click.Path(path_type=Path, exists=True), help="Its private key (PEM).")
@click.option(
    "--trusted-proxy", default="", help="Address of a proxy that is believed about who asks; needs a PIN."
)
@click.pass_context
def manager(
    context: click.Context,
    host: str,
    port: int,
    database: str,
    certificate: Path | None,
    key: Path | None,
    trusted_proxy: str,
) -> None:
    """Open the manager's page: today, the log, charts, sign-off."""
    if context.invoked_subcommand is not None:
        return
    from assistant.manager.app import listen, serve
    from assistant.manager.guard import LOOPBACK
    from assistant.site import site_file_to_write
    from assistant.typed import TypedTalk

    if (certificate is None) != (key is None):
        raise InputError("TLS needs both --certificate and --key; give the two.")
    options: Options = context.obj["options"]
    site_file = site_file_to_write(options.site)
    if not (database or options.trial or site_file.is_file()):
        click.echo(f"There is no {site_file} yet: set the kitchen up on the page.", err=True)

    def load() -> tuple[Site, Clock]:
        found = options.site_of(site_file if site_file.is_file() else None)
        return found, options.clock(found)

    desk = open_desk(options, database, load)
    talk = None if desk.office else TypedTalk(options.folder, lambda: (desk.site, desk.clock))
    with listen(host, port, options.folder, trusted_proxy) as listening:
        name = f"[{host}]" if ":" in host else host
        scheme = "https" if certificate else "http"
        click.echo(f"The manager's page: {scheme}://{name}:{port}/   (stop it with Ctrl+C)", err=True)
        if host not in LOOPBACK and not certificate:
            click.echo("Without TLS the PIN travels unprotected: use a network that you trust.", err=True)
        with suppress(KeyboardInterrupt):  # how the page is stopped: no fault
            serve(
                desk, options.folder, listening, loopback=host in LOOPBACK, certificate=certificate, key=key,
                proxy=trusted_proxy, site_file=None if options.trial else site_file, load=load, talk=talk,
            )  # fmt: skip


def open_desk(options: Options, database: str, load: Callable[[], tuple[Site, Clock]]) -> Any:
    """Return where the page reads: the log of this machine (made if missing), or the office's database."""
    from assistant.logbook.database import FILE_NAME
    from assistant.logbook.store import Logbook
    from assistant.manager.desk import LocalDesk, OfficeDesk
    from assistant.renewing import telling

    site, clock = load()
    if database:
        office = OfficeDesk(database, site, clock)
        office.kitchens()  # a wrong URL or a database out of reach is told before the page opens
        return office
    new = not (options.folder / FILE_NAME).is_file()
    with Logbook.open(options.folder, site=site.kitchen.name, clock=clock, progress=telling()):
        pass
    if new:
        click.echo(f"A new log was begun in {options.folder.absolute()}", err=True)
    return LocalDesk(options.folder, site, clock)


@manager.command("set-pin")
@click.pass_obj
def set_pin(settings: dict[str, Any]) -> None:
    """Set the page's PIN, asked for twice; or taken from standard input."""
    from assistant.manager.pin import set_pin as keep

    options: Options = settings["options"]
    keep(options.folder, _new_pin())
    click.echo("The PIN is set. The page asks for it from now on; whoever was signed in has to give it.")


@manager.command("person")
@click.argument("name", required=False)
@click.option("--role", type=click.Choice(("cook", "lead", "manager", "inspector")), default="cook")
@click.option("--until", default="", help="Last day that the PIN opens the page; an inspector needs one.")
@click.option("--remove", is_flag=True, help="Take this person's PIN away.")
@click.pass_obj
def person(settings: dict[str, Any], name: str | None, role: str, until: str, remove: bool) -> None:
    """Give NAME a PIN of their own for the page, or list who has one.

    Cooks and inspectors read; leads close actions and sign off; managers see all.
    """
    from assistant.manager.people import load_people, remove_person, set_person

    folder = settings["options"].folder
    if name is None:
        for each in load_people(folder):
            click.echo(f"{each.name}: {each.role}{f', until {each.until}' if each.until else ''}")
        return
    if remove:
        remove_person(folder, name)
        click.echo(f"{name} has no PIN any more.")
        return
    try:
        last = date.fromisoformat(until) if until else None
    except ValueError:
        raise InputError(f"'{until}' is no day; write one like 2026-03-02.") from None
    kept = set_person(folder, name, role, _new_pin(), last)
    click.echo(f"{kept.name} has a PIN now, as {kept.role}.")


def _new_pin() -> str:
    if sys.stdin.isatty():
        return str(click.prompt("New PIN", hide_input=True, confirmation_prompt=True))
    return sys.stdin.readline().rstrip("\r\n")
