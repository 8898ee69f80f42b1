"""Every kind of fault in a site file: one sentence with file, line, key and what may stand there."""

from __future__ import annotations

from pathlib import Path

import pytest

from assistant.errors import InputError
from assistant.site import load_site, parse_site

HEAD = "# An invented kitchen.\n\n"
PLACE = '[[equipment]]\nid = "walk-in"\nname = "walk-in"\nkind = "cold_holding"\n'
OTHER = '[[equipment]]\nid = "reach-in"\nname = "reach-in"\nkind = "cold_holding"\n'
QUAT = '[[products]]\nid = "quat"\nkind = "quat"\nlabel_min_ppm = 200\nlabel_max_ppm = 400\n'
ROUND = '[[rounds]]\nid = "opening"\nname = "opening"\nplaces = ["walk-in"]\n'


@pytest.mark.parametrize(
    ("text", "line", "says"),
    [
        # a wrong type or value
        (
            '[kitchen]\nname = "Quay"\nunits = "fahrenheit"\n',
            5,
            ["'kitchen.units'", '"F", "C"', "'fahrenheit'"],
        ),
        ("[kitchen]\nname = 7\n", 4, ["'kitchen.name'", "words in quotation marks"]),
        ("[kitchen]\naltitude_feet = 90000\n", 4, ["90000", "a whole number from -1500 to 15000"]),
        ('[kitchen]\neggs_only_to_order = "maybe"\n', 4, ["true or false"]),
        ('[kitchen]\nclosed_dates = ["Christmas"]\n', 4, ["'kitchen.closed_dates'", "2026-12-25"]),
        ('[kitchen]\nclosed_weekdays = ["someday"]\n', 4, ['"monday"', '"sunday"']),
        ('[kitchen]\nlanguage = "xx"\n', 4, ["'kitchen.language'", "write en"]),
        ('[kitchen]\nprofile = "ohio"\n', 4, ["'kitchen.profile'", "fda_2022"]),
        ('[kitchen]\ntime_zone = "Ohio"\n', 4, ["'kitchen.time_zone'", "America/Chicago"]),
        (PLACE + 'also = "cooler"\n', 7, ["'equipment.also' of 'walk-in'", "a list between [ and ]"]),
        (PLACE + "numbers = [0, 1]\n", 7, ["a whole number from 1 to 99"]),
        (PLACE + ROUND + 'due = ["6.30"]\n', 11, ["'rounds.due' of 'opening'", "06:30"]),
        (
            QUAT.replace("200", '"lots"'),
            6,
            ["'products.label_min_ppm' of 'quat'", "a number above 0 to 1000"],
        ),
        ('[alerts]\nmail_to = ["me"]\n', 4, ["manager@example.org"]),
        ('[[kitchen]]\nname = "x"\n', 3, ["[kitchen] once, with one bracket"]),
        (PLACE.replace("[[", "[").replace("]]", "]"), 3, ["[[equipment]], with two brackets"]),
        # an unknown key or table, one that is missing
        (PLACE + "shelfs = 3\n", 7, ["'equipment.shelfs' of 'walk-in'", "did you mean 'shelves'?"]),
        ('[kitchn]\nname = "x"\n', 3, ["'kitchn'", "did you mean 'kitchen'?"]),
        (
            '[[equipment]]\nid = "walk-in"\nkind = "cold_holding"\n',
            3,
            ["'equipment.name'", "missing; add it"],
        ),
        # what is not in a list
        (
            PLACE.replace("cold_holding", "cold_holdin"),
            6,
            ["'equipment.kind'", "did you mean 'cold_holding'?"],
        ),
        (PLACE + 'product = "quad"\n' + QUAT, 7, ["'quad'", "did you mean 'quat'?"]),
        (PLACE + 'product = "bleach"\n', 7, ["'bleach', which no [[products]] has"]),
        (
            PLACE + ROUND.replace("walk-in", "walkin"),
            10,
            ["unknown places: walkin", "did you mean 'walk-in'?"],
        ),
        ('[menu]\n"moon stew" = "moon"\n', 4, ["'menu.moon stew'", "'moon', which no table of foods has"]),
        (
            '[[overrides]]\nkey = "x"\nvalue = "1"\nunit = "F"\nsource = "county"\n',
            4,
            ["no table holds", "'x'"],
        ),
        # empty, turned round, twice
        (PLACE + "numbers = []\n", 7, ["'equipment.numbers'", "such as [1, 2], or leave it out"]),
        (
            QUAT.replace("200", "500"),
            6,
            ["'products.label_min_ppm' of 'quat'", "must not be above label_max_ppm"],
        ),
        (PLACE + ROUND.replace('"]', '", "walk-in"]'), 10, ["named twice: walk-in"]),
        (
            PLACE + '[[rounds]]\nid = "close"\nname = "close"\n',
            7,
            ["'rounds.places'", "places or cooling = true"],
        ),
        (PLACE + OTHER.replace('id = "reach-in"', 'id = "walk-in"'), 8, ["'equipment.id'", "used twice"]),
        (QUAT + QUAT, 9, ["'products.id'", "'quat' is used twice"]),
        ('[[people]]\nname = "Ana"\n[[people]]\nname = "ana"\n', 6, ["'people.name'", "'ana' is used twice"]),
        (
            PLACE + OTHER.replace('name = "reach-in"', 'name = "Walk in"'),
            9,
            ["'Walk in' is a name of 'walk-in'"],
        ),
        (
            PLACE + 'also = ["cooler"]\n' + OTHER + 'also = ["Cooler"]\n',
            12,
            ["'Cooler' is a name of 'walk-in'"],
        ),
    ],
)
def test_a_fault_names_file_line_key_and_what_may_stand_there(
    tmp_path: Path, text: str, line: int, says: list[str]
) -> None:
    """As it is read from a file, in one line without a word of the libraries'."""
    path = tmp_path / "quay.toml"
    path.write_text(HEAD + text)
    with pytest.raises(InputError) as fault:
        load_site(path)
    said = str(fault.value)
    assert f"{path} has a fault on line {line}: " in said, said
    for part in says:
        assert part in said, said
    assert "\n" not in said
    assert "nput should" not in said


@pytest.mark.parametrize(
    ("text", "line", "says"),
    [
        ('name = "walk-in\n', 3, 'name = "walk-in): a quotation mark is missing'),
        ("label = 400 ppm\n", 3, "label = 400 ppm): one value stands behind ="),
        ("name = walk-in\n", 3, "words stand in quotation marks"),
        ("name walk-in\n", 3, "written as: key = value"),
        ("a = 1\na = 2\n", 4, "stands in its table already"),
        ("[kitchen]\n[kitchen]\n", 4, "was begun before"),
        ("places = [1,\n2\n", 4, "lacks its ]"),
        ("[kitchen\n", 3, "lacks its ]"),
    ],
)
def test_what_is_no_toml_is_told_in_plain_words(text: str, line: int, says: str) -> None:
    """With the line as it is written; the reader's own words are for programmers."""
    with pytest.raises(InputError, match=r"quay\.toml is not valid TOML: line") as fault:
        parse_site(HEAD + text, "quay.toml")
    assert f"line {line} (" in str(fault.value)
    assert says in str(fault.value)
