"""All that writes, commands and what a server is sent, each with a season in which it has something to do."""

import json
import shutil
from dataclasses import dataclass, field
from pathlib import Path

from cli_world import ON, PUPAE, SETTINGS, Said, World, call, good_plan

from planner.record.slip import check_of, packed
from planner.season.plan import plan_file
from planner.serve.service import Service, Unanswered

OVER = "2027-09-01"
OWN = SETTINGS.replace("monarch:", "easy:") + "species: easy\n"
EIGHT = "id,pupated,place,x,y,outcome,ended\n" + "".join(
    f"e{i},2027-07-{i:02},tub-2,{i},5,emerged,2027-07-{i + 12:02}\n" for i in range(1, 9)
)
CROWDED = SETTINGS.replace("length: 60", "length: 8").replace("  - {lid: tub-2, width: 40, length: 28}\n", "")
THREE = "id,pupated,place,x,y\n" + "".join(f"m{i},2027-07-01,tub-3,{5 + i},5\n" for i in range(1, 4))
SKETCH = "lid: tub-3\na = 2027-07-03\nb = 2027-07-04T14:30\n. a . .\n. . . b\n"
TABLE = "Date;Tub;X;Y;Kind\n04.07.2027;tub-2;20;20;monarch\n04.07.2027;tub-2;24;20;painted-lady\n"
TALLY = ("add", "{f}", "--lid", "tub-2", "--pupated", "2027-07-04", "--count", "2")
EVENTS = [
    {"id": f"e{k:011d}", "at": f"2027-07-05T07:00:0{k}.000", **event}
    for k, event in enumerate((
        {"kind": "recorded", "lid": "tub-2", "x": "20", "y": "20", "pupated": "2027-07-04"},
        {"kind": "moved", "pupa": "m2", "place": "north", "spot": "20"},
        {"kind": "marked", "pupa": "m1", "what": "parasitised", "note": "a hole"},
    ))
]  # fmt: skip
SLIP = packed("", "Porch", "phone1", EVENTS)
SENT = "sent"  # stands for a command: the same events, as a server gets them from a phone
FAILED = ("mark", "m1", "failed", "{f}")


@dataclass(frozen=True)
class Command:
    """The call, in which {f} stands for the folder, and what the season holds before it.

    ``files``: None: there is no folder. ``first``: calls made before. ``planned``: a plan is in force.
    ``writes``: the output it writes besides, in out/.
    """

    call: tuple[str, ...]
    files: dict[str, str] | None = field(
        default_factory=lambda: {"season.yaml": SETTINGS, "pupae.csv": PUPAE}
    )
    first: tuple[tuple[str, ...], ...] = ()
    planned: bool = False
    clashes: bool = False
    on: str = ON

    def words(self, folder):
        return _words(self.call, folder, self.on)

    def prepare(self, folder):
        """Make the season as it is before the command."""
        if self.files is None:
            return
        folder.mkdir(parents=True)
        world = World(folder)
        for name, text in self.files.items():
            world.write(name, text)
        if self.planned:
            world.write("plan.yaml", plan_file.dump(good_plan()))
        for words in self.first:
            said = call(*_words(words, folder, self.on))
            assert said.code in (0, 3), said.err


def _words(words, folder, on):
    said = [word.replace("{f}", str(folder)) for word in words]
    return said if said[0] in ("new", "undo") else [*said, "--on", on]


def done(words):
    """What a command says, or what a server answers."""
    return call(*words) if words[0] != SENT else _sent(Path(words[1]))


def _sent(folder):
    whole = {"slip": 1, "season": "", "name": "Porch", "device": "phone1", "check": check_of(EVENTS)}
    service = Service(folder, None, print, ON)  # nobody has to be let in
    try:
        said = service.record(folder.name, json.dumps(whole | {"events": EVENTS}).encode())
    except Unanswered as e:
        return Said(1, "", "\n".join(e.problems))
    return Said(0, json.dumps(said), "")


