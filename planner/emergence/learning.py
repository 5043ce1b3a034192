"""Learn from a season's own emergences. Nothing is applied before the keeper accepts it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from pathlib import Path

import numpy as np

from planner.emergence import learned_file
from planner.emergence.curve import Curve, curve_of
from planner.emergence.forecast import Due
from planner.emergence.learned_file import Entry
from planner.emergence.posterior import Posterior, Summary, posterior
from planner.emergence.predict import predict_from
from planner.emergence.profiles import Profile, not_applied, stated_profile
from planner.emergence.records import AFTER, ON, Evidence, Record, evidence_of, records_of
from planner.emergence.temperatures import measured
from planner.season.load import digest
from planner.season.reading.yaml_text import LARGEST
from planner.season.season import Season
from planner.season.store import Store
from planner.season.store.disk import read_bytes


@dataclass(frozen=True)
class Compared:
    """One emergence against its forecasts: from the profile, and from what the other days' records teach."""

    pupa: str
    ended: date
    before: Due | None
    after: Due | None


@dataclass(frozen=True)
class Accuracy:
    """Of forecasts of recorded emergences, each noted for noon of its day.

    ``error``: mean absolute error, days, of those that had a date; ``covered``: how much of the days of
    emergence lies in the 90 % intervals (0 to 1), without a date nothing. NaN when none had one.
    """

    error: float
    covered: float


@dataclass(frozen=True)
class Learned:
    """What a species' records say, to be accepted or not.

    ``records``: emergences used, ``hanging``: rows that only say "later than"; ``unused``: ids of the other
    rows and why. ``before``: the profile as shipped or stated in season.yaml; ``after``: learned from it.
    ``accuracy_after`` is honest: each emergence is forecast from the records of the *other* pupation days.
    ``overruled``: why it would not come into force when accepted; empty when it would.
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
    overruled: str

    @property
    def unscored(self) -> int:
        """Of how many emergences there was no date to compare: by the profile, or as learned."""
        return sum(c.before is None or c.after is None for c in self.compared)

    def entry(self, on: date) -> Entry:
        """As it goes into ``learned.yaml``."""
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
        )


def learn(season: Season, on: datetime) -> list[Learned]:
    """What the records teach as they stood ``on``, for each species with at least one emergence, by name.

    The profile that is corrected is the one stated, not what was learned earlier from the same records: so
    nothing counts twice. Raises ValueError (species without a profile) and FaultyFiles (temperatures).
    """
    found = (_learn(season, name, on) for name in sorted({p.species for p in season.pupae}))
    return [learned for learned in found if learned is not None]


def _learn(season: Season, species: str, on: datetime) -> Learned | None:
    profile = stated_profile(season, species)
    curve = curve_of(season, profile)
    pupae = [p for p in season.pupae if p.species == species]
    records = records_of(pupae, curve, measured(season), on)
    used = [r for r in records if not r.why_not]
    emerged = [r for r in used if r.kind != AFTER]
    if not emerged:
        return None
    evidence = evidence_of(records, curve)
    found = posterior(profile, evidence)
    after = found.summary()
    compared = _compare(season, profile, curve, [r for r in used if r.kind == ON], found, evidence)
    learned = Learned(
        species=species,
        profile=profile,
        records=len(emerged),
        hanging=len(used) - len(emerged),
        unused=tuple((r.pupa.id, r.why_not) for r in records if r.why_not),
        before=Summary(profile.requirement, profile.spread, profile.season_share, profile.day_share),
        after=after,
        accuracy_before=_accuracy([(c.ended, c.before) for c in compared]),
        accuracy_after=_accuracy([(c.ended, c.after) for c in compared]),
        compared=compared,
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
    """Forecast every emergence without learning, and from the records of all other pupation days."""
    by_day: dict[date, list[Record]] = {}
    for record in records:
        if record.pupa.pupated is not None:
            by_day.setdefault(record.pupa.pupated.day, []).append(record)
    compared = []
    for day, group in sorted(by_day.items()):
        pupae = [r.pupa for r in group]
        before = predict_from(season, profile, curve, pupae)
        without = found.summary(evidence.days.index(day))
        after = predict_from(season, apply(profile, without), curve, pupae)
        compared += [
            Compared(p.id, p.ended.day, b, a)
            for p, b, a in zip(pupae, before, after, strict=True)
            if p.ended is not None
        ]
    return tuple(compared)


def apply(profile: Profile, summary: Summary) -> Profile:
    """A profile with other values of what can be learned."""
    return replace(
        profile,
        requirement=summary.requirement,
        spread=min(summary.spread, 0.5),
        season_share=summary.season_share,
        day_share=min(summary.day_share, 0.98 - summary.season_share),
    )


def _accuracy(forecasts: Sequence[tuple[date, Due | None]]) -> Accuracy:
    errors, covered = [], []
    for ended, due in forecasts:
        if due is None:  # what could not be forecast is a miss
            covered.append(0.0)
            continue
        start = datetime.combine(ended, datetime.min.time())
        end = start + timedelta(days=1)
        errors.append(abs((due.median - start) / timedelta(days=1) - 0.5))
        covered.append(max(0.0, (min(due.high, end) - max(due.low, start)) / timedelta(days=1)))
    if not errors:
        return Accuracy(float("nan"), float("nan"))
    return Accuracy(float(np.mean(errors)), float(np.mean(covered)))


def accept(
    folder: Path, learned: Sequence[Learned], on: date, seen: Season | None = None
) -> tuple[Entry, ...]:
    """Put what was learned into force: write it to ``learned.yaml``, under the lock and with its history.

    What is in force already with the same values is left as it is. ``seen``: what was learned from; where
    ``learned.yaml`` is another by now, nothing is written. Returns all entries then in the file. Raises
    FaultyFiles when the file there cannot be read, StoreError when it cannot be written.
    """
    store = Store(folder)
    with store.locked(f"learn --accept {', '.join(item.species for item in learned)}"):
        data = read_bytes(folder, learned_file.FILE, LARGEST)
        before = list(learned_file.parse(data)) if data is not None else []
        entries = list(before)
        for new in (item.entry(on) for item in learned):
            old = next(
                (i for i, e in enumerate(entries) if e.species == new.species and not e.replaced_by), None
            )
            if old is not None:
                if replace(entries[old], accepted=on) == new:
                    continue
                entries[old] = replace(entries[old], replaced_by=on)
            entries.append(new)
        if entries != before:
            here = None if data is None else digest(data)
            expect = here if seen is None else seen.digests.get(learned_file.FILE)
            store.write(learned_file.FILE, learned_file.dump(entries), expect)
    return tuple(entries)
