"""A solver that cannot go on ends in a plain line; the plan before stays as it was."""

import pytest
from cli_world import good_plan
from ortools.sat.python import cp_model

from planner.cli.answers import plan as outputs
from planner.engine.model import solver as solving
from planner.engine.model.faults import InvalidModel
from planner.planning import make_plan as season_plan
from planner.season.plan import plan_file

FAILURES = {
    "memory": (
        MemoryError(),
        "the search needs more memory than there is: close other programs and try again; nothing was written",
    ),
    "invalid": (
        InvalidModel("our model is invalid: x"),
        "the search failed (our model is invalid: x): that is a fault of hangplan, not yours; "
        "nothing was written",
    ),
    "check": (
        AssertionError("as many as spots"),
        "hangplan failed a check of its own (as many as spots): that is a fault of hangplan, not yours; "
        "nothing was written",
    ),
}


@pytest.mark.parametrize(("error", "message"), FAILURES.values(), ids=FAILURES)
def test_a_solver_that_fails_is_told_and_the_files_stay_as_they_were(world, monkeypatch, error, message):
    reached = []

    def fails(*_args, **_options):
        reached.append(1)
        raise error

    world.plan()
    before = world.files()
    monkeypatch.setattr(solving, "_run", fails)
    said = world.call("plan")
    assert reached  # the search did ask the solver
    assert (said.code, said.out, said.err.splitlines()[-1]) == (1, "", message)
    assert world.files() == before


@pytest.mark.parametrize(("error", "message"), FAILURES.values(), ids=FAILURES)
def test_the_best_plan_without_a_search_is_written_where_a_search_fails(world, monkeypatch, error, message):
    real = season_plan.make_plan

    def fails(*given, seconds, **options):
        if seconds > 1:
            raise error
        return real(*given, seconds=seconds, **options)

    monkeypatch.setattr(season_plan, "make_plan", fails)
    said = world.call("plan")
    assert (said.code, said.err.splitlines()[0]) == (
        0,
        message.replace("nothing was written", "planning with hardly any search"),
    )
    assert "keeps every rule" in world.call("check").out


@pytest.mark.parametrize(("error", "message"), FAILURES.values(), ids=FAILURES)
def test_the_best_plan_so_far_is_written_where_a_search_fails(world, monkeypatch, error, message):
    def fails(*_given, on_incumbent, **_options):
        on_incumbent(good_plan())
        raise error

    monkeypatch.setattr(season_plan, "make_plan", fails)
    said = world.call("plan")
    assert (said.code, said.err.splitlines()[0]) == (
        0,
        message.replace("nothing was written", "the best plan so far is kept"),
    )
    assert plan_file.read(world.folder) == good_plan()


def test_a_lack_of_memory_once_the_plan_is_written_is_told(world, monkeypatch):
    def fails(*_given, **_options):
        raise MemoryError

    monkeypatch.setattr(outputs, "draw_to", fails)
    said = world.call("plan")
    assert (said.code, said.out) == (1, "")
    assert said.err.endswith(
        "plan.yaml is written, but there is not enough memory for the map and the move list\n"
    )
    assert "keeps every rule" in world.call("check").out


@pytest.mark.parametrize(("verbose", "shown"), [((), False), (("--verbose",), True)])
def test_where_something_failed_is_shown_to_who_asks(world, monkeypatch, verbose, shown):
    def fails(*_args, **_options):
        raise InvalidModel("our model is invalid: x")

    monkeypatch.setattr(solving, "_run", fails)
    said = world.call("plan", *verbose)
    assert said.code == 1
    assert ("Traceback (most recent call last)" in said.err) is shown
    assert ("InvalidModel: our model is invalid: x" in said.err) is shown


def test_a_model_that_the_solver_calls_invalid_is_named_by_an_exception_of_its_own():
    model = cp_model.CpModel()
    model.add_bool_or([])
    model.proto.constraints[0].bool_or.literals.append(7)  # there is no variable 7
    with pytest.raises(InvalidModel, match="our model is invalid: "):
        solving.solve(model, solving.Effort(solving.Clock(20), workers=1))
