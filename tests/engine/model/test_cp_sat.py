"""CP-SAT is loaded without pandas, which whoever wants it still gets."""

from __future__ import annotations

import subprocess
import sys

SCRIPT = """
import sys
import planner.planning.make_plan
assert "pandas" not in sys.modules
from planner.engine.model.cp_sat import cp_model
import pandas
model = cp_model.CpModel()
series = model.new_bool_var_series("x", pandas.Index(["a", "b"]))
assert isinstance(series, pandas.Series), type(series)
model.add(series.sum() == 2)
solver = cp_model.CpSolver()
solver.solve(model)
print(solver.boolean_values(series).tolist())
"""


def test_planning_loads_no_pandas_and_series_of_variables_work_all_the_same():
    done = subprocess.run([sys.executable, "-c", SCRIPT], capture_output=True, text=True, check=False)
    assert (done.stdout, done.stderr) == ("[True, True]\n", "")
