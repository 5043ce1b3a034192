"""The stage of every pupa at one moment: what may be moved now, and why not."""

from __future__ import annotations

from datetime import datetime

from planner.emergence.forecast import Forecast
from planner.emergence.predict import Reached, reached_all, why_no_date
from planner.emergence.profiles import Profile, profile_of
from planner.season.pupae import Pupa
from planner.season.reading.told_dates import day_told, until
from planner.season.reading.when import hours_after
from planner.season.season import Season


def forecasts(season: Season, on: datetime) -> dict[str, Forecast]:
    """Forecast of every pupa still present, by id, at the moment ``on`` (local time).

    Raises
    ------
    ValueError
        A species without a usable profile.
    FaultyFiles
        Temperatures or ``learned.yaml`` cannot be read.
    """
    pupae = [p for p in season.pupae if p.present]
    profiles = {name: profile_of(season, name) for name in {p.species for p in pupae}}
    no_date = {name: why_no_date(season, profile) for name, profile in profiles.items()}
    return {
        p.id: _forecast(
            p, profiles[p.species], one, one.due.note if one.due else no_date[p.species], on, season.timezone
        )
        for p, one in zip(pupae, reached_all(season, pupae), strict=True)
    }


def _forecast(
    pupa: Pupa, profile: Profile, reached: Reached, note: str, on: datetime, timezone: str
) -> Forecast:
    """The forecast of one pupa, cautious at both ends of the period in which it may be moved.

    That period begins ``firm_after`` the latest possible hour of pupation, and ends with the earliest sign of
    darkening.
    """
    if pupa.pupated is None:
        return Forecast(pupa.id, "prepupa", None, None, None, "prepupa, hanging in a J")
    firm_from = hours_after(pupa.pupated.latest, profile.firm_after, timezone)
    due, dark_from = reached.due, reached.dark_from
    seen = pupa.darkening
    if seen and seen.earliest <= on:
        why = f"darkening seen on {seen.told}"
        return Forecast(pupa.id, "darkening", due, firm_from, seen.earliest, why, note)
    if seen and (dark_from is None or seen.earliest < dark_from):
        dark_from = seen.earliest  # seen later than ``on``: the forecast is made for a time in the past
    stage, why = "firm", ""
    if pupa.pupated.earliest > on:
        stage, why = "soft", "pupated after this day"
    elif on < firm_from:
        stage, why = "soft", f"soft until {until(firm_from)}"
    elif dark_from and on >= dark_from:
        when = f"due {day_told(due.day)}" if due else "too cold to say when it is due"
        stage, why = "darkening", f"may be darkening, {when}"
    return Forecast(pupa.id, stage, due, firm_from, dark_from, why, note)
