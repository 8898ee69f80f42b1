"""The kitchen's own facts, from one validated TOML file: equipment, products, people, profile, units."""

from __future__ import annotations

import os
import tomllib
from datetime import date
from functools import cached_property
from pathlib import Path
from typing import Annotated, Literal, get_args

from platformdirs import user_config_path
from pydantic import AfterValidator, Field, ValidationError, model_validator

from assistant.errors import InputError, in_words
from assistant.facts import Facts
from assistant.rules.basis import Citation, Limit
from assistant.rules.profile import Profile, UnknownLimitError, UnknownProfileError, load_profile
from assistant.site_faults import Found, PlacedError, check_spoken, found, of_rules, of_syntax, one_of
from assistant.site_language import spoken_language
from assistant.site_places import as_spoken_of, phrases
from intents.equipment_kinds import equipment_kinds

SITE_VARIABLE = "KITCHEN_SITE"
"""The environment variable that may name the site file."""

SanitizerKind = Literal["quat", "chlorine", "iodine"]
Weekday = Literal["monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday"]
ClockTime = Annotated[str, Field(pattern=r"^([01]\d|2[0-3]):[0-5]\d$")]
"""A time of day as 24 hours and minutes ("06:30")."""
WEEKDAYS: tuple[Weekday, ...] = get_args(Weekday)


class SiteFileError(InputError):
    """A fault in a site file: the key that has it, and what is wrong with it."""

    def __init__(self, name: str, fault: Found) -> None:
        """``name`` is the file's."""
        line = f" on line {fault.line}" if fault.line else ""
        end = "" if fault.says.endswith("?") else "."
        super().__init__(f"The site file {name} has a fault{line}: {fault.shown}: {fault.says}{end}")
        self.key, self.says = fault.key, fault.says


class Kitchen(Facts):
    """Name, jurisdiction and habits of one kitchen."""

    name: str = "This kitchen"
    profile: str = "fda_2022"
    units: Literal["F", "C"] = "F"
    language: Annotated[str, AfterValidator(spoken_language)] = "en"
    time_zone: str = ""  # IANA name; empty: the machine's own
    altitude_feet: Annotated[int, Field(ge=-1500, le=15000)] = 0
    wake_phrase: Annotated[str, Field(min_length=3)] = "hey kitchen"
    eggs_only_to_order: bool = False
    highly_susceptible_guests: bool = False
    closed_weekdays: tuple[Weekday, ...] = ()
    closed_dates: tuple[date, ...] = ()

    def closed_on(self, day: date) -> bool:
        """Whether the kitchen does not work on a local day, so that nothing is due on it."""
        return day in self.closed_dates or WEEKDAYS[day.weekday()] in self.closed_weekdays


class Sound(Facts):
    """Devices by their full names (empty: the system's own; see: kitchen doctor), and the voice."""

    microphone: str = ""
    speaker: str = ""
    voice: str = ""
    words_a_minute: Annotated[int, Field(ge=80, le=300)] = 165
    said: dict[str, str] = Field(default_factory=dict)  # a word of a name, and letters that sound like it


class Person(Facts, defer_build=True):
    """Somebody who may sign in by voice."""

    name: str
    role: Literal["cook", "lead", "manager"] = "cook"
    also: tuple[str, ...] = ()


class Product(Facts, defer_build=True):
    """A sanitizer in use, with the range printed on its label."""

    id: str
    kind: SanitizerKind
    title: str = ""
    label_min_ppm: Annotated[float, Field(gt=0, le=1000)]
    label_max_ppm: Annotated[float, Field(gt=0, le=1000)]
    strength_percent: Annotated[float, Field(gt=0, le=50)] | None = None
    target_ppm: Annotated[float, Field(gt=0, le=1000)] | None = None
    dilution_ratio: Annotated[int, Field(gt=1, le=5000)] | None = None
    min_water_f: float | None = None
    contact_seconds: Annotated[int, Field(gt=0, le=3600)] | None = None
    source: str = "product label"

    @model_validator(mode="after")
    def _range_is_a_range(self) -> Product:
        if self.label_min_ppm > self.label_max_ppm:
            raise PlacedError("label_min_ppm must not be above label_max_ppm", "label_min_ppm")
        return self


