"""What `arrange` takes as dues, gap and the rest, and in which words it refuses."""

import re
from collections import UserDict
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from fractions import Fraction

import networkx as nx
import numpy as np
import pytest

from planner import arrange

DATES = {
    "date": [date(2027, 7, 1), date(2027, 7, 3), date(2027, 7, 8)],
    "datetime": [datetime(2027, 7, 1), datetime(2027, 7, 3), datetime(2027, 7, 8)],
    "date and datetime": [date(2027, 7, 1), datetime(2027, 7, 3), date(2027, 7, 8)],
    "with a time zone": [datetime(2027, 7, day, tzinfo=UTC) for day in (1, 3, 8)],
    "datetime64": np.array(["2027-07-01", "2027-07-03", "2027-07-08"], dtype="datetime64[D]"),
    "datetime64 to the nanosecond": np.array(
        ["2027-07-01", "2027-07-03", "2027-07-08"], dtype="datetime64[ns]"
    ),
    "integers of numpy": np.array([1, 3, 8]),
    "floats of numpy": np.array([1.0, 3.0, 8.0]),
    "fractions": [Fraction(1), Fraction(3), Fraction(8)],
    "decimals": [Decimal(1), Decimal(3), Decimal(8)],
    "lengths of time": [timedelta(days=1), timedelta(days=3), timedelta(days=8)],
    "lengths of time beside numbers": [1, timedelta(days=3), np.timedelta64(192, "h")],
    "an iterator": iter([1, 3, 8]),
    "a mapping from the items, in any order": {2: 8, 0: 1, 1: 3},
    "a mapping of another kind": UserDict({0: 1, 1: 3, 2: 8}),
}


class Series:
    """As a Series of pandas: it has values in an order, and an index of any names; iterating gives values."""

    def __init__(self, values, index):
        self.values, self.index = values, index

    def __iter__(self):
        return iter(self.values)

    def __len__(self):
        return len(self.values)


DATES["a Series with names of its own"] = Series([1, 3, 8], ["m7", "m8", "m9"])


@pytest.mark.parametrize("dues", DATES.values(), ids=DATES)
def test_dues_are_taken_as(dues):
    # On a path of three with 8 in the middle the gaps are 7 and 5; with 1 or 3 there one of them is 2.
    a = arrange(nx.path_graph(3), dues, seconds=20, workers=1)
    assert (a.smallest_gap, a.proved, a.spot_of[2]) == (5, True, 1)


def test_hours_and_time_zones_are_heeded():
    # 12:00 at UTC+2 is 10:00 UTC: 4 h before 14:00 UTC.
    zone = datetime.fromisoformat("2027-07-01T12:00+02:00")
    a = arrange(nx.path_graph(2), [zone, datetime(2027, 7, 1, 14, tzinfo=UTC)], seconds=20, workers=1)
    assert a.smallest_gap == pytest.approx(4 / 24, abs=2e-6)


@pytest.mark.parametrize(
    "gap", [2, 2.0, Fraction(2), np.float32(2), timedelta(days=2), np.timedelta64(48, "h")]
)
def test_a_gap_may_be_a_number_or_a_length_of_time(gap):
    a = arrange(nx.path_graph(2), [1, 2], gap=gap, seconds=20, workers=1)
    assert (a.clashes, a.gap) == (((0, 1),), 2)


def test_dues_nearer_than_a_millionth_of_a_day_are_one():
    # Two days less a fifth of a millionth keep a gap of two days; less two millionths they do not.
    assert arrange(nx.path_graph(2), [0, 2 - 2e-7], gap=2, workers=1).clashes == ()
    assert arrange(nx.path_graph(2), [0, 2 - 2e-6], gap=2, workers=1).clashes == ((0, 1),)


