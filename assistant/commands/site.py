"""``kitchen site``: which site file is in force, and a first one of one's own."""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
from contextlib import suppress
from importlib.resources import files
from pathlib import Path
from typing import Any

import click
from click.core import ParameterSource

from assistant.commands.show import called, tell
from assistant.commands.site_check import check
from assistant.commands.site_names import names
from assistant.errors import InputError, in_words
from assistant.new_site import (
    USUAL,
    Answers,
    known_places,
    place_called,
    products_of,
    site_text,
)
from assistant.options import Options
from assistant.rules.profile import UnknownProfileError, load_profile, profile_names
from assistant.site import SITE_VARIABLE, default_site_file, parse_site

MOST = 99
"""The highest number that a place can have."""
THERE = "{} is there already; change it in an editor, or name another with --to."


@click.group(invoke_without_command=True)
@click.option("--keys", is_flag=True, help="Print the example's file, with every key that is usual.")
@click.pass_context
def site(context: click.Context, keys: bool) -> None:
    """Show which site file is in force; make one with "site new"."""
    if context.invoked_subcommand is not None:
        return
    if keys:
        click.echo((files("assistant") / "example_site.toml").read_text(encoding="utf-8"), nl=False)
        return
    options: Options = context.obj["options"]
    facts = options.load_site()
    file = options.site_file
    what = f"{file}" if file else "none: the invented example kitchen is in force"
    text = f"{facts.kitchen.name}, {facts.profile.title}, {len(facts.equipment)} places\nSite file: {what}"
    if file is None:
        text += f"\nMake your own: kitchen site new   (it goes to {default_site_file()})"
    tell(
        context.obj["json"], text,
        name=facts.kitchen.name, profile=facts.kitchen.profile, places=len(facts.equipment), file=file,
    )  # fmt: skip


class _Checked(click.ParamType[str]):
    """Words that are looked at when they are given: what does not fit is asked for once more."""

    name = "words"

    def __init__(self, check: Callable[[str], object]) -> None:
        self.check = check

    def convert(self, value: str, param: click.Parameter | None, ctx: click.Context | None) -> str:
        """Return the words as they are. Raises ``UsageError`` for words that do not fit."""
        try:
            self.check(value)
        except (InputError, UnknownProfileError) as error:
            text = str(error)
            raise click.UsageError(f"{text[:1].upper()}{text[1:]}") from None
        return value


def _free(context: click.Context, _: click.Parameter, to: Path | None) -> Path | None:
    """Refuse a file that is there before anything is asked."""
    if not context.resilient_parsing and (target := _target(context.obj, to)).exists():
        raise InputError(THERE.format(target))
    return to


def _target(settings: dict[str, Any], to: Path | None) -> Path:
    return to or settings["options"].site or _from_variable() or default_site_file()


def _listed(text: str) -> tuple[str, ...]:
    return tuple(part.strip() for part in text.split(",") if part.strip())


def _people(said: str) -> None:
    """Raise ``InputError`` for a number in the place of a name: who signs in says it aloud."""
    if numbers := [name for name in _listed(said) if not any(letter.isalpha() for letter in name)]:
        raise InputError(f"'{numbers[0]}' is no name; write names of people, or nothing.")


site.add_command(names)
site.add_command(check)


@site.command()
@click.option("--name", prompt="Name of the kitchen", help="The name that stands on the record.")
@click.option(
    "--jurisdiction", prompt=f"Whose food code, of {', '.join(profile_names())}", default="fda_2022",
    type=_Checked(load_profile), show_default=True, help="A name from: kitchen profiles.",
)  # fmt: skip
@click.option(
    "--places", prompt=f"Places, with commas between, of {', '.join(known_places())}",
    default=", ".join(USUAL), show_default=True,
    type=_Checked(lambda said: [place_called(place) for place in _listed(said)]),
    help="Which places it has.",
)  # fmt: skip
@click.option("--count", "counts", multiple=True, help="How many of a place, such as freezer=2 (else one).")
@click.option("--people", prompt="Who may sign in, with commas between (or nothing)", default="",
              type=_Checked(_people), show_default=False, help="Names of people.")  # fmt: skip
@click.option("--label", "labels", multiple=True, help="A label's range, such as quat=200-400.")
@click.option("--to", type=click.Path(path_type=Path), is_eager=True, callback=_free,
              help="Write it there instead of the usual place.")  # fmt: skip