class Equipment(Facts, defer_build=True):
    """A place where something is stored, held, washed or measured."""

    id: str
    name: str
    kind: str
    also: tuple[str, ...] = ()
    numbers: tuple[Annotated[int, Field(ge=1, le=99)], ...] = ()
    unnumbered: bool = False  # one more has no number: the name alone means it, and asks for none
    product: str = ""
    shelves: Annotated[int, Field(ge=1, le=12)] | None = None
    machine: str = ""

    @model_validator(mode="after")
    def _kind_is_known(self) -> Equipment:
        if self.kind not in equipment_kinds():
            raise PlacedError(
                f"kind '{self.kind}' is not known; {one_of(equipment_kinds(), self.kind)}", "kind"
            )
        return self

    @model_validator(mode="after")
    def _machine_is_known(self) -> Equipment:
        if self.machine:
            from assistant.rules.dish_machine import dish_machines

            if self.machine not in dish_machines():
                known = one_of(dish_machines(), self.machine)
                raise PlacedError(f"machine '{self.machine}' is not known; {known}", "machine")
        return self


class Override(Facts, defer_build=True):
    """A local figure that replaces the profile's, with where it comes from."""

    key: str
    value: Annotated[str, Field(pattern=r"^-?\d+(\.\d+)?$")]
    unit: str
    source: Annotated[str, Field(min_length=3)]
    section: str = ""


class Round(Facts, defer_build=True):
    """A guided round: which places, in which order they are asked when the cook wants to be led."""

    id: str
    name: str
    also: tuple[str, ...] = ()
    places: tuple[str, ...] = ()
    cooling: bool = False  # asks the food that is cooling at that moment instead of places
    due: tuple[ClockTime, ...] = ()  # by when it has to be done, once for each time, on every day not closed

    @model_validator(mode="after")
    def _asks_something(self) -> Round:
        if bool(self.places) == self.cooling:
            raise PlacedError("a round needs either places or cooling = true, and not both", "places")
        if doubled := {place for place in self.places if self.places.count(place) > 1}:
            raise PlacedError(
                f"a place is named twice: {', '.join(sorted(doubled))}; name each once", "places"
            )
        return self


class Alerts(Facts):
    """Who is told away from the page, and after how long. What is empty is not used."""

    command: tuple[str, ...] = ()  # a program and its arguments; it gets the message on standard input
    mail_to: tuple[Annotated[str, Field(pattern=r"^[^@\s,]+@[^@\s,]+$")], ...] = ()
    mail_from: str = ""
    mail_relay: Annotated[str, Field(pattern=r"^[^\s:/]+(:\d{1,5})?$")] = "localhost"
    webhook: Annotated[str, Field(pattern=r"^(https?://\S+)?$")] = ""
    action_open_minutes: Annotated[int, Field(ge=5, le=10_080)] = 120
    round_late_minutes: Annotated[int, Field(ge=0, le=1440)] = 30
    sign_by: ClockTime = "12:00"  # of the day after
    microphone_minutes: Annotated[int, Field(ge=1, le=1440)] = 10

    @property
    def set_up(self) -> bool:
        """Whether anybody is told at all."""
        return bool(self.command or self.mail_to or self.webhook)


