"""The answers by topic. A module registers its own when it is loaded: when an intent is asked that it names.

One typed turn needs none or one of them, and all of them take as long to load as the turn itself.
"""

from __future__ import annotations

from functools import cache
from importlib import import_module
from pathlib import Path

_HERE = Path(__file__).parent


@cache
def load_for(intent: str) -> None:
    """Load the modules that name an intent: the one that answers it, if any does, is among them."""
    for module in (name for name, text in _texts().items() if f'"{intent}"' in text):
        import_module(f"{__name__}.{module}")


@cache
def load_all() -> None:
    """Load every one: where somebody talks, nobody waits for it in the middle of a turn."""
    for module in _modules():
        import_module(f"{__name__}.{module}")


def _modules() -> list[str]:
    return sorted(path.stem for path in _HERE.glob("*.py") if path.stem != "__init__")


@cache
def _texts() -> dict[str, str]:
    return {name: (_HERE / f"{name}.py").read_text(encoding="utf-8") for name in _modules()}
