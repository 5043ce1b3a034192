"""What a map says, and that nothing of it rests on colour alone."""

from dataclasses import replace
from datetime import date, datetime, timedelta

import pytest
from draw_world import by_gid, case, drawn, hang, line, marks, pdf_text, pin, porch, porch_drawn, texts

from planner.draw.data import Mark, sheet
from planner.draw.map.rack_map import rack_map
from planner.season.places import Board, Lid, Line
from planner.season.plan.plan_record import Move, Stuck, TooClose, Waits
from planner.style import VERMILION

CLASH = TooClose(a="a", b="b", gap=1.0, distance=10.0)


def tag_of(drawing, pupa):
    return by_gid(drawing, f"tag-{pupa}")[0]


def test_a_tag_says_the_day_pupated_largest_then_the_id_then_the_day_due():
    drawing = drawn(case([line()], [hang("a7", "north", "20")]))
    words = [(t.get_text(), t.get_fontsize()) for t in by_gid(drawing, "text-a7")]
    assert [w for w, _ in words] == ["3", "Jul", "a7", "due 15"]
    assert words[0][1] > words[1][1] > words[2][1] == words[3][1]


def test_the_heading_says_what_a_place_is_and_how_full():
    words = texts(drawn(case([line()], [hang("a", "north", "20")])))
    # clips at 10, 20 and 30 cm of 40; none at the ends
    assert "line, 40 cm long, 150 cm above the floor   ·   1 of 3 spots taken" in words


def test_lengths_are_said_in_the_keepers_inches():
    north = line("north", 101.6, clips_every=5.08, height=152.4)
    words = texts(drawn(case([north], [hang("a", "north", "4", x=10.16)], units="in")))
    assert "line, 40 in long, 60 in above the floor   ·   1 of 19 spots taken" in words


def test_a_spot_out_of_use_has_a_cross_instead_of_a_ring_and_is_counted():
    season, plan, _ = case([line()], [hang("a", "north", "20")])
    spots = {"north": [Mark("10", 10, 0, usable=False), Mark("20", 20, 0), Mark("30", 30, 0)]}
    drawing = drawn((season, plan, spots))
    assert {a.get_marker() for a in by_gid(drawing, "unused")} == {"x"}
    assert {a.get_marker() for a in by_gid(drawing, "free")} == {"o"}
    assert any(t.endswith("1 of 3 spots taken   ·   1 not used") for t in texts(drawing))


def test_a_sliding_line_out_of_reach_has_crosses_all_along():
    season, plan, _ = case([Line(name="high", length=20, height=250, clip_width=5)], [])
    spots = {"high": [Mark(str(x), x, 0, usable=False) for x in (5, 10, 15)]}
    drawing = drawn((season, plan, spots))
    assert [len(a.get_xdata()) for a in by_gid(drawing, "unused")] == [3]
    assert not by_gid(drawing, "free")
    assert any(t.endswith("0 hang here, sliding clips 5 cm wide   ·   not used") for t in texts(drawing))


def test_a_sliding_line_of_which_a_part_is_closed_is_not_called_out_of_use():
    season, plan, _ = case([Line(name="low", length=20, height=150, clip_width=5)], [])
    spots = {"low": [Mark("5", 5, 0), Mark("10", 10, 0, usable=False), Mark("15", 15, 0)]}
    assert any(
        t.endswith("5 cm wide   ·   a part of it not used") for t in texts(drawn((season, plan, spots)))
    )


def test_a_mover_has_a_thick_frame_a_pointer_and_says_where_it_is_now():
    drawing = drawn(
        case(
            [line(), line("south")], [hang("a", "north", "10"), hang("b", "north", "30", from_place="south")]
        )
    )
    assert tag_of(drawing, "b").get_linewidth() >= 2 * tag_of(drawing, "a").get_linewidth()
    assert by_gid(drawing, "pointer-b")
    assert by_gid(drawing, "dot-a")
    assert not by_gid(drawing, "pointer-a")
    assert "◂ south" in texts(drawing, "text-b")


