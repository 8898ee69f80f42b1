"""Dataclasses made by ``assistant.frozen`` are what the standard library makes."""

from __future__ import annotations

import dataclasses
import subprocess
import sys
from typing import Any

import pytest

from assistant import frozen

pytestmark = pytest.mark.skipif(
    sys.version_info[:2] not in frozen.TEXT_FOR_EACH, reason="this Python makes them otherwise"
)


@pytest.fixture(autouse=True)
def _given_back(monkeypatch: pytest.MonkeyPatch) -> None:
    for name in frozen.methods():
        monkeypatch.setattr(dataclasses, name, getattr(dataclasses, name))


def made(**how: bool) -> type:
    @dataclasses.dataclass(frozen=True, **how)
    class Food:
        name: str
        parts: tuple[object, ...] = ()

    return Food


def refused(do: Any, *given: object) -> tuple[type[BaseException], str]:
    with pytest.raises((dataclasses.FrozenInstanceError, TypeError)) as found:
        do(*given)
    return found.type, str(found.value)


@pytest.mark.parametrize("slots", [False, True])
def test_it_refuses_and_prints_alike(slots: bool) -> None:
    theirs = made(slots=slots)
    frozen.frozen_quickly()
    ours = made(slots=slots)
    assert ours.__setattr__.__module__ == "assistant.frozen" != theirs.__setattr__.__module__
    one, other = ours("egg", ({"a": 1},)), theirs("egg", ({"a": 1},))
    assert repr(one) == repr(other)
    assert refused(setattr, one, "name", "ham") == refused(setattr, other, "name", "ham")
    assert refused(setattr, one, "name", "ham")[0] is dataclasses.FrozenInstanceError
    assert refused(delattr, one, "name") == refused(delattr, other, "name")
    assert refused(setattr, one, "age", 1) == refused(setattr, other, "age", 1)
    assert dataclasses.replace(one, name="ham") == ours("ham", ({"a": 1},))


@pytest.mark.parametrize("slots", [False, True])
def test_it_compares_alike_from_the_first_time_on(slots: bool) -> None:
    theirs = made(slots=slots, order=True)
    frozen.frozen_quickly()
    ours = made(slots=slots, order=True)
    before = {name: ours.__dict__[name] for name in ("__eq__", "__hash__", "__lt__")}
    for _ in range(3):
        for egg, ham, other in ((ours("egg"), ours("ham"), theirs), (theirs("egg"), theirs("ham"), ours)):
            assert egg == type(egg)("egg") != ham
            assert hash(egg) == hash(other("egg"))
            assert (egg < ham, ham < egg) == (True, False)
            assert egg != other("egg")
            assert egg.__eq__(1) is NotImplemented
        assert {ours("egg"), ours("egg")} == {ours("egg")}
    for name, method in before.items():
        assert ours.__dict__[name] is not method  # made for good
        assert ours.__dict__[name].__qualname__ == method.__qualname__ == f"made.<locals>.Food.{name}"
    assert made(slots=slots, eq=False)("egg") != made(slots=slots, eq=False)("egg")


def test_one_that_holds_itself_is_printed() -> None:
    frozen.frozen_quickly()
    inside: list[object] = []
    holds = made()("box", (inside,))
    inside.append(holds)
    assert "..." in repr(holds)


def test_a_subclass_may_have_more() -> None:
    frozen.frozen_quickly()

    class More(made()):  # type: ignore[misc]
        pass

    more = More("egg")
    more.seen = True
    assert more.seen
    assert hash(more) == hash(More("egg"))
    assert more == More("egg")
    refused(setattr, more, "name", "ham")


def test_the_program_makes_them_so() -> None:
    code = (
        "import sys; sys.argv = ['kitchen', '--version']\n"
        "from assistant.cli import main\n"
        "try: main()\n"
        "except SystemExit: pass\n"
        "from assistant.rules.basis import Limit\n"
        "print(Limit.__setattr__.__module__)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.split()[-1] == "assistant.frozen"
