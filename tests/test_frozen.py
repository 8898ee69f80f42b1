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
def test_it_refuses_prints_and_compares_alike(slots: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    theirs = made(slots=slots)
    for name in ("_frozen_get_del_attr", "_repr_fn"):
        monkeypatch.setattr(dataclasses, name, getattr(dataclasses, name))  # given back afterwards
    frozen.frozen_quickly()
    ours = made(slots=slots)
    for name in ("_frozen_get_del_attr", "_repr_fn"):
        assert getattr(dataclasses, name).__module__ == "assistant.frozen"
    one, other = ours("egg", ({"a": 1},)), theirs("egg", ({"a": 1},))
    assert repr(one) == repr(other)
    assert refused(setattr, one, "name", "ham") == refused(setattr, other, "name", "ham")
    assert refused(setattr, one, "name", "ham")[0] is dataclasses.FrozenInstanceError
    assert refused(delattr, one, "name") == refused(delattr, other, "name")
    assert refused(setattr, one, "age", 1) == refused(setattr, other, "age", 1)
    assert one == ours("egg", ({"a": 1},)) != ours("egg")
    assert hash(ours("egg")) == hash(theirs("egg"))
    assert dataclasses.replace(one, name="ham") == ours("ham", ({"a": 1},))


def test_one_that_holds_itself_is_printed(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(dataclasses, "_repr_fn", frozen.printing)
    inside: list[object] = []
    holds = made()("box", (inside,))
    inside.append(holds)
    assert "..." in repr(holds)


def test_a_subclass_may_have_more(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(dataclasses, "_frozen_get_del_attr", frozen.refusing)

    class More(made()):  # type: ignore[misc]
        pass

    more = More("egg")
    more.seen = True
    assert more.seen
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
