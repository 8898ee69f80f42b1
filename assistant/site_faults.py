"""What is wrong with a site file: on which line, with which key, and what may stand there."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING, Any, NamedTuple

if TYPE_CHECKING:
    from pydantic import BaseModel, ValidationError

    from assistant.site import Equipment, Person, Round, Site

Loc = tuple[int | str, ...]
"""Where something stands: a table's name, the number of its row, a key."""
Schema = Mapping[str, Any]
_HEADER = re.compile(r"\s*(\[\[?)\s*([\w.-]+)\s*\]")
_AT = re.compile(r" \(at (?:line (\d+), column \d+|end of document)\)$")
_MOST = 60
"""Characters of a line or a value that are shown."""
_SYNTAX = (
    ("Illegal character '\\n'", "a quotation mark is missing at its end"),
    ("Unterminated string", "a quotation mark is missing at its end"),
    ("Expected newline", "one value stands behind =: words in quotation marks, a number without its unit"),
    ("Invalid value", "what stands behind = cannot be read: words stand in quotation marks, numbers without"),
    ("Expected '='", "it has to be written as: key = value"),
    ("Cannot overwrite", "this key stands in its table already; remove one of the two"),
    ("Cannot declare", "this table was begun before; where there may be several, write it with [[ and ]]"),
    ("Unclosed array", "the list lacks its ] at the end"),
    ("Expected ']", "the name of the table lacks its ] or ]] at the end"),
    ("Invalid statement", "it has to begin with a key, a [table], or # for a remark"),
)
"""What a reader of TOML complains of, by how its message begins, and the same in plain words."""
_EXAMPLES = {
    "due": 'a time of day such as "06:30"',
    "sign_by": 'a time of day such as "12:00"',
    "mail_to": 'an address such as "manager@example.org"',
    "mail_relay": 'a host, such as "localhost:25"',
    "webhook": 'an address such as "https://example.org/kitchen"',
    "value": 'a number in quotation marks, such as "40.5"',
}
"""By key, where only some words fit."""


class PlacedError(ValueError):
    """A fault found by a rule of the site's own: what is wrong, and where below the table it stands."""

    def __init__(self, says: str, *loc: int | str) -> None:
        super().__init__(says)
        self.loc: Loc = loc


class Found(NamedTuple):
    """One fault: ``key`` with its rows' numbers, ``shown`` as the file has it, ``line`` 0 if not known."""

    key: str
    says: str
    shown: str
    line: int


def of_syntax(error: tomllib.TOMLDecodeError, text: str) -> str:
    """Return which line of a text is no TOML, and why."""
    said, at = str(error), _AT.search(str(error))
    lines = text.splitlines()
    number = int(at[1]) if at and at[1] else len(lines)
    said = _AT.sub("", said)
    plain = next((plain for begins, plain in _SYNTAX if said.startswith(begins)), said)
    line = lines[number - 1].strip()[:_MOST] if 0 < number <= len(lines) else ""
    return f"line {number} ({line}): {plain}"


def of_rules(error: ValidationError, text: str, model: type[BaseModel]) -> Found:
    """Return the first fault that the rules of ``model`` found in a text of TOML."""
    fault = error.errors(include_url=False)[0]
    loc: Loc = fault["loc"]
    own = fault.get("ctx", {}).get("error")
    if isinstance(own, ValueError):
        loc = (*loc, *own.loc) if isinstance(own, PlacedError) else loc
        return found(loc, str(own), text)
    schema = model.model_json_schema()
    kind = fault["type"]
    if kind == "extra_forbidden":
        return found(loc, _unknown(str(loc[-1]), _keys(schema, loc[:-1])), text)
    may = _may_stand(_at(schema, loc), schema, loc)
    if kind == "missing":
        return found(loc, f"this key is missing; add it: {may}", text)
    return found(loc, f"{_cut(fault['input'])} does not fit; write {may}", text)


def found(loc: Loc, says: str, text: str) -> Found:
    """Return a fault at ``loc`` with its line in the text."""
    key = ".".join(str(part) for part in loc) or "the file"
    row = _row(tomllib.loads(text), loc)
    name = str(row.get("id") or row.get("name") or "") if row is not None else ""
    words = ".".join(str(part) for part in loc if not isinstance(part, int)) or "the file"
    of = f" of '{name}'" if name else f" of number {int(loc[1]) + 1}" if row is not None else ""
    return Found(key, says, f"'{words}'{of}", line_of(text, loc))


def line_of(text: str, loc: Loc) -> int:
    """Return the line on which a key stands, else that of its table; 0 where neither is written so."""
    table, rest = (str(loc[0]), loc[1:]) if loc else ("", ())
    row = rest[0] if rest and isinstance(rest[0], int) else 0
    key = next((part for part in rest if isinstance(part, str)), "")
    here, count, header = not table, -1, 0
    wanted = re.compile(rf"\s*[\"']?{re.escape(key or table)}[\"']?\s*=")
    for number, line in enumerate(text.splitlines(), 1):
        if begun := _HEADER.match(line):
            count += begun[2] == table
            here = begun[2] == table and count == row
            header = number if here else header
        elif (here and key and wanted.match(line)) or (count < 0 and not key and wanted.match(line)):
            return number
    return header


