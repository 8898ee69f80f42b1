"""Published check figures asked and told in Spanish, through the whole road: typed words in, verdict out.

The rows and their sources stand in ``tests/rules/check_values_*.csv``, as the English checks of the rules use
them; numbers are spelled by num2words (PyPI), not by our own speller.
"""

from __future__ import annotations

import csv
from collections.abc import Callable
from contextlib import ExitStack
from decimal import Decimal
from pathlib import Path

import pytest
from num2words import num2words

from assistant.dialogue import conversation
from assistant.dialogue.conversation import Conversation
from assistant.dialogue.turn import Turn
from assistant.logbook.clock import SetClock
from assistant.logbook.store import Logbook
from assistant.site import Site
from intents.hypotheses import Hypotheses
from tests.conftest import NOON

Row = dict[str, str]
RULES = Path(__file__).parents[1] / "rules"
PROFILES = {"FDA2022": "fda_2022", "fda_2022": "fda_2022", "NYS": "new_york_state"} | dict.fromkeys(
    ("CA", "california"), "california"
)
NAMES = {
    "ground beef": "la carne molida",
    "chicken": "el pollo",
    "chicken breast": "la pechuga de pollo",
    "chicken wings": "las alitas de pollo crudas",
    "raw chicken": "el pollo crudo",
    "duck": "el pato crudo",
    "duck breast": "la pechuga de pato",
    "quail": "la codorniz",
    "ground turkey": "el pavo molido",
    "salmon": "el salmón crudo",
    "shrimp": "los camarones",
    "raw shrimp": "los camarones crudos",
    "pork chop": "la chuleta de puerco",
    "pork chops": "las chuletas de cerdo",
    "lamb chop": "la chuleta de cordero",
    "lamb chops": "las chuletas de cordero",
    "tenderized steak": "el bistec suavizado",
    "beef steak intact": "el bistec entero",
    "stuffed pork chop": "la chuleta rellena",
    "injected pork": "el lomo de puerco inyectado",
    "injected pork loin": "el lomo de puerco inyectado",
    "ostrich": "el avestruz",
    "pooled eggs": "los huevos batidos juntos",
    "meat ravioli raw filling": "los ravioles crudos de carne",
    "farmed venison steak": "el venado de granja",
    "ground farmed bison": "el bisonte molido",
    "cooked rice": "el arroz cocido",
    "washed salad": "la ensalada verde",
    "cheesecake": "el pastel de queso",
    "deli turkey": "el pavo rebanado",
    "unwashed lettuce": "la lechuga entera",
    "sashimi tuna": "el atún para sushi",
    "raw oysters for the bar": "las ostras en su concha",
    "unknown raw meat": "la carne cruda",
}
"""What the published rows call food, as a cook says it. Rows with other foods are left out: they are told
of by what Spanish says in a sentence of its own (wild, to order, of unknown source)."""


def _rows(table: str, *topics: str) -> list[Row]:
    with (RULES / f"check_values_{table}.csv").open(encoding="utf-8", newline="") as file:
        chosen = [row for row in csv.DictReader(file) if row["topic"] in topics]
    return [row for row in chosen if row["profile"] in PROFILES]


def _facts(row: Row) -> Row:
    return dict(part.split("=", 1) for part in row["inputs"].split(";") if "=" in part)


def _spelled(number: str) -> str:
    """Spell a number as written in a row ("41.1" is cuarenta y uno punto uno)."""
    return str(num2words(Decimal(number), lang="es"))


def _cooked(row: Row) -> str:
    facts = _facts(row)
    held = facts["held_s"]
    return f"{NAMES[facts['food']]} lleva {_spelled(held)} segundos a {_spelled(facts['temp_F'])}, ¿ya está?"


def _place(place: str, key: str) -> Callable[[Row], str]:
    return lambda row: f"{place} {_spelled(_facts(row)[key])}"


PLACES = {
    "hot": "la sopa en la mesa de vapor está a",
    "general": "el pollo en el refri está a",
    "shell_eggs": "el refri de huevos está a",
}


def _held(row: Row) -> str:
    facts = _facts(row)
    return f"{PLACES[facts['kind']]} {_spelled(facts['temp_F'])}"


