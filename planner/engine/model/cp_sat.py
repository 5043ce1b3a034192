"""CP-SAT, loaded without pandas, which is a fifth of what a plan would load and of which it uses nothing.

OR-Tools names types of pandas in hints and in functions on series. While it is loaded a module stands in for
pandas that has these names alone; afterwards that module fetches pandas itself as soon as one of them is
asked for, so that series work for whoever wants them.
"""

from __future__ import annotations

import sys
from types import ModuleType
from typing import Any

_NAMES = ("Index", "Series")


class _Deferred(ModuleType):
    """Pandas, fetched when it is first used."""

    def __getattr__(self, name: str) -> Any:
        if sys.modules.get("pandas") is self:  # asked for more than names of types: it cannot be deferred
            del sys.modules["pandas"]
        import pandas  # type: ignore[import-untyped]  # it has no types of its own

        return getattr(pandas, name)


if "pandas" in sys.modules or "ortools.sat.python.cp_model" in sys.modules:
    from ortools.sat.python import cp_model
else:
    _stand_in = _Deferred("pandas")
    for _name in _NAMES:
        setattr(_stand_in, _name, type(_name, (), {}))
    sys.modules["pandas"] = _stand_in
    try:
        from ortools.sat.python import cp_model
    finally:
        if sys.modules.get("pandas") is _stand_in:
            del sys.modules["pandas"]
        for _name in _NAMES:
            delattr(_stand_in, _name)

__all__ = ["cp_model"]
