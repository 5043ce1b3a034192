"""Random impossible seasons as files, and each way out applied to a copy of them, by its words."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import replace
from datetime import date, datetime
from pathlib import Path
from random import Random

from planner.emergence import forecasts, known_species
from planner.engine.model.solver import Clock, Effort
from planner.engine.model.sub_instance import without_barred_homes, without_pending_pairs
from planner.planning.infeasible.reasons import pinned_pairs
from planner.planning.infeasible.ways_out import explain_plan
from planner.planning.make_plan import make_plan
from planner.planning.problem.season_problem import season_problem
from planner.report.texts.ways_out import way_texts
from planner.season.load import load
from planner.verify import verify

ON = datetime(2027, 7, 9, 21)
HEAD = """\
season: Impossible
units: {units}
timezone: Europe/Lisbon
gap_days: {gap}
wing_reach: {reach}
drop: {drop}
clearance: {clearance}
keeper_reach: {{lowest: {lowest}, highest: {highest}}}
temperature: {{constant: 23 C}}
places:
"""
IN_CM = {"reach": 10, "drop": 20, "clearance": 11, "lowest": 40, "highest": 190}
IN_INCHES = {"reach": 4, "drop": 8, "clearance": 4.5, "lowest": 16, "highest": 75}


def write_season(folder: Path, rng: Random, most: int = 12) -> None:
    """A season of a few small places with up to ``most`` pupae of near dates; some of them are possible."""
    inches = rng.random() < 0.4
    step = 1.5 if inches else 4
    places, spots = [], []
    for kind in rng.sample(["marks", "yarn", "board", "marks 2"], rng.randint(1, 2)):
        at = f", left: {rng.randrange(3) * step * 4:g}, front: 5" if rng.random() < 0.3 else ""
        height = rng.choice([60, 70] if inches else [150, 160, 180])
        if kind.startswith("marks"):
            marks = rng.randint(1, 5)
            places.append(
                f"line: {kind}, length: {step * (marks + 1):g}, height: {height}, clips_every: {step:g}{at}"
            )
            spots += [(kind, f"{step * (k + 1):g}") for k in range(marks)]
        elif kind == "yarn":
            length, width = (rng.randint(3, 9), 1) if inches else (rng.randint(6, 22), 3)
            near = "0.5" if inches else "1"
            places.append(
                f"line: yarn, length: {length}, height: {height}, clip_width: {width}, to_nearest: {near}{at}"
            )
            spots += [("yarn", "1.5" if inches else "2")] if length > 4 else []
        else:
            wide, high, pin = rng.randint(1, 2), rng.randint(1, 2), 2 if inches else 5
            places.append(
                f"board: cork, width: {wide * pin}, height: {high * pin}, pins_every: {pin}, "
                f"bottom: {40 if inches else 100}{at}"
            )
            spots += [("cork", f"r{r + 1}p{p + 1}") for r in range(high) for p in range(wide)]
    places.append(
        f"lid: tub, width: {16 if inches else 40}, length: {11 if inches else 28}"
        + rng.choice([", clear: true", ""])
    )
    head = HEAD.format(
        units="in" if inches else "cm", gap=rng.choice([1, 2, 2, 3]), **(IN_INCHES if inches else IN_CM)
    )
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "season.yaml").write_text(
        head + "".join(f"  - {{{one}}}\n" for one in places), encoding="utf-8"
    )
    rows, homes = ["id,species,pupated,place,spot,x,y,stay"], {}
    rng.shuffle(spots)
    span = rng.choice([0, 1, 2, 4])
    for n in range(1, rng.randint(2, most) + 1):
        day = date(2027, 7, rng.randint(5 - min(span, 3), 5 + span))
        if spots and rng.random() < 0.15:
            place, spot = spots.pop()
            rows.append(f"m{n},monarch,{day},{place},{spot},,,")
            continue
        while (at := (rng.randint(1, 15), rng.randint(1, 10))) in homes:
            pass
        homes[at] = n
        stay = "yes" if rng.random() < 0.05 else ""
        rows.append(f"m{n},monarch,{day},tub,,{at[0]},{at[1]},{stay}")
    (folder / "pupae.csv").write_text("\n".join(rows) + "\n", encoding="utf-8")


def read(folder: Path):
    return load(folder, known_species())


def planned(folder: Path, on: datetime = ON, **options):
    """The plan of a folder, which the verifier must pass."""
    season = read(folder)
    plan = make_plan(season, on, seconds=30, workers=1, **options)
    assert verify(season, plan) == []
    return plan


def short_of(plan) -> int:
    """Clashes, and those left on a lid to be cleared though they could be moved."""
    return len(plan.clashes) + sum(int(x.value or 0) for x in plan.proof if x.name == "left")


def explained(folder: Path, seconds: float = 20):
    """The season, its plan and the explanation; None where its plan is free of clashes."""
    season, plan = read(folder), planned(folder)
    if not short_of(plan):
        return None
    return season, plan, explain_plan(season, plan, Effort(Clock(seconds), workers=1))


def apply(folder: Path, season, way) -> dict:
    """Do what the sentence of a way out says, in the files; the options with which to plan then."""
    (text,) = way_texts(season, [way])
    yaml = folder / "season.yaml"
    lines = yaml.read_text(encoding="utf-8").splitlines(keepends=True)
    if way.kind == "spots":
        key, size = ("length", "long") if "long" in text else ("width", "wide")
        (told,) = re.findall(rf"make it (\S+) (?:cm|in) {size}", text)
        (k,) = (k for k, row in enumerate(lines) if re.search(rf": {re.escape(way.place)},", row))
        lines[k] = re.sub(rf"{key}: [\d.]+", f"{key}: {told}", lines[k])
    elif way.kind == "place":
        (k,) = (k for k, row in enumerate(lines) if re.search(rf": {re.escape(way.like)},", row))
        key = "width" if "wide" in text else "length"
        (told,) = re.findall(r", (\S+) (?:cm|in) (?:wide|long)", text)
        (number,) = re.findall(r"^(a|\d+) ", text)
        row = re.sub(rf"{key}: [\d.]+", f"{key}: {told}", lines[k])
        row = re.sub(r", left: [^,}]+, front: [^,}]+", "", row)
        for n in range(1 if number == "a" else int(number)):
            lines.append(row.replace(f": {way.like},", f": another {n},"))
    elif way.kind == "gap":
        return {"gap": float(re.findall(r"--gap (\S+);", text)[0])}
    elif way.kind == "rehang":
        assert "(plan --rehang)" in text
        return {"rehang": True}
    elif way.kind == "hold":
        over = re.search(r"--evenings (\d+)\)", text)
        return {"evenings": int(over[1]) if over else 2}
    elif way.kind == "cards":
        pairs = [[f"{place} {spot}" for place, spot in (card.a, card.b)] for card in way.dividers]
        lines += ["dividers:\n", *(f"  - between: [{a}, {b}]\n" for a, b in pairs)]
    elif way.kind == "wait":
        table = folder / "pupae.csv"
        head, *rows = table.read_text(encoding="utf-8").splitlines()
        ended = [f",emerged,{way.until.date()}" if row.split(",")[0] in way.gone else ",," for row in rows]
        table.write_text(
            "\n".join([f"{head},outcome,ended", *map("".join, zip(rows, ended, strict=True))]) + "\n"
        )
        return {"on": way.until}
    yaml.write_text("".join(lines), encoding="utf-8")
    return {}


def less(season, way):
    """The season with one step less of a way out of more spots, or None where it is the first step."""
    if way.kind == "spots":
        place = season.place[way.place]
        step = place.to_nearest if place.slides else 1
        count = way.more - step if place.slides else way.count - 1
        after = place.longer(round(count, 6)) if count > 1e-9 else place
        return replace(season, places=tuple(after if p is place else p for p in season.places))
    like = season.place[way.like]
    step = like.to_nearest if like.slides else like.pitch
    names, length = [f"another {n}" for n in range(way.count)], way.length
    if way.count > 1:
        names.pop()
    else:
        length -= step
    if length < step:
        return season
    new = (
        replace(
            like.longer((length - like.extent[0]) / (1 if like.slides else like.pitch)),
            name=name,
            left=None,
            front=None,
        )
        for name in names
    )
    return replace(season, places=(*season.places, *new))


def any_assignment(season, days: float, most: int = 60_000) -> bool | None:
    """Whether all can be hung without a clash, by trying every way; None: too many of them."""
    problem = season_problem(season, forecasts(season, ON), None, at=ON)
    if pinned_pairs(problem, days):
        return False
    inst = without_pending_pairs(without_barred_homes(problem.instance))
    number = {node: k for k, node in enumerate(inst.graph)}
    beside = [[number[other] for other in inst.graph[node]] for node in inst.graph]
    shut = [[number[other] for other in inst.excludes.get(node, ())] for node in inst.graph]
    pupae = range(len(inst.dues))
    clash = [[inst.clash(i, j, days) for j in pupae] for i in pupae]
    open_nodes = [number[node] for node in inst.open_nodes]
    home = {i: number[node] for i, node in inst.homes.items()}
    order = sorted(inst.free_items, key=lambda i: (i in home, inst.dues[i], i))
    at = [-1] * len(number)
    for i, node in inst.pinned.items():
        at[number[node]] = i
    tried = 0

    def hang(k: int, first: int) -> bool | None:
        nonlocal tried
        if k == len(order):
            return True
        i = order[k]
        choices = enumerate(open_nodes[first:], first)
        for n, node in [(0, home[i]), *choices] if i in home else choices:
            tried += 1
            if tried > most:
                return None
            if at[node] >= 0 or any(at[o] >= 0 and clash[i][at[o]] for o in beside[node]):
                continue
            if home.get(i) != node and any(at[o] >= 0 for o in shut[node]):
                continue
            at[node] = i
            alike = k + 1 < len(order) and i not in home and order[k + 1] not in home
            alike = alike and inst.dues[i] == inst.dues[order[k + 1]]
            found = hang(k + 1, n + 1 if alike else 0)
            at[node] = -1
            if found is not False:
                return found
        return False

    return hang(0, 0)


def faults(folder: Path, rng: Random, seen: Counter[str], most: int = 12) -> list[str] | None:
    """What is wrong with the ways out of a random season; None where it is not impossible.

    ``seen``: how often each kind was applied, and how often less of it was judged by brute force.
    """
    write_season(folder, rng, most)
    found = explained(folder)
    if found is None:
        return None
    season, _, why = found
    files = {name: (folder / name).read_bytes() for name in ("season.yaml", "pupae.csv")}
    wrong = []
    for way in why.ways:
        if way.kind == "none":
            continue
        options = apply(folder, season, way)
        on = options.pop("on", ON)
        plan = planned(folder, on, **options)
        if plan.clashes or (short_of(plan) and way.kind != "hold"):
            wrong.append(f"{way}: {short_of(plan)} clash or are left")
        for name, data in files.items():
            (folder / name).write_bytes(data)
        seen[way.kind] += 1
        smaller = None
        if way.kind in ("spots", "place") and way.least:
            smaller = any_assignment(less(season, way), season.gap_days)
        if way.kind == "gap" and way.least:
            smaller = any_assignment(season, way.days + 0.011)
        seen[f"{way.kind}: {'less does' if smaller else 'less tried'}"] += smaller is not None
        if smaller:
            wrong.append(f"{way}: less does")
    kinds = {way.kind for way in why.ways}
    if not kinds & {"spots", "place"} and not any(
        way.kind == "none" and way.of == "spots" for way in why.ways
    ):
        wrong.append("nothing is said of more spots")
    return wrong
