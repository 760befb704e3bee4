"""Import every module of a package, so that whatever registers itself is known."""

from __future__ import annotations

import importlib
import pkgutil
from functools import cache
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from types import ModuleType


@cache
def modules(package: str) -> tuple[ModuleType, ...]:
    """Every module directly inside a package, imported, in the order of their names."""
    home = importlib.import_module(package)
    names = sorted(info.name for info in pkgutil.iter_modules(home.__path__))
    return tuple(importlib.import_module(f"{package}.{name}") for name in names)
