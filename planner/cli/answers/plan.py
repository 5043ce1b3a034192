"""What ``plan`` leaves behind: map and move list in files, the summary on the terminal."""

from __future__ import annotations

import sys
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import asdict
from datetime import date, datetime
from pathlib import Path
from typing import Any

from planner.cli.answers.rack_map import draw_to
from planner.cli.shell.talk import problem_json, show, show_json, shown, tell, tell_paragraph
from planner.cli.shell.terminal import is_terminal
from planner.emergence import assumption, forecasts
from planner.follow.other_temperature import due_after_moves
from planner.follow.prospects import overdue
from planner.record.beside_sick import beside_note
from planner.record.made_tags import MadeTags, read_made, to_print
from planner.record.refusal import Refused
from planner.report.texts.explained import levels, pending
from planner.report.texts.moves import move_list
from planner.report.texts.sheet import Block, Sheet, Words
from planner.report.texts.summary import gist, summary
from planner.report.texts.text import CAUTION
from planner.report.texts.ways_out import NO_HELP, ways_to_tap
from planner.season.plan import plan_file
from planner.season.plan.plan_record import Plan
from planner.season.plan.reason_record import Explained
from planner.season.reading.told_dates import day_told, since
from planner.season.reading.told_words import in_keepers_words
from planner.season.season import Season
from planner.season.store import StoreError, write_output
from planner.words import call, few_ids

LONG = 40  # letters of a folder's name


def write_outputs(
    season: Season, plan: Plan, path: Path, fmt: str, *, asked: bool
) -> tuple[list[Path], list[str]]:
    """Write map and move list; what fails there is told, for the plan itself is written and good."""
    files, problems = [season.folder / plan_file.FILE], []
    try:
        files.append(draw_to(season, plan, path, fmt, asked=asked, paper=season.paper))
    except (StoreError, Refused) as e:
        why = e.fault if isinstance(e, StoreError) else e
        problems.append(f"{plan_file.FILE} was written, but not the map: {why}")
    moves = season.folder / "out" / "moves.txt"
    try:
        write_output(moves, move_list(season, plan).encode())
        files.append(moves)
    except StoreError as e:
        problems.append(f"{plan_file.FILE} was written, but not the move list: {e.fault}")
    return files, problems


def show_plan_json(
    season: Season, plan: Plan, files: list[Path], problems: list[str], why: Explained
) -> None:
    """``{"plan": {...}, "why": {...}, "told": {...}, "files": [path, ...], "problems": [...]}``.

    The plan has the fields of `planner.season.plan.plan_record.Plan`: times local, lengths in cm, null where
    there is none. Told is what a person is to know: sentences, and each way out with the options that take
    it. Problems are files that could not be written.
    """
    said = gist(season, plan, forecasts(season, plan.on))
    ways = ways_to_tap(season, why.ways)
    show_json(
        {
            "plan": _plain(asdict(plan)),
            "why": _plain(why.as_dict()),
            "told": {
                "words": [in_keepers_words(text) for text in said],
                "ways": [{"words": in_keepers_words(text), "options": words} for text, words in ways],
            },
            "files": [str(f) for f in files],
            "problems": [problem_json(p) for p in problems],
        }
    )


def show_plan(season: Season, plan: Plan, files: list[Path], problems: list[str], *, explain: bool) -> None:
    """Print the summary, where the files are, and what to do next, on one screen.

    ``explain``: also what was sought and proved, and how dates are reckoned, on as many lines as it takes.
    """
    expected = forecasts(season, plan.on)
    made = read_made(season.folder)
    old_tags, untagged = to_print(season, plan, made or MadeTags())
    late = overdue(season, plan.on, expected)
    said = summary(season, plan, expected, brief=not explain, old_tags=old_tags, overdue=late)
    tail = [Words(text, tone="warn", hang="  ") for text in beside_note(season)]
    tail += [Words(CAUTION)] if plan.moves else []
    tail += [Words(_written(season.folder, files), hang="  ")]
    tags = "--moved" if made is None else "--changed" if old_tags or untagged else ""
    soft = [f.firm_from for f in expected.values() if f.stage == "soft" and f.firm_from]
    steps = _next(season.folder, plan, tags, min(soft, default=None), late=bool(late), explained=explain)
    tail += [Words(text, hang="  ") for text in steps]
    reasons: list[Iterable[Block]] = []
    if explain:
        assumed = f"Dates are reckoned by temperature: {assumption(season)}."
        reasons = [pending(season, plan), levels(season, plan), [Words(assumed, hang="  ")]]
    sheet = Sheet.of([*said.parts, *reasons, tail])
    show(sheet if explain else sheet.within(ruled=is_terminal(sys.stdout)))
    if text := due_after_moves(season, plan):
        tell_paragraph(f"note: {text}")
    for problem in problems:
        tell(problem)


def _long(folder: Path) -> bool:
    """Whether its name is told once only: in each command it would fill the screen."""
    return len(str(folder)) > LONG


def _written(folder: Path, files: Sequence[Path]) -> str:
    if _long(folder) and all(file.is_relative_to(folder) for file in files):
        return f"Written in {shown(folder)}: {', '.join(str(file.relative_to(folder)) for file in files)}"
    return "Written: " + ", ".join(map(shown, files))


def _next(
    folder: Path, plan: Plan, tags: str, firm: datetime | None, *, late: bool, explained: bool
) -> Iterator[str]:
    """What to do next. ``tags``: which are to be printed; ``firm``: when the first soft ones will be.

    ``late``: whether some should have emerged.
    """
    steps = []
    here = Path() if _long(folder) else folder
    if any(not text.startswith(NO_HELP) for text in plan.ways_out):
        steps.append("choose a way out and plan again" + ("." if explained else "; --explain tells more."))
    elif plan.clashes and late:
        steps.append("record what became of those that are overdue, and plan again.")
    elif plan.clashes:
        steps.append(f"'{call('today', here)}' names the pairs to watch.")
    if plan.moves:
        printed = f"'{call('tags', here, tags)}', then " if tags else ""
        steps.append(f"{printed}'{call('done', here)}' once they hang.")
    if plan.put_off:
        how = ("--wait",) if plan.evenings <= 2 else ("--evenings", str(plan.evenings))
        again = call("plan", here, *how)
        steps.append(f"plan again on {since(min(one.until for one in plan.put_off))}: '{again}'.")
    elif plan.later:
        first = plan.later[0].since
        who = few_ids([one.who for one in plan.later if one.since.date() == first.date()])
        steps.append(f"plan again on {day_told(first)}, for {who}.")
    elif firm:
        steps.append(f"plan again on {since(firm)}: the next ones are firm then.")
    for k, text in enumerate(steps or ["nothing to do."]):
        head = "Next" if here == folder else "Next, in that folder"
        yield text[0].upper() + text[1:] if k else f"{head}: {text}"


def _plain(value: Any) -> Any:
    """Dates as text, tuples as lists."""
    match value:
        case datetime() | date():
            return value.isoformat()
        case dict():
            return {k: _plain(v) for k, v in value.items()}
        case tuple() | list():
            return [_plain(v) for v in value]
    return value