OPEN: dict[str, str] = {}
"""Rows not judged as published, and what comes today; a mended one fails here until it is taken out."""


def _marks(row: Row) -> list[pytest.MarkDecorator]:
    reason = OPEN.get(row["id"])
    return [pytest.mark.xfail(strict=True, reason=reason)] if reason else []


ARRIVED = {
    "milk": "llegó la leche a",
    "chicken": "llegó el pollo a",
    "shell egg truck air": "llegaron los huevos, el aire del camión está a",
}


def _arrived(row: Row) -> str:
    facts = _facts(row)
    return f"{ARRIVED[facts['food']]} {_spelled(facts['temp_F'])}"


def _reheated(row: Row) -> str:
    """Say a reheating with the time since it was cold; how long it then held is not asked for."""
    facts = _facts(row)
    hours, minutes = divmod(int(facts["minutes_from_41F"]), 60)
    hour = "una hora" if hours == 1 else f"{_spelled(str(hours))} horas"
    minute = {0: "", 1: " y un minuto"}.get(minutes, f" y {_spelled(str(minutes))} minutos")
    return f"los frijoles recalentados están a {_spelled(facts['temp_F'])}, llevan {hour}{minute}"


def _of(rows: list[Row], say: Callable[[Row], str], usable: Callable[[Row], bool]) -> list[object]:
    return [
        pytest.param(row, say(row), id=f"{row['id']} {say(row)}", marks=_marks(row))
        for row in rows
        if usable(row)
    ]


def _cook_rows() -> list[Row]:
    rows = _rows("food", "cook_165", "cook_ground_beef", "cook_145_155")
    for row in rows:
        if row["topic"] == "cook_ground_beef":
            row["inputs"] += ";food=ground beef"
    return rows


JUDGED = [
    *_of(
        _cook_rows(),
        _cooked,
        lambda r: _facts(r)["food"] in NAMES and _facts(r).get("held_s", "0").strip("0").isdigit(),
    ),
    *_of(_rows("equipment", "holding"), _held, lambda r: _facts(r)["kind"] in PLACES),
    *_of(
        _rows("equipment", "quat_reading"),
        _place("la cubeta de cuat uno marca", "ppm"),
        lambda r: _facts(r).get("temp_F", "75") == "75" and "label_min=200;label_max=400" in r["inputs"],
    ),
    *_of(
        _rows("equipment", "chlorine_reading"),
        _place("la cubeta de cloro uno marca", "ppm"),
        lambda r: r["expected"] in ("FAIL_LOW", "FAIL_HIGH") or "temp_F" not in r["inputs"],
    ),
    *_of(
        _rows("equipment", "hand_sink"),
        _place("el lavamanos uno está a", "water_F"),
        lambda r: "adjustable" not in r["inputs"],
    ),
    *_of(
        _rows("equipment", "thermometer_ice"),
        _place("el termómetro uno en agua con hielo marca", "reading_F"),
        lambda r: True,
    ),
    *_of(
        _rows("equipment", "manual_wash_temp"),
        _place("el fregadero de lavado está a", "wash_F"),
        lambda r: True,
    ),
    *_of(
        _rows("equipment", "hot_water_sanitize"),
        _place("el tercer fregadero con agua caliente está a", "temp_F"),
        lambda r: _facts(r)["seconds"] == "30",
    ),
    *_of(
        _rows("equipment", "dish_final_rinse"),
        _place("el enjuague final del lavaplatos está a", "rinse_F"),
        lambda r: _facts(r).get("machine") == "unknown_hot_water",
    ),
    *_of(
        _rows("equipment", "dish_wash_temp"),
        _place("el lavado del lavaplatos está a", "wash_F"),
        lambda r: _facts(r).get("machine") == "stationary_dual_temperature",
    ),
    *_of(_rows("food", "receiving"), _arrived, lambda r: _facts(r)["food"] in ARRIVED),
    *_of(
        _rows("equipment", "dish_plate"),
        _place("el plato en el lavaplatos está a", "surface_F"),
        lambda r: True,
    ),
]


