"""The CP-SAT solver, called for one model under a clock; Ctrl-C ends the search with the incumbent."""

from __future__ import annotations

import math
import os
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass

from planner.engine.model import budget
from planner.engine.model.cp_sat import cp_model
from planner.engine.model.estimate import memory
from planner.engine.model.faults import InvalidModel

Model = cp_model.CpModel
_TICK = 0.1  # seconds between two looks at the clock
TOLERANCE = 1e-6  # of a bound that the solver gives as a float, though our objectives are whole numbers


class Clock:
    """A clock for a whole computation: the seconds left, and whether it has been interrupted.

    Parameters
    ----------
    seconds
        From now on.
    stop
        Asked now and then whether to finish at once.
    """

    def __init__(self, seconds: float, stop: Callable[[], bool] | None = None):
        self.seconds = seconds
        self.end = time.monotonic() + seconds
        self._began = time.monotonic(), time.process_time()
        self._stop = stop
        self._interrupted = False

    @property
    def interrupted(self) -> bool:
        """Whether to finish at once with the incumbent."""
        self._interrupted = self._interrupted or (self._stop is not None and self._stop())
        return self._interrupted

    def interrupt(self) -> None:
        """Finish at once with the incumbent."""
        self._interrupted = True

    def part(self, share: float) -> Clock:
        """A clock for a share of what is left, which stops with the whole."""
        return Clock(share * self.left, lambda: self.interrupted)

    @property
    def left(self) -> float:
        """Seconds left, never negative; 0 after an interruption."""
        return 0.0 if self.interrupted else max(0.0, self.end - time.monotonic())

    @property
    def slowness(self) -> float:
        """Seconds on the clock for each second of a core since the beginning: other programs run as well.

        Of a moment too short to tell, 1.
        """
        used = time.process_time() - self._began[1]
        return 1.0 if used < budget.SLOWNESS_SEEN else max(1.0, (time.monotonic() - self._began[0]) / used)

    @property
    def steady_left(self) -> float:
        """Seconds of a core that are left, if the machine goes on being as busy as it is."""
        return self.left / self.slowness


@dataclass(frozen=True)
class Answer:
    """The answer of the solver to one model.

    Attributes
    ----------
    status
        One of optimal, feasible, infeasible, unknown.
    value
        Of the objective; None without one or without a solution.
    bound
        What the solver proved that no solution beats, a whole number (`safe_bound`); None where it proved
        nothing.
    number
        Variable → its value in the solution.
    core
        When infeasible, indices of assumptions that cannot all hold; sufficient, not minimal.
    """

    status: str
    value: int | None
    bound: int | None
    number: Callable[[cp_model.IntVar], int]
    core: tuple[int, ...] = ()

    def on(self, literal: cp_model.IntVar) -> bool:
        """Whether a Boolean is true in the solution."""
        return bool(self.number(literal))

    @property
    def solved(self) -> bool:
        """Whether there is a solution to read."""
        return self.status in ("optimal", "feasible")


@dataclass(frozen=True)
class Effort:
    """How hard to search, and who is told of it.

    Attributes
    ----------
    workers
        Of the solver; None: one worker first (repeatable), then all cores.
    progress
        Told in words what is looked for.
    log
        Told each line of the solver's search log.
    dump
        Given each model before it is solved.
    memory
        Bytes that models may take; None: a share of what there is.
    """

    clock: Clock
    seed: int = 0
    workers: int | None = None
    progress: Callable[[str], None] | None = None
    log: Callable[[str], None] | None = None
    dump: Callable[[Model], None] | None = None
    memory: float | None = None

    def say(self, text: str) -> None:
        """Tell ``progress``, if there is one."""
        if self.progress:
            self.progress(text)


def solve(model: Model, effort: Effort, seconds: float = float("inf")) -> Answer:
    """The solver's answer within ``seconds`` and the clock.

    Raises
    ------
    InvalidModel
        The solver calls the model invalid: a fault of ours.

    Notes
    -----
    With ``workers`` None a single worker tries first, for a deterministic amount of work, so that the same
    season gives the same plan; only what is harder gets all cores.
    """
    limit = min(seconds, effort.clock.left)
    if effort.workers is not None:
        return _run(model, effort, limit, effort.workers, None)
    began = time.monotonic()
    answer = _run(model, effort, limit, 1, budget.ALONE, plain=True)
    rest = min(limit - (time.monotonic() - began), effort.clock.left)
    if answer.status in ("optimal", "infeasible") or rest <= 0 or (os.cpu_count() or 1) < 2:
        return answer
    second = _run(model, effort, rest, os.cpu_count() or 1, None)
    return second if second.status != "unknown" or not answer.solved else answer


