"""The forms of the set-up as data: what they ask, what a filled one says, what a change comes to in words."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cache
from importlib.resources import files
from typing import Any, Literal

from assistant.errors import InputError
from assistant.rules.foods import all_foods
from assistant.rules.profile import load_profile, profile_names
from assistant.rules.tables import read_table
from assistant.site import WEEKDAYS, Equipment, Site
from intents.equipment_kinds import equipment_kinds
from intents.language import languages

FieldKind = Literal[
    "text", "number", "whole", "tick", "names", "numbers", "choice", "order", "days", "dates", "times"
]
_TIME = re.compile(r"(\d{1,2})(?:[:.h](\d{2}))?\s*([ap])?\.?\s*m?\.?", re.IGNORECASE)
_HIGHEST = 99
"""Of the numbers that units of one place carry."""


@dataclass(frozen=True, slots=True)
class Field:
    """One thing that a form asks."""

    key: str
    label: str
    kind: FieldKind
    needed: bool = False
    help: str = ""
    choices: tuple[str, ...] = ()
    source: str = ""
    single: bool = False


@dataclass(frozen=True, slots=True)
class Section:
    """One kind of thing that a kitchen sets up: a table of the site file, its rows, or a mapping."""

    key: str
    title: str
    one: str
    about: str
    fields: tuple[Field, ...]
    table: bool = False
    named: str = ""
    id: str = ""
    mapping: str = ""
    say: tuple[str, ...] = ()
    say_es: tuple[str, ...] = ()

    def field(self, key: str) -> Field:
        """Return a field by its key."""
        return next(each for each in self.fields if each.key == key)


@cache
def _table() -> dict[str, Any]:
    return tomllib.loads((files("assistant.manager") / "tables" / "set_up.toml").read_text("utf-8"))


@cache
def sections() -> Mapping[str, Section]:
    """Return the forms by the key of the site file that they change."""
    found = {}
    for key, value in _table().items():
        if "fields" not in value:
            continue
        fields = tuple(_field(each) for each in value["fields"])
        rest = {name: each for name, each in value.items() if name not in ("fields", "say", "say_es")}
        found[key] = Section(key=key, fields=fields, say=tuple(value.get("say", ())),
            say_es=tuple(value.get("say_es", ())), **rest,
        )  # fmt: skip
    return found


def _field(row: Mapping[str, Any]) -> Field:
    return Field(
        **{key: value for key, value in row.items() if key not in ("from", "choices")},
        choices=tuple(row.get("choices", ())), source=row.get("from", ""),
    )  # fmt: skip


def choices_of(field: Field, site: Site) -> tuple[tuple[str, str], ...]:
    """Return what can be chosen: what is kept, and how it is shown."""
    match field.source:
        case "profiles":
            return tuple((name, load_profile(name).title) for name in profile_names())
        case "kinds":
            return tuple((name, name.replace("_", " ")) for name in equipment_kinds())
        case "products":
            return tuple((each.id, each.title or each.id) for each in site.products)
        case "machines":
            return tuple((row["name"], row["title"]) for row in read_table("dish_machines"))
        case "languages":
            return tuple((code, code) for code in languages())
        case "foods":
            return tuple((food.name, food.name) for food in all_foods())
    return tuple((each, each) for each in field.choices)


def spots(site: Site) -> tuple[tuple[str, str], ...]:
    """Return every place that a round may name, numbered ones apart, with its spoken name."""
    found: list[tuple[str, str]] = []
    for item in site.equipment:
        ids = [f"{item.id} {n}" for n in item.numbers] or [item.id]
        found += [(each, site.spoken_name(each)) for each in ([item.id, *ids] if item.numbers else ids)]
    return tuple(found)


def read_form(section: Section, form: Mapping[str, str], site: Site) -> dict[str, Any]:
    """Return the values that a filled form says, ``None`` for what is empty; raises ``InputError``."""
    values: dict[str, Any] = {}
    for field in section.fields:
        value = _read(field, form, site)
        if value is None and field.needed:
            raise InputError(f"Write '{field.label}'; it was left empty.")
        values[field.key] = value
    if section.id and "id" not in values:
        values = {"id": " ".join(str(values[section.id]).casefold().split()), **values}
    return values


def _read(field: Field, form: Mapping[str, str], site: Site) -> Any:
    text = form.get(field.key, "").strip()
    match field.kind:
        case "tick":
            return True if text else None
        case "names":
            parts = re.split(r"[\n,]", text)
            return [" ".join(part.split()) for part in parts if part.strip()] or None
        case "numbers":
            return _numbers(field, text) or None
        case "order":
            return _order(field, form, site) or None
        case "days":
            return [day for day in WEEKDAYS if form.get(f"{field.key}:{day}")] or None
        case "dates":
            return [_date(each) for each in re.split(r"[\s,]+", text) if each] or None
        case "times":
            times = sorted(_time(each) for each in re.split(r"[\n,]", text) if each.strip())
            return (times[0] if field.single else times) if times else None
    if not text:
        return None
    if field.kind in ("number", "whole"):
        return _number(field, text)
    if field.kind == "choice" and text not in dict(choices_of(field, site)):
        raise InputError(f"'{text[:40]}' is none of the choices for '{field.label}'.")
    return " ".join(text.split())


def _number(field: Field, text: str) -> int | float:
    try:
        number = float(text.replace(",", "."))
    except ValueError:
        raise InputError(f"'{text[:40]}' is no number; write one for '{field.label}'.") from None
    if number != number or abs(number) > 1e6 or (field.kind == "whole" and number != int(number)):
        raise InputError(f"'{text[:40]}' does not fit '{field.label}'; write a plain number.")
    return int(number) if number == int(number) else number


def _numbers(field: Field, text: str) -> list[int]:
    found: list[int] = []
    for part in re.split(r"[\s,;]+", re.sub(r"\s*[-–]\s*", "-", text)):
        first, dash, last = part.partition("-")
        if not part:
            continue
        if not first.isdecimal() or (dash and not last.isdecimal()) or int(last or first) > _HIGHEST:
            raise InputError(
                f"'{part[:20]}' does not fit '{field.label}'; write numbers such as 1-3 or 1, 2, 3."
            )
        found += range(int(first), int(last or first) + 1)
    return list(dict.fromkeys(found))


def _order(field: Field, form: Mapping[str, str], site: Site) -> list[str]:
    turns: list[tuple[float, int, str]] = []
    for number, (spot, name) in enumerate(spots(site)):
        if turn := form.get(f"{field.key}:{spot}", "").strip():
            try:
                turns.append((float(turn), number, spot))
            except ValueError:
                raise InputError(
                    f"'{turn[:20]}' is no number; say which turn {name} has, such as 3."
                ) from None
    return [spot for _, _, spot in sorted(turns)]


def _date(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise InputError(f"'{text[:40]}' is no date; write one like 2026-12-25.") from None


def _time(text: str) -> str:
    """Return "16:30" for "4:30 pm", "16:30", "1630 h" is none; raises ``InputError``."""
    found = _TIME.fullmatch(text.strip())
    hour, minute = (int(found[1]), int(found[2] or 0)) if found else (99, 0)
    half = (found[3] or "").lower() if found else ""
    fits = 1 <= hour <= 12 if half else hour <= 23
    hour = hour % 12 + (12 if half == "p" else 0) if half else hour
    if not fits or minute > 59:
        raise InputError(f"'{text.strip()[:20]}' is no time; write one like 10:30 or 4:30 pm.")
    return f"{hour:02d}:{minute:02d}"


def shown_in(field: Field, value: Any) -> str:
    """Return what stands in the field for a value of the site."""
    if value is None or value == () or value is False:
        return ""
    if field.kind == "tick":
        return "1"
    if isinstance(value, (list, tuple)):
        return (", " if field.kind == "numbers" else "\n").join(str(each) for each in value)
    return f"{value:g}" if isinstance(value, float) else str(value)


def in_words(value: Any) -> str:
    """Return a value as it is told in the log and before a change."""
    if value is None or value in ((), [], False, ""):
        return "nothing"
    if value is True:
        return "yes"
    if isinstance(value, (list, tuple)):
        return ", ".join(str(each) for each in value)
    return f"{value:g}" if isinstance(value, float) else str(value)


@dataclass(frozen=True, slots=True)
class Step:
    """One value that a change makes another: the field's label, before, after."""

    label: str
    before: str
    after: str


