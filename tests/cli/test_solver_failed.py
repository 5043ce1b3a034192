"""A solver that cannot go on ends in a plain line; the plan before stays as it was."""

import pytest

from planner.plan import solving

FAILURES = {
    "memory": (
        MemoryError(),
        "the search needs more memory than there is: close other programs and try again; nothing was written",
    ),
    "invalid": (
        AssertionError("our model is invalid: x"),
        "the search failed (our model is invalid: x): that is a fault of hangplan, not yours; "
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
