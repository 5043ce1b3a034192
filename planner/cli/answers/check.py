"""What ``check`` answers: whether the plan in force may still be hung by, and what should be known."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from typing import Any

from planner.cli.shell.talk import problem_json, show, show_json, show_notes, show_paragraph
from planner.emergence import coverage, doubts, forecasts, gap_texts, how_read, temperature_notes, warnings
from planner.follow.breaches import Broken
from planner.follow.day import Day, firm_since_text
from planner.follow.in_force import InForce, judge
from planner.follow.too_late import clash_for_good, too_late, without_late
from planner.record.cleaned import closed_note
from planner.record.left_in_other_unit import other_unit
from planner.record.pushed_together import pushed_together
from planner.record.refusal import DONE, FAULTY
from planner.record.still_to_come import not_yet
from planner.report.texts.explained import meaning
from planner.report.texts.sheet import Words
from planner.season.plan import plan_file
from planner.season.plan.plan_record import Plan, TooClose
from planner.season.pupae import table
from planner.season.reading.problems import Problem
from planner.season.reading.told_dates import moment
from planner.season.season import Season
from planner.season.store import OWN, left_over
from planner.verify import false_claims, older_levels
from planner.words import call, count, ids, natural

MOST_TOLD = 1000  # breaches; the rest is counted


def answer(season: Season, plan: Plan | None, now: datetime, *, json_form: bool) -> int:
    """Tell what is wrong, and return the exit code."""
    state = None if plan is None else judge(season, plan)
    found = [] if state is None else [*state.found, *state.refused, *_too_close(state), *_late(state, now)]
    notes = [*_notes(season, now), *(() if state is None else [*_claims(state), *_firm_since(state, now)])]
    code = FAULTY if found else DONE
    if json_form:
        show_json(
            {
                "pupae": len(season.pupae),
                "present": sum(p.present for p in season.pupae),
                "plan": None if state is None else _json(state),
                "breaches": [problem_json(p) for p in found],
                "notes": notes,
                "problems": [],
            }
        )
        return code

    present = sum(p.present for p in season.pupae)
    pupae = count(len(season.pupae), "pupa", "pupae")
    doubtful = len(doubts(season, now))
    files = (
        f"the files can be read, with {count(doubtful, 'doubt')} below"
        if doubtful
        else "the files are in order"
    )
    if lost := state.progress.lost if state and state.progress else []:
        files = f"{table.FILE} lacks {ids(lost)}, whom the plan names: if rows were lost, bring them back"
    show(Words(f"{season.name}: {files}; {pupae} recorded, {present} present", tone="head"))
    if state is None:
        show(f"there is no plan yet: '{call('plan', season.folder)}' makes one")
    else:
        what = "what is left of the plan" if state.progress and any(state.progress.words()) else "the plan"
        says = f"breaks the rules in {count(len(found), 'point')}" if found else "keeps every rule"
        says += _watched(state.rest) if not found else ""
        show(Words(f"{what} of {moment(state.plan.on)} {says}", tone="warn" if found else ""))
        for breach in found[:MOST_TOLD]:
            show(str(breach))
        if len(found) > MOST_TOLD:
            show(f"and {len(found) - MOST_TOLD:,} more")
        for text in (*state.changes(), *state.advice(bool(found))):
            show_paragraph(str(text))
    show_notes(notes)
    return code


def _too_close(state: InForce) -> Iterator[Problem]:
    """Pairs too close because one was hung elsewhere than planned: the record is sound, the rack is not."""
    for pair in state.close:
        yield Broken(plan_file.FILE, 0, 0, "clash", _pair(state, pair))


def _pair(state: InForce, pair: TooClose) -> str:
    per_unit, units = state.season.cm_per_unit, state.season.units
    near = "on one lid" if pair.distance is None else f"{pair.distance / per_unit:.3g} {units} apart"
    a, b = sorted((pair.a, pair.b), key=natural)
    if undated := state.rest.undated([pair]):
        return f"{a} and {b} hang {near}, and no date is known of {' and '.join(undated)}"
    return f"{a} and {b} hang {near} and are {state.plan.too_near}"


def _late(state: InForce, now: datetime) -> Iterator[Problem]:
    """Steps that cannot be done any more, and who clashes because of that."""
    known = forecasts(state.season, now)
    if late := too_late(state.rest, known):
        what = f"too late to be moved as planned, may be darkening: {ids(late)}"
        yield Broken(plan_file.FILE, 0, 0, "late", what)
    stuck = {one.pupa for one in without_late(state.season, state.rest, known).stuck}
    for pair in clash_for_good(state.season, state.rest, known):
        stays = ids([name for name in (pair.a, pair.b) if name in stuck])
        what = f"{_pair(state, pair)}, for {stays} cannot be moved any more"
        yield Broken(plan_file.FILE, 0, 0, "clash", what)


def _watched(rest: Plan) -> str:
    """``, with 7 clashes to watch and 1 left on a lid to be cleared``; empty without either."""
    clashes = f"{count(len(rest.clashes), 'clash', 'clashes')} to watch" if rest.clashes else ""
    left = f"{count(len(rest.left), 'pupa', 'pupae')} left on lids to be cleared" if rest.left else ""
    both = " and ".join(text for text in (clashes, left) if text)
    return f", with {both}" if both else ""


def _json(state: InForce) -> dict[str, Any]:
    p = state.progress
    return {
        "on": state.plan.on.isoformat(),
        "stale": state.files,
        "done": [m.step for m in p.done] if p else [],
        "to_do": [m.step for m in state.rest.moves],
        "gone": p.gone if p else [],
        "newcomers": p.newcomers if p else [],
        "elsewhere": p.elsewhere if p else [],
        "redated": p.redated if p else [],
    }


def _claims(state: InForce) -> Iterator[str]:
    """What plan.yaml says was reached and is not so, where nothing has changed and no rule is broken."""
    if older := older_levels(state.plan):
        sought = ", ".join(meaning(state.season, name) for name in older)
        yield (
            f"{plan_file.FILE} is of an older hangplan, which also sought what is sought no more ({sought}): "
            f"'{call('plan', state.season.folder)}' makes a new one"
        )
    found = [] if state.files or state.found else false_claims(state.season, state.plan)
    if found:
        again = f"'{call('plan', state.season.folder)}' finds it anew"
        yield f"do not go by what {plan_file.FILE} says was reached ({'; '.join(found)}): {again}"


def _firm_since(state: InForce, now: datetime) -> Iterator[str]:
    """Pairs that waited for one to become firm, which it is now: nobody parts them but a new plan."""
    if not state.found and (text := firm_since_text(Day(state.season, now, state.rest))):
        yield text


def _notes(season: Season, now: datetime) -> Iterator[str]:
    """What is allowed but should be known."""
    yield from warnings(season)
    yield from other_unit(season)
    for there in season.by_readings:
        yield from how_read(there)
        yield from map(str, doubts(there, now))
        yield from coverage(there)
        yield from gap_texts(there)
    yield from pushed_together(season)
    yield from closed_note(season)
    yield from temperature_notes(season, now)
    if text := not_yet(season, now):
        yield text
    if left_over(season.folder):
        yield (
            f"a command was stopped here before it changed anything: what it left in {OWN} is not used, and "
            "the next that writes takes it away"
        )
