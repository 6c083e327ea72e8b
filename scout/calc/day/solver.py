"""OR-Tools' CP-SAT without pandas, which its module loads for series that nobody here asks for: 30 MB
of a process, and a third of the time until a first plan.
"""

from __future__ import annotations

import sys
from types import ModuleType
from typing import TYPE_CHECKING, Any


def _light() -> Any:
    """`ortools.sat.python.cp_model`, with an empty stand-in for pandas while it is being loaded; with
    pandas itself where that is loaded anyway or a later version of OR-Tools wants more of it.
    """
    if "pandas" not in sys.modules:
        stand_in: Any = ModuleType("pandas")
        stand_in.Index, stand_in.Series, stand_in.DataFrame = (
            type(name, (), {}) for name in ("Index", "Series", "DataFrame")
        )
        sys.modules["pandas"] = stand_in
        try:
            from ortools.sat.python import cp_model as light
        except (AttributeError, ImportError):
            pass
        else:
            return light
        finally:
            del sys.modules["pandas"]
    from ortools.sat.python import cp_model as whole

    return whole


if TYPE_CHECKING:
    from ortools.sat.python import cp_model
else:
    cp_model = _light()

__all__ = ["cp_model"]