def test_a_mover_from_a_line_names_the_spot_it_leaves():
    season, plan, spots = case([line(), line("south")], [hang("b", "north", "30", from_place="south")])
    move = Move(
        step=1, pupa="b", from_place="south", from_spot="10", to_place="north", to_spot="30",
        not_before=datetime(2027, 7, 9), not_after=datetime(2027, 7, 14),
    )  # fmt: skip
    assert "◂ south 10" in texts(drawn((season, replace(plan, moves=(move,)), spots)), "text-b")


def test_a_clash_has_a_zigzag_words_between_frames_and_a_sentence():
    drawing = drawn(case([line()], [hang("a", "north", "10"), hang("b", "north", "20")], clashes=[CLASH]))
    words = texts(drawing)
    assert "1 CLASH" in words
    assert "CLASH 1 day" in words
    assert texts(drawing, "text-a").count("CLASH") == texts(drawing, "text-b").count("CLASH") == 1
    assert all(len(z.get_xdata()) > 3 for z in by_gid(drawing, "clash"))
    assert "Clashes (1): neighbours due less than 2 days apart" in words
    assert (
        "a (north 10 cm, due 15 Jul) and b (north 20 cm, due 15 Jul): due 1 day apart, "
        "10 cm from each other" in words
    )


def test_a_clash_of_the_same_day_says_so():
    pair = replace(CLASH, gap=0.0)
    words = texts(drawn(case([line()], [hang("a", "north", "10"), hang("b", "north", "20")], clashes=[pair])))
    assert "CLASH same day" in words


def test_a_clash_with_one_that_has_no_date_says_so_and_no_day():
    pair = replace(CLASH, gap=0.0)
    hangs = [hang("a", "north", "10"), hang("b", "north", "20", due=None)]
    words = texts(drawn(case([line()], hangs, clashes=[pair])))
    assert "CLASH no date" in words
    assert "Clashes (1): neighbours, one of them without a date" in words
    assert (
        "a (north 10 cm, due 15 Jul) and b (north 20 cm, due ?): no date is known of b, "
        "10 cm from each other" in words
    )


def test_a_clash_between_two_places_is_named_at_both():
    drawing = drawn(
        case([line(), line("south")], [hang("a", "north", "10"), hang("b", "south", "20")], clashes=[CLASH])
    )
    assert {"CLASH 1 day with a", "CLASH 1 day with b"} <= set(texts(drawing))


def test_a_clash_on_a_board_is_tied_together_and_named():
    board = Board(name="cork", width=30, height=30, pins_every=5, bottom=90)
    spots = marks(board)
    drawing = drawn(case([board], [pin("a", "cork", spots[8]), pin("b", "cork", spots[9])], clashes=[CLASH]))
    assert by_gid(drawing, "clash")
    assert "CLASH 1 day" in texts(drawing)
    assert "CLASH" in texts(drawing, "text-a")


def test_a_clash_sign_that_stands_off_its_pair_names_the_two():
    # Two full rows of tags about 13 mm high, at 1 : 3 some 17 mm apart: from the middle of a pair one above
    # the other it is more than 14 mm, but less than 20, to the room above the first row.
    board = Board(name="cork", width=40, height=40, pins_every=5, bottom=90)
    hangs = [pin(f"k{i:02}", "cork", m, from_place="cork") for i, m in enumerate(marks(board)[:16])]
    pair = TooClose(a="k01", b="k09", gap=1.0, distance=5.0)
    words = texts(drawn(case([board], hangs, clashes=[pair])))
    assert "k01, k09: 1 day" in words
    assert "CLASH 1 day" not in words


def test_no_clash_leaves_no_sign_of_one():
    drawing = drawn(case([line()], [hang("a", "north", "10")]))
    assert any(
        t.startswith("0 clashes   ·   Plan of Fri 9 Jul 2027   ·   1 pupa   ·   0 to move")
        for t in texts(drawing)
    )
    assert not [t for t in texts(drawing) if "CLASH" in t]
    assert not by_gid(drawing, "clash")


