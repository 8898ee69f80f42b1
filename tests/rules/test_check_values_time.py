"""Every published check row of holding, cooling, time, thermometers and hands passes by the rules.

Sources stand beside each row in ``check_values_equipment.csv``; rows left out would be listed, with
the reason, in ``left_out_equipment.csv``.
"""

from __future__ import annotations

import csv
from collections.abc import Callable
from datetime import date
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import pytest

from assistant.rules import hands, thermometers
from assistant.rules.basis import Citation, Judgement, Limit, Temperature
from assistant.rules.boiling import boiling_point
from assistant.rules.compare import judge_at_least, judge_at_most
from assistant.rules.cooling import judge_cooling, next_limit
from assistant.rules.cooling_curve import CoolingReading
from assistant.rules.cooling_other import judge_ambient_cooling
from assistant.rules.date_marking import (
    judge_day,
    last_day,
    last_day_after_freezing,
)
from assistant.rules.food_names import find_food
from assistant.rules.holding import judge_cold_holding, judge_hot_holding
from assistant.rules.profile import Profile, load_profile
from assistant.rules.sinks import judge_sink_use
from assistant.rules.time_control import TimeHold, judge_time_hold, judge_time_out
from assistant.rules.units import ML_PER_UNIT, pounds, volume_in, volume_ml
from assistant.rules.utensils import judge_utensil_rest
from tests.rules.local_figures import local_figures

HERE = Path(__file__).parent
Row = dict[str, str]
Inputs = dict[str, str]
PROFILES = {
    "FDA2017": "fda_2017",
    "CA": "california",
    "NYS": "new_york_state",
    "WA": "washington",
    "WA2019": "washington",
}
PLACES = {"SHOP": "kitchen_practice", "FDA1999": "model_code_1999", "ME": "maine"}
CODES = {"cooled": "PASS", "stage_one_too_long": "FAIL_STAGE1", "stage_two_too_long": "FAIL_STAGE2"}


def rows() -> list[Row]:
    with (HERE / "check_values_equipment.csv").open(newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file))


def split(text: str) -> Inputs:
    return dict(part.split("=", 1) for part in text.split(";") if part)


def degrees(inputs: Inputs, key: str = "temp_F") -> Temperature | None:
    return Temperature(Decimal(inputs[key])) if key in inputs else None


def told(inputs: Inputs, key: str) -> Decimal | None:
    return Decimal(inputs[key]) if inputs.get(key, "unknown") != "unknown" else None


def profile_of(row: Row) -> Profile:
    profile = load_profile(PROFILES.get(row["profile"], "fda_2022"))
    place = PLACES.get(row["profile"])
    return profile.with_overrides(local_figures(place)) if place else profile


def verdict(judgement: Judgement) -> str:
    return "PASS" if judgement.passed else "FAIL"


def code(judgement: Judgement) -> str:
    return CODES[judgement.reason]


def discard(judgement: Judgement, expected: str) -> str:
    """A DISCARD row asks for the action, a FAIL row only for the verdict."""
    if judgement.passed or expected == "FAIL":
        return verdict(judgement)
    return judgement.action.upper()


def celsius(i: Inputs, p: Profile, row: Row) -> str:
    limit = Limit("any", Decimal(i["limit_F"]), "F", Citation("table", row["section"]))
    judge = judge_at_most if i["side"] == "most" else judge_at_least
    return verdict(judge(Temperature(Decimal(i["temp_C"]), "C"), limit, ""))


def holding(i: Inputs, p: Profile, row: Row) -> str:
    reading = Temperature(Decimal(i["temp_F"]))
    if i["kind"] in ("hot", "roast"):
        return verdict(judge_hot_holding(reading, p, "roast" if i["kind"] == "roast" else "general"))
    return verdict(judge_cold_holding(reading, p, i["kind"]))  # type: ignore[arg-type]


def series(i: Inputs) -> list[CoolingReading]:
    return [CoolingReading(Decimal(hours), Temperature(Decimal(value))) for hours, value in i.items()]


def curve(i: Inputs, p: Profile, row: Row) -> str:
    return code(judge_cooling(series(i), p))


def cooling_left(i: Inputs, p: Profile, row: Row) -> Fraction:
    reached = i["reached_70F_at_h"]
    due = next_limit(series({"0": "135", reached: "70"}), p)
    assert due is not None
    return due[1] - Fraction(reached)


def ambient(i: Inputs, p: Profile, row: Row) -> str:
    return verdict(judge_ambient_cooling(Temperature(Decimal(i["temp_F"])), Decimal(i["hours"]), p))


def cooling_action(i: Inputs, p: Profile, row: Row) -> str:
    if "temp_F" not in i:
        return judge_time_out([None], p).action.upper()
    action = judge_cooling(series({"0": "135", i["hours"]: i["temp_F"]}), p).action
    return action.upper().split("_")[0]


def date_mark(i: Inputs, p: Profile, row: Row) -> str:
    if row["unit"] == "date":
        return mark_date(i, p)
    if "group" in i:
        food = find_food({"hard_cheese": "parmesan", "deli_salad": "potato salad"}[i["group"]])
        assert food is not None
        return "NO" if "date_mark_exempt" in food.notes else "YES"
    day = None if i["day_number"] == "none" else int(i["day_number"])
    judged = judge_day(day, p, held_at=degrees(i), reheat_to_165="reheat" in i)
    return discard(judged, row["expected"])


