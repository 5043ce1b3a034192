"""Estimation of a species' requirement and spread from a season's own emergences."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta

import numpy as np

from planner.emergence.clock import moment_at
from planner.emergence.curve import Curve
from planner.emergence.daily_extremes import as_counted
from planner.emergence.forecast import Due
from planner.emergence.learned_file import COUNTED, Entry
from planner.emergence.posterior import Posterior, posterior
from planner.emergence.predict import predict_from
from planner.emergence.prior import Estimate, Summary
from planner.emergence.profiles import Profile, before_records, not_applied, stated_profile
from planner.emergence.records import AFTER, ON, Evidence, Record, evidence_of, joined, records_of
from planner.emergence.siblings import Siblings, siblings
from planner.emergence.stays import Stay, curve_at, stay_of
from planner.emergence.temperatures import measured
from planner.season.pupae import Pupa
from planner.season.season import Season


@dataclass(frozen=True)
class Compared:
    """One recorded emergence with its forecasts before and after learning.

    Attributes
    ----------
    ended : date
        Recorded day of emergence.
    first, last : datetime
        Between which moments it emerged: that day, or the two looks.
    before : Due or None
        Forecast from the profile; None when it gives no date.
    after : Due or None
        Forecast from the records of all other pupation days.
    """

    pupa: str
    ended: date
    first: datetime
    last: datetime
    before: Due | None
    after: Due | None


@dataclass(frozen=True)
class Accuracy:
    """Accuracy of forecasts of recorded emergences, each taken at noon of its day, or halfway between looks.

    Both values are NaN when no forecast gave a date.

    Attributes
    ----------
    error : float
        Mean absolute error, days, of the forecasts that gave a date.
    covered : float
        Mean share, 0 to 1, of the day of emergence, or of the time between looks, that lies within the 90 %
        interval; 0 without a date.
    """

    error: float
    covered: float


@dataclass(frozen=True)
class Learned:
    """Estimates from the records of one species, to be accepted or not.

    Attributes
    ----------
    profile : Profile
        The profile as shipped or stated in season.yaml.
    records, hanging : int
        Number of emergences used, and of rows that say no more than "later than".
    unused : tuple of (str, str)
        Ids of the other rows, each with the reason.
    before, after : Summary
        Values of the profile at this season's temperatures, and the estimates.
    accuracy_before, accuracy_after : Accuracy
        Of the profile, and of the estimates by cross-validation: each emergence is forecast from the records
        of the other pupation days.
    compared : tuple of Compared
        The single forecasts behind both.
    alone : Estimate
        What this season's records say by themselves.
    siblings : Siblings
        How often two of one pupation day emerged on one day.
    overruled : str
        Why it would not come into force when accepted; empty when it would.
    """

    species: str
    profile: Profile
    records: int
    hanging: int
    unused: tuple[tuple[str, str], ...]
    before: Summary
    after: Summary
    accuracy_before: Accuracy
    accuracy_after: Accuracy
    compared: tuple[Compared, ...]
    alone: Estimate
    siblings: Siblings
    overruled: str

    @property
    def unscored(self) -> int:
        """Number of emergences for which the profile or the estimates give no date."""
        return sum(c.before is None or c.after is None for c in self.compared)

    def entry(self, on: date) -> Entry:
        """The entry of ``learned.yaml``, accepted on a day."""
        return Entry(
            accepted=on,
            species=self.species,
            requirement=round(self.after.requirement, 3),
            spread=round(min(self.after.spread, 0.5), 5),
            season_share=round(self.after.season_share, 5),
            day_share=round(min(self.after.day_share, 0.98 - self.after.season_share), 5),
            lower=self.profile.lower,
            upper=self.profile.upper,
            from_requirement=self.profile.requirement,
            from_spread=self.profile.spread,
            records=self.records,
            hanging=self.hanging,
            sibling_spread=self.siblings.spread,
            counted=COUNTED,
        )


def learn(season: Season, on: datetime) -> list[Learned]:
    """Estimates from the records as they stood ``on`` (local time), by name of the species.

    Species without an emergence are left out. The prior is the stated profile, not earlier estimates from the
    same records, so that no record counts twice. Nothing is applied before ``accept``.

    Raises
    ------
    ValueError
        A species without a usable profile.
    FaultyFiles
        The temperatures cannot be read.
    """
    found = (_learn(season, name, on) for name in sorted({p.species for p in season.pupae}))
    return [learned for learned in found if learned is not None]


def _learn(season: Season, species: str, on: datetime) -> Learned | None:
    profile = stated_profile(season, species)
    stays: dict[Stay, list[Pupa]] = {}
    for pupa in season.pupae:
        if pupa.species == species:
            stays.setdefault(stay_of(season, pupa), []).append(pupa)
    curves = {stay: curve_at(season, profile, stay) for stay in stays}
    parts = {
        stay: records_of(pupae, profile, curves[stay], measured(season.at(stay.place)), on, season.looks)
        for stay, pupae in stays.items()
    }
    records = [r for part in parts.values() for r in part]
    used = [r for r in records if not r.why_not]
    emerged = [r for r in used if r.kind != AFTER]
    if not emerged:
        return None
    evidence = joined([evidence_of(part, curves[stay]) for stay, part in parts.items()])
    before = as_counted(season, species, profile.summary)
    last = max(r.pupa.pupated.day for r in records if r.pupa.pupated)
    found = posterior(before_records(season, profile), evidence, last)
    after, counted = found.summary(), profile.taking(before)
    compared = tuple(
        one
        for stay, part in parts.items()
        for one in _compare(season.at(stay.place), counted, curves[stay], part, found, evidence)
    )
    most = max(parts, key=lambda stay: len(parts[stay]))  # pairs of one stay: that of most
    learned = Learned(
        species=species,
        profile=profile,
        records=len(emerged),
        hanging=len(used) - len(emerged),
        unused=tuple((r.pupa.id, r.why_not) for r in records if r.why_not),
        before=before,
        after=after,
        accuracy_before=_accuracy([(c.first, c.last, c.before) for c in compared]),
        accuracy_after=_accuracy([(c.first, c.last, c.after) for c in compared]),
        compared=compared,
        alone=found.estimate(),
        siblings=siblings(profile.taking(after), curves[most], parts[most]),
        overruled="",
    )
    return replace(learned, overruled=not_applied(season, profile, learned.entry(on.date())))


def _compare(
    season: Season,
    profile: Profile,
    curve: Curve,
    records: Sequence[Record],
    found: Posterior,
    evidence: Evidence,
) -> tuple[Compared, ...]:
    """Each emergence with its forecast from the profile, and by leave-one-pupation-day-out."""
    by_day: dict[date, list[Record]] = {}
    for record in records:
        if record.pupa.pupated is not None and record.kind == ON and not record.why_not:
            by_day.setdefault(record.pupa.pupated.day, []).append(record)
    compared = []
    for day, group in sorted(by_day.items()):
        pupae = [r.pupa for r in group]
        before = predict_from(season, profile, curve, pupae)
        without = found.summary(evidence.days.index(day))
        after = predict_from(season, profile.taking(without), curve, pupae)
        compared += [
            Compared(r.pupa.id, r.pupa.ended.day, moment_at(r.low), moment_at(r.high), b, a)
            for r, b, a in zip(group, before, after, strict=True)
            if r.pupa.ended is not None
        ]
    return tuple(compared)


def _accuracy(forecasts: Sequence[tuple[datetime, datetime, Due | None]]) -> Accuracy:
    errors, covered = [], []
    for first, last, due in forecasts:
        if due is None:  # no date counts as not covered
            covered.append(0.0)
            continue
        errors.append(abs((due.median - first - (last - first) / 2) / timedelta(days=1)))
        covered.append(max(0.0, (min(due.high, last) - max(due.low, first)) / (last - first)))
    if not errors:
        return Accuracy(float("nan"), float("nan"))
    return Accuracy(float(np.mean(errors)), float(np.mean(covered)))
