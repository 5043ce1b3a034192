"""Newcomers tapped on a lid: drawn to scale, or on a photo at an angle, which never leaves the phone."""

import io
import json
import math

import numpy as np
import pytest
from conftest import DESKTOP, PHONE, go, load, new_tab
from page_world import NOW, pupa, season
from PIL import Image, ImageDraw
from test_page_events import kept, slip, world

from planner.follow.day import Day
from planner.report.page.data import PageData
from planner.season import Lid

WIDTH, LENGTH = 40.0, 28.0  # of the lid, cm
# A lid seen at an angle, near left, near right, far right, far left; px of a photo of 1600 x 1200.
CORNERS = ((180.0, 1020.0), (1440.0, 1100.0), (1230.0, 260.0), (420.0, 190.0))
SPOTS = ((6.0, 4.0), (33.5, 5.0), (20.0, 14.0), (9.0, 24.0), (36.0, 26.0))


def lens(corners=CORNERS, square=(WIDTH, LENGTH)):
    """The projective map of the lid (cm) to the photo (px), by eight linear equations: a second way to it."""
    rows, known = [], []
    wide, long = square
    for (x, y), (u, v) in zip(((0, 0), (wide, 0), (wide, long), (0, long)), corners, strict=True):
        rows += [[x, y, 1, 0, 0, 0, -u * x, -u * y], [0, 0, 0, x, y, 1, -v * x, -v * y]]
        known += [u, v]
    found = np.append(np.linalg.solve(np.array(rows), np.array(known)), 1).reshape(3, 3)

    def at(point):
        u, v, w = found @ (*point, 1)
        return u / w, v / w

    return at


def photo(size=(1600, 1200), scale=1):
    """The lid on a table, five chrysalises on it."""
    image = Image.new("RGB", size, "#8a7a66")
    draw, at = ImageDraw.Draw(image), lens(tuple((x * scale, y * scale) for x, y in CORNERS))
    draw.polygon([(x * scale, y * scale) for x, y in CORNERS], fill="#e9efe9")
    for spot in SPOTS:
        u, v = at(spot)
        draw.ellipse((u - 12 * scale, v - 16 * scale, u + 12 * scale, v + 16 * scale), fill="#4c8a3a")
    file = io.BytesIO()
    image.save(file, "JPEG", quality=80)
    return {"name": "lid.jpg", "mimeType": "image/jpeg", "buffer": file.getvalue()}


def open_lid(tab, name="tub-2"):
    go(tab, "record")
    tab.locator("#lids").get_by_role("button", name=name).click()


def put(tab, picture):
    """Choose a photo, and how its pixels lie on the screen: scale and left upper corner."""
    words = tab.locator("#lid-words")
    tab.set_input_files("#lid-photo", picture)
    words.get_by_text("Tap the lid's corners: 4 more.").wait_for()
    box = tab.locator("#lid-canvas").bounding_box()
    return box


def on_screen(box, size, at):
    """Where a pixel of a photo is once it is fitted into the canvas with a margin of 24 px."""
    scale = min((box["width"] - 48) / size[0], (box["height"] - 48) / size[1])
    left = box["x"] + (box["width"] - size[0] * scale) / 2
    top = box["y"] + (box["height"] - size[1] * scale) / 2
    return left + at[0] * scale, top + at[1] * scale


def tap(tab, at):
    tab.touchscreen.tap(*at) if tab.evaluate("navigator.maxTouchPoints") else tab.mouse.click(*at)


def points(tab):
    return [(float(e["x"]), float(e["y"])) for e in kept(tab) if e["kind"] == "recorded" and "x" in e]


@pytest.mark.parametrize("window", [PHONE, DESKTOP], ids=["phone", "desktop"])
def test_positions_from_a_photo_at_an_angle_are_within_three_millimetres(opened, window):
    tab = opened("photo", window, data=world(()))
    open_lid(tab)
    box = put(tab, photo())
    for corner in (CORNERS[2], CORNERS[0], CORNERS[3], CORNERS[1]):  # in any order
        tap(tab, on_screen(box, (1600, 1200), corner))
    at = lens()
    for spot in SPOTS:
        tap(tab, on_screen(box, (1600, 1200), at(spot)))
    found = points(tab)
    assert len(found) == len(SPOTS)
    assert max(math.dist(a, b) for a, b in zip(found, SPOTS, strict=True)) < 0.3


def test_a_photo_that_is_turned_or_taken_from_below_is_put_right(opened):
    tab = opened("turned", data=world(()))
    open_lid(tab)
    box = put(tab, photo())
    for corner in CORNERS:
        tap(tab, on_screen(box, (1600, 1200), corner))
    at = lens()
    tab.get_by_role("button", name="From below").click()  # then x runs from right to left
    tap(tab, on_screen(box, (1600, 1200), at((6.0, 4.0))))
    assert math.dist(points(tab)[-1], (34.0, 4.0)) < 0.3
    tab.get_by_role("button", name="From below").click()
    for _ in range(2):  # half round: near is far, left is right
        tab.get_by_role("button", name="Turn").click()
    tap(tab, on_screen(box, (1600, 1200), at((20.0, 20.0))))
    assert math.dist(points(tab)[-1], (20.0, 8.0)) < 0.3


