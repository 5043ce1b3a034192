"""The lid sheet, read back from its PDF."""

from dataclasses import replace
from datetime import datetime

import pytest
from draw_world import PT_PER_MM, case, hang, line, pdf, pdf_text

from planner.draw.sheets.lid_page import lid_pages
from planner.draw.sheets.lid_sheet import lid_sheet
from planner.season.places import Lid
from planner.season.plan.plan_record import Move

TUB = Lid(name="tub-2", width=40, length=28)


def move(step, pupa, **more):
    return Move(
        **{
            "step": step, "pupa": pupa, "from_place": "tub-2", "from_spot": "?", "to_place": "north",
            "to_spot": "10", "not_before": datetime(2027, 7, 9), "not_after": datetime(2027, 7, 14), **more,
        }
    )  # fmt: skip


def lid(at, moves=(), tub=TUB):
    """A season with pupae on one lid, and a plan that moves some of them."""
    season, plan, _ = case([line(), tub], [hang(p, "tub-2", "?") for p in at])
    pupae = tuple(replace(p, x=at[p.id][0], y=at[p.id][1]) for p in season.pupae)
    return replace(season, pupae=pupae), replace(plan, moves=tuple(moves))


def test_who_goes_is_listed_in_the_order_of_moves_with_where_to_and_who_stays():
    season, plan = lid({"a": (5, 5), "b": (15, 5), "c": (25, 5)}, [move(2, "a", to_spot="20"), move(1, "c")])
    rows = pdf_text(lid_sheet(season, plan, "pdf")).splitlines()
    text = " ".join(rows)
    assert text.index("c 3 Jul → north 10 cm") < text.index("a 3 Jul → north 20 cm")
    assert "2 go, 1 stays" in text
    assert "stay where they are: b" in text


def test_steps_of_earlier_sheets_that_no_longer_hold_stand_below_the_title():
    season, plan = lid({"a": (5, 5)}, [move(6, "a")])
    rows = pdf_text(lid_sheet(season, replace(plan, void=(2, 3, 4, 9)), "pdf")).splitlines()
    assert rows[2] == "On lists printed before, steps 2 to 4, 9 are void."
    assert "void" not in pdf_text(lid_sheet(season, plan, "pdf"))


def test_the_lid_is_to_scale_and_a_pupa_is_where_it_was_measured():
    # A4 less 2 × 12 mm: 186 mm for 400 mm is 1 : 2.15, so 1 : 2.5: 160 × 112 mm; x 5 cm is 20 mm from the
    # left edge at 12 mm, y 7 cm is 28 mm above the lower edge
    season, plan = lid({"a": (5, 7)}, [move(1, "a")])
    with pdf(lid_sheet(season, plan, "pdf")) as file:
        page = file.pages[0]
        frame = max(page.rects, key=lambda r: r["width"] * r["height"] if r["linewidth"] else 0)
        dot = next(c for c in page.curves if c["linewidth"] == pytest.approx(1.2))
    assert frame["width"] / PT_PER_MM == pytest.approx(160, abs=0.1)
    assert frame["height"] / PT_PER_MM == pytest.approx(112, abs=0.1)
    assert (dot["x0"] + dot["x1"]) / 2 / PT_PER_MM == pytest.approx(12 + 20, abs=0.1)
    assert (frame["bottom"] - (dot["top"] + dot["bottom"]) / 2) / PT_PER_MM == pytest.approx(28, abs=0.1)


def test_everything_that_matters_is_in_type_for_arms_length():
    season, plan = lid({"a": (5, 5), "b": (15, 5)}, [move(1, "a")])
    with pdf(lid_sheet(season, plan, "pdf")) as file:
        page = file.pages[0]
        words = page.extract_words(extra_attrs=["size"])
        foot = page.height - 20 * PT_PER_MM
    assert (
        min(w["size"] for w in words if w["text"] in ("1", "a", "b", "north", "→") and w["top"] < foot) >= 12
    )
    assert min(w["size"] for w in words) >= 9


