"""Every published check row about storing, thawing and serving food passes through the public rules.

Source, section and flag stand beside each row in ``check_values_food.csv``; rows left out would be
listed, with the reason, in ``left_out_food.csv``.
"""

from __future__ import annotations

import csv
from decimal import Decimal
from pathlib import Path

import pytest

from assistant.rules import thaw_times
from assistant.rules.allergens import is_listed, listed_allergens
from assistant.rules.basis import Judgement, Temperature, Verdict
from assistant.rules.food_names import find_food
from assistant.rules.foods import Food, unknown_food, with_eggs_to_order
from assistant.rules.holding import judge_cold_holding
from assistant.rules.parasites import Freezing, freezing_needed, judge_freezing
from assistant.rules.profile import Profile, load_profile
from assistant.rules.receiving import Delivery, judge_delivery, judge_frozen_delivery
from assistant.rules.storage import front_to_back, which_above
from assistant.rules.surfaces import cleaning_interval, judge_board
from assistant.rules.susceptible import judge_service
from assistant.rules.thawing import (
    Method,
    judge_method,
    judge_running_water,
    sink_between,
)

HERE = Path(__file__).parent
COOKING = ("cook_", "roast_", "microwave_cook", "steak_", "noncontinuous", "plant_", "reheat")
TABLE = (HERE / "check_values_food.csv").read_text(encoding="utf-8").splitlines()
ROWS = [row for row in csv.DictReader(TABLE) if not row["topic"].startswith(COOKING)]
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


def degrees(given: Row, name: str = "temp_F") -> Temperature:
    return Temperature(Decimal(given[name]))


def food(name: str) -> Food:
    return find_food(name) or unknown_food(name)


def profile(row: Row) -> Profile:
    names = {"consumer_chart", "shop_practice", "any", "south_dakota_1997"}
    return load_profile("fda_2022" if row["profile"] in names else row["profile"])


def word(judgement: Judgement) -> str:
    return WORDS[judgement.verdict]


def test_every_topic_has_a_test_and_nothing_is_left_out() -> None:
    """No row goes unused, and the list of rows left out is empty."""
    assert {row["topic"] for row in ROWS} == SEEN
    assert len(TABLE) == 269
    assert (HERE / "left_out_food.csv").read_text(encoding="utf-8").splitlines() == ["id,topic,reason"]


def span(estimate: thaw_times.Estimate) -> str:
    low, high = float(estimate.low), float(estimate.high)
    return f"{low:g}-{high:g}"


@rows("thaw_turkey_fridge", "thaw_turkey_water")
def test_turkey_thawing_bands(row: Row) -> None:
    """Anything inside a band of the table takes the band's span; its edge the longer neighbour's."""
    low, high = (Decimal(part) for part in inputs(row)["lb"].split("-"))
    fridge = row["topic"] == "thaw_turkey_fridge"
    ask = thaw_times.turkey_cooler_days if fridge else thaw_times.turkey_water_hours
    estimates = {span(ask(pounds)) for pounds in (low, (low + high) / 2, high - Decimal("0.1"))}
    assert (estimates, ask(low).unit) == ({row["expected"]}, row["unit"])


@rows("thaw_cold_water")
def test_cold_water_estimate(row: Row) -> None:
    estimate = thaw_times.cold_water_hours(Decimal(inputs(row)["lb"]))
    assert estimate.low == estimate.high == Decimal(row["expected"])


@rows("thaw_fridge")
def test_cooler_estimate(row: Row) -> None:
    estimate = thaw_times.cooler_days(Decimal(inputs(row)["lb"]))
    assert f"{float(estimate.low):.1f}-{float(estimate.high):.1f}" == row["expected"]


@rows("thaw_after")
def test_days_after_thawing(row: Row) -> None:
    foods = inputs(row)["food"].split(",")
    assert {span(thaw_times.days_after_thawing(food(name))) for name in foods} == {row["expected"]}


@rows("thaw_conflict")
def test_thaw_estimate_past_the_limit(row: Row) -> None:
    estimate = thaw_times.turkey_water_hours(Decimal(inputs(row)["pounds"]))
    assert word(thaw_times.check_water_estimate(estimate, profile(row))) == row["expected"]


