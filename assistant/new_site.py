"""The first site file of a kitchen: the example's places that it has, its own name, people, labels."""

from __future__ import annotations

import json
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
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
    """What a new kitchen says of itself. ``ranges``: for each product's id the label's range in ppm.

    ``counts``: how many there are of a place that may have several (one, where it does not say). One alone
    needs no number; several are numbered from 1, and those in ``one_more`` have another without a number.
    """

    name: str
    profile: str
    units: str
    places: tuple[str, ...]
    ranges: Mapping[str, tuple[float, float]]
    people: tuple[str, ...] = ()
    counts: Mapping[str, int] = field(default_factory=dict)
    one_more: frozenset[str] = frozenset()


def known_places() -> dict[str, str]:
    """Return the places that can be chosen, each with the product it needs (or an empty string)."""
    return {item["id"]: item.get("product", "") for item in _example()["equipment"]}


def place_called(name: str) -> str:
    """Return the place that a name stands for, however it is written ("Walk-in", "soup well").

    Raises ``InputError`` for a name of none, with all that can be chosen.
    """
    said = " ".join(name.lower().replace("-", " ").split())
    for item in _example()["equipment"]:
        if said in {each.replace("-", " ") for each in (item["id"], item["name"], *item.get("also", ()))}:
            return str(item["id"])
    known = ", ".join(known_places())
    raise InputError(
        f"There is no place '{name}' to choose; write of these: {known}. Others are added later."
    )


def products_of(places: Sequence[str]) -> tuple[str, ...]:
    """Return the sanitizers that these places need."""
    known = known_places()
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
    own = [_own(item, answers) for item in example["equipment"] if item["id"] in answers.places]
    parts += [_block("[[equipment]]", item) for item in own]
    has = {said: spots for item in own for said, spots in _spots(item).items()}
    for plan in example["rounds"]:
        places = list(dict.fromkeys(spot for place in plan.get("places", []) for spot in has.get(place, ())))
        if places or plan.get("cooling"):
            parts.append(_block("[[rounds]]", plan | ({"places": places} if places else {})))
    return "\n".join(parts)


def _example() -> dict[str, Any]:
    return tomllib.loads((files("assistant") / "example_site.toml").read_text(encoding="utf-8"))


def _own(item: Mapping[str, Any], answers: Answers) -> dict[str, Any]:
    """Return a place of the example as this kitchen has it: one without a number, or so many numbered."""
    own = {key: value for key, value in item.items() if key not in ("numbers", "unnumbered")}
    count = answers.counts.get(item["id"], 1)
    if count == 1:
        return own
    numbered = own | {"numbers": list(range(1, count + 1))}
    return numbered | {"unnumbered": True} if item["id"] in answers.one_more else numbered


def _spots(item: Mapping[str, Any]) -> dict[str, tuple[str, ...]]:
    """Return what the example's rounds may call a place, with the names that it has here: all of several."""
    name = item["id"]
    numbered = tuple(f"{name} {number}" for number in item.get("numbers", ()))
    if not numbered:
        return {name: (name,), f"{name} 1": (name,)}
    every = (name, *numbered) if item.get("unnumbered") else numbered
    return {name: every} | {spot: (spot,) for spot in numbered}


def _block(head: str, values: Mapping[str, Any]) -> str:
    # JSON's strings, numbers, booleans and lists of them are TOML's, too.
    lines = [f"{key} = {json.dumps(value, ensure_ascii=False)}" for key, value in values.items()]
    return "\n".join([head, *lines, ""])