def test_every_number_of_a_crowded_lid_stays_apart_from_the_others_and_on_the_paper():
    # 100 pupae, 2.5 cm from each other: 10 mm on paper
    at = {f"p{i:02}": (2 + 2.5 * (i % 14), 2 + 2.5 * (i // 14)) for i in range(100)}
    season, plan = lid(at, [move(i + 1, p) for i, p in enumerate(at)])
    with pdf(lid_sheet(season, plan, "pdf")) as file:
        page = file.pages[0]
        frame = max(page.rects, key=lambda r: r["width"] * r["height"] if r["linewidth"] else 0)
        inside = page.crop((0, frame["top"] - 12, page.width, frame["bottom"] + 12))
        numbers = [w["text"] for w in inside.extract_words() if w["text"].isdecimal()]
        assert sorted(map(int, numbers)) == list(range(1, 101))
        assert len(file.pages) > 1
        for one in file.pages:
            assert all(w["x0"] >= 0 and w["x1"] <= one.width - 12 * PT_PER_MM for w in one.extract_words())


def test_one_that_is_not_firm_yet_says_from_when_it_may_be_moved():
    season, plan = lid({"a": (5, 5)}, [move(1, "a", not_before=datetime(2027, 7, 10, 9, 30))])
    assert "not before 10 Jul 09:30" in pdf_text(lid_sheet(season, plan, "pdf"))


def test_one_parked_on_the_way_shows_its_first_step():
    steps = [move(1, "a", to_spot="30"), move(2, "a", from_place="north", from_spot="30")]
    season, plan = lid({"a": (5, 5)}, steps)
    text = pdf_text(lid_sheet(season, plan, "pdf"))
    assert "north 30 cm" in text
    assert "north 10 cm" not in text


def test_a_lid_with_nobody_on_it_is_left_out_and_none_at_all_is_refused():
    season, plan, _ = case([line(), TUB], [hang("a", "north", "10")])
    with pytest.raises(ValueError, match=r"^nobody is on a lid$"):
        lid_sheet(season, plan, "pdf")


def test_those_not_measured_are_named():
    season, plan = lid({"a": (5, 5), "b": (None, None)})
    assert "not measured, so not in the picture: b" in pdf_text(lid_sheet(season, plan, "pdf"))


@pytest.mark.parametrize(("fmt", "begins"), [("png", b"\x89PNG"), ("svg", b"<?xml")])
def test_it_is_a_picture_too(fmt, begins):
    season, plan = lid({"a": (5, 5)}, [move(1, "a")])
    assert lid_sheet(season, plan, fmt).startswith(begins)


def test_letter_is_letter():
    season, plan = lid({"a": (5, 5)}, [move(1, "a")])
    with pdf(lid_sheet(season, plan, "pdf", "Letter")) as file:
        assert file.pages[0].width / PT_PER_MM == pytest.approx(215.9, abs=0.1)


def test_a_mark_at_an_edge_keeps_within_the_lid():
    at = {"aaaaaa": (0.5, 14), "bbbbbb": (39.5, 14), "cccccc": (20, 0.5), "dddddd": (20, 27.5)}
    (one,) = lid_pages(*lid(at), room=186)
    boxes = [room for _, _, room in one.marks.values()]
    wide, high = one.size
    assert len(boxes) == 4
    assert all(b[0] >= 0 and b[1] >= 0 and b[2] <= wide and b[3] <= high for b in boxes)


def test_a_lid_nobody_leaves_is_drawn_small():
    lids = (TUB, replace(TUB, name="tub-3"))
    season, plan, _ = case([line(), *lids], [hang("a", "tub-2", "?"), hang("b", "tub-3", "?")])
    plan = replace(plan, moves=(move(1, "a"),))
    first, second = lid_pages(season, plan, room=186)
    # 280 mm on at most 150 mm is 1 : 2.5 for the width of 400 mm on 186; on at most 85 mm it is 1 : 4
    assert [(p.lid.name, p.n) for p in (first, second)] == [("tub-2", 2.5), ("tub-3", 4.0)]
