"""Judges a spoken reading by the rule of the place it was taken at."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import cast

from assistant.dialogue.answer import plain, range_text
from assistant.dialogue.judge_food import COOKING, judge_food
from assistant.rules import (
    dish_machine,
    hands,
    holding,
    hot_water,
    sanitizer,
    sanitizer_water,
    sinks,
    thermometers,
)
from assistant.rules.basis import Citation, Judgement, Range, Temperature, TemperatureUnit, Verdict
from assistant.rules.compare import colder_than, warmer_than
from assistant.rules.food_names import find_food
from assistant.rules.product import Between, Product, SanitizerKind, Strength
from assistant.site import Equipment, Site
from assistant.site import Product as SiteProduct
from intents.readings import Reading

DEFAULT_MACHINE = "unknown_hot_water"
CHEMICAL_MACHINE = "chemical"
HOT_SANITIZING = Temperature(Decimal(140), "F")
"""Water this hot in a sanitizing sink is meant to sanitize by heat: no chemical is used in it."""
CHLORINE_ANY_WATER = Decimal(100)
"""From this ppm chlorine works in water of any usual temperature and pH."""
_A_LITTLE = Decimal("0.01")
_NO_END = Decimal(100_000)


@dataclass(frozen=True)
class Judged:
    """A reading with its judgement and the names the log keeps."""

    reading: Reading
    judgement: Judgement
    measured: str
    unit: str
    topic: str  # which group of replies speaks of it
    spoken: bool = True  # false when another reading of the same breath speaks for it


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


def judge_all(readings: Iterable[Reading], site: Site) -> list[Judged]:
    """Return ``readings`` judged; strength, water and pH of one place are judged together."""
    found: list[Judged] = []
    waiting = list(readings)
    while waiting:
        first = waiting.pop(0)
        together = [r for r in waiting if _same_solution(first, r)]
        waiting = [r for r in waiting if r not in together]
        found += _solution([first, *together], site) if together else [judge_reading(first, site)]
    return found


def _same_solution(one: Reading, other: Reading) -> bool:
    same = one.subject == other.subject and one.subject_kind == other.subject_kind == "equipment"
    return same and one.quantity != other.quantity


def judge_reading(reading: Reading, site: Site) -> Judged:
    """Return ``reading`` judged under the site's profile and labels."""
    if reading.subject_kind == "food":
        return _food(reading, site)
    item = site.equipment_by_id(reading.subject)
    assert item is not None
    if reading.quantity == "ppm":
        return _ppm(reading, item, site)
    if reading.quantity == "ph":
        return _ph(reading, site)
    temperature = Temperature(reading.value, _unit(reading, site))
    topic, measured, judgement = _TEMPERATURES[item.kind](temperature, reading, item, site)
    return Judged(reading, judgement, measured, temperature.unit, topic)


def _solution(readings: Sequence[Reading], site: Site) -> list[Judged]:
    """Judge a solution by all that was said of it: the strength for itself, the water for that strength."""
    by_quantity = {reading.quantity: reading for reading in readings}
    strength, water, ph = (by_quantity.get(quantity) for quantity in ("ppm", "temperature", "ph"))
    if strength is None:
        return [judge_reading(reading, site) for reading in readings]
    item = site.equipment_by_id(strength.subject)
    assert item is not None
    temperature = Temperature(water.value, _unit(water, site)) if water else None
    whole = _ppm(strength, item, site, temperature, ph.value if ph else None)
    if whole.judgement.reason in ("too_low", "too_high", "label_unknown", "between_blocks"):
        return [whole, *(judge_reading(reading, site) for reading in readings if reading is not strength)]
    alone = whole if whole.judgement.passed else _ppm(strength, item, site)
    of_ph = whole.judgement.reason == "ph_too_high"
    judged = [replace(alone, spoken=False)]
    if water is not None and temperature is not None:
        judgement = judge_reading(water, site).judgement if of_ph else _told(whole.judgement, strength)
        topic = "machine_water" if whole.topic == "dish_chemical" else "solution_water"
        judged.append(Judged(water, judgement, "water", temperature.unit, topic, spoken=not of_ph))
    if ph is not None:
        good = replace(whole.judgement, verdict=Verdict.PASS, reason="in_range")
        judgement = _told(whole.judgement if of_ph else good, strength)
        judged.append(Judged(ph, judgement, "pH", "pH", "ph", spoken=of_ph or water is None))
    return judged