def test_four_taps_that_are_no_corners_are_told_and_taken_back(opened):
    tab = opened("corners", data=world(()))
    open_lid(tab)
    box = put(tab, photo())
    for corner in (CORNERS[0], CORNERS[1], CORNERS[2], (900.0, 800.0)):  # the last within the others
        tap(tab, on_screen(box, (1600, 1200), corner))
    assert tab.inner_text("#lid-words") == "These are no four corners of a lid: drag them, or Undo."
    tab.click("#lid-undo")
    tap(tab, on_screen(box, (1600, 1200), CORNERS[3]))
    tap(tab, on_screen(box, (1600, 1200), lens()((20.0, 14.0))))
    assert math.dist(points(tab)[0], (20.0, 14.0)) < 0.3


def test_a_photo_of_fifty_megapixels_is_scaled_down_first(opened):
    tab = opened("large", data=world(()))
    open_lid(tab)
    box = put(tab, photo((8160, 6120), 5.1))
    for corner in CORNERS:
        tap(tab, on_screen(box, (1600, 1200), corner))
    tap(tab, on_screen(box, (1600, 1200), lens()((20.0, 14.0))))
    assert math.dist(points(tab)[0], (20.0, 14.0)) < 0.3


def test_a_round_lid_is_tapped_within_its_rim_also_on_a_photo_whose_four_ends_are_tapped(opened):
    cup = Lid(name="cup", width=9, length=9, circular=True)
    found = season(pupa("m1", "2027-07-01", "cup", x=4.5, y=4.5), places=(cup,))
    tab = opened("round", data=PageData(Day(found, NOW)))
    open_lid(tab, "cup")
    box = tab.locator("#lid-canvas").bounding_box()
    for x, y in ((2.0, 3.0), (8.5, 8.5)):  # the second is beyond the rim
        tap(tab, on_screen(box, (180, 180), (x * 20, (9 - y) * 20)))
    tab.fill("#lid-point", "8.5, 0.5")
    tab.get_by_role("button", name="Add one").click()
    assert tab.inner_text("#lid-words") == "'8.5, 0.5' is no point of this lid: write x,y, up to 9,9 cm."
    tab.set_input_files("#lid-photo", photo())
    tab.get_by_text("Tap the lid's rim, near, right, far and left: 4 more.").wait_for()
    at = lens(square=(9.0, 9.0))
    box = tab.locator("#lid-canvas").bounding_box()
    for end in ((4.5, 9.0), (9.0, 4.5), (0.0, 4.5), (4.5, 0.0)):  # in any order
        tap(tab, on_screen(box, (1600, 1200), at(end)))
    for spot in ((6.5, 7.0), (7.0, 2.0), (8.9, 8.9)):
        tap(tab, on_screen(box, (1600, 1200), at(spot)))
    found = points(tab)
    expected = ((2.0, 3.0), (6.5, 7.0), (7.0, 2.0))
    assert len(found) == len(expected)
    assert max(math.dist(a, b) for a, b in zip(found, expected, strict=True)) < 0.3


def test_what_is_no_picture_is_told(opened):
    tab = opened("no picture", data=world(()))
    open_lid(tab)
    tab.set_input_files("#lid-photo", {"name": "lid.jpg", "mimeType": "image/jpeg", "buffer": b"no picture"})
    tab.get_by_text("This is no picture that the browser can show.").wait_for()


def lid_on_screen(tab, point):
    """A point of the empty lid, which is drawn 20 px for a centimetre and fitted likewise."""
    box = tab.locator("#lid-canvas").bounding_box()
    return on_screen(box, (WIDTH * 20, LENGTH * 20), (point[0] * 20, (LENGTH - point[1]) * 20))


def test_without_a_photo_the_empty_lid_is_tapped_and_those_on_record_are_not_recorded_twice(opened):
    tab = opened("empty", data=world(()))  # m1 hangs at 5,5 and m2 at 9,5
    open_lid(tab)
    tap(tab, lid_on_screen(tab, (30.0, 20.0)))
    tap(tab, lid_on_screen(tab, (5.3, 5.2)))
    assert tab.inner_text("#lid-words") == "m1 is on record there."
    assert len(points(tab)) == 1
    assert math.dist(points(tab)[0], (30.0, 20.0)) < 0.3