class Site(Facts):
    """The whole site file."""

    kitchen: Kitchen = Kitchen()
    sound: Sound = Sound()
    alerts: Alerts = Alerts()
    people: tuple[Person, ...] = ()
    products: tuple[Product, ...] = ()
    equipment: tuple[Equipment, ...] = ()
    overrides: tuple[Override, ...] = ()
    rounds: tuple[Round, ...] = ()
    menu: dict[str, str] = Field(default_factory=dict)  # spoken name -> food of the rules' table

    @model_validator(mode="after")
    def _ids_differ(self) -> Site:
        for table, ids in (
            ("equipment", [item.id for item in self.equipment]),
            ("products", [product.id for product in self.products]),
            ("rounds", [plan.id for plan in self.rounds]),
            ("people", [person.name.casefold() for person in self.people]),
        ):
            for number, each in enumerate(ids):
                if each in ids[:number]:
                    key = "name" if table == "people" else "id"
                    raise PlacedError(f"'{each}' is used twice; give each another", table, number, key)
        return self

    @model_validator(mode="after")
    def _names_fit(self) -> Site:
        products = {product.id for product in self.products}
        for number, item in enumerate(self.equipment):
            if item.product and item.product not in products:
                says = f"names the product '{item.product}', which no [[products]] has as its id"
                raise PlacedError(f"{says}; {one_of(products, item.product)}", "equipment", number, "product")
        places = {
            place for item in self.equipment for place in (item.id, *(f"{item.id} {n}" for n in item.numbers))
        }
        for number, plan in enumerate(self.rounds):
            if missing := [place for place in plan.places if place not in places]:
                says = f"names unknown places: {', '.join(missing)}; {one_of(places, missing[0])}"
                raise PlacedError(says, "rounds", number, "places")
        if self.menu:
            from assistant.rules.food_names import find_food

            for dish, food in self.menu.items():
                if find_food(food) is None:
                    says = f"is said to be '{food}', which no table of foods has; write a commoner food"
                    raise PlacedError(says, "menu", dish)
        return self

    @cached_property
    def profile(self) -> Profile:
        """The jurisdiction's figures with this site's overrides; raises ``InputError``."""
        try:
            base = load_profile(self.kitchen.profile)
            return base.with_overrides(self.override(line) for line in self.overrides)
        except (UnknownProfileError, UnknownLimitError) as error:
            raise InputError(f"In the site file: {error}.") from None

    def override(self, line: Override) -> Limit:
        """Return a local figure as the rules take it."""
        from decimal import Decimal

        citation = Citation(line.source, line.section, self.kitchen.profile, "SITE")
        return Limit(line.key, Decimal(line.value), line.unit, citation)

    @cached_property
    def places(self) -> tuple[Equipment, ...]:
        """The equipment as it is spoken of: "bucket 1" and "bucket 2" are one bucket with two numbers."""
        return as_spoken_of(self.equipment, self.kitchen.language)

    @cached_property
    def by_id(self) -> dict[str, Equipment]:
        """The equipment by place id, numbered and not; of several that have one the first."""
        found: dict[str, Equipment] = {}
        for item in (*self.equipment, *self.places):
            for place in (item.id, *(f"{item.id} {number}" for number in item.numbers)):
                found.setdefault(place, item)
        return found

    def equipment_by_id(self, place: str) -> Equipment | None:
        """Return the equipment of a place id, numbered ("bucket 2") or not."""
        return self.by_id.get(place)

    def kind_of(self, place: str) -> str:
        """Return the kind of a place, or an empty string."""
        item = self.equipment_by_id(place)
        return item.kind if item else ""

    def product_of(self, place: str) -> Product | None:
        """Return the sanitizer of a place, if it has one."""
        item = self.equipment_by_id(place)
        return next((p for p in self.products if item and p.id == item.product), None)

    def product_of_kind(self, kind: str) -> Product | None:
        """Return the site's product of a sanitizer kind, if there is exactly one."""
        found = [p for p in self.products if p.kind == kind]
        return found[0] if len(found) == 1 else None

    def with_profile(self, name: str) -> Site:
        """Return a copy under another jurisdiction (``--profile``), in the units of its code."""
        try:
            units = load_profile(name).unit
        except UnknownProfileError as error:
            raise InputError(f"{str(error)[:1].upper()}{str(error)[1:]}.") from None
        changed = {"profile": name, "units": units}
        return self.model_copy(update={"kitchen": self.kitchen.model_copy(update=changed)})

    def spoken_equipment(self) -> tuple[tuple[str, str], ...]:
        """Return ``(spoken phrase, place id)`` for every name and number that may be said."""
        return phrases(self.equipment, self.places, self.kitchen.language)

    def spoken_rounds(self) -> tuple[tuple[str, str], ...]:
        """Return ``(spoken phrase, round id)`` for every name of a round."""
        return tuple((name, plan.id) for plan in self.rounds for name in (plan.name, *plan.also))

    def spoken_name(self, place: str) -> str:
        """Return the name of a place as it is spoken back ("Low-boy 2"), or the id itself."""
        item = self.equipment_by_id(place)
        if item is None:
            return place
        return item.name + place.removeprefix(item.id)

    @cached_property
    def spoken_places(self) -> tuple[str, ...]:
        """Every place as it is spoken back; one with numbers also without."""
        return tuple(
            name for item in self.equipment
            for name in (item.name, *(f"{item.name} {number}" for number in item.numbers))
        )  # fmt: skip


