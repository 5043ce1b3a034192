from datetime import date, datetime
from pathlib import Path

from planner.report.texts.explained import levels, pending
from planner.season import Hang, Level, Line, Plan, Season, TooClose

ON = datetime(2027, 7, 5, 8)


def said(*proof, units="cm", places=()):
    plan = Plan(on=ON, gap_days=2, hangs=(), proof=proof)
    season = Season(folder=Path(), name="Porch", units=units, places=places)
    return "\n".join(map(str, levels(season, plan)))


def test_each_level_says_what_was_reached_and_whether_that_is_proved():
    assert said(
        Level(name="clashes", value=0, bound=0, proved=True),
        Level(name="touched", value=17, bound=15, proved=False),
        Level(name="smallest_gap", value=None, bound=None, proved=True),
    ) == (
        "Sought, in this order      reached   at best\n"
        "  clashes                        0         0  proved\n"
        "  pupae to move                 17        15  not proved: better may exist\n"
        "  smallest gap, days          none      none  proved"
    )


def test_yarn_used_is_told_in_the_unit_of_the_season():
    length = Level(name="length", value=12.7, bound=12.7, proved=True)  # cm
    inches, cm = (said(length, units=units).splitlines()[1].split()[:5] for units in ("in", "cm"))
    assert inches == ["yarn", "used,", "in", "5", "5"]
    assert cm == ["yarn", "used,", "cm", "12.7", "12.7"]


def test_it_is_told_for_whom_a_level_is_proved():
    # Carrying is sought once it is settled who moves; what comes after moves changed, with the others kept.
    # No plan whatever has less than nothing.
    carrying = Level(name="carrying", value=3, bound=3, proved=True)
    rows = [
        Level(name="touched", value=17, bound=17, proved=True),
        Level(name="stability", value=0, bound=0, proved=True),
        Level(name="room", value=0, bound=0, proved=True),
        Level(name="risk", value=0.3, bound=0.3, proved=True),
        carrying,
    ]
    assert said(*rows) == (
        "Sought, in this order      reached   at best\n"
        "  pupae to move                 17        17  proved\n"
        "  moves changed                  0         0  proved\n"
        "  to come, without room          0         0  proved\n"
        "  pairs drying together        0.3       0.3  proved for those kept\n"
        "  carrying and order, cm         3         3  proved for those moved and kept"
    )
    assert said(carrying).splitlines()[1] == (
        "  carrying and order, cm         3         3  proved for those moved"
    )


def test_where_clips_slide_carrying_is_told_to_be_proved_of_the_spots_tried():
    yarn = Line(name="north", length=60, height=150, clip_width=2)
    proved = Level(name="carrying", value=3, bound=3, proved=True)
    length = Level(name="length", value=9, bound=9, proved=True)
    told = " ".join(said(length, proved, places=(yarn,)).split())
    assert "9 proved for those moved carrying and order, cm 3 3" in told
    assert told.endswith("proved for those moved, at the spots tried")
    near = Level(name="carrying", value=4, bound=3, proved=False)
    told = " ".join(said(near, places=(yarn,)).split())
    assert told.endswith("not proved: within 1 cm of best, at the spots tried")


def test_of_carrying_it_is_told_how_near_the_best_it_is_in_whole_units():
    near = Level(name="carrying", value=1955.0, bound=1954.8, proved=False)  # cm: 769.7 and 769.6 in
    assert (
        said(near).splitlines()[1]
        == "  carrying and order, cm      1955      1955  not proved: within 1 cm of best"
    )
    assert said(near, units="in").splitlines()[1] == (
        "  carrying and order, in       770       770  not proved: within 1 in of best"
    )
    far = Level(name="carrying", value=1955.1, bound=1945.0, proved=False)
    assert said(far).splitlines()[1].endswith("not proved: within 11 cm of best")
    assert said(far, units="in").splitlines()[1].endswith("not proved: within 4 in of best")  # 3.98


def test_a_plan_without_levels_has_no_table():
    assert said() == ""


def test_pairs_too_close_for_now_are_told_and_too_many_are_counted():
    hangs = tuple(Hang(pupa=f"m{n}", place="tub-2", spot="?", due=date(2027, 7, 11)) for n in range(1, 12))
    pairs = tuple(TooClose(a="m1", b=f"m{n}", gap=0, distance=5, why="too soft") for n in range(2, 12))
    plan = Plan(on=ON, gap_days=2, hangs=hangs, waiting=pairs)
    text = "\n".join(map(str, pending(Season(folder=Path(), name="Porch"), plan)))
    assert text.startswith(
        "Too close for now:\n"
        "  too soft:\n"
        "  pupa  hangs    due     pupa  hangs    due     apart  days\n"
        "  m1    tub-2 ?  11 Jul  m2    tub-2 ?  11 Jul  5 cm   0\n"
    )
    assert text.endswith("\n  and 2 more, under waiting in plan.yaml")