def test_a_pair_to_wait_for_is_dashed_and_is_no_clash():
    drawing = drawn(
        case(
            [Lid(name="tub", width=40, length=28)],
            [hang("a", "tub", "?", x=10.0, y=10.0), hang("b", "tub", "?", x=14.0, y=10.0)],
            waiting=[TooClose(a="a", b="b", gap=0.0, distance=4.0, why="b is soft until Sat 10 Jul 09:00")],
        )
    )
    words = texts(drawing)
    assert all(a.is_dashed() for a in by_gid(drawing, "wait"))
    assert words.count("wait") == 2  # in the legend and below the lid, where it names the two
    assert words[words.index("wait", words.index("tub")) + 1] == "a, b"
    assert not [t for t in words if "CLASH" in t]
    assert (
        "a (tub, due 15 Jul) and b (tub, due 15 Jul): due at the same time, 4 cm from each other; "
        "b is soft until Sat 10 Jul 09:00" in words
    )


def test_clash_strips_are_vermilion_with_black_words():
    drawing = drawn(case([line()], [hang("a", "north", "10"), hang("b", "north", "20")], clashes=[CLASH]))
    words = [t for t in by_gid(drawing, "text-a") if t.get_text() == "CLASH"]
    assert [w.get_color() for w in words] == ["#000000"]
    assert by_gid(drawing, "clash")[1].get_color() == VERMILION


def test_the_earliest_due_is_darkest_and_the_latest_lightest():
    hangs = [hang(f"m{d}", "north", f"{10 * d}", due=date(2027, 7, 10 + d)) for d in (1, 2, 3)]
    drawing = drawn(case([line()], hangs))
    shades = [sum(tag_of(drawing, f"m{d}").get_facecolor()[:3]) for d in (1, 2, 3)]
    assert shades == sorted(shades)
    assert {"11 Jul", "12 Jul", "13 Jul"} <= set(texts(drawing))


def test_due_days_have_their_month_when_a_day_of_the_month_could_come_twice():
    near = [hang("a", "north", "10"), hang("b", "north", "30", due=date(2027, 8, 11))]  # 27 days later
    far = [hang("a", "north", "10"), hang("b", "north", "30", due=date(2027, 8, 12))]  # 28 days later
    assert "due 11" in texts(drawn(case([line()], near)))
    assert "due 12 Aug" in texts(drawn(case([line()], far)))


def test_a_prepupa_and_a_pupa_without_a_forecast_are_told_apart():
    drawing = drawn(
        case(
            [line()],
            [hang("a", "north", "10", due=None), hang("b", "north", "30", due=None)],
            pupated={"a": None},
        )
    )
    assert texts(drawing, "text-a") == ["J", "a", "prepupa"]
    assert texts(drawing, "text-b") == ["3", "Jul", "b", "due ?"]


def test_a_pupa_that_is_gone_leaves_its_spot_free():
    season, plan, spots = case(
        [line()], [hang("a", "north", "10"), hang("b", "north", "20")], clashes=[CLASH]
    )
    gone = replace(season.pupae[0], outcome="emerged")
    drawing = drawn((replace(season, pupae=(gone, season.pupae[1])), plan, spots))
    assert not by_gid(drawing, "tag-a")
    assert any("1 of 3 spots taken" in t for t in texts(drawing))
    assert not [t for t in texts(drawing) if "CLASH" in t]


def test_a_pupa_recorded_since_is_named_at_the_foot():
    season, plan, spots = case([line()], [hang("a", "north", "10"), hang("new", "north", "20")])
    words = texts(drawn((season, replace(plan, hangs=plan.hangs[:1]), spots)))
    assert words[words.index("Recorded, but not in this plan: plan again (1)") + 1] == "new"


def test_one_for_whom_there_is_no_spot_is_named_at_the_foot():
    season, plan, spots = case([Lid(name="tub", width=40, length=28, clear=True)], [hang("a", "tub", "?")])
    words = texts(drawn((season, replace(plan, left=("a",)), spots)))
    assert (
        words[words.index("Left on lids to be cleared (1): soft, darkening, or without a spot so far") + 1]
        == "a"
    )
    assert "1 stays, to be cleared" in words