def mark_date(i: Inputs, p: Profile) -> str:
    if "thaw" in i:
        used = int(i["cold_days_before_freeze"])
        return last_day_after_freezing(used, date.fromisoformat(i["thaw"]), p).isoformat()
    made = date.fromisoformat(i.get("made") or i["opened"])
    older = [date.fromisoformat(i["ingredient"])] if "ingredient" in i else []
    use_by = date.fromisoformat(i["maker_use_by"]) if "maker_use_by" in i else None
    return last_day(made, p, ingredients=older, maker_use_by=use_by).isoformat()


def time_control(i: Inputs, p: Profile, row: Row) -> str:
    hold = TimeHold(
        "six_hours" if i["plan"] == "6h" else "four_hours",
        degrees(i, "start_F"),
        told(i, "hours"),
        degrees(i, "max_F"),
        fresh="fresh" in i,
        marked=i.get("marked") != "no",
        raw_egg_for_susceptible="raw_egg_for_susceptible" in i,
    )
    return discard(judge_time_hold(hold, p), row["expected"])


def thermometer(i: Inputs, p: Profile, row: Row) -> str:
    reading = Temperature(Decimal(i["reading_F"]))
    if "altitude_ft" in i:
        return verdict(thermometers.judge_boiling_point(reading, Decimal(i["altitude_ft"]), p))
    if "true_F" in i:
        return "PASS" if abs(reading.value - Decimal(i["true_F"])) <= p.value("air_tolerance") else "FAIL"
    return verdict(thermometers.judge_ice_point(reading, p))


def hand_sink(i: Inputs, p: Profile, row: Row) -> str:
    adjustable = i.get("adjustable") != "no"
    return verdict(hands.judge_hand_sink(Temperature(Decimal(i["water_F"])), p, adjustable=adjustable))


def hand_wash(i: Inputs, p: Profile, row: Row) -> str:
    return verdict(hands.judge_hand_wash(p, told(i, "total_s"), told(i, "scrub_s")))


def hand_wash_when(i: Inputs, p: Profile, row: Row) -> str:
    if "place" in i:
        return verdict(judge_sink_use(i["place"], "wash_hands"))
    return verdict(hands.judge_instead_of_washing(i["act"], i["event"]))


def utensil(i: Inputs, p: Profile, row: Row) -> str:
    if i.get("rest") == "running_water":
        return verdict(judge_utensil_rest("running_water", p))
    return verdict(judge_utensil_rest("standing_water", p, degrees(i, "water_F")))


def unit(i: Inputs, p: Profile, row: Row) -> Fraction:
    short = {"tsp": "teaspoon", "tbsp": "tablespoon", "gal": "gallon", "floz": "fluid_ounce", "qt": "quart"}
    if "lb" in i:
        return Fraction(int(i["lb"])) / pounds(1, "kilogram")
    name, amount = next(iter(i.items()))
    target = {"mL": "millilitre", "tsp": "teaspoon", "fl oz": "fluid_ounce"}[row["unit"]]
    assert target in ML_PER_UNIT
    return volume_in(volume_ml(int(amount), short.get(name, name)), target)


CHECKS: dict[str, Callable[[Inputs, Profile, Row], str | Decimal | Fraction]] = {
    "celsius_trap": celsius,
    "celsius_ok": celsius,
    "holding": holding,
    "cooling_curve": curve,
    "cooling_ambient": ambient,
    "cooling_left": cooling_left,
    "cooling_action": cooling_action,
    "cooling_shallow": lambda i, p, row: p.value("cooling_shallow_depth_max"),
    "date_mark": date_mark,
    "time_control": time_control,
    "boiling_point": lambda i, p, row: boiling_point(Decimal(i["altitude_ft"])),
    "thermometer_ice": thermometer,
    "thermometer_boil": thermometer,
    "thermometer_air": thermometer,
    "hand_sink": hand_sink,
    "hand_wash_time": hand_wash,
    "hand_scrub": hand_wash,
    "hand_wash_when": hand_wash_when,
    "in_use_utensil": utensil,
    "units": unit,
    "f_to_c": lambda i, p, row: Temperature(Decimal(i["temp_F"])).in_unit("C"),
}


def tolerance(row: Row) -> Fraction:
    text = row["tolerance"]
    if text == "exact":
        return Fraction(0)
    if text.endswith("%"):
        return abs(Fraction(row["expected"])) * Fraction(text[:-1]) / 100
    return Fraction(text)


def checked() -> list[Row]:
    return [row for row in rows() if row["topic"] in CHECKS]


@pytest.mark.parametrize("row", checked(), ids=lambda row: f"{row['id']}-{row['topic']}")
def test_row_passes(row: Row) -> None:
    """The public rules give the published answer."""
    answer = CHECKS[row["topic"]](split(row["inputs"]), profile_of(row), row)
    if isinstance(answer, str):
        assert answer == row["expected"]
    else:
        assert abs(Fraction(answer) - Fraction(row["expected"])) <= tolerance(row)


def test_no_row_is_left_out() -> None:
    """Nothing is left out, each row is named once, and the other half is checked beside this file."""
    assert (HERE / "left_out_equipment.csv").read_text(encoding="utf-8") == "id,reason\n"
    assert len({row["id"] for row in rows()}) == len(rows()) == 401
    assert len(checked()) == 188