def solve_repeatably(
    model: Model, effort: Effort, work: float, *, plain: bool = False, cuts: bool = True
) -> Answer:
    """The answer of one worker in ``work`` deterministic seconds: the same on a busier machine.

    For secondary objectives: a plan that changes with the load of the machine would puzzle its keeper.
    ``plain``, ``cuts``: see `_run`.
    """
    return _run(model, effort, effort.clock.left if work > 0 else 0.0, 1, work, plain, cuts)


def _run(
    model: Model,
    effort: Effort,
    seconds: float,
    workers: int,
    deterministic: float | None,
    plain: bool = False,
    cuts: bool = True,
) -> Answer:
    """The answer of so many workers.

    Parameters
    ----------
    plain
        Simplify little. Our cliques are whole already; to seek larger ones takes half the time.
    cuts
        Whether more rows are sought for the relaxation: in vain where it is nearly whole.
    """
    if seconds <= 0:  # asked first: a plan without search is what is left where a model fails
        return Answer("unknown", None, None, lambda _: 0)
    if effort.dump is not None:
        effort.dump(model)  # first, so that an invalid one can be read as well
    if problem := model.validate():
        raise InvalidModel(f"our model is invalid: {problem}")
    solver = cp_model.CpSolver()
    if effort.log is not None:
        effort.log(f"model {model.name or 'without a name'}")
        solver.parameters.log_search_progress = True
        solver.parameters.log_to_stdout = False
        solver.log_callback = effort.log
    solver.parameters.num_workers = workers
    solver.parameters.random_seed = effort.seed
    solver.parameters.max_memory_in_mb = max(1, round(memory(effort.memory) / 2**20))
    solver.parameters.max_time_in_seconds = seconds
    solver.parameters.catch_sigint_signal = False  # Ctrl-C is ours: it ends all levels, not only this one
    if model.has_objective():
        solver.parameters.linearization_level = 2  # costs are proved by the relaxation, three times as fast
    if plain:
        solver.parameters.cp_model_probing_level = 0
        solver.parameters.symmetry_level = 0
        solver.parameters.merge_at_most_one_work_limit = 0
    if not cuts:
        solver.parameters.cut_level = 0
    if deterministic is not None:
        solver.parameters.max_deterministic_time = deterministic
    box: list[cp_model.CpSolverStatus | BaseException] = []
    done = threading.Event()

    def work() -> None:
        try:
            box.append(solver.solve(model))
        except BaseException as error:  # carried over to the caller's thread below
            box.append(error)
        done.set()

    threading.Thread(target=work, daemon=True).start()
    try:
        _await(done, solver, effort.clock)
    except BaseException:  # given up: without this the solver would keep all cores busy behind what follows
        _end(done, solver)
        raise
    if isinstance(box[0], BaseException):
        raise box[0]
    status = {
        cp_model.OPTIMAL: "optimal",
        cp_model.FEASIBLE: "feasible",
        cp_model.INFEASIBLE: "infeasible",
        cp_model.UNKNOWN: "unknown",
    }.get(box[0])
    if status is None:
        raise InvalidModel(f"our model is invalid: {solver.status_name(box[0])}")
    solved = status in ("optimal", "feasible")
    goal = model.has_objective()
    return Answer(
        status,
        round(solver.objective_value) if solved and goal else None,
        # Before it has a solution the solver states 0 as the bound, whatever the objective.
        safe_bound(solver.best_objective_bound, maximize=_maximizes(model)) if solved and goal else None,
        solver.value,
        tuple(solver.sufficient_assumptions_for_infeasibility()) if status == "infeasible" else (),
    )


def _await(done: threading.Event, solver: cp_model.CpSolver, clock: Clock) -> None:
    """Wait for the solver's thread; Ctrl-C and an interrupted clock end it with the incumbent."""
    finished = False
    while not finished:
        try:
            finished = done.wait(_TICK)  # not join(): in Python 3.11 an interrupted join forgets the thread
        except KeyboardInterrupt:
            clock.interrupt()
        if clock.interrupted:
            solver.stop_search()  # again and again: it does nothing before the search has begun


def _end(done: threading.Event, solver: cp_model.CpSolver) -> None:
    """Stop the solver's thread, whatever it has found."""
    for _ in range(round(budget.STOPPING / _TICK)):
        solver.stop_search()
        if done.wait(_TICK):
            return


def safe_bound(stated: float, *, maximize: bool) -> int | None:
    """The whole number that no whole value beats, if none beats ``stated``; None without a finite bound.

    A minimum is at least ``stated``, so at least the next whole number above it; a maximum at most the one
    below. What is within ``TOLERANCE`` of a whole number counts as that number.
    """
    if not math.isfinite(stated):
        return None
    return math.floor(stated + TOLERANCE) if maximize else math.ceil(stated - TOLERANCE)


def _maximizes(model: Model) -> bool:
    return bool(model.proto.objective.scaling_factor < 0)