def test_a_plan_of_another_season_is_refused():
    season, plan, spots = case([line()], [hang("a", "north", "10"), hang("b", "north", "20")])
    with pytest.raises(ValueError, match=r"^the plan names b, which the season does not have: plan again$"):
        sheet(replace(season, pupae=season.pupae[:1]), plan, spots)


def test_those_who_stay_on_a_lid_have_a_dot_an_id_and_their_dates():
    lids = [Lid(name="tub-2", width=40, length=28), Lid(name="tub-3", width=40, length=28)]
    drawing = drawn(case(lids, [hang("a", "tub-2", "?", x=5.0, y=20.0), hang("b", "tub-2", "?")]))
    words = texts(drawing)
    assert by_gid(drawing, "dot-a")
    assert not by_gid(drawing, "dot-b")
    assert texts(drawing, "id") == ["a"]
    assert words[words.index("a") + 1 :][:4] == ["due 15", "3 Jul", "a, b", "not measured: b"]
    assert "Nobody stays on: tub-3" in words


def test_the_list_below_a_lid_goes_by_the_day_due_then_by_number():
    dues = {"m10": 16, "m9": 16, "m2": 15, "late": None}
    hangs = [hang(p, "tub", "?", due=d and date(2027, 7, d)) for p, d in dues.items()]
    words = texts(drawn(case([Lid(name="tub", width=40, length=28)], hangs)))
    found = words[words.index("tub") + 2 :][:9]  # after the lid's name and how many stay
    assert found == ["due 15", "3 Jul", "m2", "due 16", "3 Jul", "m9, m10", "due ?", "3 Jul", "late"]


def test_a_prepupa_on_a_lid_is_not_to_be_touched():
    words = texts(
        drawn(case([Lid(name="tub", width=40, length=28)], [hang("a", "tub", "?")], pupated={"a": None}))
    )
    assert "prepupa: do not touch" in words


def test_many_waiting_pairs_on_a_lid_are_thin_dashes_and_counted_not_named():
    hangs = [hang(f"k{i}", "tub", "?", x=3.0 * i + 2, y=14.0) for i in range(12)]
    waits = [TooClose(a=f"k{i}", b=f"k{i + 1}", gap=0.0, distance=3.0) for i in range(11)]
    drawing = drawn(case([Lid(name="tub", width=40, length=28)], hangs, waiting=waits))
    few = drawn(case([Lid(name="tub", width=40, length=28)], hangs, waiting=waits[:2]))
    assert "12 of them (11 pairs), dashed above" in texts(drawing)
    assert "k0, k1, k2" in texts(few)
    thin, bold = (by_gid(d, "wait")[-1] for d in (drawing, few))
    assert thin.is_dashed()
    assert thin.get_linewidth() < bold.get_linewidth()


def test_the_foot_tells_of_30_clashes_and_8_waits_and_counts_the_rest():
    hangs = [hang(f"k{i:02}", "tub", "?") for i in range(60)]
    pairs = [TooClose(a=f"k{i:02}", b=f"k{i + 1:02}", gap=1.0, distance=3.0) for i in range(31)]
    words = texts(
        drawn(case([Lid(name="tub", width=40, length=28)], hangs, clashes=pairs, waiting=pairs[:10]))
    )
    assert sum(": due 1 day apart" in w for w in words) == 38
    assert "Clashes (31): neighbours due less than 2 days apart" in words
    assert "and 1 more, under clashes in plan.yaml" in words
    assert (
        "Must wait (10): neighbours due less than 2 days apart; one of each is soft and is moved when firm"
        in words
    )
    assert "and 2 more, under waiting in plan.yaml" in words


def test_a_place_with_nobody_is_a_line_of_words_when_others_hang():
    cork = Board(name="cork", width=10, height=10, pins_every=5, bottom=90)
    south = Line(name="south", length=50, height=150, clip_width=3)
    drawing = drawn(case([line(), line("east"), cork, south], [hang("a", "north", "20")]))
    words = texts(drawing)
    assert by_gid(drawing, "line-north")
    assert not [a for g in ("line-east", "line-south", "board-edge") for a in by_gid(drawing, g)]
    assert "line, 40 cm long, 150 cm above the floor   ·   all 3 spots free" in words
    assert "board, 10 × 10 cm, lower edge 90 cm above the floor   ·   all 4 spots free" in words
    assert any(t.endswith("   ·   nobody hangs here, sliding clips 3 cm wide") for t in words)


