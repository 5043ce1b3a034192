"""What `arrange` was given, taken as an instance, or refused in one sentence."""

from __future__ import annotations

import math
from collections.abc import Hashable, Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal
from numbers import Integral, Real
from typing import Any, TypeAlias, TypeVar

import networkx as nx
import numpy as np

from planner.engine.model.instance import Instance

Due: TypeAlias = float | date | np.datetime64 | timedelta | np.timedelta64 | Decimal
Days: TypeAlias = float | timedelta | np.timedelta64

FARTHEST = 1e9  # days, 2.7 million years: as far a float still tells half a millionth of one from none
SEEDS = 2**31
MOST_WORKERS = 1000  # more than any machine has cores; the solver takes no more than 10,000
YEARS = 200_000  # either way of 1970: of more numpy cannot tell the microsecond
_DAY = timedelta(days=1)
_MICROSECONDS = 86_400_000_000  # of a day
N = TypeVar("N", bound=Hashable)


@dataclass(frozen=True)
class _Day:
    """A due in days, and what kind it was given as: kinds are not mixed."""

    days: float
    kind: str


def days_of_dues(dues: Mapping[int, Due] | Iterable[Due]) -> tuple[float, ...]:
    """The dues as days, in the order of the items."""
    found = [_day(f"dues[{i}]", due) for i, due in enumerate(_in_order(dues))]
    kinds = sorted({one.kind for one in found})
    if len(kinds) > 1:
        raise TypeError(f"dues are given as {' and as '.join(kinds)}: give all in one way")
    return tuple(one.days for one in found)


def _in_order(dues: Mapping[int, Due] | Iterable[Due]) -> list[Due]:
    if isinstance(dues, Mapping):
        if set(dues) != set(range(len(dues))):
            raise TypeError(
                "dues is a mapping whose keys are not the items 0, 1, 2 …: "
                "give list(dues.values()), and item i is its i-th key"
            )
        return [dues[i] for i in range(len(dues))]
    if isinstance(dues, str | bytes | set | frozenset):
        raise TypeError(f"dues is a {type(dues).__name__}, which has no dues in an order: give a list")
    try:
        return list(dues)
    except TypeError:
        raise TypeError(f"dues={dues!r}: a list of dues is needed, one per item") from None


def _day(name: str, due: object) -> _Day:
    if isinstance(due, date | np.datetime64):
        return _date(name, due)
    if isinstance(due, np.generic) and not isinstance(due, np.number):
        raise TypeError(f"{name}={due!r}: a number of days or a date is needed")
    if isinstance(due, timedelta | np.timedelta64):
        due = _in_days(name, due)
    if isinstance(due, bool) or not isinstance(due, Real | Decimal):
        hint = ": a date as text is read by datetime.fromisoformat" if isinstance(due, str) else ""
        raise TypeError(f"{name}={due!r}: a number of days or a date is needed{hint}")
    days = _float(due)
    if not math.isfinite(days):
        raise ValueError(f"{name}={due}: a finite number of days is needed")
    if abs(days) > FARTHEST:
        raise ValueError(f"{name}={due}: at most {FARTHEST:g} days either way are possible")
    return _Day(days, "numbers")


def _date(name: str, due: date | np.datetime64) -> _Day:
    if due != due:  # NaT, of numpy or pandas: no date
        raise ValueError(f"{name}={due}: a date is needed")
    if isinstance(due, np.datetime64):
        if abs(int(due.astype("datetime64[Y]").astype(np.int64))) > YEARS:
            raise ValueError(f"{name}={due}: a date within {YEARS:,} years of 1970 is needed")
        whole = int(due.astype("datetime64[us]").astype(np.int64))
        return _Day(date(1970, 1, 1).toordinal() + whole / _MICROSECONDS, "dates")
    if not isinstance(due, datetime):
        return _Day(float(due.toordinal()), "dates")
    offset = due.utcoffset()
    here = due.replace(tzinfo=None)
    days = here.toordinal() + (here - datetime(here.year, here.month, here.day)) / _DAY
    if offset is None:
        return _Day(days, "dates")
    return _Day(days - offset / _DAY, "dates with a time zone")


