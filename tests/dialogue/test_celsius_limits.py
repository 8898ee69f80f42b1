"""Limits of a Fahrenheit code in a Celsius kitchen: shown so that they permit no more, judged exactly.

The model code prints whole degrees Celsius beside its Fahrenheit (FDA Food Code 2022: 41°F is printed as 5°C,
135°F as 57°C, 145°F as 63°C ...; the pairs below from memory). A printed 57°C is 134.6°F, less than 135°F:
the 58°C shown here asks for more than the code, by less than a degree.
"""

from __future__ import annotations

from collections.abc import Callable
from contextlib import ExitStack
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.dialogue.conversation import Conversation
from assistant.dialogue.record import celsius
from assistant.logbook.clock import SetClock
from assistant.logbook.store import Logbook
from assistant.rules.basis import Temperature
from assistant.rules.profile import load_profile, profile_names
from assistant.site import Site
from intents.hypotheses import Hypotheses

PRINTED = {41: 5, 45: 7, 70: 21, 110: 43, 135: 57, 145: 63, 155: 68, 160: 71, 165: 74, 171: 77, 180: 82}
"""Fahrenheit and Celsius as the model code prints them side by side."""


@given(st.decimals(-40, 220, places=1))
def test_shown_limits_permit_no_more(fahrenheit: Decimal) -> None:
    """A least temperature is rounded up, a greatest down; both by less than a degree."""
    least, most = celsius(fahrenheit, up=True), celsius(fahrenheit, up=False)
    least_f, most_f = Temperature(least, "C").in_unit("F"), Temperature(most, "C").in_unit("F")
    assert least_f >= fahrenheit
    assert most_f <= fahrenheit
    exact = Temperature(fahrenheit, "F").in_unit("C")
    assert 0 <= Fraction(least) - Fraction(exact) < 1
    assert 0 <= Fraction(exact) - Fraction(most) < 1


@pytest.mark.parametrize(("fahrenheit", "printed"), PRINTED.items())
def test_shown_limits_are_those_printed_or_stricter(fahrenheit: int, printed: int) -> None:
    """As a least temperature the printed figure or one degree more, as a greatest the same or one less."""
    assert celsius(Decimal(fahrenheit), up=True) - printed in (0, 1)
    assert celsius(Decimal(fahrenheit), up=False) - printed in (0, -1)


@pytest.mark.parametrize("name", profile_names())
def test_every_limit_of_every_profile(name: str) -> None:
    """No figure of any jurisdiction is shown as a weaker one."""
    for limit in load_profile(name).limits.values():
        if limit.unit == "F":
            assert Temperature(celsius(limit.value, up=True), "C").in_unit("F") >= limit.value
            assert Temperature(celsius(limit.value, up=False), "C").in_unit("F") <= limit.value


@pytest.fixture
def celsius_kitchen(
    tmp_path: Path, site: Site, clock: SetClock, until_the_end: ExitStack
) -> Callable[[str], str | None]:
    """Say a reading in the example kitchen, working in Celsius under its Fahrenheit code; the verdict."""
    kitchen = site.kitchen.model_copy(update={"units": "C"})
    book = until_the_end.enter_context(Logbook.open(tmp_path / "log", clock=clock))
    talk = Conversation(site.model_copy(update={"kitchen": kitchen}), book, clock)
    return lambda said: talk.hear(Hypotheses.typed(said)).verdict


@pytest.mark.parametrize(
    ("said", "verdict"),
    [
        ("walk-in five", "pass"),  # 41°F
        ("walk-in five point one", "fail"),  # 41.18°F
        ("steam table fifty seven point two", "fail"),  # 134.96°F
        ("steam table fifty seven point three", "pass"),  # 135.14°F
        ("dish machine final rinse eighty two point two", "fail"),  # 179.96°F
        ("dish machine final rinse eighty two point three", "pass"),  # 180.14°F
    ],
)
def test_verdicts_are_exact(celsius_kitchen: Callable[[str], str | None], said: str, verdict: str) -> None:
    """The reading is held against the code's own figure, not against the rounded one that is shown."""
    assert celsius_kitchen(said) == verdict
