"""The progress of a plan: steps done, pupae gone, added or elsewhere since, and what is left of it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from planner.emergence import Forecast, forecasts
from planner.follow.step_times import timed
from planner.rack import Spot, home_of
from planner.season.places import Lid
from planner.season.plan.plan_record import Hang, Kept, Move, Plan
from planner.season.season import Season
from planner.words import count, ids, where

SAME = 1e-3  # cm: points nearer than this are one
MOST_NAMED = 12  # pupae named with their spots in a message; the others are only counted


@dataclass(frozen=True)
class Progress:
    """A plan compared with what is recorded now; pupae are looked for by place and tag of their spot."""

    season: Season
    plan: Plan

    @cached_property
    def here(self) -> dict[str, Spot]:
        """The spot of each present pupa by id."""
        return {p.id: home_of(self.season, p.id) for p in self.season.pupae if p.present}

    @cached_property
    def last_seen(self) -> dict[str, Spot]:
        """The spot where each pupa hangs, or hung last, by id.

        A step that was done stays done when its pupa has emerged.
        """
        return {p.id: self.here.get(p.id) or home_of(self.season, p.id) for p in self.season.pupae}

    @cached_property
    def reached(self) -> dict[str, int]:
        """The number of the last step done, by id of its pupa.

        A step is done when it ends where the pupa hangs, or hung last.
        """
        found = {}
        for move in _in_order(self.plan):
            spot = self.last_seen.get(move.pupa)
            if spot and (spot.place, spot.tag) == (move.to_place, move.to_spot):
                found[move.pupa] = move.step
        return found

    @property
    def gone(self) -> list[str]:
        """Ids of the pupae that the plan hangs, but that are not present."""
        return list(dict.fromkeys(h.pupa for h in self.plan.hangs if h.pupa not in self.here))

    @property
    def newcomers(self) -> list[str]:
        """Ids of the pupae that are present, but not in the plan."""
        planned = {h.pupa for h in self.plan.hangs}
        return [name for name in self.here if name not in planned]

    @cached_property
    def elsewhere(self) -> list[str]:
        """Ids of the pupae that are neither where the plan found them nor where one of their steps ends.

        A pupa to be taken from a lid may be at any point of it. One that stays on a lid must be at its point,
        as its neighbours were found from that.
        """
        first = {move.pupa: move for move in reversed(_in_order(self.plan))}
        found = []
        for hang in self.plan.hangs:
            spot, move = self.here.get(hang.pupa), first.get(hang.pupa)
            if spot is None or hang.pupa in self.reached or (hang.from_place and not move):
                continue  # gone, done, or to be moved without a step, which the verifier reports
            place, tag = (move.from_place, move.from_spot) if move else (hang.place, hang.spot)
            if isinstance(self.season.place.get(place), Lid):
                there = spot.place == place and (bool(move) or _same_point(spot, hang))
            else:
                there = (spot.place, spot.tag) == (place, tag)
            if not there:
                found.append(hang.pupa)
        return found

    @property
    def lost(self) -> list[str]:
        """Ids of the pupae that the plan hangs and the table of pupae lacks.

        A row was deleted, or the file is cut off.
        """
        return [name for name in self.gone if name not in self.season.pupa]

    @property
    def done(self) -> tuple[Move, ...]:
        """The steps carried out, in their order."""
        return tuple(m for m in _in_order(self.plan) if m.step <= self.reached.get(m.pupa, 0))

    @property
    def to_do(self) -> tuple[Move, ...]:
        """The steps that are left, with their numbers of the move list."""
        off = {*self.gone, *self.elsewhere}
        left = [m for m in _in_order(self.plan) if m.pupa not in off and m.step > self.reached.get(m.pupa, 0)]
        numbers = {m.step for m in left}
        return tuple(replace(m, after=tuple(n for n in m.after if n in numbers)) for m in left)

    @cached_property
    def forecasts(self) -> dict[str, Forecast]:
        """Forecasts of present pupae by id, as of when the plan was made but by what is recorded now.

        Raises
        ------
        ValueError
            A species has no profile.
        FaultyFiles
            The temperatures cannot be read.
        """
        return forecasts(self.season, self.plan.on)

    @property
    def redated(self) -> list[str]:
        """Ids of the pupae that are due on another day than the plan says."""
        return [
            h.pupa for h in self.plan.hangs if h.pupa in self.here and h.due != self._due(h.pupa, None).due
        ]

    @cached_property
    def rest(self) -> Plan:
        """What is left of the plan: all present pupae and the steps to do, with dates as forecast now.

        Pupae that were added or hang elsewhere stay where they are. The levels, and the numbers under
        ``neighbours``, are left out, as they were those of the whole plan. The pairs too close are those that
        the plan lists, without pupae that are gone or elsewhere.
        """
        off, extra = {*self.gone, *self.elsewhere}, [*self.newcomers, *self.elsewhere]
        moves = timed(self.to_do, self.forecasts, self.plan.on)
        source, moved = {m.pupa: m.from_place for m in reversed(moves)}, set(self.plan.movers)
        kept = [
            self._due(h.pupa, replace(h, from_place=source.get(h.pupa)) if h.pupa in moved else h)
            for h in self.plan.hangs
            if h.pupa not in off
        ]
        lids = {p.name for p in self.season.places if isinstance(p, Lid) and p.clear}
        left = [p for p in self.plan.left if p not in off]
        changed = bool(off or extra)
        return replace(
            self.plan,
            hangs=(*kept, *(self._due(name, None) for name in extra)),
            moves=moves,
            clashes=tuple(c for c in self.plan.clashes if not {c.a, c.b} & off),
            waiting=tuple(c for c in self.plan.waiting if not {c.a, c.b} & off),
            left=(*left, *(name for name in extra if self.here[name].place in lids)),
            stuck=tuple(s for s in self.plan.stuck if s.pupa not in off),
            waits=tuple(w for w in self.plan.waits if w.pupa not in off),
            # Those that some were kept for who are not on record may have come.
            kept=self._of_record(self.plan.kept) if changed else self.plan.kept,
            hoped=self._of_record(self.plan.hoped) if changed else self.plan.hoped,
            drying={} if changed else self.plan.drying,
            neighbours={},
            proof=(),
        )

    def _of_record(self, kept: Sequence[Kept]) -> tuple[Kept, ...]:
        """The spots for later evenings of pupae that are still where the plan found them.

        How likely they are free is left out: that was so when the plan was made.
        """
        off = {*self.gone, *self.elsewhere}
        planned = {one.who for one in self.plan.later} - off
        return tuple(replace(one, chance=None) for one in kept if one.who in planned)

    def _due(self, name: str, hang: Hang | None) -> Hang:
        """An entry with the day forecast now.

        Parameters
        ----------
        hang
            The entry; None: one where the pupa hangs now.
        """
        if hang is None:
            spot = self.here[name]
            tag = "?" if spot.at is None else spot.tag
            hang = Hang(pupa=name, place=spot.place, spot=tag, x=spot.x, y=spot.y)
        forecast = self.forecasts.get(name)
        return replace(hang, due=forecast.due.day if forecast and forecast.due else None)

    def words(self) -> Iterator[str]:
        """What has happened since the plan was made, in words, one item for each kind of event."""
        season, steps = self.season, len(self.plan.moves)
        if self.done:
            yield f"{len(self.done)} of {count(steps, 'move')} done"
        if gone := [name for name in self.gone if name in season.pupa]:
            yield f"gone: {ids(gone)}"
        if self.lost:
            yield f"not in pupae.csv any more: {ids(self.lost)}"
        if self.newcomers:
            yield f"not in the plan: {ids(self.newcomers)}"
        if self.elsewhere:
            spots = ((name, self.here[name]) for name in self.elsewhere[:MOST_NAMED])
            found = ", ".join(f"{name} at {where(season, spot.place, spot.tag)}" for name, spot in spots)
            more = len(self.elsewhere) - MOST_NAMED
            yield f"hung elsewhere than planned: {found}" + (f" and {more} more" if more > 0 else "")
        if self.redated:
            yield f"due on another day than planned: {ids(self.redated)}"


def _in_order(plan: Plan) -> list[Move]:
    return sorted(plan.moves, key=lambda m: m.step)


def _same_point(spot: Spot, hang: Hang) -> bool:
    """Whether a pupa on a lid is where a plan has it; one measured only since is somewhere else."""
    said, now = (hang.x, hang.y), (spot.x, spot.y)
    return all(
        a is b if a is None or b is None else abs(a - b) < SAME for a, b in zip(said, now, strict=True)
    )