def test_a_day_is_chosen_for_the_next_taps_and_for_one_tapped_before(opened):
    tab = opened("days", data=world(()))
    open_lid(tab)
    tab.locator("#lid-days").get_by_text("Sat 3 Jul").click()
    tap(tab, lid_on_screen(tab, (30.0, 20.0)))
    tab.locator("#lid-days").get_by_text("Today").click()
    tap(tab, lid_on_screen(tab, (20.0, 20.0)))
    tab.locator("#lid-days").get_by_role("button", name="J", exact=True).click()
    tab.get_by_role("button", name="Add one").click()
    assert [e.get("pupated") for e in kept(tab)] == ["2027-07-03", "2027-07-05", None]
    tap(tab, lid_on_screen(tab, (30.0, 20.0)))  # chosen, and given another day
    tab.locator("#lid-days").get_by_text("Sun 4 Jul").click()
    assert sorted(e.get("pupated") or "J" for e in kept(tab)) == ["2027-07-04", "2027-07-05", "J"]


def test_with_keys_alone_points_are_typed(opened):
    tab = opened("typed", DESKTOP, data=world(()))
    open_lid(tab)
    tab.locator("#lid-point").focus()
    for text in ("30,20", "12.5, 8", "50,20", "here"):
        tab.keyboard.press("Control+a")
        tab.keyboard.type(text)
        tab.keyboard.press("Enter")
    assert points(tab) == [(30.0, 20.0), (12.5, 8.0)]
    assert tab.inner_text("#lid-words") == "'here' is no point of this lid: write x,y, up to 40,28 cm."


def test_a_tap_is_dragged_undone_and_kept_over_a_reload(opened):
    tab = opened("dragged", DESKTOP, data=world(()))
    open_lid(tab)
    tap(tab, lid_on_screen(tab, (30.0, 20.0)))
    tab.mouse.move(*lid_on_screen(tab, (30.0, 20.0)))
    tab.mouse.down()
    tab.mouse.move(*lid_on_screen(tab, (20.0, 10.0)), steps=4)
    tab.mouse.up()
    assert math.dist(points(tab)[0], (20.0, 10.0)) < 0.3
    tap(tab, lid_on_screen(tab, (12.0, 20.0)))
    tab.click("#lid-undo")
    load(tab)
    assert len(points(tab)) == 1


def test_larger_and_smaller_keep_the_points_where_they_are(opened):
    tab = opened("zoomed", DESKTOP, data=world(()))
    open_lid(tab)
    middle = tab.locator("#lid-canvas").bounding_box()
    middle = middle["x"] + middle["width"] / 2, middle["y"] + middle["height"] / 2
    for _ in range(3):
        tab.click("#lid-in")
    tap(tab, middle)
    tab.mouse.move(*middle)
    tab.mouse.wheel(0, -300)
    assert math.dist(points(tab)[0], (WIDTH / 2, LENGTH / 2)) < 0.1


def test_two_fingers_make_it_larger_and_record_nobody(opened):
    tab = opened(
        "pinched", PHONE, data=world(()), locale="en-GB"
    )  # of its own: it speaks with the browser itself
    open_lid(tab)
    box = tab.locator("#lid-canvas").bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    fingers = tab.context.new_cdp_session(tab)

    def touch(kind, *apart):
        points = [{"x": x + d, "y": y, "id": i} for i, d in enumerate(apart)]
        fingers.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})

    touch("touchStart", -20, 20)
    for far in (30, 50, 80):
        touch("touchMove", -far, far)
    touch("touchEnd")
    assert points(tab) == []
    tap(
        tab, (x + 80, y)
    )  # before the pinch, which made it four times as large, this was 20 px from the middle
    before = 20 / ((box["width"] - 48) / WIDTH)  # cm
    assert points(tab)[0][0] == pytest.approx(WIDTH / 2 + before, abs=0.6)


def test_newcomers_come_out_in_the_slip(opened):
    tab = opened("newcomers", data=world(()))
    open_lid(tab)
    tap(tab, lid_on_screen(tab, (30.0, 20.0)))
    tab.click("#lid-close")
    (event,) = slip(tab).events
    assert (event.newcomer.lid, str(event.newcomer.pupated)) == ("tub-2", "2027-07-05")
    assert math.dist(event.newcomer.point, (30.0, 20.0)) < 0.3


def test_every_button_of_the_lid_fits_a_narrow_phone(browser, file_of):
    wrong = []
    tab = new_tab(browser, wrong, {"viewport": {"width": 320, "height": 568}})
    file, data = file_of("empty", world(()))
    tab.clock.set_fixed_time(data.day.now)
    tab.goto(file.as_uri())
    open_lid(tab)
    assert tab.evaluate("document.getElementById('lid').scrollWidth - innerWidth") <= 0
    assert tab.locator("#lid-canvas").bounding_box()["height"] >= 170
    assert tab.locator("#lid-typed").bounding_box()["y"] < 568
    assert json.dumps(wrong) == "[]"
    tab.context.close()
