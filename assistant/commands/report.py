"""``kitchen report`` and ``kitchen card``: the record for an inspector, and what can be said, on paper."""

from __future__ import annotations

from dataclasses import asdict
from datetime import date
from pathlib import Path
from typing import Any

import click

from assistant.commands.show import tell, tell_example
from assistant.errors import DamagedLogError, InputError
from assistant.options import Options
from intents.language import languages

PAPER = click.Choice(("auto", "letter", "a4"))


@click.command()
@click.option("--from", "first", default="", help="First local day, such as 2026-03-02 (default: today).")
@click.option("--to", "last", default="", help="Last local day (default: the first one).")
@click.option("--pdf", type=click.Path(path_type=Path), required=True, help="The file to write.")
@click.option("--readings", is_flag=True, help="Add a table of every reading.")
@click.option("--paper", type=PAPER, default="auto", show_default=True, help="auto: by the site's units.")
@click.option("--database", default="", help="The office's database (postgresql://...).")
@click.option("--kitchen", default="", help="Which kitchen of the office's database.")
@click.pass_obj
def report(
    settings: dict[str, Any],
    first: str,
    last: str,
    pdf: Path,
    readings: bool,
    paper: str,
    database: str,
    kitchen: str,
) -> None:
    """Write the record of a span of days as a PDF for an inspector."""
    from assistant.manager.desk import LocalDesk, OfficeDesk
    from assistant.manager.proof import TITLE, WHAT_TO_DO, alarm_of
    from assistant.manager.report import gather
    from assistant.manager.report_pdf import write_report

    options: Options = settings["options"]
    site = options.load_site()
    clock = options.clock(site)
    begin = _day(first, clock.now().date())
    end = _day(last, begin)
    if database and not kitchen:
        raise InputError("Name the kitchen of the report with --kitchen.")
    desk = OfficeDesk(database, site, clock) if database else LocalDesk(options.folder, site, clock)
    if database and kitchen not in {each.name for each in desk.kitchens()}:
        raise InputError(f"The office has no kitchen called '{kitchen}'.")
    check = desk.check(kitchen)
    with desk.views(kitchen) as views:
        name = kitchen if database else ""
        content = gather(views, site, begin, end, clock.now(), kitchen=name, check=check)
    tell_example(options)
    pages = write_report(content, site, pdf, paper=_paper(paper, site.kitchen.units), readings=readings)
    text = f"{pdf}: {_pages(pages)}, {content.entries} entries, chain head {content.head}"
    tell(
        settings["json"], text, file=pdf, pages=pages, entries=content.entries, head=str(content.head),
        ok=check.ok, fault=alarm_of(check),
    )  # fmt: skip
    if not check.ok:
        raise DamagedLogError(f"{TITLE}, and the report says so at its top. {alarm_of(check)} {WHAT_TO_DO}")


@click.command()
@click.option("--pdf", type=click.Path(path_type=Path), help="Write a PDF to print; else text.")
@click.option("--paper", type=PAPER, default="auto", show_default=True, help="auto: by the site's units.")
@click.option("--booklet", is_flag=True, help="The complete list by topic, not the page for the wall.")
@click.option(
    "--language", type=click.Choice(("site", *languages(), "both")), default="site", show_default=True
)
@click.pass_obj
def card(settings: dict[str, Any], pdf: Path | None, paper: str, booklet: bool, language: str) -> None:
    """Print what is said most as one page for the wall; or show or print all that can be said."""
    from assistant.manager.phrase_card import card_text, phrase_card
    from assistant.manager.wall_card import LANGUAGES, wall_card
    from intents.catalogue import load_catalogue

    options: Options = settings["options"]
    site = options.load_site()
    tell_example(options)
    if pdf is not None and not booklet:
        from assistant.manager.wall_card_pdf import write_wall_card

        chosen = {"both": LANGUAGES, "site": (site.kitchen.language,)}.get(language, (language,))
        cards = tuple(wall_card(site, each) for each in chosen)
        pages = write_wall_card(cards, site.kitchen.name, pdf, paper=_paper(paper, site.kitchen.units))
        tell(settings["json"], f"{pdf}: {_pages(pages)}", file=pdf, pages=pages)
        return
    code = site.kitchen.language if language in ("site", "both") else language
    topics = phrase_card(load_catalogue(code))
    if pdf is None and settings["json"]:
        for topic in topics:
            tell(True, "", **asdict(topic))
        return
    if pdf is None:
        click.echo(card_text(topics, site.kitchen.wake_phrase, code))
        return
    from assistant.manager.card_pdf import write_card

    wake, name, size = site.kitchen.wake_phrase, site.kitchen.name, _paper(paper, site.kitchen.units)
    pages = write_card(topics, wake, name, pdf, paper=size, language=code)
    tell(settings["json"], f"{pdf}: {_pages(pages)}", file=pdf, pages=pages)


def _pages(count: int) -> str:
    return f"{count} page{'s' if count != 1 else ''}"


def _paper(chosen: str, units: str) -> str:
    return chosen if chosen != "auto" else "letter" if units == "F" else "a4"


def _day(text: str, otherwise: date) -> date:
    if not text:
        return otherwise
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise InputError(f"'{text}' is no day; write one like 2026-03-02.") from None
