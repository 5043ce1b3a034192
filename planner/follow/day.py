"""The pupae to be looked after on one day: due, free to be moved, not to be touched, overdue."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from functools import cached_property

from planner.emergence import Forecast
from planner.follow.prospects import Prospect, prospects
from planner.follow.too_late import clash_for_good, too_late, without_late
from planner.season.places import Lid
from planner.season.plan.plan_record import Kept, Move, Plan, TooClose
from planner.season.season import Season
from planner.words import call, ids, natural

LEAST = 0.1  # least chance of emerging today or tomorrow to be named; expected numbers count all


@dataclass(frozen=True)
class Day:
    """A season at one moment, with the pupae that need care then.

    Attributes
    ----------
    plan
        Only one that the verifier has passed, or None.
    since
        The moment at which none had emerged, from which chances are reckoned; None: ``now``.
    """

    season: Season
    now: datetime
    plan: Plan | None = None
    since: datetime | None = None

    @property
    def today(self) -> date:
        """The day itself."""
        return self.now.date()

    @property
    def tomorrow(self) -> date:
        """The day after."""
        return self.today + timedelta(days=1)

    @cached_property
    def all(self) -> list[Prospect]:
        """The prospects of all present pupae, for today and tomorrow."""
        return prospects(self.season, self.now, (self.today, self.tomorrow), self.since)

    @property
    def forecasts(self) -> dict[str, Forecast]:
        """The forecasts of all present pupae by id."""
        return {p.pupa.id: p.forecast for p in self.all}

    def expected(self, day: date) -> float:
        """The expected number of pupae that emerge on a day, which is today or tomorrow."""
        return sum(p.chances[day] for p in self.all)

    @property
    def due(self) -> list[Prospect]:
        """The pupae that may emerge today or tomorrow, or whose day has come; likeliest first.

        Overdue ones are not among them: see `overdue`.
        """
        named = [
            p for p in self.all
            if not p.overdue and (max(p.chances.values()) >= LEAST or self._past_its_date(p))
        ]  # fmt: skip
        return sorted(
            named, key=lambda p: (*(-round(p.chances[d], 2) for d in self._days), natural(p.pupa.id))
        )

    def _past_its_date(self, prospect: Prospect) -> bool:
        """Whether the day of a pupa has come and it may not be moved.

        It is to be looked at even if its chance is small: it may be out already, or delayed by cold.
        """
        due = prospect.forecast.due
        return due is not None and due.day <= self.today and not prospect.forecast.movable

    @property
    def _days(self) -> tuple[date, date]:
        return self.today, self.tomorrow

    @property
    def overdue(self) -> list[Prospect]:
        """The pupae that should have emerged, the longest overdue first."""
        late = [p for p in self.all if p.overdue]
        return sorted(late, key=lambda p: (p.by or self.now, natural(p.pupa.id)))

    @property
    def movable(self) -> list[Prospect]:
        """The pupae that are firm, not darkening and not recorded to stay, by when they may darken."""
        free = [p for p in self.all if p.forecast.movable and not p.pupa.stay]
        return sorted(free, key=lambda p: (p.forecast.dark_from or datetime.max, natural(p.pupa.id)))

    @property
    def moves(self) -> list[tuple[Move, Prospect]]:
        """The steps of the plan that may be done now, each with its pupa, in the plan's order.

        A step is left out when one that it must come after may not be done now, or when it parks a pupa that
        could not be taken on.
        """
        free = {p.pupa.id: p for p in self.movable}
        steps = sorted(self.steps, key=lambda m: m.step)
        goes_on = self.plan.goes_on if self.plan else {}
        able, before = {m.step for m in steps if m.pupa in free and m.not_before <= self.now}, None
        while able != before:
            before = able
            able = {
                m.step for m in steps
                if m.step in able and able.issuperset(m.after) and goes_on.get(m.step, m.step) in able
            }  # fmt: skip
        return [(m, free[m.pupa]) for m in steps if m.step in able]

    @property
    def too_late(self) -> list[str]:
        """Ids of the pupae that the plan would still move, but that may be darkening by now."""
        return too_late(self.plan, self.forecasts) if self.plan else []

    @property
    def clash_for_good(self) -> list[TooClose]:
        """The pairs that clash because of those."""
        return clash_for_good(self.season, self.plan, self.forecasts) if self.plan else []

    @cached_property
    def steps(self) -> tuple[Move, ...]:
        """The steps of the plan for which it is not too late."""
        return without_late(self.season, self.plan, self.forecasts).moves if self.plan else ()

    @property
    def later(self) -> list[Kept]:
        """What the plan has for this evening and those to come, of pupae that are still on their lids."""
        on_lid = {p.pupa.id for p in self.all if isinstance(self.season.place[p.pupa.place], Lid)}
        dark = {p.pupa.id for p in self.all if p.forecast.stage == "darkening"}
        return [one for one in (self.plan.later if self.plan else ()) if one.who in on_lid - dark]

    @property
    def to_hang_today(self) -> list[Kept]:
        """Of those the ones whose evening is today, or was before: the plan made again has their steps."""
        return [one for one in self.later if one.since.date() <= self.today]

    @property
    def firm_since(self) -> list[str]:
        """Ids of the pupae that the plan leaves in place only because they were soft.

        They have become firm since, and may be moved now.
        """
        if self.plan is None:
            return []
        pairs = (name for pair in self.plan.waiting for name in (pair.a, pair.b))
        left = {*self.plan.left, *pairs} - {*self.plan.movers, *(one.who for one in self.later)}
        then = self.plan.on
        firm = (p for p in self.movable if p.forecast.firm_from and p.forecast.firm_from > then)
        return sorted((p.pupa.id for p in firm if p.pupa.id in left), key=natural)

    @property
    def waiting(self) -> list[Prospect]:
        """The pupae on lids that may be moved, for a day without a plan."""
        return [p for p in self.movable if isinstance(self.season.place[p.pupa.place], Lid)]

    @property
    def untouched(self) -> dict[str, list[Prospect]]:
        """The pupae that must not be touched, by the reason.

        Soft ones come first, in the order in which they become firm. Overdue ones are not among them: see
        `overdue`.
        """
        groups: defaultdict[str, list[Prospect]] = defaultdict(list)
        for p in sorted(self.all, key=_when_free):
            if not p.forecast.movable and not p.overdue:
                groups[p.forecast.why].append(p)
        return dict(groups)


def _when_free(prospect: Prospect) -> tuple[bool, str, datetime]:
    """Sort key: soft ones by when they are firm, then the rest by when they are due."""
    f = prospect.forecast
    soft = f.stage == "soft"
    when = f.firm_from if soft else f.due and f.due.median
    return not soft, f.stage, when or datetime.max


def firm_since_text(day: Day) -> str:
    """A sentence on `Day.firm_since` that advises to plan again; empty where there are none."""
    if not (names := day.firm_since):
        return ""
    again = f"'{call('plan', day.season.folder)}' finds out whether to move them"
    return f"still where they formed, for they were soft when the plan was made: {ids(names)}; {again}"
