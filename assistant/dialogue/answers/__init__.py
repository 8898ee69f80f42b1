"""The answers by topic. Importing this package registers all of them."""

from __future__ import annotations

import importlib
import pkgutil

for _module in sorted(module.name for module in pkgutil.iter_modules(__path__)):
    importlib.import_module(f"{__name__}.{_module}")
