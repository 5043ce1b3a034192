"""What a browser asks of a season, without a word about HTTP: its page, its events, its plan, its papers."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from datetime import datetime
from pathlib import Path
from typing import Any

from planner.cli.answers.page import data_of
from planner.cli.shell.options import moment, still_there
from planner.cli.shell.season_files import open_season
from planner.record.refusal import Refused
from planner.record.slip import read_slips
from planner.record.taking import state_of, take_into
from planner.record.this_season import of_this_season
from planner.report.page.data import PageData
from planner.season.reading.problems import FaultyFiles
from planner.season.season_id import kept_id, season_id
from planner.season.store import Store, StoreError, written
from planner.serve.devices import Devices
from planner.serve.pairing import Pairing
from planner.serve.papers import paper
from planner.serve.plan_runs import PlanRuns
from planner.serve.seasons import Served, served, version, without_paths
from planner.serve.sifted import sifted
from planner.words import sentence

PLAN_FIRST = "Plan anew first: on the season's page, under Moves."
MENDED = "These are files of the season: mend them at the computer, in a text editor or a spreadsheet."


class Unanswered(Exception):  # noqa: N818  (it carries what is said; it is no error of ours)
    """What speaks against an answer. ``again``: the same may well be answered later."""

    def __init__(self, problems: list[str], *, again: bool = False, missing: bool = False):
        self.problems, self.again, self.missing = problems, again, missing
        super().__init__("\n".join(problems))


@dataclass
class Service:
    """A folder that is served. ``on``: what counts as now; ``address``: for phones, empty without --lan."""

    root: Path
    devices: Devices
    tell: Callable[[str], None]
    on: str | None = None
    pairing: Pairing | None = None
    address: str = ""
    plans: PlanRuns = field(default_factory=PlanRuns)

    def seasons(self) -> list[Served]:
        """All that are served."""
        return served(self.root)

    def season(self, name: str) -> Served:
        """The one of that name."""
        found = next((one for one in self.seasons() if one.name == name), None)
        if found is None:
            raise Unanswered(["There is no such season here."], missing=True)
        return found

    def is_copy(self, name: str) -> bool:
        """Whether one listed before it has its id: a copied folder brings the id along."""
        own = kept_id(self.season(name).folder)
        before = (one for one in self.seasons() if one.name < name)
        return own is not None and any(kept_id(one.folder) == own for one in before)

    def data(self, name: str) -> PageData:
        """All that its page shows."""
        folder = self.season(name).folder
        with _answered(folder):
            season = open_season(folder)
            now = moment(self.on, season)
            found = data_of(season, now, still_there(self.on, now, season))
            note = found.plan_note
            if note is None:
                return found
            helps = tuple(replace(one, folder=Path()) for one in note.helps)
            told = replace(note, what=without_paths(note.what, folder), helps=helps)
            return replace(found, plan_note=told)

    def version(self, name: str) -> str:
        """Differs whenever a page of it would be another one."""
        folder = self.season(name).folder
        with _answered(folder):
            hour = self.on or f"{datetime.now():%Y-%m-%d %H}"  # what is due, or soft, grows old by the hour
            return f"{version(folder)} {hour}"

    def record(self, name: str, data: bytes) -> dict[str, Any]:
        """Record the events of a slip, each once, and say of each what became of it."""
        folder = self.season(name).folder
        with _answered(folder):
            slips = read_slips(data, "what was sent")
            if len(slips) != 1:
                raise Refused(["send one slip at a time"])
            store, own = Store(folder), season_id(folder)
            with store.locked("take"):
                season = open_season(folder)
                now = moment(self.on, season)
                of_this_season(season, own, slips)
                state = state_of(season)
                known = [e.id for e in slips[0].events if e.id in state.log.by_id]
                found = sifted(state, slips[0], now)
                taken = take_into(store, state, [found.slip], now, tried=found.taken)
        written.forget()

        def told(text: str) -> str:
            return sentence(without_paths(text, folder))

        return {
            "taken": [e.event.id for e in taken.entries],
            "known": [one for one in known if one not in found.refused],
            "refused": [{"id": one, "why": told(why)} for one, why in found.refused.items()],
            "notes": [told(one) for one in taken.cautions],
        }

    def paper(self, name: str, kind: str) -> bytes:
        """A PDF of it."""
        folder, found = self.season(name).folder, self.data(name)
        if found.plan is None and found.plan_note is not None:
            raise Unanswered([sentence(found.plan_note.what), PLAN_FIRST])
        with _answered(folder):
            return paper(folder, kind, self.on)

    def start_plan(self, name: str, seconds: float, way: int | None = None) -> None:
        """Begin to plan it, unless that is under way. ``way``: out of the clashes of the plan before."""
        folder = self.season(name).folder
        with _answered(folder):
            self.plans.start(folder, seconds, self.on, way)

    def stop_plan(self, name: str) -> None:
        """Keep the best plan so far."""
        self.plans.stop(self.season(name).folder)

    def plan_state(self, name: str) -> dict[str, Any]:
        """How far its plan is."""
        folder = self.season(name).folder
        state = self.plans.state(folder)
        if "words" in state:
            state["words"] = [without_paths(line, folder) for line in state["words"]]
        return state


@contextmanager
def _answered(folder: Path) -> Iterator[None]:
    """Within, all that speaks against an answer raises Unanswered, without a path of this computer."""
    try:
        yield
    except FaultyFiles as e:
        raise Unanswered([*(without_paths(str(p), folder) for p in e.told()), MENDED]) from None
    except Refused as e:
        raise Unanswered([sentence(without_paths(str(p), folder)) for p in e.told]) from None
    except StoreError as e:
        raise Unanswered([sentence(without_paths(str(e), folder))], again=True) from None
    except OSError as e:
        raise Unanswered(
            [f"The computer cannot do it: {e.strerror or type(e).__name__}."], again=True
        ) from None
    except MemoryError:
        raise Unanswered(["The computer is short of memory: close other programs."], again=True) from None