def default_site_file() -> Path:
    """Return where the site file is looked for when nobody names one: the user's configuration folder."""
    return user_config_path("kitchen-assistant", appauthor=False) / "site.toml"


def find_site_file(given: Path | None = None) -> Path | None:
    """Return the site file in force: ``given``, else the environment's, else the usual one, else none.

    One that the environment names and that is not there is a fault when it is read, not passed over.
    """
    if given is not None:
        return given
    if chosen := os.environ.get(SITE_VARIABLE, ""):
        return Path(chosen)
    usual = default_site_file()
    return usual if usual.is_file() else None


def site_file_to_write(given: Path | None = None) -> Path:
    """Return the site file in force, or where a first one belongs."""
    return find_site_file(given) or default_site_file()


def load_site(path: Path | None = None) -> Site:
    """Return the site of ``path``, or the example kitchen that ships with the program.

    Raises ``InputError`` in one sentence that names the key and says what to write.
    """
    if path is None:
        text = Path(__file__).with_name("example_site.toml").read_text(encoding="utf-8")
        name = "example_site.toml"
    else:
        name = str(path)
        try:
            text = path.read_text(encoding="utf-8")
        except (OSError, UnicodeDecodeError) as error:
            reason = in_words(error) if isinstance(error, OSError) else "not text in UTF-8"
            says = f"The site file {name} cannot be read ({reason}). Give another with --site."
            raise InputError(says) from None
    return parse_site(text, name)


def parse_site(text: str, name: str) -> Site:
    """Read a site file's text; raises ``InputError`` in one sentence with ``name``, line and key."""
    try:
        site = Site.model_validate(tomllib.loads(text))
    except tomllib.TOMLDecodeError as error:
        raise InputError(f"The site file {name} is not valid TOML: {of_syntax(error, text)}.") from None
    except ValidationError as error:
        raise SiteFileError(name, of_rules(error, text, Site)) from None
    try:
        check_spoken(site)
        _check_known(site)
    except PlacedError as fault:
        raise SiteFileError(name, found(fault.loc, str(fault), text)) from None
    return site


def _check_known(site: Site) -> None:
    """Raise ``PlacedError`` for a food code, a time zone or a figure that is not known."""
    if zone := site.kitchen.time_zone:
        from assistant.logbook.clock import zone_of

        try:
            zone_of(zone)
        except InputError as error:
            raise PlacedError(str(error), "kitchen", "time_zone") from None
    try:
        base = load_profile(site.kitchen.profile)
    except UnknownProfileError as error:
        raise PlacedError(str(error), "kitchen", "profile") from None
    for number, line in enumerate(site.overrides):
        try:
            base.with_overrides([site.override(line)])
        except UnknownLimitError as error:
            raise PlacedError(str(error), "overrides", number, "key") from None
