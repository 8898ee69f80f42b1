"""The first site file of a kitchen: the example's places that it has, its own name, people, labels."""

from __future__ import annotations

import json
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from importlib.resources import files
from typing import Any

from assistant.errors import InputError

USUAL = ("walk-in", "reach-in", "freezer", "steam table", "hand sink", "probe", "quat bucket")
"""Places that most kitchens have (common practice, no source)."""
_HEAD = """\
# The facts of your own kitchen. Figures of a sanitizer must be those printed on ITS label.
# What else can be said here, and by which key: kitchen site --keys
"""


@dataclass(frozen=True)
class Answers:
    """What a new kitchen says of itself. ``ranges``: for each product's id the label's range in ppm."""

    name: str
    profile: str
    units: str
    places: tuple[str, ...]
    ranges: Mapping[str, tuple[float, float]]
    people: tuple[str, ...] = ()


def known_places() -> dict[str, str]:
    """Return the places that can be chosen, each with the product it needs (or an empty string)."""
    return {item["id"]: item.get("product", "") for item in _example()["equipment"]}


def products_of(places: Sequence[str]) -> tuple[str, ...]:
    """Return the sanitizers that these places need. Raises ``InputError`` for a place nobody knows."""
    known = known_places()
    if unknown := [place for place in places if place not in known]:
        raise InputError(f"There is no place '{unknown[0]}' to choose; write of these: {', '.join(known)}.")
    return tuple(dict.fromkeys(known[place] for place in places if known[place]))


def site_text(answers: Answers) -> str:
    """Return the file: TOML that ``assistant.site`` accepts."""
    example = _example()
    kitchen = {"name": answers.name, "profile": answers.profile, "units": answers.units}
    parts = [_HEAD, _block("[kitchen]", kitchen | {"wake_phrase": example["kitchen"]["wake_phrase"]})]
    parts += [_block("[[people]]", {"name": name}) for name in answers.people]
    for identity in products_of(answers.places):
        kind = next(item["kind"] for item in example["products"] if item["id"] == identity)
        low, high = answers.ranges[identity]
        facts = {"id": identity, "kind": kind, "label_min_ppm": low, "label_max_ppm": high}
        parts.append(_block("[[products]]", facts))
    parts += [_block("[[equipment]]", item) for item in example["equipment"] if item["id"] in answers.places]
    has = {place for item in example["equipment"] if item["id"] in answers.places for place in _spots(item)}
    for plan in example["rounds"]:
        places = [place for place in plan.get("places", []) if place in has]
        if places or plan.get("cooling"):
            parts.append(_block("[[rounds]]", plan | ({"places": places} if places else {})))
    return "\n".join(parts)


def _example() -> dict[str, Any]:
    return tomllib.loads((files("assistant") / "example_site.toml").read_text(encoding="utf-8"))


def _spots(item: Mapping[str, Any]) -> list[str]:
    return [item["id"], *(f"{item['id']} {number}" for number in item.get("numbers", []))]


def _block(head: str, values: Mapping[str, Any]) -> str:
    # JSON's strings, numbers, booleans and lists of them are TOML's, too.
    lines = [f"{key} = {json.dumps(value, ensure_ascii=False)}" for key, value in values.items()]
    return "\n".join([head, *lines, ""])