def _shared(names: Iterable[tuple[str, str]]) -> tuple[str, str, str] | None:
    """Return a spoken name that two things have, and both, of ``(name, id)``; ``None`` for none."""
    seen: dict[str, str] = {}
    for name, owner in names:
        plain = " ".join(name.casefold().replace("-", " ").split())
        if seen.setdefault(plain, owner) != owner:
            return name, seen[plain], owner
    return None


def check_spoken(site: Site) -> None:
    """Raise ``PlacedError`` where a name says two things, or a list of a place's units is empty."""
    for number, item in enumerate(site.equipment):
        if "numbers" in item.model_fields_set and not item.numbers:
            says = "is an empty list; write the numbers that its units carry, such as [1, 2], or leave it out"
            raise PlacedError(says, "equipment", number, "numbers")
    tables: tuple[tuple[str, Sequence[Equipment | Person | Round]], ...] = (
        ("equipment", site.equipment), ("people", site.people), ("rounds", site.rounds),
    )  # fmt: skip
    for table, things in tables:
        named = [
            (name, str(number)) for number, each in enumerate(things) for name in (each.name, *each.also)
        ]
        if (twice := _shared(named)) is not None:
            name, first, second = twice
            key = "name" if things[int(second)].name == name else "also"
            other = things[int(first)].name
            says = f"'{name}' is a name of '{other}', too; nobody could tell them apart: give one another"
            raise PlacedError(says, table, int(second), key)


def one_of(known: Iterable[str], written: str = "") -> str:
    """Return "write one of: ...", or the one that is nearest to what was written."""
    from difflib import get_close_matches

    listed = sorted(known)
    if near := get_close_matches(written, listed, 1):
        return f"did you mean '{near[0]}'? There are: {', '.join(listed)}"
    return f"write one of: {', '.join(listed)}" if listed else "there is none to name"


def _unknown(written: str, known: Sequence[str]) -> str:
    return f"this key is not known; remove it or correct its spelling: {one_of(known, written)}"


def _row(document: Mapping[str, Any], loc: Loc) -> Mapping[str, Any] | None:
    """Return the row of a table of rows in which a fault stands."""
    if len(loc) < 2 or not isinstance(loc[1], int):
        return None
    rows = document.get(str(loc[0]))
    fits = isinstance(rows, list) and loc[1] < len(rows) and isinstance(rows[loc[1]], dict)
    row: Mapping[str, Any] = rows[loc[1]] if fits and rows is not None else {}
    return row


def _cut(value: object) -> str:
    said = repr(value) if isinstance(value, str) else str(value)
    return said if len(said) <= _MOST else f"{said[:_MOST]}..."


def _at(schema: Schema, loc: Loc) -> Schema:
    """Return what the schema says of a place."""
    here: Schema = schema
    for part in loc:
        here = _whole(here, schema)
        here = here.get("items", {}) if isinstance(part, int) else _of_key(here, part)
    return _whole(here, schema)


def _of_key(here: Schema, key: str) -> Schema:
    inner: Schema = here.get("properties", {}).get(key) or here.get("additionalProperties") or {}
    return inner


def _whole(here: Schema, schema: Schema) -> Schema:
    """Follow what is defined elsewhere, and leave out that nothing may stand there."""
    if parts := [part for part in here.get("anyOf", ()) if part.get("type") != "null"]:
        here = parts[0]
    if "$ref" in here:
        inner: Schema = schema["$defs"][str(here["$ref"]).rpartition("/")[2]]
        return inner
    return here


def _keys(schema: Schema, loc: Loc) -> tuple[str, ...]:
    return tuple(_at(schema, loc).get("properties", ()))


def _may_stand(here: Schema, schema: Schema, loc: Loc) -> str:
    """Return in words what may stand at a place."""
    key = next((str(part) for part in reversed(loc) if isinstance(part, str)), "")
    if "enum" in here:
        return "one of: " + ", ".join(f'"{each}"' for each in here["enum"])
    match here.get("type"):
        case "array":
            inner = _whole(here.get("items", {}), schema)
            if inner.get("type") == "object":
                return f"[[{key}]], with two brackets, once for each"
            return f"a list between [ and ], of {_may_stand(inner, schema, loc)}"
        case "object":
            return f"[{key}] once, with one bracket, and its keys below it"
        case "boolean":
            return "true or false"
        case "integer" | "number":
            return _number(here)
        case "string" if here.get("format") == "date":
            return "a day such as 2026-12-25, without quotation marks"
        case "string" if least := here.get("minLength"):
            return f"words in quotation marks, at least {least} characters"
    return _EXAMPLES.get(key, "words in quotation marks")


def _number(here: Schema) -> str:
    what = "a whole number" if here.get("type") == "integer" else "a number"
    above = f" above {here['exclusiveMinimum']:g}" if "exclusiveMinimum" in here else ""
    low = f" from {here['minimum']:g}" if "minimum" in here else above
    high = f" to {here['maximum']:g}" if "maximum" in here else ""
    return f"{what}{low}{high}, without quotation marks or unit"
