"""An evening lived through ``serve``: recorded as it is written down, with a spell without the network."""

import json
import signal
import subprocess
import sys
import urllib.error
import urllib.request
from contextlib import contextmanager
from datetime import datetime

import pytest
from cli_world import call
from conftest import PHONE, go, new_tab
from serve_world import event, write_season
from test_page_access import findings
from test_page_lid import lid_on_screen, open_lid, tap

from planner.record.slip import packed
from planner.season.pupae import table

MORNING = "2027-07-10T08:00"  # m1 is due tomorrow; m2 may be moved until noon, m3 until Monday
CALL = """
import signal
signal.signal(signal.SIGINT, signal.default_int_handler)
from planner.cli import main
main()
"""


@contextmanager
def served(folder):
    """The season served by a process of its own; the link that lets a browser in once."""
    words = ["serve", str(folder), "--no-browser", "--json", "--on", MORNING]
    with subprocess.Popen(
        [sys.executable, "-c", CALL, *words], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
    ) as server:
        lines = iter(server.stdout.readline, "}\n")
        try:
            yield json.loads("".join(lines) + "}")["open"]
        finally:  # also where a test fails, which else would wait for it forever
            server.send_signal(signal.SIGINT)
        out, err = server.communicate(timeout=30)
    assert (server.returncode, out) == (0, "")
    assert err == "ended: what was recorded is in the season; phones keep what they have not sent\n"


def rows(folder):
    return table.texts((folder / "pupae.csv").read_bytes())


def status(tab, words):
    tab.wait_for_function("words => document.getElementById('live').textContent.startsWith(words)", arg=words)


def steps(tab, expected):
    """Wait until the page asks for these moves, and no others."""
    tab.wait_for_function(
        """names => names ===
          [...document.querySelectorAll('.moves .row .id')].map((n) => n.textContent).join()""",
        arg=",".join(expected),
    )


def test_an_evening_is_recorded_as_it_is_lived_and_what_is_written_offline_later(
    browser, tmp_path, monkeypatch
):
    monkeypatch.chdir(tmp_path)
    folder, wrong = write_season(tmp_path / "porch"), []
    with served(folder) as link:
        origin = link.split("/open/")[0]
        tab = new_tab(browser, wrong, PHONE, own=(f"{origin}/", "blob:"))
        tab.clock.set_fixed_time(datetime.fromisoformat(MORNING))
        tab.goto(link)
        assert tab.url == f"{origin}/season/porch/"
        status(tab, "All is recorded.")
        assert findings(tab) == []

        go(tab, "moves")
        steps(tab, ["m2", "m3"])
        tab.locator(".moves .row input").first.click()
        steps(tab, ["m3"])
        assert tab.evaluate("document.body.dataset.part") == "moves"  # made anew, and where it was
        assert rows(folder)["m2"]["place"] == "north"
        assert findings(tab, where="#moves") == []

        tab.context.set_offline(True)
        go(tab, "day")
        tab.locator(".due .row", has_text="m1").get_by_label("dark").click()
        go(tab, "record")
        open_lid(tab, "tub-2")
        tap(tab, lid_on_screen(tab, (30.0, 20.0)))
        tab.click("#lid-close")
        status(tab, "The computer does not answer: 2 events wait on this device.")
        assert len(rows(folder)) == 3

        tab.context.set_offline(False)
        status(tab, "All is recorded.")
        assert rows(folder)["m1"]["darkening"] == MORNING
        new = rows(folder)["m4"]
        assert (new["place"], new["pupated"]) == ("tub-2", "2027-07-10")
        assert abs(float(new["x"]) - 30) < 0.3
        assert abs(float(new["y"]) - 20) < 0.3

        go(tab, "record")  # a slip of the page that another phone took along as a file
        slip = packed(
            "", "Porch", "phone1", [event(k, "noted", pupa=f"m{3 * k}", note="seen") for k in (1, 2)]
        )
        tab.set_input_files(
            "#slip-in", {"name": "slip.txt", "mimeType": "text/plain", "buffer": slip.encode()}
        )
        tab.get_by_text(
            "1 event recorded. Not recorded: Phone phone1, Mon 5 Jul 07:00: there is no pupa 'm6'."
        ).wait_for()
        assert findings(tab, where="#record") == []
        assert rows(folder)["m3"]["note"] == "seen"

        assert call("done", "m3", "porch", "--on", MORNING).code == 0  # at the terminal meanwhile
        tab.evaluate("dispatchEvent(new Event('online'))")  # else it looks some seconds later
        steps(tab, [])
        assert not tab.locator(".untaken").count()
        tab.context.close()
    assert [text for text in wrong if "ERR_INTERNET_DISCONNECTED" not in text] == []


