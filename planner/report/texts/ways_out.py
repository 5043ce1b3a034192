"""The ways out of a season without a plan free of clashes, one sentence each, with its price."""

from __future__ import annotations

from collections.abc import Iterable
from functools import singledispatch

from planner.season.plan.reason_record import (
    AnotherPlace,
    Cards,
    HoldBack,
    MoreSpots,
    NoWay,
    Rehang,
    SmallerGap,
    Wait,
    WayOut,
)
from planner.season.reading.told_dates import since
from planner.season.season import Season
from planner.words import count, days, some_ids, where

HEAD = "Ways out. Each alone leaves no clash, at the least price of its kind:"
MOST = 6  # cards named one by one
LESSENS = "Leaves fewer: "
DELAY = "Only puts it off: "
BY_THEN = " As reckoned"  # how the sentence begins that tells what happens then
NO_HELP = "Tried in vain: "
NONE = "No way out was found in the time: --seconds gives it more."
_ORDINALS = (
    "",
    "first",
    "second",
    "third",
    "fourth",
    "fifth",
    "sixth",
    "seventh",
    "eighth",
    "ninth",
    "tenth",
)
_NAMES = {
    "spots": "more spots",
    "gap": "a smaller gap",
    "hold": "leaving some on their lids",
    "rehang": "re-hanging",
    "cards": "cards",
    "wait": "waiting until others emerge",
}


def way_texts(season: Season, ways: Iterable[WayOut]) -> tuple[str, ...]:
    """The ways that lead out; what leaves fewer clashes, or puts it off; then the others, with the reason."""
    found = list(ways)
    good = [way for way in found if not isinstance(way, NoWay) and not _short_of(way)]
    told = [_text(way, season) + _least(way, season) for way in good]
    told += [short + _text(way, season) for way in found if (short := _short_of(way))]
    vain = [_NAMES[way.of] + (f" ({way.why})" if way.why else "") for way in found if isinstance(way, NoWay)]
    return (*told, NO_HELP + "; ".join(vain)) if vain else tuple(told)


def options(way: WayOut) -> tuple[str, ...]:
    """What ``plan`` is called with to take a way out; nothing where something is to be built, or awaited."""
    match way:
        case SmallerGap():
            return "--gap", f"{way.days:g}"
        case Rehang():
            return ("--rehang",)
        case HoldBack():
            return ("--evenings", str(way.evenings)) if way.placed else ("--wait",)
    return ()


def ways_to_tap(season: Season, ways: Iterable[WayOut]) -> list[tuple[str, tuple[str, ...]]]:
    """The ways that lead out, then those that do not quite: each text, and its `options`, apart."""
    found = sorted((way for way in ways if not isinstance(way, NoWay)), key=lambda way: bool(_short_of(way)))
    return [(_short_of(way) + _text(way, season, typed=False), options(way)) for way in found]


def _short_of(way: WayOut) -> str:
    """With what words a way is told that does not lead out by itself; empty for one that does."""
    if isinstance(way, Rehang) and way.clashes:
        return LESSENS
    return DELAY if isinstance(way, HoldBack) and not way.placed else ""


def _typed(way: WayOut) -> str:
    return " ".join(("plan", *options(way)))


def _least(way: WayOut, season: Season) -> str:
    """Whether less of it would perhaps do, and how much is needed at least."""
    if way.least:
        return ""
    needed = way.needed if isinstance(way, MoreSpots | AnotherPlace) else 0.0
    more = isinstance(way, MoreSpots) or (isinstance(way, AnotherPlace) and way.count == 1)
    if needed and more:
        return f" (that would do; at least {season.length(needed)} more are needed)"
    return " (perhaps less would do: not proved)"


@singledispatch
def _text(way: WayOut, season: Season, *, typed: bool = True) -> str:  # noqa: ARG001
    """``typed``: with how it is typed, where it is planned."""
    raise TypeError(f"no words for a way out of kind {way.kind}")


