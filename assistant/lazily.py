"""Modules that libraries import for functions which we never call: loaded when somebody uses them."""

from __future__ import annotations

import sys
from collections.abc import Callable
from importlib import import_module
from types import ModuleType
from typing import Any


def lazily(name: str, *functions: str) -> None:
    """Let a module be imported as usual but load it only when something of it is used.

    Each of ``functions`` may be taken out of it, too, and loads it when called. The standard library's
    ``LazyLoader`` loads at the second import already.
    """
    if name in sys.modules:
        return
    sys.modules[name] = stand_in = _StandIn(name)
    parent, _, child = name.rpartition(".")
    if parent:
        setattr(import_module(parent), child, stand_in)
    for function in functions:
        setattr(stand_in, function, stand_in.later(function))
        stand_in.__path__ = []  # else it is looked for when a function is taken out


class _StandIn(ModuleType):
    def later(self, function: str) -> Callable[..., object]:
        return lambda *args, **named: self.__getattr__(function)(*args, **named)

    def __getattr__(self, what: str) -> Any:
        name = self.__name__
        if sys.modules.get(name) is self:
            del sys.modules[name]
        return getattr(import_module(name), what)