def test_a_rack_with_nobody_at_all_is_drawn():
    lid = Lid(name="tub", width=40, length=28)
    assert by_gid(drawn(case([line(), lid], [hang("a", "tub", "?")])), "line-north")


def test_an_origin_too_long_for_its_tag_loses_its_pointer_before_its_name():
    hangs = [hang(f"m{x}", "north", str(x), from_place="tub-14") for x in (2, 4, 6)]
    words = texts(drawn(case([line(clips_every=2, length=200), line("tub-14")], hangs)), "text-m4")
    assert words[-1] == "tub-14"


def test_forty_on_one_lid_are_all_named_at_their_dots():
    hangs = [hang(f"k{i:02}", "tub", "?", x=1.0 + i % 8 * 5, y=2.0 + i // 8 * 5) for i in range(40)]
    drawing = drawn(case([Lid(name="tub", width=40, length=28)], hangs))
    assert sorted(texts(drawing, "id")) == [f"k{i:02}" for i in range(40)]


def test_a_long_name_is_shortened_in_its_heading_and_whole_at_the_foot():
    name = "the clothes line between the porch roof and the old pear tree, second from the kitchen door, " * 2
    words = texts(drawn(case([line(name.strip())], [hang("a", name.strip(), "10")])))
    assert any(t.endswith("…") and name.startswith(t[:-1]) for t in words)
    foot = words[words.index("Names of places in full") + 1 :]
    assert " ".join(foot).startswith(name.strip())


def test_dollars_and_line_breaks_in_names_are_nothing_special():
    made = rack_map(*case([line("a$b$c")], [hang("x$1$", "a$b$c", "10")], name="2 $ a\nday $"), "pdf")
    words = pdf_text(made)
    assert "a$b$c" in words
    assert "x$1$" in words
    assert "2 $ a day $" in words


def test_a_season_without_pupae_shows_its_places():
    drawing = drawn(case([line(), Lid(name="tub", width=40, length=28)], []))
    assert any("0 of 3 spots taken" in t for t in texts(drawing))
    assert "nobody stays on them" in texts(drawing)


def test_every_page_warns_and_says_which_it_is():
    drawing = porch_drawn()
    for number, figure in enumerate(drawing, start=1):
        words = texts([figure])
        assert "Never move one that is soft or darkening." in words
        assert f"plan of 9 Jul   ·   page {number} of {len(drawing)}" in words


def test_every_taken_spot_has_its_number():
    drawing = porch_drawn()
    numbers = texts(drawing, "number")
    season, plan, _ = porch()
    spots = [h.spot for h in plan.hangs if season.place[h.place].kind == "line"]
    assert all(s in numbers for s in spots)


def test_who_waits_on_its_lid_is_told_and_is_not_one_without_a_spot():
    season, plan, at = case(
        [line(), Lid(name="tub", width=40, length=28, clear=True)],
        [hang("a", "north", "10"), hang("b", "tub", "?")],
    )
    waits = (Waits(pupa="b", until=plan.on + timedelta(days=1)),)
    words = texts(drawn((season, replace(plan, waits=waits, left=("b",)), at)))
    start = words.index("Left on their lids for now (1): plan again on the evening for which they wait")
    assert words[start + 1] == "b"
    assert not any("without a spot so far" in text for text in words)


def test_who_stays_for_want_of_an_order_is_told_with_the_reason():
    season, plan, at = case([line()], [hang("a", "north", "10"), hang("b", "north", "20")])
    why = "would change places with b, and no spot is free to park one of them"
    words = texts(drawn((season, replace(plan, stuck=(Stuck(pupa="a", why=why),)), at)))
    start = words.index("Stay, though another spot was planned (1)")
    assert words[start + 1] == f"a: {why}"
    assert not any("want of an order" in text for text in texts(drawn((season, plan, at))))