@click.pass_obj
def new(
    settings: dict[str, Any], name: str, jurisdiction: str, places: str, people: str,
    labels: tuple[str, ...], counts: tuple[str, ...], to: Path | None,
) -> None:  # fmt: skip
    """Ask a few things and write the site file of your own kitchen. Never overwrites one."""
    chosen = tuple(dict.fromkeys(place_called(place) for place in _listed(places)))
    target = _target(settings, to)
    units = load_profile(jurisdiction).unit
    given = dict(_label(label) for label in labels)
    needed_by = products_of(chosen)
    told = dict(_count(count) for count in counts)
    one_more = frozenset[str]()
    asks = click.get_current_context().get_parameter_source("places") is ParameterSource.PROMPT
    if asks and not told:
        told, one_more = _asked_counts(chosen)
    ranges = {product: given.get(product) or _asked(product) for product in needed_by}
    needed = {product: span for product, span in ranges.items() if span is not None}
    left_out = [place for place in chosen if known_places()[place] in ranges.keys() - needed.keys()]
    chosen = tuple(place for place in chosen if place not in left_out)
    text = site_text(Answers(name, jurisdiction, units, chosen, needed, _listed(people), told, one_more))
    parse_site(text, target.name)  # whatever is wrong with it is told before anything is written
    _write(target, text)
    usual = to is None and settings["options"].site is None
    after = "It is in force from now on." if usual else f"Use it with: {called()} --site {target} ..."
    if left_out:
        after += (
            f"\nLeft out without its label: {', '.join(left_out)}. Add it on the page: {called()} manager"
        )
    after += f"\nMore places, names of your own, rounds and times: {called()} manager"
    tell(settings["json"], f"{target} is written. {after}\nNext: {called()} doctor --listen", file=target)


def _write(target: Path, text: str) -> None:
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        with target.open("x", encoding="utf-8") as file:
            file.write(text)
    except OSError as fault:
        if isinstance(fault, FileExistsError):
            raise InputError(THERE.format(target)) from None
        with suppress(OSError):
            target.unlink(missing_ok=True)  # what a full disk cut off must not be in force
        raise InputError(f"{target} cannot be written ({in_words(fault)}); name another with --to.") from None


def _from_variable() -> Path | None:
    chosen = os.environ.get(SITE_VARIABLE, "")
    return Path(chosen) if chosen else None


def _label(text: str) -> tuple[str, tuple[float, float]]:
    """Read "quat=200-400". Raises ``InputError``."""
    product, _, span = text.partition("=")
    low, _, high = span.partition("-")
    try:
        if product in known_places().values():
            return product, (float(low), float(high))
    except ValueError:
        pass
    raise InputError(f"'{text}' is no label range; write one like quat=200-400.") from None


def _count(text: str) -> tuple[str, int]:
    """Read "freezer=2". Raises ``InputError``."""
    place, _, count = text.partition("=")
    if count.strip().isdecimal() and 1 <= int(count) <= MOST:
        return place_called(place), int(count)
    raise InputError(f"'{text}' is no count; write one like freezer=2 (1 to {MOST}).")


def _asked_counts(places: Sequence[str]) -> tuple[dict[str, int], frozenset[str]]:
    """Ask how many there are of each place, and whether one of several has no number."""
    counts = {
        place: int(click.prompt(f"How many of: {place}", type=_Checked(_one_to_many), default="1"))
        for place in places
    }
    one_more = frozenset(
        place
        for place, count in counts.items()
        if count > 1 and click.confirm(f"Is there one more {place}, without a number on it", default=False)
    )
    return counts, one_more


def _one_to_many(said: str) -> None:
    """Raise ``InputError`` for what is no number of places."""
    if not (said.strip().isdecimal() and 1 <= int(said) <= MOST):
        raise InputError(f"'{said}' is no number from 1 to {MOST}.")


def _asked(product: str) -> tuple[float, float] | None:
    """Ask for the label's range; ``None`` where nobody has the label before them: nothing is made up."""
    label = f"ppm printed on the label of the {product} sanitizer"
    low = _figure(f"Lowest {label} (nothing: left out for now)")
    high = _figure(f"Highest {label}") if low is not None else None
    return None if low is None or high is None else (low, high)


def _figure(question: str) -> float | None:
    def read(said: str) -> float | None:
        try:
            return float(said) if said.strip() else None
        except ValueError:
            raise click.UsageError(f"'{said}' is no number; write one like 200.") from None

    found: float | None = click.prompt(question, default="", show_default=False, value_proc=read)
    return found
