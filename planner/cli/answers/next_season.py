"""What ``new --after`` writes: the settings of another season for the next one, and what that taught."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from planner.cli.answers.starter import quoted
from planner.cli.shell.season_files import open_season
from planner.cli.shell.talk import show_json, show_paragraph, shown
from planner.emergence import earlier_seasons, known_species, profile_of, stated_profile, told
from planner.emergence.earlier_seasons import EarlierSeason
from planner.emergence.temperatures import measured
from planner.record.refusal import Refused
from planner.season.load import load
from planner.season.pupae import table
from planner.season.pupae.record import Record
from planner.season.reading.problems import FaultyFiles
from planner.season.reading.scalars import tidy, to_fahrenheit
from planner.season.reading.yaml_text import LARGEST, Node, decode, read_yaml
from planner.season.season import Season
from planner.season.settings import FILE, read_settings
from planner.season.store import Store, write_output
from planner.season.store.disk import read_bytes
from planner.season.validate import validate
from planner.words import call, count, few_ids

OF_ITS_TIME = ("expected", "forecast")  # keys that say something of days that have passed
_YEAR = re.compile(r"\b((?:19|20)\d\d)$")
_COMMENT = re.compile(r"""^season:\s*(?:"(?:[^"\\]|\\.)*"|'(?:[^']|'')*'|[^#]*?)(\s+#.*)?$""")


@dataclass(frozen=True)
class NextSeason:
    """A season made after another one.

    Attributes
    ----------
    last : Season
        That other one.
    settings : str
        Its ``season.yaml``.
    readings : tuple of str
        Names of files of temperatures, which begin empty.
    earlier : tuple of EarlierSeason
        What it and those before it taught.
    """

    last: Season
    settings: str
    readings: tuple[str, ...]
    earlier: tuple[EarlierSeason, ...]


def next_season(last: Path, folder: Path, name: str | None) -> NextSeason:
    """The season after ``last``, to be written into ``folder``. ``name``: its own; None: with the next year.

    Raises FaultyFiles where the last one has faults, Refused where it is none or cannot be taken over.
    """
    if not (last / FILE).is_file():
        raise Refused([f"--after: {last} is no season: there is no {FILE} in it"])
    try:
        season = open_season(last)
    except FaultyFiles as e:  # its files have the names of the new one's
        raise FaultyFiles(replace(one, file=str(last / one.file)) for one in e.found) from None
    text = decode(read_bytes(last, FILE, LARGEST) or b"", FILE)
    settings = "".join(_changed(season, text, name or _next_name(season, folder)))
    known = frozenset(known_species())
    stated, report = read_settings(settings.encode(), folder, known)
    if found := [*report.problems, *validate(stated, Record(None, (), (), ()), known)]:
        raise FaultyFiles(found)
    files = [there.temperature_file for there in stated.season.by_readings if there.temperature_file]
    return NextSeason(season, settings, tuple(files), told(season))


def carry_over(
    folder: Path, last: Path, name: str | None, write: Callable[[str], None], *, json_form: bool
) -> None:
    """Write the season after ``last``, by ``write`` its settings, and say what it brings."""
    found = next_season(last, folder, name)
    write(found.settings)
    files = [folder / FILE, folder / table.FILE]
    for file in found.readings:
        if not (folder / file).exists():
            write_output(folder / file, heading(found.last).encode())
            files.append(folder / file)
    if found.earlier:
        store = Store(folder)
        with store.locked(f"new --after {last}"):  # a change of its own, that undo can take back
            store.write(earlier_seasons.FILE, earlier_seasons.dump(found.earlier), expect=None)
        files.append(folder / earlier_seasons.FILE)
    if json_form:
        show_json({"files": [str(f) for f in files], "earlier": [one.season for one in found.earlier]})
        return
    show_paragraph(f"wrote {', '.join(shown(f) for f in files)}")
    for line in _brought(folder, found):
        show_paragraph(line)


