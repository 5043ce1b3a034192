"""Seasons for the page: with one pupa, with many, with names that are long or run from right to left."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta
from itertools import product
from pathlib import Path

from planner.emergence import forecasts, known_species
from planner.follow.day import Day
from planner.rack import spots
from planner.report.page.data import PageData
from planner.season import Board, Lid, Line, Move, Plan, Pupa, Season, SpeciesEntry, When
from planner.season.load import load
from planner.words import no_plan_yet

EXAMPLES = Path(__file__).parents[2] / "examples"
NOW = datetime(2027, 7, 5, 8)
LONG = "the line under the window in the back room, left of the door"
ARABIC, HEBREW, ACCENTS = "الرف العلوي بجانب النافذة", "מדף עליון", "Fensterbrett für Große Füchse, Größe Ñ"
HOSTILE = "</script><script>document.title='taken'</script><img src=x onerror=alert(1)>"


def season(*pupae: Pupa, places=None, name="Porch") -> Season:
    """At 23 °C a pupa takes 130 / (23 - 10) = 10 days from noon of its day; firm 24 h after its end."""
    return Season(
        folder=Path("porch"),
        name=name,
        timezone="Europe/Lisbon",
        profiles={"monarch": SpeciesEntry(lower=10, requirement=130)},
        places=places
        or (
            Line(name="north", length=60, height=150, clips_every=4, left=0, front=10),
            Lid(name="tub-2", width=40, length=28),
        ),
        pupae=pupae,
    )


def pupa(name, pupated="2027-07-01", place="tub-2", **more) -> Pupa:
    return Pupa(id=name, species="monarch", pupated=pupated and When.parse(pupated), place=place, **more)


def one_pupa() -> PageData:
    return PageData(Day(season(pupa("m1", x=5.0, y=5.0)), NOW), no_plan_yet(Path("porch")))


def move(number, name, source, to_place, to_spot, **more) -> Move:
    times = {"not_before": datetime(2027, 7, 3), "not_after": datetime(2027, 7, 10, 12), **more}
    return Move(step=number, pupa=name, from_place=source[0], from_spot=source[1], to_place=to_place,
                to_spot=to_spot, **times)  # fmt: skip


def moving(found: Season, now: datetime, number: int) -> Plan:
    """As many as asked for go from their lids to free spots, in no order that is worth anything."""
    taken = {(p.place, p.spot) for p in found.pupae}
    free = [s for row in spots(found).values() for s in row if (s.place, s.tag) not in taken]
    known = forecasts(found, now)
    going = [p for p in found.pupae if p.x is not None and known[p.id].movable and known[p.id].dark_from]
    steps = [
        Move(step=i, pupa=p.id, from_place=p.place, from_spot="?", to_place=s.place, to_spot=s.tag,
             not_before=known[p.id].firm_from, not_after=known[p.id].dark_from)
        for i, (p, s) in enumerate(zip(going[:number], free, strict=False), start=1)
    ]  # fmt: skip
    return Plan(on=now, gap_days=2.0, hangs=(), moves=tuple(steps))


def example(name: str, now: datetime, moves: int) -> PageData:
    found = replace(load(EXAMPLES / name, known_species()), folder=Path(name))
    return PageData(Day(found, now, moving(found, now, moves)))


def porch() -> PageData:
    """35 pupae."""
    return example("porch", datetime(2027, 7, 12, 12), 14)


def butterfly_house() -> PageData:
    """600 pupae."""
    return example("butterfly-house", datetime(2027, 5, 7, 9), 167)


def odd_names() -> PageData:
    """Long, accented and right-to-left names, on every kind of place; and names that would be markup."""
    places = (
        Line(name=LONG, length=60, height=150, clips_every=4, left=0, front=10),
        Line(name=ARABIC, length=60, height=120, clip_width=2.5, left=10, front=30),
        Board(name=ACCENTS, width=30, height=20, pins_every=5, bottom=60, pattern="staggered"),
        Lid(name=HEBREW, width=20, length=15),
        Lid(name=HOSTILE, width=20, length=15, clear=True),
    )
    ids = ("m1", "فراشة١", "פרפר-12", "Ñandú-7", "chrysalis-number-0012345", HOSTILE[:40])
    there = [(LONG, "8"), (LONG, "12"), (ARABIC, "2.5"), (ARABIC, "7.5"), (ACCENTS, "r1p1"),
             (ACCENTS, "r2p1"), (HEBREW, None), (HOSTILE, None)]  # fmt: skip
    pupae = [
        pupa(f"{name}{k}" if k else name, f"2027-07-0{1 + k % 3}", place,
             **({"spot": spot} if spot else {"x": 3.0 + 2.2 * k, "y": 3.0 + k}), note=HOSTILE)
        for k, (name, (place, spot)) in enumerate(zip([*ids, "m7", "m8"], there, strict=True))
    ]  # fmt: skip
    pupae[3] = replace(pupae[3], spot="9.5")
    found = season(*pupae, places=places, name=f"{ARABIC} {ACCENTS}")
    steps = (move(1, "m8" + "7", (HOSTILE, "?"), LONG, "20"),)
    return PageData(Day(found, NOW, Plan(on=NOW, gap_days=2.0, hangs=(), moves=steps)))


def thousands(number: int = 5000) -> PageData:
    """On lines of 100 marks, with dates over 14 days."""
    lines = -(-number // 80)
    places = tuple(
        Line(name=f"line {i + 1}", length=404, height=60 + 25 * (i % 5), clips_every=4, left=0, front=10 * i)
        for i in range(lines)
    )
    where = [(p.name, str(4 * k)) for p, k in product(places, range(1, 81))]
    pupae = [
        pupa(f"m{i + 1}", str((NOW - timedelta(days=i % 14)).date()), place, spot=spot)
        for i, (place, spot) in enumerate(where[:number])
    ]
    return PageData(Day(season(*pupae, places=places), NOW))


WORLDS = {"1": one_pupa, "35": porch, "600": butterfly_house, "odd names": odd_names}
