"""Small racks and plans for the drawings, and how to read a drawing back."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date, datetime, timedelta
from functools import cache
from io import BytesIO
from pathlib import Path
from typing import Any, TypeVar

import pdfplumber
import pypdfium2
from matplotlib.artist import Artist
from matplotlib.figure import Figure
from matplotlib.text import Text
from matplotlib.transforms import Affine2D

from planner.cli.answers.paper import day_words_without_steps, move_words
from planner.draw.data import Mark, sheet
from planner.draw.map.rack_map import figures, rack_map
from planner.draw.paper.page import Page
from planner.follow.day import Day
from planner.season.places import Board, Lid, Line, Place
from planner.season.plan.plan_record import Hang, Move, Plan, TooClose
from planner.season.pupae import Pupa
from planner.season.reading.when import When
from planner.season.season import Season

PT_PER_MM = 72 / 25.4
JULY_3 = date(2027, 7, 3)

A = TypeVar("A", bound=Artist)
Case = tuple[Season, Plan, Mapping[str, Sequence[Mark]]]


def hang(pupa: str, place: str, spot: str, **more: object) -> Hang:
    """Hang one where its spot's name says it is, due 15 Jul unless told otherwise."""
    place_xy: dict[str, object] = {"x": None, "y": None} if spot == "?" else {"x": float(spot), "y": 0.0}
    return Hang(**{"pupa": pupa, "place": place, "spot": spot, "due": date(2027, 7, 15), **place_xy, **more})  # type: ignore[arg-type]


def pin(pupa: str, board: str, mark: Mark, **more: object) -> Hang:
    """Hang one at a pin of a board."""
    return replace(hang(pupa, board, "?", **more), spot=mark.tag, x=mark.x, y=mark.y)


def line(name: str = "north", length: float = 40, **more: float) -> Line:
    return Line(**{"name": name, "length": length, "height": 150, "clips_every": 10, **more})  # type: ignore[arg-type]


def marks(place: Place, unit: float = 1.0) -> list[Mark]:
    """Spots as the places' own words define them."""
    if isinstance(place, Line) and place.clips_every:
        count = int((place.length - 1e-9) / place.clips_every)
        xs = [place.clips_every * i for i in range(1, count + 1)]
        return [Mark(f"{round(x / unit, 2):g}", x, 0.0) for x in xs]
    if isinstance(place, Board):
        return list(_pins(place))
    return []


def _pins(board: Board) -> Iterator[Mark]:
    step = board.pins_every
    for r in range(1, int(board.height / step + 0.5) + 1):
        shift = 0.5 if board.pattern == "staggered" and r % 2 == 0 else 0.0
        for p in range(1, int(board.width / step + 0.5 - shift) + 1):
            yield Mark(f"r{r}p{p}", (p - 0.5 + shift) * step, board.height - (r - 0.5) * step)


def case(
    places: Sequence[Place],
    hangs: Iterable[Hang],
    *,
    pupated: Mapping[str, date | None] | None = None,
    clashes: Sequence[TooClose] = (),
    waiting: Sequence[TooClose] = (),
    name: str = "Porch",
    units: str = "cm",
) -> Case:
    """Make a season and its plan: everybody pupated on 3 Jul unless told otherwise."""
    hangs = tuple(hangs)
    pupae = []
    for h in hangs:
        day = (pupated or {}).get(h.pupa, JULY_3)
        now = h.from_place or h.place
        pupae.append(Pupa(id=h.pupa, species="monarch", pupated=When(day) if day else None, place=now))
    season = Season(folder=Path(), name=name, units=units, places=tuple(places), pupae=tuple(pupae))
    plan = Plan(
        on=datetime(2027, 7, 9, 8), gap_days=2.0, hangs=hangs, clashes=tuple(clashes), waiting=tuple(waiting)
    )
    return season, plan, {p.name: marks(p, season.cm_per_unit) for p in places}


def porch() -> Case:
    """35 pupae: clip line, sliding line, staggered board, three lids; movers, two clashes, two waits."""
    places = [
        line("north", 180, clips_every=4),
        Line(name="south", length=180, height=150, clip_width=3),
        Board(name="cork", width=60, height=45, pins_every=5, pattern="staggered", bottom=90),
        *(Lid(name=f"tub-{i}", width=40, length=28) for i in (2, 3, 4)),
    ]
    pins = {m.tag: m for m in marks(places[2])}
    hangs = [hang(f"m{i:02}", "north", str(4 * i)) for i in range(1, 16)]
    hangs += [hang(f"m{i:02}", "south", str(3 * (i - 15))) for i in range(16, 22)]
    tags = ["r1p1", "r1p2", "r1p3", "r2p1", "r2p2", "r3p1", "r3p2", "r4p5"]
    hangs += [pin(f"m{i:02}", "cork", pins[tag]) for i, tag in enumerate(tags, 22)]
    hangs += [hang(f"m{i}", "tub-2", "?", x=float(i), y=12.0) for i in range(30, 35)]
    hangs.append(hang("m35", "tub-4", "?"))
    hangs = [
        replace(h, due=JULY_3 + timedelta(days=12 + i % 9), from_place="tub-3" if i % 2 and i < 29 else None)
        for i, h in enumerate(hangs)
    ]
    return case(
        places,
        hangs,
        pupated={h.pupa: h.due - timedelta(days=12) for h in hangs if h.due},
        clashes=[
            TooClose(a="m03", b="m04", gap=1.0, distance=4.0),
            TooClose(a="m22", b="m23", gap=0.0, distance=5.0),
        ],
        waiting=[TooClose(a="m30", b="m31", gap=1.0, distance=1.0, why="m31 is soft until Sat 10 Jul 09:00")],
    )