def _brought(folder: Path, found: NextSeason) -> Iterator[str]:
    season = found.last
    yield f"with the settings and {count(len(season.places), 'place')} of {season.name}"
    new = load(folder, known_species())
    for species in dict.fromkeys(one.species for one in found.earlier):
        before, now = stated_profile(new, species), profile_of(new, species)
        seasons = [one for one in found.earlier if one.species == species]
        emergences = count(sum(one.records for one in seasons), "emergence")
        by = f"{emergences} of {count(len(seasons), 'season')}; the profile says {before.requirement:.0f}"
        yield f"{species}: dates begin from {now.requirement:.0f} degree-days, by {by}"
    if found.earlier:
        yield (
            f"'{call('learn', folder)}' shows that; '{call('learn', folder, '--forget')}', or deleting "
            f"{earlier_seasons.FILE}, takes it back"
        )
    else:
        yield f"no emergence is recorded in {season.name}: dates begin from the profiles"
    if hanging := [p.id for p in season.pupae if p.present]:
        yield f"left in {season.name}: {few_ids(hanging)}, which have no end on record"
    own = [
        p for p in season.places if p.temperature and p.temperature.file and p.temperature.constant is None
    ]
    if own:
        at = " and ".join(p.name for p in own)
        beside = "write a constant beside its file, such as {file: log.csv, constant: 23}"
        yield f"no readings of {at} yet: {beside}"
    yield f"Next: look through {shown(folder / FILE)}, then '{call('add', folder)}' records who pupated"


def heading(season: Season) -> str:
    """The first line of a file of temperatures that has no readings yet."""
    return "date,min_F,max_F\n" if season.fahrenheit else "date,min,max\n"


def _next_name(season: Season, folder: Path) -> str:
    """The last one's name with the next year, or the folder's where it names none."""
    if match := _YEAR.search(season.name):
        return f"{season.name[: match.start()]}{int(match[1]) + 1}"
    return folder.resolve().name


def _changed(season: Season, text: str, name: str) -> Iterator[str]:
    """The lines of the settings: another name, what has passed as comments, temperatures to begin with."""
    root = read_yaml(text.encode(), FILE)
    lines = text.splitlines(keepends=True)
    at = dict(_blocks(season.folder / FILE, root, lines))
    end = "\r\n" if lines[0].endswith("\r\n") else "\n"
    if "season" not in at:
        yield f"season: {quoted(name)}{end}"
    commented = {i for key in OF_ITS_TIME if key in at for i in at[key]}
    new = {}
    if "season" in at:
        first = lines[at["season"][0]].rstrip("\r\n")
        match = _COMMENT.match(first)
        new["season"] = f"season: {quoted(name)}{(match[1] or '') if match else ''}"
    if "temperature" in at and season.temperature_file:
        new["temperature"] = f"temperature: {_temperature(season)}"
    replaced = {i: (key, i == at[key][0]) for key in new for i in at[key]}
    for i, line in enumerate(lines):
        if i in replaced:
            key, is_first = replaced[i]
            if is_first:
                yield new[key] + end
        else:
            yield f"# {line}" if i in commented else line


def _blocks(file: Path, root: Node, lines: Sequence[str]) -> Iterator[tuple[str, range]]:
    """Keys of the file with the lines that say their value, counted from 0."""
    starts = sorted((line - 1, column, key) for key, (line, column) in root.keys.items())
    if any(column != starts[0][1] for _, column, _ in starts) or len({s for s, _, _ in starts}) < len(starts):
        raise Refused([f"{file}: write each key in a line of its own, then it can be taken over"])
    for (start, _, key), after in zip(starts, [*(s for s, _, _ in starts[1:]), len(lines)], strict=True):
        stop = after
        while stop > start + 1 and (not lines[stop - 1].strip() or lines[stop - 1].lstrip().startswith("#")):
            stop -= 1
        yield key, range(start, stop)


def _temperature(season: Season) -> str:
    """The file, and a constant for days without readings: as stated, or else the mean of the last season."""
    celsius, why = season.constant, ""
    if celsius is None:
        readings = measured(season)
        assert readings is not None, "a season without a constant has readings"
        celsius = readings.mean()
        why = f"   # the constant is the mean of {season.name}: take it away once there are readings"
    number = to_fahrenheit(celsius) if season.fahrenheit else celsius
    constant = f"{tidy(round(number, 1))}{' F' if season.fahrenheit else ''}"
    file = quoted(Path(season.temperature_file or "").name)
    column = f", column: {quoted(season.temperature_column)}" if season.temperature_column else ""
    return f"{{file: {file}{column}, constant: {constant}}}{why}"