@pytest.fixture
def spanish(
    tmp_path: Path, site: Site, clock: SetClock, until_the_end: ExitStack
) -> Callable[[str], Conversation]:
    """Make a conversation in a Spanish kitchen under a jurisdiction."""

    def make(profile: str) -> Conversation:
        there = site.with_profile(PROFILES[profile])
        own = there.kitchen.model_copy(update={"language": "es"})
        there = there.model_copy(update={"kitchen": own})
        book = until_the_end.enter_context(Logbook.open(tmp_path / "log", clock=clock))
        return Conversation(there, book, clock, conversation.interpreter_for(there))

    return make


@pytest.mark.parametrize(("row", "said"), JUDGED)
def test_a_figure_is_judged_as_published(row: Row, said: str, spanish: Callable[[str], Conversation]) -> None:
    """The verdict is the table's; what passes needs no more than a warm-water or microwave condition."""
    turn = spanish(row["profile"]).hear(Hypotheses.typed(said))
    expected = "pass" if row["expected"] == "PASS" else "fail"
    assert turn.verdict == expected, f"{said!r} -> {turn.intent}: {turn.reply!r}"


REHEATED = [
    pytest.param(row, id=f"{row['id']} {_reheated(row)}")
    for row in _rows("food", "reheat")
    if _facts(row)["food"] == "house cooked" and int(_facts(row)["held_s"]) >= 15
]
"""A hold of 14 seconds is left out: the answer tells how long to hold, and asks for no time."""


@pytest.mark.parametrize("row", REHEATED)
def test_a_reheating_is_judged_as_published(row: Row, spanish: Callable[[str], Conversation]) -> None:
    """Hot enough in time passes; what is not hot yet has not failed, and is sent back to the stove."""
    turn = spanish(row["profile"]).hear(Hypotheses.typed(_reheated(row)))
    assert (turn.verdict == "pass") == (row["expected"] == "PASS"), turn.reply
    assert turn.verdict == "pass" or turn.verdict == "fail" or "Falta calor" in turn.reply


PAIRS = [
    pytest.param(row, id=f"{row['id']} {row['inputs']}", marks=_marks(row))
    for row in _rows("food", "storage_pair")
    if set(_facts(row).values()) <= set(NAMES)
]
SAYS = {
    "A_ABOVE": ("Sí.", "de cualquier modo"),
    "B_ABOVE": ("No.",),
    "EITHER": ("De cualquier modo", "Mismo nivel", "Mismo alimento"),
    "EITHER_KEEP_SEPARATE": ("Mismo nivel", "De cualquier modo"),
    "SEPARATE_NOT_STACKED": ("No. Nunca uno encima del otro",),
}


@pytest.mark.parametrize("row", PAIRS)
def test_what_stands_over_what(row: Row, spanish: Callable[[str], Conversation]) -> None:
    """The order on the shelves is the table's."""
    facts = _facts(row)
    said = f"¿puedo poner {NAMES[facts['A']]} encima de {NAMES[facts['B']]}?"
    turn = spanish(row["profile"]).hear(Hypotheses.typed(said))
    assert turn.reply.startswith(SAYS[row["expected"]]), f"{said!r} -> {turn.intent}: {turn.reply!r}"


RELATED = [
    pytest.param(*pair.values, id=pair.id)
    for pair in PAIRS
    if pair.values[0]["expected"] in ("A_ABOVE", "B_ABOVE")
]


@pytest.mark.parametrize("row", RELATED)
@pytest.mark.parametrize("words", ["arriba de", "debajo de", "abajo de"])
def test_over_and_under_are_never_turned_round(
    words: str, row: Row, spanish: Callable[[str], Conversation]
) -> None:
    """However it is said, no "yes" to the table's "no", nor the reverse; the bare order is right, too."""
    facts = _facts(row)
    said = f"¿puedo poner {NAMES[facts['A']]} {words} {NAMES[facts['B']]}?".replace("de el ", "del ")
    allowed = (row["expected"] == "A_ABOVE") == (words == "arriba de")
    reply = spanish(row["profile"]).hear(Hypotheses.typed(said)).reply
    assert not reply.startswith("No." if allowed else "Sí"), f"{said!r} -> {reply!r}"


