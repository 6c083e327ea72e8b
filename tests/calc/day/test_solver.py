"""The planner's solver is loaded without pandas, and leaves pandas to whoever wants it."""

from __future__ import annotations

import subprocess
import sys

import pytest

LIGHT = """
import sys
from scout.calc.day.solve import plan
assert "pandas" not in sys.modules
"""
AFTERWARDS = """
import sys
from scout.calc.day.solver import cp_model
import pandas
assert pandas.Series([1, 2]).sum() == 3
model = cp_model.CpModel()
one = model.new_bool_var("one")
model.add(one == 1)
solver = cp_model.CpSolver()
assert solver.solve(model) == cp_model.OPTIMAL and solver.value(one) == 1
"""


@pytest.mark.parametrize("program", [LIGHT, AFTERWARDS])
def test_pandas_is_not_loaded_and_may_be(program: str) -> None:
    subprocess.run([sys.executable, "-c", program], check=True)


def test_with_pandas_in_hand_the_whole_module_is_taken() -> None:
    program = "import sys, types; sys.modules['pandas'] = types.ModuleType('pandas')\n"
    done = subprocess.run(
        [sys.executable, "-c", program + "import scout.calc.day.solver"],
        check=False,
        capture_output=True,
        text=True,
    )
    # property: whoever put it there is asked, so an empty one is found wanting by OR-Tools itself
    assert "has no attribute" in done.stderr
