"""Judges a spoken reading by the rule of the place it was taken at."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal
from typing import cast

from assistant.rules import dish_machine, hands, holding, hot_water, sanitizer, sinks, thermometers
from assistant.rules.basis import Citation, Judgement, Temperature, TemperatureUnit, Verdict
from assistant.rules.compare import judge_at_least
from assistant.rules.food_names import find_food
from assistant.rules.product import Product, SanitizerKind
from assistant.site import Equipment, Site
from assistant.site import Product as SiteProduct
from intents.readings import Reading

DEFAULT_MACHINE = "unknown_hot_water"
CHEMICAL_MACHINE = "chemical"


@dataclass(frozen=True)
class Judged:
    """A reading with its judgement and the names the log keeps."""

    reading: Reading
    judgement: Judgement
    measured: str
    unit: str
    topic: str  # which group of replies speaks of it


def rule_product(product: SiteProduct | None) -> Product | None:
    """Return a site's product as the rules know it."""
    if product is None:
        return None
    return Product(
        product.title or product.id,
        product.kind,
        Decimal(str(product.label_min_ppm)),
        Decimal(str(product.label_max_ppm)),
        product.source,
        Temperature(Decimal(str(product.min_water_f)), "F") if product.min_water_f is not None else None,
        contact_seconds=Decimal(product.contact_seconds) if product.contact_seconds else None,
        active_percent=Decimal(str(product.strength_percent)) if product.strength_percent else None,
    )


def judge_reading(reading: Reading, site: Site) -> Judged:
    """Return ``reading`` judged under the site's profile and labels."""
    if reading.subject_kind == "food":
        return _food(reading, site)
    item = site.equipment_by_id(reading.subject)
    assert item is not None
    if reading.quantity == "ppm":
        return _ppm(reading, item, site)
    temperature = Temperature(reading.value, _unit(reading, site))
    topic, measured, judgement = _TEMPERATURES[item.kind](temperature, reading, item, site)
    return Judged(reading, judgement, measured, temperature.unit, topic)


def _unit(reading: Reading, site: Site) -> TemperatureUnit:
    return cast(TemperatureUnit, reading.unit if reading.unit in ("F", "C") else site.kitchen.units)


def _ppm(reading: Reading, item: Equipment, site: Site) -> Judged:
    product = rule_product(site.product_of(item.id))
    kind: SanitizerKind = product.kind if product else "chlorine"
    if item.kind == "dish_machine_chemical":
        judgement = dish_machine.judge_chemical_rinse(reading.value, kind, site.profile)
        return Judged(reading, judgement, "ppm", "ppm", "dish_chemical")
    if kind == "quat":
        judgement = sanitizer.judge_quat(reading.value, None, site.profile, product)
    elif kind == "iodine":
        judgement = sanitizer.judge_iodine(reading.value, None, None, site.profile, product)
    else:
        judgement = sanitizer.judge_chlorine(reading.value, None, None, site.profile, product)
    return Judged(reading, judgement, "ppm", "ppm", "sanitizer")


TemperatureRule = Callable[[Temperature, Reading, Equipment, Site], tuple[str, str, Judgement]]


def _cold(t: Temperature, reading: Reading, item: Equipment, site: Site) -> tuple[str, str, Judgement]:
    medium = "food" if reading.measured == "food" else "air"
    return (
        "cold",
        medium,
        holding.judge_cold_holding(t, site.profile, "general", cast(holding.Medium, medium)),
    )


def _eggs(t: Temperature, reading: Reading, item: Equipment, site: Site) -> tuple[str, str, Judgement]:
    return "eggs", "air", holding.judge_cold_holding(t, site.profile, "shell_eggs", "air")


def _frozen(t: Temperature, reading: Reading, item: Equipment, site: Site) -> tuple[str, str, Judgement]:
    return "freezer", reading.measured or "air", holding.judge_frozen(t, site.profile)


def _hot(t: Temperature, reading: Reading, item: Equipment, site: Site) -> tuple[str, str, Judgement]:
    return "hot", "food", holding.judge_hot_holding(t, site.profile)


