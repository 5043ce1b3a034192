"""How many examples properties are tried with: the same few every time, or many by hand.

``--hypothesis-profile long`` tries ten times as many, others each time, or those of ``--hypothesis-seed N``.
"""

import os
import signal
import sys

import pytest
from hypothesis import HealthCheck, settings

BUSY = [HealthCheck.too_slow]  # says more of the machine than of the test

settings.register_profile("usual", deadline=None, derandomize=True, database=None, suppress_health_check=BUSY)
settings.register_profile("long", deadline=None, max_examples=1000, suppress_health_check=BUSY)
settings.load_profile("usual")

# What is compiled is kept: else each run, and each program that a test starts, compiles all of it anew.
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
sys.dont_write_bytecode = False
# A shell's background ignores Ctrl-C, and so does all that is started there.
if signal.getsignal(signal.SIGINT) is signal.SIG_IGN:
    signal.signal(signal.SIGINT, signal.default_int_handler)
os.environ["LC_ALL"] = "C.UTF-8"  # else the computer's locale decides how 7/5 is read


@pytest.fixture(autouse=True, scope="session")
def _no_season_is_chosen(tmp_path_factory):
    """Who runs the tests may have chosen a season of their own."""
    os.environ["XDG_CONFIG_HOME"] = str(tmp_path_factory.mktemp("config"))