P = nx.path_graph(3)
REFUSED = {
    "names": (
        TypeError,
        {"dues": {"m1": 3, "m2": 5}},
        "dues is a mapping whose keys are not the items 0, 1, 2 …: "
        "give list(dues.values()), and item i is its i-th key",
    ),
    "text": (TypeError, {"dues": "123"}, "dues is a str, which has no dues in an order: give a list"),
    "a set": (TypeError, {"dues": {1, 2}}, "dues is a set, which has no dues in an order: give a list"),
    "a number": (TypeError, {"dues": 3}, "dues=3: a list of dues is needed, one per item"),
    "dates as text": (
        TypeError,
        {"dues": ["2027-07-01"]},
        "dues[0]='2027-07-01': a number of days or a date is needed: "
        "a date as text is read by datetime.fromisoformat",
    ),
    "nothing": (TypeError, {"dues": [1, None]}, "dues[1]=None: a number of days or a date is needed"),
    "complex": (TypeError, {"dues": [1j]}, "dues[0]=1j: a number of days or a date is needed"),
    "mixed": (
        TypeError,
        {"dues": [1, date(2027, 7, 1)]},
        "dues are given as dates and as numbers: give all in one way",
    ),
    "time zones": (
        TypeError,
        {"dues": [datetime(2027, 7, 1), datetime(2027, 7, 1, tzinfo=UTC)]},
        "dues are given as dates and as dates with a time zone: give all in one way",
    ),
    "no date": (ValueError, {"dues": [np.datetime64("NaT")]}, "dues[0]=NaT: a date is needed"),
    "endless": (ValueError, {"dues": [10**400]}, f"dues[0]={10**400}: a finite number of days is needed"),
    "far": (
        ValueError,
        {"dues": [1e12, 0]},
        "dues[0]=1000000000000.0: at most 1e+09 days either way are possible",
    ),
    "far date": (
        ValueError,
        {"dues": [np.datetime64(10**6, "Y")]},
        "dues[0]=1001970: a date within 200,000 years of 1970 is needed",
    ),
    "years": (
        TypeError,
        {"dues": [np.timedelta64(1, "Y")]},
        "dues[0]=1 years: a length in days or shorter units is needed, for years and months vary",
    ),
    "a truth value": (TypeError, {"dues": [True]}, "dues[0]=True: a number of days or a date is needed"),
    "signalling": (
        ValueError,
        {"dues": [Decimal("sNaN")]},
        "dues[0]=sNaN: a finite number of days is needed",
    ),
    "gap in months": (
        TypeError,
        {"gap": np.timedelta64(1, "M")},
        "gap=1 months: a length in days or shorter units is needed, for years and months vary",
    ),
    "gap signalling": (
        ValueError,
        {"gap": Decimal("sNaN")},
        "gap=sNaN: a number of days, 0 or more, is needed",
    ),
    "seconds signalling": (
        ValueError,
        {"seconds": Decimal("sNaN")},
        "seconds=sNaN: 0 or more are needed",
    ),
    "gap as text": (TypeError, {"gap": "2"}, "gap='2': a number of days or a timedelta is needed"),
    "gap nan": (ValueError, {"gap": float("nan")}, "gap=nan: a number of days, 0 or more, is needed"),
    "gap back": (
        ValueError,
        {"gap": timedelta(days=-1)},
        "gap=-1 day, 0:00:00: a number of days, 0 or more, is needed",
    ),
    "no gap": (ValueError, {"gap": np.timedelta64("NaT")}, "gap=NaT: a number of days, 0 or more, is needed"),
    "seconds": (ValueError, {"seconds": -1}, "seconds=-1: 0 or more are needed"),
    "seconds nan": (ValueError, {"seconds": float("nan")}, "seconds=nan: 0 or more are needed"),
    "seconds text": (TypeError, {"seconds": "60"}, "seconds='60': a number is needed"),
    "workers": (ValueError, {"workers": -1}, "workers=-1: 1 to 1,000 are possible, or None for all cores"),
    "no workers": (ValueError, {"workers": 0}, "workers=0: 1 to 1,000 are possible, or None for all cores"),
    "many workers": (
        ValueError,
        {"workers": 10**10},
        "workers=10000000000: 1 to 1,000 are possible, or None for all cores",
    ),
    "half a worker": (
        TypeError,
        {"workers": 1.5},
        "workers=1.5: a whole number is needed, or None for all cores",
    ),
    "seed": (TypeError, {"seed": 1.5}, "seed=1.5: a whole number is needed"),
    "pins in a list": (
        TypeError,
        {"pinned": [0, 1]},
        "pinned=[0, 1]: a mapping from item to node is needed",
    ),
    "pinned name": (
        TypeError,
        {"pinned": {"m1": 0}},
        "pinned item 'm1': an item is a whole number, its place in dues",
    ),
    "pinned half": (
        TypeError,
        {"pinned": {1.0: 0}},
        "pinned item 1.0: an item is a whole number, its place in dues",
    ),
    "pinned beyond": (ValueError, {"pinned": {-1: 0}}, "pinned item -1: items are 0 to 1"),
    "pinned nobody": (ValueError, {"dues": [], "pinned": {0: 0}}, "pinned item 0: there are no items"),
    "pinned to a list": (ValueError, {"pinned": {0: [1]}}, "pinned node [1] is not in the graph"),
    "no graph": (TypeError, {"graph": [(0, 1)]}, "graph is a list: a networkx graph is needed"),
}


@pytest.mark.parametrize(("error", "given", "message"), REFUSED.values(), ids=REFUSED)
def test_refused_is(error, given, message):
    with pytest.raises(error, match="^" + re.escape(message) + "$"):
        arrange(**{"graph": P, "dues": [1, 2], **given})
