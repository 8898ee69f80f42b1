"""Every published check row about cooking and reheating passes through the public rules.

Source, section and flag stand beside each row in ``check_values_food.csv``; rows left out would be
listed, with the reason, in ``left_out_food.csv``.
"""

from __future__ import annotations

import csv
from decimal import Decimal
from pathlib import Path

import pytest

from assistant.rules.basis import Citation, Judgement, Limit, Temperature, Verdict
from assistant.rules.compare import judge_at_least
from assistant.rules.consumer_chart import chart_kind, judge_by_chart
from assistant.rules.cook_special import judge_microwave_cook
from assistant.rules.cooking import cook_target, judge_cook
from assistant.rules.food_names import find_food
from assistant.rules.foods import Food, unknown_food
from assistant.rules.profile import Profile, load_profile
from assistant.rules.reheating import Reheat, judge_reheat
from assistant.rules.roasts import oven_limit

HERE = Path(__file__).parent
COOKING = ("cook_", "roast_", "microwave_cook", "steak_", "noncontinuous", "plant_", "reheat")
TABLE = (HERE / "check_values_food.csv").read_text(encoding="utf-8").splitlines()
ROWS = [row for row in csv.DictReader(TABLE) if row["topic"].startswith(COOKING)]
WORDS = {Verdict.PASS: "PASS", Verdict.FAIL: "FAIL", Verdict.CANNOT_JUDGE: "CHECK"}
SEEN: set[str] = set()

Row = dict[str, str]


def rows(*topics: str) -> pytest.MarkDecorator:
    """Parametrise a test with every row of the topics; the row's id is the test's id."""
    SEEN.update(topics)
    chosen = [row for row in ROWS if row["topic"] in topics]
    return pytest.mark.parametrize("row", chosen, ids=[row["id"] for row in chosen])


def inputs(row: Row) -> Row:
    return dict(part.split("=", 1) for part in row["inputs"].split(";") if "=" in part)


def number(given: Row, name: str) -> Decimal | None:
    """The number of an input, ``None`` where the row leaves it out or calls it unknown."""
    text = given.get(name, "unknown")
    return None if text == "unknown" else Decimal(text)


def degrees(given: Row, name: str = "temp_F") -> Temperature:
    return Temperature(Decimal(given[name]))


def food(name: str) -> Food:
    return find_food(name) or unknown_food(name)


def profile(row: Row) -> Profile:
    names = {"consumer_chart", "shop_practice", "any", "south_dakota_1997"}
    return load_profile("fda_2022" if row["profile"] in names else row["profile"])


def word(judgement: Judgement) -> str:
    return WORDS[judgement.verdict]


def test_every_topic_has_a_test() -> None:
    """No row about cooking goes unused."""
    assert {row["topic"] for row in ROWS} == SEEN


@rows("cook_ground_beef", "cook_165", "cook_145_155", "cook_nys")
def test_cooking(row: Row) -> None:
    given = inputs(row)
    said = given.get("food", "ground beef")
    held = number(given, "held_s")
    if row["profile"] == "consumer_chart":
        verdict = judge_by_chart(chart_kind(food(said)), degrees(given), held or Decimal(0))
    else:
        verdict = judge_cook(food(said), degrees(given), profile(row), held, rare="rare" in said)
    assert word(verdict) == row["expected"]


@rows("cook_usda")
def test_consumer_chart(row: Row) -> None:
    given = inputs(row)
    kind = "eggs_held" if given["food"] == "egg dish" else chart_kind(food(given["food"]))
    assert word(judge_by_chart(kind, degrees(given), Decimal(given["rest_s"]))) == row["expected"]


@rows("roast_table")
def test_roast_hold_time(row: Row) -> None:
    target = cook_target(food("beef roast"), profile(row))
    assert target is not None
    holds = [step.hold_s for step in target.steps if step.reached_by(degrees(inputs(row)))]
    assert min(holds) == Decimal(row["expected"])


@rows("roast_verdict")
def test_roast_verdict(row: Row) -> None:
    given = inputs(row)
    held = Decimal(given["held_min"]) * 60
    assert word(judge_cook(food("beef roast"), degrees(given), profile(row), held)) == row["expected"]


@rows("roast_oven")
def test_roast_oven(row: Row) -> None:
    given = inputs(row)
    pounds = Decimal(9) if "<10" in row["inputs"] else Decimal(10)
    still = given["oven"].startswith("still")
    limit, bound = oven_limit("still_dry" if still else "convection", pounds)
    assert (limit.value, limit.unit, bound) == (Decimal(row["expected"]), row["unit"], "min")


@rows("microwave_cook")
def test_microwave_cooking(row: Row) -> None:
    given = inputs(row)
    stand = number(given, "covered_stand_s")
    assert word(judge_microwave_cook(degrees(given), profile(row), covered_stand_s=stand)) == row["expected"]


@rows("steak_undercooked")
def test_undercooked_steak(row: Row) -> None:
    """The surface figure that the answer gives is the published one."""
    least = profile(row).limit("steak_surface_min")
    assert word(judge_at_least(degrees(inputs(row), "surface_F"), least, "sear")) == row["expected"]


@rows("noncontinuous")
def test_first_heating(row: Row) -> None:
    """The minutes that the answer gives are the published ones."""
    minutes = Decimal(inputs(row)["initial_heat_min"])
    in_time = minutes <= profile(row).value("noncontinuous_first_minutes_max")
    assert ("PASS" if in_time else "FAIL") == row["expected"]


@rows("plant_hot_hold")
def test_plants_for_hot_holding(row: Row) -> None:
    assert word(judge_cook(food("green beans"), degrees(inputs(row)), profile(row))) == row["expected"]


def south_dakota_1997(base: Profile) -> Profile:
    """The older rule as a site's own figures, with their source: 190 in the microwave, 140 commercial."""
    source = Citation("South Dakota 44:02:07", "44:02:07:28, 44:02:07:33", "south_dakota_1997")
    figures = {"reheat_microwave_min": 190, "reheat_microwave_stand_min": 0, "reheat_commercial_min": 140}
    return base.with_overrides(
        Limit(key, Decimal(value), base.limit(key).unit, source) for key, value in figures.items()
    )


@rows("reheat")
def test_reheating(row: Row) -> None:
    given = inputs(row)
    kinds = {
        "house cooked": Reheat.HOUSE,
        "commercial intact pack": Reheat.COMMERCIAL,
        "microwave": Reheat.MICROWAVE,
        "unsliced roast": Reheat.UNSLICED_ROAST,
        "for immediate service to one order": Reheat.ONE_ORDER,
    }
    older = row["profile"] == "south_dakota_1997"
    quick = given["held_s"] == "0"
    verdict = judge_reheat(
        kinds[given["food"]],
        degrees(given),
        south_dakota_1997(profile(row)) if older else profile(row),
        held_s=None if quick else Decimal(given["held_s"]),
        minutes=Decimal(given["minutes_from_41F"]),
    )
    assert word(verdict) == row["expected"]