def house(lines: int) -> Case:
    """50 pupae on each line of 300 cm, a clip every 4 cm: every second one moves, dates over 14 days."""
    places = [
        *(line(f"line {i}", 300, clips_every=4) for i in range(lines)),
        Lid(name="tray", width=40, length=30),
    ]
    hangs = [
        hang(
            f"p{i:03}", f"line {i % lines}", str(4 * (1 + i // lines * 31 % 74)),
            due=JULY_3 + timedelta(days=11 + i % 14), from_place="tray" if i % 2 else None,
        )
        for i in range(50 * lines)
    ]  # fmt: skip
    return case(places, hangs, pupated={h.pupa: h.due - timedelta(days=11) for h in hangs if h.due})


def tubs(units: str = "in", lids: Sequence[str] = ("tub-A", "tub-B", "tub-C"), number: int = 35) -> Case:
    """Two yarns, a board of 24 x 18 and three lids of 23 x 16; every second pupa moves to board or yarn.

    In cm the same rack in round numbers: 180, 60 x 45 and 58 x 40.
    """
    inch = units == "in"
    cm = 2.54 if inch else 1.0
    length, board, lid, pins = (72, (24, 18), (23, 16), 3) if inch else (180, (60, 45), (58, 40), 7.5)
    places = [
        *(Line(name=n, length=length * cm, height=150, clip_width=1.9) for n in ("north", "south")),
        Board(name="cork", width=board[0] * cm, height=board[1] * cm, pins_every=pins * cm, bottom=100),
        *(Lid(name=n, width=lid[0] * cm, length=lid[1] * cm, clear=k == 2) for k, n in enumerate(lids)),
    ]
    free = iter(marks(places[2])[::3])
    slots = iter(range(1, 100))
    hangs, moves, at = [], [], {}
    for i in range(number):
        pupa, tub, due = f"m{i + 1}", lids[i % len(lids)], JULY_3 + timedelta(days=12 + i // 4 % 9)
        at[pupa] = (3.0 + i * 17 % 52, 3.0 + i * 7 % 34)
        if i % 2:
            hangs.append(hang(pupa, tub, "?", x=at[pupa][0], y=at[pupa][1], due=due))
        elif mark := next(free, None):
            hangs.append(pin(pupa, "cork", mark, from_place=tub, due=due))
        else:
            x = next(slots) * 1.5 * cm
            hangs.append(hang(pupa, "south", f"{x / cm:g}", x=x, from_place=tub, due=due))
    ready = datetime(2027, 7, 9, 8)
    goes = sorted((h for h in hangs if h.from_place), key=lambda h: lids.index(h.from_place or ""))
    moves = [
        Move(step=k, pupa=h.pupa, from_place=h.from_place or "", from_spot="?", to_place=h.place,
             to_spot=h.spot, not_before=ready, not_after=ready + timedelta(days=3))
        for k, h in enumerate(goes, start=1)
    ]  # fmt: skip
    pupated = {h.pupa: h.due - timedelta(days=12) for h in hangs if h.due}
    season, plan, spots = case(places, hangs, pupated=pupated, units=units)
    pupae = tuple(replace(p, x=at[p.id][0], y=at[p.id][1]) for p in season.pupae)
    return replace(season, pupae=pupae), replace(plan, moves=tuple(moves)), spots


def wall_case(units: str = "in", **more: Any) -> tuple[Season, Plan, Mapping[str, Sequence[Mark]], Any, Any]:
    """What the wall is drawn from, on the day its plan was made."""
    season, plan, spots = tubs(units, **more)
    return season, plan, spots, day_words_without_steps(Day(season, plan.on, plan)), move_words(season, plan)


def drawn(case: Case, *, paged: bool = True) -> list[Figure]:
    return [figure_of(page) for page in figures(sheet(*case), "pdf" if paged else "svg")]


def figure_of(page: Page) -> Figure:
    """The page as a figure whose artists matplotlib draws, measures and finds by itself."""
    figure = Figure(figsize=(page.width / 25.4, page.height / 25.4), facecolor="white")
    millimetres = Affine2D().scale(1 / 25.4) + figure.dpi_scale_trans
    for mark in page.marks:
        artist = mark.artist()
        artist.set_transform(millimetres)
        figure.add_artist(artist)
    return figure


@cache
def porch_file(fmt: str) -> bytes:
    """The porch's map, drawn once for all tests that read it."""
    return rack_map(*porch(), fmt)


@cache
def porch_drawn() -> list[Figure]:
    """The porch's pages, drawn once for all tests that look at them."""
    return drawn(porch())


def found(figure: Figure, kind: type[A]) -> list[A]:
    """All of a kind."""
    return [a for a in figure.get_children() if isinstance(a, kind)]


def texts(drawing: Sequence[Figure], gid: str | None = None) -> list[str]:
    return [t.get_text() for f in drawing for t in found(f, Text) if gid is None or t.get_gid() == gid]


def by_gid(drawing: Sequence[Figure], gid: str) -> list[Artist]:
    return [a for f in drawing for a in found(f, Artist) if a.get_gid() == gid]


def pdf(data: bytes) -> pdfplumber.PDF:
    return pdfplumber.open(BytesIO(data))


def pdf_text(data: bytes) -> str:
    """All words of a PDF."""
    document = pypdfium2.PdfDocument(data)
    text = "\n".join(page.get_textpage().get_text_range() for page in document)
    document.close()
    return text
