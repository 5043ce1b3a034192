"""What ``watch`` answers: who is watched, until when, and how many are expected on each day."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date, datetime, timedelta
from pathlib import Path

from planner.cli.shell.options import moment
from planner.cli.shell.season_files import open_season
from planner.cli.shell.talk import show_json, show_paragraph, shown, tell
from planner.draw.sheets.watch_sheet import Watched, watch_sheet
from planner.emergence import Forecast, emergences, forecasts, profile_of
from planner.record.named_pupae import named_on_record
from planner.record.refusal import Refused
from planner.report.texts.day_sheet import mark
from planner.season.pupae import Pupa
from planner.season.season import Season
from planner.season.store import write_output
from planner.words import natural

LEAST = 0.05  # of a pupa: a day with less in all is no row of the tally, at its ends


def answer(
    folder: Path, words: Sequence[str], paper: str | None, path: Path, on: str | None, *, json_form: bool
) -> None:
    """Write the sheet and say so. Raises Refused."""
    season = open_season(folder)
    now = moment(on, season)
    pupae = [p for p in season.pupae if p.present]
    if words:
        pupae, problems = named_on_record(season, words, now.year)
        problems += [why for pupa in pupae for why in _gone(pupa)]
        if problems:
            raise Refused(problems)
    pupae = sorted(pupae, key=lambda p: natural(p.id))
    if not pupae:
        raise Refused(["there is nobody to watch: 'hangplan add' records pupae"])
    foreseen = forecasts(season, now)
    several = len({p.species for p in pupae}) > 1
    cards = [_card(season, p, foreseen[p.id], named=several) for p in pupae]
    try:
        data = watch_sheet(season.name, cards, _expected(season, pupae, now), paper or season.paper)
    except ValueError as e:
        raise Refused([str(e)]) from None
    write_output(path, data)
    if json_form:
        show_json({"files": [str(path)], "pupae": [p.id for p in pupae]})
        return
    show_paragraph(f"wrote {shown(path)}: hang it where the class looks")
    show_paragraph(f"Next: '{mark(folder, [pupae[0].id], 'emerged')}', or darkening, when it is seen")
    tell("Look, do not touch.")


def _gone(pupa: Pupa) -> list[str]:
    return [] if pupa.present else [f"{pupa.id}: {pupa.outcome}: there is nothing more to watch"]


def _card(season: Season, pupa: Pupa, forecast: Forecast, *, named: bool) -> Watched:
    place = season.place[pupa.place]
    spot = place.spot_words(place.recorded(pupa, season.cm_per_unit)[0], season.units)
    due = forecast.due
    return Watched(
        id=pupa.id,
        species=profile_of(season, pupa.species).name if named else "",
        hangs=place.name if spot == "?" else f"{place.name} {spot}",
        pupated=pupa.pupated.day if pupa.pupated else None,
        first=due.low.date() if due else None,
        last=due.high.date() if due else None,
    )


def _expected(season: Season, pupae: Sequence[Pupa], now: datetime) -> Mapping[date, float]:
    """Day → how many are expected to emerge, from the first to the last on which one may."""
    found = [one for one in emergences(season, pupae, now).values() if one]
    if not found:
        return {}
    last = max(one.interval(0.99)[1] for one in found).date()
    days = [now.date() + timedelta(days=k) for k in range(max(0, (last - now.date()).days) + 1)]
    sums = dict.fromkeys(days, 0.0)
    for one in found:
        for day, chance in one.chances(days).items():
            sums[day] += chance
    likely = [day for day in days if sums[day] >= LEAST]
    return {day: sums[day] for day in days if likely and likely[0] <= day <= likely[-1]}