def _in_days(name: str, length: timedelta | np.timedelta64) -> float:
    if isinstance(length, np.timedelta64):
        if np.datetime_data(length.dtype)[0] in ("Y", "M"):
            raise TypeError(
                f"{name}={length}: a length in days or shorter units is needed, for years and months vary"
            )
        return float(length / np.timedelta64(1, "D"))  # NaN for no length at all
    return length / _DAY


def _float(number: Any) -> float:
    try:
        return float(number)
    except OverflowError:
        return math.inf
    except ValueError:  # a signalling NaN
        return math.nan


def days_of_gap(gap: Days | None) -> float | None:
    """The gap in days; None: the widest."""
    if gap is None:
        return None
    if isinstance(gap, timedelta | np.timedelta64):
        days = _in_days("gap", gap)
    elif isinstance(gap, Real | Decimal) and not isinstance(gap, bool):
        days = _float(gap)
    else:
        raise TypeError(f"gap={gap!r}: a number of days or a timedelta is needed")
    if not 0 <= days < math.inf:
        raise ValueError(f"gap={gap}: a number of days, 0 or more, is needed")
    return days


def checked_seconds(seconds: float) -> float:
    """The time limit."""
    if isinstance(seconds, bool) or not isinstance(seconds, Real | Decimal):
        raise TypeError(f"seconds={seconds!r}: a number is needed")
    if not _float(seconds) >= 0:
        raise ValueError(f"seconds={seconds}: 0 or more are needed")
    return _float(seconds)


def checked_seed(seed: int) -> int:
    """The seed."""
    if isinstance(seed, bool) or not isinstance(seed, Integral):
        raise TypeError(f"seed={seed!r}: a whole number is needed")
    if not -SEEDS <= seed < SEEDS:
        raise ValueError(f"seed={seed}: a whole number of at most 31 bits is needed")
    return int(seed)


def checked_workers(workers: int | None) -> int | None:
    """The number of the solver's workers."""
    if workers is None:
        return None
    if isinstance(workers, bool) or not isinstance(workers, Integral):
        raise TypeError(f"workers={workers!r}: a whole number is needed, or None for all cores")
    if not 1 <= workers <= MOST_WORKERS:
        raise ValueError(f"workers={workers}: 1 to {MOST_WORKERS:,} are possible, or None for all cores")
    return int(workers)


def checked_instance(graph: nx.Graph[N], dues: tuple[float, ...], pinned: Mapping[int, N] | None) -> Instance:
    """The instance of a graph without self-loops, each pair of neighbours joined once."""
    if not isinstance(graph, nx.Graph):
        raise TypeError(f"graph is a {type(graph).__name__}: a networkx graph is needed")
    if graph.is_directed():
        raise ValueError("the neighbour graph must be undirected: neighbours are mutual")
    if len(dues) > graph.number_of_nodes():
        raise ValueError(f"{len(dues)} items do not fit on {graph.number_of_nodes()} nodes: one per node")
    fixed = _checked_pins(graph, len(dues), pinned)
    simple: nx.Graph[Any] = nx.Graph(graph.edges())  # called: else a multigraph gives the keys as well
    simple.add_nodes_from(graph)
    simple.remove_edges_from(list(nx.selfloop_edges(simple)))
    taken = set(fixed.values())
    open_nodes = tuple(node for node in graph if node not in taken)
    return Instance(simple, dues, fixed, open_nodes)


def _checked_pins(graph: nx.Graph[N], items: int, pinned: Mapping[int, N] | None) -> dict[int, Hashable]:
    if pinned is None:
        return {}
    if not isinstance(pinned, Mapping):
        raise TypeError(f"pinned={pinned!r}: a mapping from item to node is needed")
    fixed: dict[int, Hashable] = {}
    for item, node in pinned.items():
        if not isinstance(item, Integral):
            raise TypeError(f"pinned item {item!r}: an item is a whole number, its place in dues")
        if item not in range(items):
            raise ValueError(f"pinned item {item!r}: {_items(items)}")
        if node not in graph:
            raise ValueError(f"pinned node {node!r} is not in the graph")
        fixed[int(item)] = node
    if len(set(fixed.values())) < len(fixed):
        raise ValueError("two items are pinned to one node")
    return fixed


def _items(count: int) -> str:
    return f"items are 0 to {count - 1}" if count else "there are no items"