def steps_of(
    section: Section, before: Mapping[str, Any] | None, after: Mapping[str, Any] | None
) -> list[Step]:
    """Return what differs between two rows of one section; ``None`` is no row."""
    found = []
    for field in section.fields:
        old, new = (in_words((row or {}).get(field.key)) for row in (before, after))
        if old != new:
            found.append(Step(field.label, old, new))
    return found


def told(section: Section, name: str, steps: Sequence[Step], how: str) -> str:
    """Return a change as the log tells it: ``how`` is added, changed or removed."""
    what = f"{section.title.lower()}: {name} {how}" if name else f"{section.title.lower()} {how}"
    return f"{what}; " + "; ".join(f"{each.label}: {each.before} → {each.after}" for each in steps)


def sayings(section: Section, values: Mapping[str, Any], site: Site) -> list[str]:
    """Return sentences to try over ``site``, in which the change is in force."""
    if section.key == "equipment":
        item = site.equipment_by_id(str(values.get("id", "")))
        return _of_place(item, site) if item else []
    if section.key == "products":
        held = [item for item in site.equipment if item.product == values.get("id")]
        return [said for item in held[:2] for said in _of_place(item, site)]
    plain = {key: value for key, value in values.items() if isinstance(value, str)}
    said = section.say if site.kitchen.language == "en" else section.say_es
    return [saying.format_map(plain) for saying in said]


def _of_place(item: Equipment, site: Site) -> list[str]:
    place = f"{item.name} {item.numbers[0]}" if item.numbers else item.name
    good, bad = _values(item, site)
    templates = _table()["sayings"].get(item.kind, ())
    if site.kitchen.language != "en":  # a name and a number are said alike in every language
        templates = [each for each in templates if each.startswith("{place} {") and each.endswith("}")]
    return [each.format(place=place, good=good, bad=bad) for each in templates]


def _values(item: Equipment, site: Site) -> tuple[str, str]:
    if pair := _table()["values"].get(item.kind):
        good, bad = pair[site.kitchen.units]
        return str(good), str(bad)
    product = site.product_of(item.id)
    return (f"{product.label_min_ppm:g}", f"{product.label_min_ppm / 2:g}") if product else ("200", "50")


def shared_names(site: Site) -> list[str]:
    """Return a sentence for each name that two things of the kitchen have: it cannot tell them apart."""
    known: dict[str, list[str]] = {}
    for name, what in (
        *((each, item.name) for item in site.equipment for each in {item.name, *item.also}),
        *((each, person.name) for person in site.people for each in {person.name, *person.also}),
        *((each, plan.name) for plan in site.rounds for each in {plan.name, *plan.also}),
    ):
        known.setdefault(" ".join(name.casefold().split()), []).append(what)
    return [f"'{name}' is a name of {' and of '.join(whose)}." for name, whose in known.items() if whose[1:]]