def _sanitizer_water(
    t: Temperature, reading: Reading, item: Equipment, site: Site
) -> tuple[str, str, Judgement]:
    product = rule_product(site.product_of(item.id))
    if product is None:
        return "hot_water", "water", hot_water.judge_hot_water(t, site.profile)
    if product.kind == "chlorine":
        least = site.profile.limit("chlorine_100_water_min")
    else:
        least = site.profile.limit(f"{product.kind}_water_min")
    return "sanitizer_water", "water", judge_at_least(t, least, "remake_warmer", "water_too_cold")


def _wash(t: Temperature, reading: Reading, item: Equipment, site: Site) -> tuple[str, str, Judgement]:
    return "wash_water", "water", sinks.judge_wash_water(t, site.profile)


def _unjudged(t: Temperature, reading: Reading, item: Equipment, site: Site) -> tuple[str, str, Judgement]:
    none = Citation("site", "no limit for this place", site.kitchen.profile, "SITE")
    return "unjudged", reading.measured or "water", Judgement(Verdict.CANNOT_JUDGE, "no_limit", (none,))


def _hands(t: Temperature, reading: Reading, item: Equipment, site: Site) -> tuple[str, str, Judgement]:
    return "hand_sink", "water", hands.judge_hand_sink(t, site.profile)


def _dish(t: Temperature, reading: Reading, item: Equipment, site: Site) -> tuple[str, str, Judgement]:
    machine = item.machine or DEFAULT_MACHINE
    if reading.measured == "surface":
        return "dish_plate", "surface", dish_machine.judge_plate(t, site.profile)
    if reading.measured == "wash":
        return "dish_wash", "wash", dish_machine.judge_wash_tank(t, machine, site.profile)
    return "dish_rinse", "final rinse", dish_machine.judge_final_rinse(t, machine, site.profile)


def _dish_chemical(
    t: Temperature, reading: Reading, item: Equipment, site: Site
) -> tuple[str, str, Judgement]:
    return (
        "dish_wash",
        "wash",
        dish_machine.judge_wash_tank(t, item.machine or CHEMICAL_MACHINE, site.profile),
    )


def _probe(t: Temperature, reading: Reading, item: Equipment, site: Site) -> tuple[str, str, Judgement]:
    boiling = reading.measured == "boiling water" or t.in_unit("F") > 150
    if boiling:
        altitude = Decimal(site.kitchen.altitude_feet)
        return "probe_boil", "boiling water", thermometers.judge_boiling_point(t, altitude, site.profile)
    return "probe_ice", "ice water", thermometers.judge_ice_point(t, site.profile)


_TEMPERATURES: dict[str, TemperatureRule] = {
    "cold_holding": _cold,
    "egg_cooler": _eggs,
    "freezer": _frozen,
    "hot_holding": _hot,
    "sanitizer_bucket": _sanitizer_water,
    "sanitizer_sink": _sanitizer_water,
    "wash_sink": _wash,
    "rinse_sink": _unjudged,
    "prep_sink": _unjudged,
    "hand_sink": _hands,
    "dish_machine_hot": _dish,
    "dish_machine_chemical": _dish_chemical,
    "probe": _probe,
}


def _food(reading: Reading, site: Site) -> Judged:
    """Judge a food's temperature by where it is; without a place it is logged unjudged."""
    temperature = Temperature(reading.value, _unit(reading, site))
    kind = site.kind_of(reading.place)
    if kind == "hot_holding":
        food = find_food(reading.subject)
        roast = food is not None and food.food_class == "whole_roast"
        judgement = holding.judge_hot_holding(temperature, site.profile, "roast" if roast else "general")
        return Judged(reading, judgement, "food", temperature.unit, "hot")
    if kind in ("cold_holding", "egg_cooler"):
        judgement = holding.judge_cold_holding(temperature, site.profile)
        return Judged(reading, judgement, "food", temperature.unit, "cold_food")
    none = Citation("spoken reading", "place not said", site.kitchen.profile, "SITE")
    judgement = Judgement(Verdict.CANNOT_JUDGE, "place_not_said", (none,))
    return Judged(reading, judgement, "food", temperature.unit, "food")
