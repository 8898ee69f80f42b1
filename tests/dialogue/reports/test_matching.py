"""The solver alone, on words that stand for themselves: what it pairs is plain from the words said.

Common practice, no source: every number somebody says has one owner, and a number said of nothing has none.
"""

from __future__ import annotations

from decimal import Decimal

import pytest

from assistant.dialogue.reports.matching import solve
from assistant.dialogue.reports.shared_out import Key, Name, Solution, Span, Told

PLACES: dict[str, tuple[Key, ...]] = {
    "bin1": (("equipment", "bin 1", 0),),
    "bin2": (("equipment", "bin 2", 0),),
    "cold": (("equipment", "cold", 0), ("equipment", "colder", 0)),
    "icy": (("equipment", "colder", 0),),
    "bins": (("equipment", "bin 1", 0), ("equipment", "bin 2", 0)),
    "both-bins": (("equipment", "bin 1", 0), ("equipment", "bin 2", 0)),
    "soup": (("food", "soup", 0),),
}
LEAST = {"cold": -50, "colder": -50}


def _told(said: str) -> Told:
    """Return words of which a numeral is a number, and a comma stands by itself."""
    words, cuts = list[str](), set[int]()
    for word in said.split():
        if word == ",":
            cuts.add(len(words))
        else:
            words.append(word)
    sames = [i for i, word in enumerate(words) if word == "same"]
    numerals = [i for i, word in enumerate(words) if word.lstrip("-").isdecimal()]

    def fits(key: Key, _name: Name | None, number: Span) -> Decimal | None:
        value = Decimal(words[number.start]) if number.start in numerals else Decimal(0)
        return value if value >= LEAST.get(key[1], 20) else None

    def at(*listed: str) -> frozenset[int]:
        return frozenset(i for i, word in enumerate(words) if word in listed)

    names = [
        Name(i, i + 1, PLACES[word], several="bins" in word, listed=word == "both-bins", sure=True)
        for i, word in enumerate(words)
        if word in PLACES
    ]
    names += [
        Name(i, i + 1, PLACES[f"bin{words[i]}"], 1.0, after="bin") for i in numerals if words[i] in ("1", "2")
    ]
    return Told(
        size=len(words), names=tuple(names), numbers=tuple(Span(i, i + 1) for i in (*numerals, *sames)),
        small=at("and", "is", "are", "in", "the", "both"), joins=at("and"), states=at("is", "are"),
        into=at("in"), each=at("both"),
        articles=at("the"), cuts=frozenset(cuts), alone=frozenset(i for i in numerals if len(words[i]) == 1),
        numerals=frozenset(numerals), kinds={}, spoken_of=(("equipment", "bin 2", 0),), opened=False,
        opens=True, fits=fits, anew=lambda one, two: "no" in words[one.end : two.start],
        taken_back=lambda one, two: "no" in words[one.end : two.start],
        meant=lambda number, name: "that-was" in words[number.end : name.start],
        topic=lambda _: ("equipment", "bin 2", 0),
        same={Span(i, i + 1): None for i, word in enumerate(words) if word == "same"},
    )  # fmt: skip


def _pairs(way: Solution) -> str:
    return ", ".join(f"{m.key[1]} {m.value}" for m in way.pairs)


@pytest.mark.parametrize(
    ("said", "pairs"),
    [
        ("bin1 40 icy 30", "bin 1 40, colder 30"),
        ("bin1 is 40 , 2 is 41", "bin 1 40, bin 2 41"),
        ("bins 40 41", "bin 1 40, bin 2 41"),
        ("bins both 40", "bin 1 40, bin 2 40"),
        ("40 in the bin1 , 41 in the icy", "bin 1 40, colder 41"),
        ("bin1 40 no 41", "bin 1 41"),
        ("soup 60 61 62", "soup 60, soup 61, soup 62"),
        ("cold 3 icy -4", "cold 3, colder -4"),
        ("44 icy 30", "bin 2 44, colder 30"),
        ("both-bins are 40 icy", "bin 1 40, bin 2 40"),
        ("bin1 is 40 icy", "bin 1 40"),
        ("bin1 40 , bin2 same", "bin 1 40, bin 2 40"),
        ("bin1 40 soup same", "bin 1 40"),
        ("bin1 40 that-was icy", "colder 40"),
    ],
)
def test_each_number_finds_its_owner(said: str, pairs: str) -> None:
    assert _pairs(solve(_told(said), "bin")[0]) == pairs


def test_two_that_fit_as_well_cost_the_same() -> None:
    first, second = solve(_told("cold 3"))[:2]
    assert {_pairs(first), _pairs(second)} == {"cold 3", "colder 3"}
    assert first.cost == second.cost


def test_a_number_of_nothing_is_left() -> None:
    best = solve(_told("bin1 40 41"))[0]
    assert _pairs(best) == "bin 1 40"
    assert [number.start for number in best.lost] == [2]


def test_a_name_without_a_number_is_told() -> None:
    best = solve(_told("bin1 40 and the icy"))[0]
    assert [name.can_be[0][1] for name in best.unnumbered] == ["colder"]
