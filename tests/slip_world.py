"""Events as phones write them down, and slips of them for the season of `cli_world`."""

from __future__ import annotations

from itertools import count

from planner.record.slip import packed

NUMBERS = count(1)


def event(kind, at="2027-07-05T20:00", **more):
    """One event with an id of its own, as it stands in a slip."""
    return {"id": f"event{next(NUMBERS):05}", "at": f"{at}:00.000", "kind": kind, **more}


def moved(pupa, place, spot, at="2027-07-05T20:00", **more):
    return event("moved", at, pupa=pupa, place=place, spot=spot, **more)


def marked(pupa, what, at="2027-07-12T20:00", **more):
    return event("marked", at, pupa=pupa, what=what, **more)


def recorded(lid, at="2027-07-05T20:00", **more):
    return event("recorded", at, lid=lid, **more)


def slip(*events, device="phone1", season="", name="Porch"):
    return packed(season, name, device, list(events))