FILES = {"season.yaml": SETTINGS, "pupae.csv": PUPAE}
LEARNING = {"season.yaml": OWN, "pupae.csv": EIGHT}
COMMANDS = {
    "new": Command(("new", "{f}"), files=None),
    "add a count": Command(TALLY),
    "add points": Command(("add", "{f}", "tub-2", "yesterday", "12,5", "14.5,5", "--note", "found")),
    "add a prepupa": Command(("add", "{f}", "2", "tub-2", "--prepupa"), planned=True),
    "add a sketch": Command(("add", "{f}", "--sketch", "{f}/lid.txt"), files={**FILES, "lid.txt": SKETCH}),
    "add a table": Command(
        ("add", "{f}", "--csv", "{f}/mine.csv", "--columns", "Date=pupated,Tub=place,X=x,Y=y,Kind=species",
         "--dates", "DD.MM.YYYY"),
        files={**FILES, "mine.csv": TABLE},
    ),
    "add to an empty record": Command(TALLY, files={"season.yaml": SETTINGS}),
    "plan": Command(("plan", "{f}")),
    "plan again": Command(("plan", "{f}", "-o", "{f}/out/map.svg"), planned=True, first=(TALLY,)),
    "plan with clashes": Command(("plan", "{f}", "-o", "{f}/out/map.svg"),
                                 files={"season.yaml": CROWDED, "pupae.csv": THREE}, clashes=True),
    "done all": Command(("done", "{f}/"), planned=True),
    "done one": Command(("done", "m2", "{f}"), planned=True),
    "done elsewhere": Command(("done", "m2", "{f}", "--to", "north", "20"), planned=True),
    "mark": Command(FAILED, planned=True),
    "mark two": Command(("mark", "m1", "m2", "emerged", "{f}", "--note", "both"), planned=True),
    "mark darkening": Command(("mark", "m1", "darkening", "{f}"), planned=True),
    "undo mark": Command(("undo", "{f}"), planned=True, first=(FAILED,)),
    "undo add": Command(("undo", "{f}"), first=(FAILED, TALLY)),
    "undo plan": Command(("undo", "{f}"), first=(("plan", "{f}", "-o", "{f}/out/map.svg"),)),
    "redo mark": Command(("undo", "{f}", "--redo"), planned=True, first=(FAILED, ("undo", "{f}"))),
    "redo add": Command(("undo", "{f}", "--redo"), first=(TALLY, ("undo", "{f}"))),
    "take": Command(("take", "{f}/slip.txt", "{f}"), files={**FILES, "slip.txt": SLIP}, planned=True),
    "sent to a server": Command((SENT, "{f}"), planned=True),
    "learn": Command(("learn", "{f}", "--accept", "--yes"), files=LEARNING, on=OVER),
    "learn again": Command(
        ("learn", "{f}", "--accept", "--yes", "-o", "{f}/out/learned.svg"), files=LEARNING, on=OVER,
        first=(
            ("learn", "{f}", "--accept", "--yes"),
            ("add", "{f}", "tub-2", "2027-07-10"),
            ("mark", "e9", "emerged", "{f}"),
        ),
    ),
}  # fmt: skip
OUTPUTS = {
    name: Command(tuple(words.split()), planned=True)
    for name, words in {
        "tags": "tags {f}",
        "map": "map {f} -o {f}/out/map.svg",
        "wall": "map {f} --wall",
        "lids": "lids {f}",
        "page": "page {f}",
        "calendar": "calendar {f}",
        "today": "today {f} -o {f}/out/today.pdf",
        "outlook": "outlook {f} -o {f}/out/outlook.svg",
    }.items()
}


def fresh(template, folder):
    """A copy of a prepared season, where one was before."""
    shutil.rmtree(folder, ignore_errors=True)
    if template.is_dir():
        shutil.copytree(template, folder)


def state(folder):
    """The season's own files, without pictures and the tool's notes."""
    if not folder.is_dir():
        return {}
    files = (p for p in sorted(folder.iterdir()) if p.is_file() and not p.name.startswith("."))
    return {p.name: p.read_bytes() for p in files}


def outputs(folder):
    """What is in out/, without temporary files."""
    return {p.name: p.read_bytes() for p in folder.glob("out/*") if not p.name.startswith(".")}


def leftovers(folder):
    """Temporary files, and what belongs to a change under way."""
    own = folder / ".hangplan"
    known = {"lock", "history", "ids", "season-id", "columns.json"}
    notes = {p.name for p in own.iterdir() if p.name not in known} if own.is_dir() else set()
    return notes | {p.name for p in folder.glob(".*hangplan-*")} | {p.name for p in own.rglob("*hangplan-*")}