def thaw_judgement(row: Row) -> Judgement:
    given = inputs(row)
    said, named = given["method"], given.get("food", "")
    if said == "refrigerator":
        return judge_cold_holding(degrees(given, "food_F"), profile(row))
    if said == "running water":
        return judge_running_water(
            degrees(given, "water_F"),
            profile(row),
            ready_to_eat=named == "ready to eat",
            food_temperature=degrees(given, "food_F") if "food_F" in given else None,
            water_minutes=Decimal(given.get("minutes", 0)),
            other_minutes_over_cold=Decimal(given.get("over41_h", 0)) * 60,
        )
    methods = {
        "counter": Method.COUNTER,
        "standing water not running": Method.STANDING_WATER,
        "cook from frozen": Method.COOK_FROZEN,
        "any": Method.ONE_PORTION,
    }
    portion = food("cheesecake") if said == "any" else None
    at_once = said == "microwave then cooked at once"
    return judge_method(methods.get(said, Method.MICROWAVE), portion, cooked_at_once=at_once)


@rows("thaw_method")
def test_thaw_method(row: Row) -> None:
    assert word(thaw_judgement(row)) == row["expected"]


@rows("slacking")
def test_slacking(row: Row) -> None:
    """The figure that the answer gives for food that thaws is the published one."""
    edge = 45 if "45F" in inputs(row)["product"] else 41
    assert word(judge_cold_holding(Temperature(Decimal(edge)), profile(row))) == row["expected"]


@rows("thaw_sink")
def test_thaw_sink(row: Row) -> None:
    given = inputs(row)
    assert sink_between(food(given["first"]), food(given["second"])).action.upper() == row["expected"]


@rows("storage_pair")
def test_storage_pair(row: Row) -> None:
    given = inputs(row)
    pair = [food(given["A"]), food(given["B"])]
    if row["profile"] == "shop_practice":
        pair = [with_eggs_to_order(one) for one in pair]
    assert which_above(*pair).placing.name == row["expected"]


@rows("storage_top_rail")
def test_cold_top(row: Row) -> None:
    order = front_to_back([food(name) for name in inputs(row)["foods"].split(",")])
    front = order.levels[0][0]
    assert (front.high, row["expected"]) == (165, "FRONT")


@rows("board_sequence")
def test_board_sequence(row: Row) -> None:
    first, second = inputs(row)["order"].split(",")
    strict = row["profile"] == "shop_practice"
    verdict = judge_board(food(first), food(second), strict=strict)
    assert (verdict.action.upper() if row["unit"] == "action" else word(verdict)) == row["expected"]


@rows("clean_frequency")
def test_clean_frequency(row: Row) -> None:
    limit = cleaning_interval(degrees(inputs(row), "room_F"), profile(row))
    assert (limit.value, limit.unit) == (Decimal(row["expected"]), "h")


@rows("prep_time")
def test_preparation_time(row: Row) -> None:
    limit = profile(row).limit("prep_minutes_max")
    assert (limit.value, limit.assumed) == (Decimal(row["expected"]) * 60, False)


@rows("susceptible")
def test_susceptible_guests(row: Row) -> None:
    given = inputs(row)
    verdict = judge_service(
        food(given["food"]),
        guests_highly_susceptible=given.get("guests") in ("nursing home", "day care"),
        undercooked="undercooked" in given["food"],
        childrens_menu=given.get("menu") == "children",
    )
    assert word(verdict) == row["expected"]


@rows("parasite_freeze")
def test_parasite_freezing(row: Row) -> None:
    given = inputs(row)
    ways = {
        "freezer": Freezing.FREEZER,
        "blast": Freezing.BLAST,
        "blast then -4F": Freezing.BLAST_THEN_FREEZER,
    }
    coldest = Temperature(Decimal(given.get("temp_F", -31)))
    verdict = judge_freezing(ways[given["method"]], Decimal(given["hours"]), profile(row), coldest)
    assert word(verdict) == row["expected"]


@rows("parasite_need")
def test_parasite_need(row: Row) -> None:
    said = inputs(row)["food"]
    need = freezing_needed(said, farmed_statement="with statement" in said)
    assert ("YES" if need.frozen_first else "NO") == row["expected"]


@rows("receiving")
def test_receiving(row: Row) -> None:
    given = inputs(row)
    kinds = {
        "milk": Delivery.MILK,
        "chicken": Delivery.COLD,
        "shell egg truck air": Delivery.EGG_AIR,
        "hot soup": Delivery.HOT,
        "live clams internal": Delivery.SHELLFISH,
    }
    if "frozen" in given["food"]:
        verdict = judge_frozen_delivery(frozen_solid="thawed" not in given["food"])
    else:
        verdict = judge_delivery(kinds[given["food"]], degrees(given), profile(row))
    assert word(verdict) == row["expected"]


@rows("allergen_count")
def test_allergen_count(row: Row) -> None:
    assert len(listed_allergens("us")) == int(row["expected"])


@rows("allergen_major")
def test_major_allergen(row: Row) -> None:
    answer = is_listed(inputs(row)["food"], profile(row))
    assert ("YES" if answer.listed else "NO") == row["expected"]