def test_a_stranger_on_this_computer_is_not_let_in_and_a_foreign_name_is_not_answered(tmp_path):
    with served(tmp_path) as link:
        address = f"{link.split('/open/')[0]}/season/porch/"
        for headers, code in (({}, 401), ({"Host": "evil.example"}, 421)):
            with pytest.raises(urllib.error.HTTPError) as refused:
                urllib.request.urlopen(urllib.request.Request(address, headers=headers), timeout=10)
            assert refused.value.code == code
            assert refused.value.headers["Server"] is None
            refused.value.close()


TO_SCREEN = """([x, y]) => { const svg = document.getElementById('wall');
  const p = new DOMPoint(x, 200 - y).matrixTransform(svg.getScreenCTM()); return [p.x, p.y]; }"""
MEASURES = """() => Object.fromEntries([...document.querySelectorAll('#places > div')].map((row) => [
  row.getAttribute('aria-label'),
  [...row.querySelectorAll('[data-key]')].map((one) => Number(one.value))]))"""


def draw(tab, start, end):
    """Drag on the wall of 200 x 200 cm: from there to there, cm from the left and above the floor."""
    tab.locator("#wall").scroll_into_view_if_needed()
    tab.mouse.move(*tab.evaluate(TO_SCREEN, start))
    tab.mouse.down()
    tab.mouse.move(*tab.evaluate(TO_SCREEN, end), steps=2)
    tab.mouse.up()


def test_a_season_is_begun_in_the_browser_and_its_page_opens(browser, tmp_path):
    wrong = []
    with served(tmp_path) as link:
        origin = link.split("/open/")[0]
        tab = new_tab(browser, wrong, PHONE, own=(f"{origin}/", "blob:"), color_scheme="dark")
        tab.goto(link)
        assert tab.url == f"{origin}/"
        assert findings(tab) == []
        tab.fill("[name=name]", "Porch")
        draw(tab, (30, 150), (150, 149))  # nearly flat: a line
        draw(tab, (40, 130), (100, 90))
        draw(tab, (20, -20), (60, -45))  # below the floor: a lid
        draw(tab, (70, 110), (80, 100))  # who is dragged within goes with the finger: 10 right, 10 down
        draw(tab, (110, 120), (130, 140))  # the corner of the one chosen: 20 wider, 20 higher
        tab.get_by_role("button", name="Add a line").click()
        fields = tab.locator("#places > div")
        drawn = {"line-1": [120, 30, 150], "board-1": [80, 60, 50, 80], "tub-1": [40, 25]}
        tab.get_by_role("button", name="Add a round lid").click()
        assert tab.evaluate(MEASURES) == {**drawn, "line-2": [120, 20, 130], "tub-2": [9]}
        assert findings(tab, where="#drawing") == []
        fields.nth(0).get_by_label("Length").fill("115.5")
        tab.get_by_text("line-1  115.5 cm").wait_for()  # the drawing follows
        fields.nth(3).get_by_label("Length").fill("long")
        tab.get_by_role("button", name="Begin").click()
        tab.get_by_text("Of line-2 type its length, such as 40.").wait_for()
        assert list(tmp_path.iterdir()) == []
        fields.nth(3).get_by_role("button", name="Remove").click()
        tab.get_by_role("button", name="Begin").click()
        tab.wait_for_url(f"{origin}/season/porch/")
        status(tab, "All is recorded.")
        text = (tmp_path / "porch" / "season.yaml").read_text()
        assert "  - {line: line-1, length: 115.5, left: 30, height: 150, clip_width: 3}\n" in text
        assert (
            "  - {board: board-1, width: 80, height: 60, left: 50, pins_every: 5, pattern: staggered, "
            in text
        )
        assert "  - {lid: tub-1, width: 40, length: 25}\n" in text
        assert "  - {lid: tub-2, diameter: 9}\n" in text
        tab.context.close()
    assert [text for text in wrong if "409" not in text] == []
