"""The day in one line."""


def test_an_ordinary_morning_is_one_line(world):
    # m1 and m2 are due on 11 July, m3 two days later: at 5:00 of the 11th nearly half of each may emerge.
    world.plan()
    said = world.call("today", "--brief", on="2027-07-05T08:00")
    assert (said.code, said.err) == (0, "")
    assert said.out == "Porch, Mon 5 Jul: nobody is likely to emerge today; to be moved now: 2 pupae\n"
    said = world.call("today", "--brief", on="2027-07-11T05:00")
    assert said.out == (
        "Porch, Sun 11 Jul: may emerge today: m1, m2; to be moved now: 1 pupa; too late to be moved: m2\n"
    )


def test_who_is_overdue_is_named(world):
    said = world.call("today", "--brief", on="2027-07-20T08:00")
    assert said.out == "Porch, Tue 20 Jul: nobody is likely to emerge today; overdue, look at: m1 to m3\n"


def test_it_goes_with_nothing_else(world):
    said = world.call("today", "--brief", "--all", on="2027-07-20T08:00")
    assert (said.code, said.err) == (2, "give --brief alone: it is one line of text\n")
