"""The same season gives the same plan in every run of the program: names in a set come in another order."""

import os
import subprocess
import sys
from pathlib import Path

HERE = Path(__file__).parent
SCRIPT = """
import hashlib
from datetime import date
from season_world import ON, line, plan_of, pupa, season, tub
from planner.season import Board, Expected
from planner.season.plan import plan_file

many = [pupa(f"p{k}", 1 + k % 9) for k in range(11)]
hung = [pupa(f"h{k}", 2 + k % 5, "n", spot=str(4 + 8 * k)) for k in range(5)]
board = Board(name="cork", width=40, height=30, pins_every=6, pattern="staggered", bottom=90)
sliding = line("s", marks=12, clips_every=None, clip_width=3)
coming = (Expected(date(2027, 7, 10), 3, "monarch"),)
for case, options in (
    (season([tub(clear=True), line(marks=10), board], many), {}),
    (season([tub(clear=True), sliding], many[:9]), {}),
    (season([tub(clear=True), line(marks=12)], [*hung, *many[:8]], expected=coming), {"rehang": True}),
    (season([tub(clear=True), line(marks=9)], [*hung, *many[:9]], expected=coming), {"evenings": 5}),
    (season([tub(), line(marks=5)], many[:9]), {}),
):
    print(hashlib.sha256(plan_file.dump(plan_of(case, **options))).hexdigest())
"""


def test_the_order_of_names_in_a_set_changes_no_plan():
    found = []
    for seed in ("1", "2"):
        env = {**os.environ, "PYTHONHASHSEED": seed, "PYTHONPATH": f"{HERE}{os.pathsep}{HERE.parents[1]}"}
        run = [sys.executable, "-c", SCRIPT]
        found.append(subprocess.run(run, env=env, capture_output=True, text=True, check=True).stdout.split())
    assert len(found[0]) == 5
    assert found[0] == found[1]