CURVES = [
    pytest.param(row, id=f"{row['id']} {row['inputs']}")
    for row in _rows("equipment", "cooling_curve")
    if _facts(row).get("0") == "135" and row["profile"] == "FDA2022"
]
"""Curves that begin where the code's clock does; New York's begins at 120°F, after the start that is said."""


@pytest.mark.parametrize("row", CURVES)
def test_a_cooling_is_judged_as_published(
    row: Row, spanish: Callable[[str], Conversation], clock: SetClock
) -> None:
    """Readings said one by one, each at its time: some one fails where the curve does."""
    talk = spanish(row["profile"])
    turns: list[Turn] = []
    for hours, value in sorted(_facts(row).items(), key=lambda item: Decimal(item[0])):
        clock.time = NOON.fromtimestamp(NOON.timestamp() + float(hours) * 3600, NOON.tzinfo)
        said = (
            "el caldo de pollo empezó a enfriarse"
            if hours == "0"
            else f"el caldo de pollo está a {_spelled(value)}"
        )
        turns.append(talk.hear(Hypotheses.typed(said)))
    failed = any(turn.verdict == "fail" for turn in turns)
    assert failed == (row["expected"] != "PASS"), [(turn.heard, turn.verdict, turn.reply) for turn in turns]


NO = ("No", "En agua parada o tibia no", "Demasiado")
ONLY = ("Solo",)
"""Begins a way that is allowed on a condition, which the reply names."""


@pytest.mark.parametrize(
    ("said", "profile", "begins", "names"),
    [
        ("¿puedo descongelar el pollo en la mesa?", "fda_2022", NO, ""),
        ("¿puedo descongelar el pollo en un balde con agua?", "fda_2022", NO, ""),
        ("¿puedo descongelar el pollo en el refri?", "fda_2022", ("Sí",), "41°F o menos"),
        ("¿puedo descongelar el pollo con agua caliente?", "fda_2022", NO, ""),
        (
            "¿puedo descongelar el pollo en el microondas y guardarlo para mañana?",
            "fda_2022",
            ONLY,
            "si se cocina enseguida",
        ),
        ("¿puedo descongelar el pollo en el microondas?", "fda_2022", ONLY, "si se cocina enseguida"),
        ("¿puedo cocinar las hamburguesas congeladas?", "fda_2022", ONLY, "155°F"),
        (
            "una rebanada de pastel congelado para un pedido, ¿la dejo afuera?",
            "fda_2022",
            ONLY,
            "servida enseguida",
        ),
        ("el pollo lleva cuatro horas y seis minutos bajo el agua corriente", "fda_2022", NO, "Tíralo"),
        ("el pollo lleva dos horas y un minuto bajo el agua corriente", "california", NO, "Tíralo"),
        ("el pollo lleva dos horas bajo el agua corriente", "california", ("Se cumplieron",), "2 horas"),
    ],
    ids=[
        "CV0468",
        "CV0469",
        "CV0470",
        "heat: FDA Food Code 3-501.13",
        "CV0473",
        "CV0472",
        "CV0474",
        "CV0475",
        "CV0465",
        "CV0480",
        "CV0479",
    ],
)
def test_a_way_to_thaw(
    said: str, profile: str, begins: tuple[str, ...], names: str, spanish: Callable[[str], Conversation]
) -> None:
    """A way that the code does not allow is refused, an allowed one is not, and its condition is named."""
    reply = spanish(profile).hear(Hypotheses.typed(said)).reply
    assert reply.startswith(begins), reply
    assert names in reply


@pytest.mark.parametrize(
    ("degrees", "passes"), [("setenta", True), ("setenta y uno", False)], ids=["CV0463", "CV0464"]
)
def test_the_water_that_thaws(degrees: str, passes: bool, spanish: Callable[[str], Conversation]) -> None:
    """Running water of 70°F is cold enough, of 71°F is not (FDA Food Code 3-501.13(B))."""
    turn = spanish("fda_2022").hear(Hypotheses.typed(f"el agua de descongelar está a {degrees}"))
    assert turn.verdict == ("pass" if passes else "fail"), turn.reply
