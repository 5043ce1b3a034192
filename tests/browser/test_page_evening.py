"""An evening lived on the phone, offline from first to last, and taken from its slip."""

import shutil
from datetime import datetime
from pathlib import Path

from cli_world import call
from conftest import PHONE, go, new_tab
from test_page_events import told
from test_page_lid import lid_on_screen, open_lid, tap

from planner.report.texts.sheet import SCREEN
from planner.season.pupae import table

PORCH = Path(__file__).parents[2] / "examples" / "porch"
EVENING = "2027-07-12T21:00"
# Seconds to think of what is next, to point at it, to press, and for a letter, of a typist of 40 words a
# minute: Card, Moran and Newell 1980, The keystroke-level model, Communications of the ACM 23 (7), 396-410.
THINK, POINT, PRESS, LETTER = 1.35, 1.1, 0.2, 0.28
NEWCOMERS = ((30.0, 20.0), (33.0, 22.0), (36.0, 18.0), (31.0, 15.0), (27.0, 23.0))


def page(folder):
    assert call("page", "porch", "--on", EVENING).code == 0
    return (folder / "porch" / "out" / "page.html").as_uri()


def test_an_evening_of_five_newcomers_six_moves_and_two_looks_is_recorded_by_one_slip(
    browser, tmp_path, monkeypatch
):
    monkeypatch.chdir(tmp_path)
    shutil.copytree(PORCH, "porch", ignore=shutil.ignore_patterns("out", "plan.yaml", ".*"))
    assert call("plan", "porch", "--seconds", "1", "--on", EVENING).code in (0, 4)
    wrong, taps = [], 0
    tab = new_tab(browser, wrong, PHONE, offline=True)
    tab.clock.set_fixed_time(datetime.fromisoformat(EVENING))
    tab.goto(page(tmp_path))

    open_lid(tab, "tub-2")  # go to Record, choose the lid
    for spot in NEWCOMERS:
        tap(tab, lid_on_screen(tab, spot))
    tab.click("#lid-close")
    taps += 2 + len(NEWCOMERS) + 1
    go(tab, "moves")
    names = []
    for k in range(6):
        row = tab.locator(".moves .row").nth(k)
        names.append(row.locator(".id").inner_text())
        row.locator("input").click()
    taps += 1 + len(names)
    go(tab, "day")
    looks = tab.locator(".due .row")
    seen = []
    for k in range(2):
        seen.append(looks.nth(k).locator(".id").inner_text())
        looks.nth(k).get_by_label("dark").click()
    taps += 1 + len(seen)
    assert len(told(tab)) == 5 + 6 + 2
    with tab.expect_download() as saved:
        tab.get_by_role("button", name="Save the slip").click()
    taps += 2
    assert taps == 20  # told in docs/page.md, with the letters below
    saved.value.save_as("slip.txt")

    said = call("take", "slip.txt", "porch", "--on", EVENING)
    assert (said.code, said.err) == (0, "")
    assert len(said.out.splitlines()) <= SCREEN
    typed = (
        f"hangplan add tub-2 {' '.join(f'{x:g},{y:g}' for x, y in NEWCOMERS)} porch",
        f"hangplan done {' '.join(names)} porch",
        f"hangplan mark {' '.join(seen)} darkening porch",
    )
    letters, words = sum(len(line) + 1 for line in typed), sum(len(line.split()) for line in typed)
    assert letters == 132
    assert round(taps * (THINK + POINT + PRESS)) == 53
    assert round(words * THINK + letters * LETTER) == 69
    data = table.read_table(Path("porch/pupae.csv").read_bytes())
    rows = {data.text(row, "id"): row for row in data.records()}
    assert len(rows) == 35 + 5
    assert all(data.text(rows[name], "hung") == EVENING for name in names)
    assert all(data.text(rows[name], "darkening") == EVENING for name in seen)
    assert call("today", "porch", "--on", EVENING).code == 0

    tab.goto(page(tmp_path))
    assert told(tab) == []
    go(tab, "record")
    open_lid(tab, "tub-2")
    assert tab.locator("#lid-canvas").get_attribute("aria-label").endswith("0 newcomers")
    assert wrong == []
    tab.context.close()


def test_the_page_of_35_pupae_is_less_than_200_kilobytes(file_of):
    assert file_of("35")[0].stat().st_size < 200_000