def _told(judgement: Judgement, strength: Reading) -> Judgement:
    """Return ``judgement`` with the strength it was judged for, for the call-back."""
    details = {**judgement.details, "strength": f"{plain(strength.value)} ppm"}
    return replace(judgement, details=details)


def strength_of(reading: Reading) -> Strength:
    """Return a strip's strength: a number, or the interval that its colour allows."""
    if reading.bound == "between" and reading.upper is not None:
        return Between(reading.value, reading.upper)
    if reading.bound == "over":
        return Between(reading.value + _A_LITTLE, max(_NO_END, reading.value + _A_LITTLE))
    if reading.bound == "under":
        return Between(Decimal(0), max(reading.value - _A_LITTLE, Decimal(0)))
    return reading.value


def _unit(reading: Reading, site: Site) -> TemperatureUnit:
    return cast(TemperatureUnit, reading.unit if reading.unit in ("F", "C") else site.kitchen.units)


def _ppm(
    reading: Reading,
    item: Equipment,
    site: Site,
    temperature: Temperature | None = None,
    ph: Decimal | None = None,
) -> Judged:
    """Judge a strength by the label of the place's own product, else by one read aloud."""
    product = rule_product(site.product_of(item.id))
    kind: SanitizerKind = product.kind if product else "chlorine"
    strength = strength_of(reading)
    if reading.label is not None and product is None:
        low, high = reading.label
        product = Product("the product", kind, low, high, "as read aloud")
    if item.kind == "dish_machine_chemical":
        judgement = dish_machine.judge_chemical_rinse(strength, kind, site.profile, temperature, product)
        return Judged(reading, _beside_label(reading, judgement, product), "ppm", "ppm", "dish_chemical")
    if kind == "quat":
        judgement = sanitizer.judge_quat(strength, temperature, site.profile, product)
    elif kind == "iodine":
        judgement = sanitizer.judge_iodine(strength, temperature, ph, site.profile, product)
    else:
        judgement = sanitizer.judge_chlorine(strength, temperature, ph, site.profile, product)
    alone = judgement.passed and kind == "chlorine" and temperature is None
    weak = alone and isinstance(strength, Decimal) and strength < CHLORINE_ANY_WATER
    if weak:
        mild = site.profile.limit("chlorine_50_water_min")
        details = {**judgement.details, "water_min": f"{plain(mild.value)}°{mild.unit}"}
        judgement = replace(judgement, reason="needs_warm_water", details=details)
    if reading.value == 0 and not reading.bound:
        judgement = replace(judgement, reason="zero")
    return Judged(reading, _beside_label(reading, judgement, product), "ppm", "ppm", "sanitizer")


def _beside_label(reading: Reading, judgement: Judgement, product: Product | None) -> Judgement:
    """Return ``judgement`` with the range read aloud where the place's product has another.

    What is right by the product alone is no pass: the product or the label read may be the wrong one.
    """
    said = reading.label
    if said is None or product is None or said == (product.label_min_ppm, product.label_max_ppm):
        return judgement
    details = {**judgement.details, "said": range_text(Range("ppm", *said))}
    judgement = replace(judgement, details=details)
    ends = (reading.value, reading.upper if reading.upper is not None else reading.value)
    if not judgement.passed or all(said[0] <= end <= said[1] for end in ends):
        return judgement
    return replace(judgement, verdict=Verdict.CANNOT_JUDGE, reason="labels_differ", action="retest")


def _ph(reading: Reading, site: Site) -> Judged:
    none = Citation("site", "no limit for this place", site.kitchen.profile, "SITE")
    judgement = Judgement(Verdict.CANNOT_JUDGE, "no_limit", (none,))
    return Judged(reading, judgement, "pH", "pH", "ph")


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
    judgement = holding.judge_frozen(t, site.profile, frozen_solid=reading.frozen_solid)
    if reading.frozen_solid is False:
        judgement = replace(judgement, reason="soft")
    return "freezer", reading.measured or "air", judgement


def _hot(t: Temperature, reading: Reading, item: Equipment, site: Site) -> tuple[str, str, Judgement]:
    return "hot", "food", holding.judge_hot_holding(t, site.profile)