@_text.register
def _(way: MoreSpots, season: Season, *, typed: bool = True) -> str:  # noqa: ARG001
    size = season.length(way.length)
    words = season.place[way.place].more
    assert words is not None, "more spots are asked of a place that can have more"
    one, several, long = words
    if not way.count:
        return f"{season.length(way.more)} more of {way.place}: make it {size} {long}"
    pins = f" ({count(way.pins, 'pin')})" if way.pins else ""
    return f"{count(way.count, one, several)} {way.place}{pins}: make it {size} {long}"


@_text.register
def _(way: AnotherPlace, season: Season, *, typed: bool = True) -> str:  # noqa: ARG001
    like = season.place[way.like]
    those = sum(place.kind == like.kind for place in season.places)
    nth = _ORDINALS[those + 1] if those + 1 < len(_ORDINALS) else f"{those + 1}th"
    length, high = season.length(way.length), like.extent[1]
    size = f"{length} wide and {season.length(high)} high" if high else f"{length} long"
    what = f"a {nth} {like.kind}" if way.count == 1 else f"{way.count} more {like.kind}s"
    return f"{what} like {way.like}, {size}, out of reach of the others"


@_text.register
def _(way: SmallerGap, season: Season, *, typed: bool = True) -> str:
    how = f": {_typed(way)}; riskier" if typed else ", which is riskier"
    return f"a gap of {days(way.days)} instead of {days(season.gap_days)}{how}"


@_text.register
def _(way: Rehang, season: Season, *, typed: bool = True) -> str:  # noqa: ARG001
    hang = count(len(way.pupae), "that hangs already", "that hang already")
    left = f"{count(way.clashes, 'clash is', 'clashes are')} left instead of {way.instead}"
    left = f"{left}, if you " if way.clashes else ""
    return f"{left}re-hang {hang}: {some_ids(way.pupae)}{f' ({_typed(way)})' if typed else ''}"


@_text.register
def _(way: Cards, season: Season, *, typed: bool = True) -> str:
    between = "; ".join(" and ".join(where(season, *end) for end in (d.a, d.b)) for d in way.dividers)
    cards = count(len(way.dividers), "card")
    if len(way.dividers) > MOST:
        between = "the two of each clash"
    where_told = " (dividers: in season.yaml)" if typed else ""
    return f"{cards}, stiff and clear of wings, between {between}{where_told}"


@_text.register
def _(way: HoldBack, season: Season, *, typed: bool = True) -> str:  # noqa: ARG001
    lids = "its lid" if len(way.pupae) == 1 else "their lids"
    who = f"leave {count(len(way.pupae), 'pupa', 'pupae')} on {lids} until {since(way.until)}"
    if way.placed:
        spots = "its spot is" if len(way.pupae) == 1 else "their spots are"
        how = f" ({_typed(way)})" if typed else ""
        return f"{who}, when {spots} free: {some_ids(way.pupae)}{how}"
    fewest = [_typed(way)] if typed else []
    fewest += [] if way.least else ["perhaps fewer would do: not proved"]
    how = f" ({'; '.join(fewest)})" if fewest else ""
    by_then = f"{some_ids(way.gone)} {'has' if len(way.gone) == 1 else 'have'}" if way.gone else "nobody has"
    then = {
        True: "perhaps all find a spot then",
        False: "there is no plan without clashes then either",
        None: "whether all find a spot then was not found out",
    }[way.then]
    return (
        f"{who}, hang the others and plan again then: {some_ids(way.pupae)}{how}. "
        f"As reckoned {by_then} emerged by then, and {then}"
    )


@_text.register
def _(way: Wait, season: Season, *, typed: bool = True) -> str:  # noqa: ARG001
    have, are = ("has" if len(way.gone) == 1 else "have"), ("is" if len(way.firm) == 1 else "are")
    if_ = [f"{some_ids(way.gone)} {have} emerged"] if way.gone else []
    if_ += [f"{some_ids(way.firm)} {are} firm"] if way.firm else []
    told = f", if by then {' and '.join(if_)} as reckoned" if if_ else ""
    return f"wait and plan again on {since(way.until)}{told}"