def _sanitizer_water(
    t: Temperature, reading: Reading, item: Equipment, site: Site
) -> tuple[str, str, Judgement]:
    product = rule_product(site.product_of(item.id))
    hot = item.kind == "sanitizer_sink" and t.in_unit("F") >= HOT_SANITIZING.in_unit("F")
    if product is None or hot or reading.measured == "hot water":
        return "hot_water", "water", hot_water.judge_hot_water(t, site.profile)
    judgement = sanitizer_water.judge_solution_water(t, product.kind, site.profile, product)
    return "sanitizer_water", "water", judgement


def _wash(t: Temperature, reading: Reading, item: Equipment, site: Site) -> tuple[str, str, Judgement]:
    return "wash_water", "water", sinks.judge_wash_water(t, site.profile)


def _unjudged(t: Temperature, reading: Reading, item: Equipment, site: Site) -> tuple[str, str, Judgement]:
    none = Citation("site", "no limit for this place", site.kitchen.profile, "SITE")
    return "unjudged", reading.measured or "water", Judgement(Verdict.CANNOT_JUDGE, "no_limit", (none,))


def _chiller(t: Temperature, reading: Reading, item: Equipment, site: Site) -> tuple[str, str, Judgement]:
    _, _, judgement = _unjudged(t, reading, item, site)
    return "chiller", "air", judgement


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
    "blast_chiller": _chiller,
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
    kind = site.kind_of(reading.place) or _display(reading, temperature, site)
    if kind == "hot_holding":
        food = find_food(reading.subject)
        roast = food is not None and food.food_class == "whole_roast"
        judgement = holding.judge_hot_holding(temperature, site.profile, "roast" if roast else "general")
        return Judged(reading, judgement, "food", temperature.unit, "hot")
    if kind == "egg_cooler" and _shell_eggs(reading.subject):
        judgement = holding.judge_cold_holding(temperature, site.profile, "shell_eggs", "air")
        return Judged(reading, judgement, "air", temperature.unit, "eggs")
    if kind in ("cold_holding", "egg_cooler"):
        judgement = holding.judge_cold_holding(temperature, site.profile)
        return Judged(reading, judgement, "food", temperature.unit, "cold_food")
    if kind == "freezer":
        return Judged(
            reading, holding.judge_frozen(temperature, site.profile), "food", temperature.unit, "freezer"
        )
    judged, cooks = None, reading.measured == COOKING
    if kind in ("", "probe") and not reading.kept:
        judged = judge_food(reading.subject, temperature, site.profile, reading.held_s, cooks=cooks)
    if judged is not None:
        return Judged(reading, judged[1], "food", temperature.unit, judged[0])
    none = Citation("spoken reading", "place not said", site.kitchen.profile, "SITE")
    reason = (
        COOKING
        if cooks
        else "kept"
        if reading.kept
        else "neither"
        if _neither(temperature, site)
        else "place_not_said"
    )
    judgement = Judgement(Verdict.CANNOT_JUDGE, reason, (none,))
    return Judged(reading, judgement, "food", temperature.unit, "food")


def _display(reading: Reading, temperature: Temperature, site: Site) -> str:
    """Return how food that is shown or sold from has to be held: hot, if it is warmer than in any cooler."""
    if not reading.displayed:
        return ""
    warm = site.profile.limit("cooling_stage_one")
    at = temperature.in_unit("C" if warm.unit == "C" else "F")
    return "hot_holding" if at > warm.value else "cold_holding"


def _shell_eggs(name: str) -> bool:
    """True for raw eggs in the shell, which are kept by the air of their cooler."""
    food = find_food(name)
    return food is not None and food.food_class.startswith("egg_shell")


def held_hot(reading: Reading, site: Site) -> bool:
    """True for a temperature at which food may be held hot."""
    at = Temperature(reading.value, _unit(reading, site))
    return not colder_than(at, site.profile.limit("hot_holding_min"))


def _neither(temperature: Temperature, site: Site) -> bool:
    """True for food that is neither hot enough to hold nor cold enough to keep."""
    hot, cold = site.profile.limit("hot_holding_min"), site.profile.limit("cold_holding_max")
    return warmer_than(temperature, cold) and colder_than(temperature, hot)
