"""``page``: one file for a phone beside the rack.

With ``--json``: ``{"files": [path], "days": [first, last], "pupae": number, "moves": number, "notes": [text,
...], "problems": []}``.
"""

from __future__ import annotations

from pathlib import Path

from planner.cli.shell.options import (
    Json,
    On,
    Output,
    SeasonFolder,
    check_on,
    moment,
    output_file,
    still_there,
)
from planner.cli.shell.season_files import open_season
from planner.cli.shell.talk import command


@command
def page(
    folder: SeasonFolder = Path(), output: Output = None, on: On = None, json_form: Json = False
) -> None:
    """Write one page for a phone: the rack, day by day.

    Example: hangplan page porch -o porch.html

    More: hangplan page; hangplan page --on 2027-07-14 (from that day on).

    Send the file to your phone and open it there; it needs no network. Boxes you tick stay in the phone's
    browser: the page shows the lines that record them. Make it again after each change. Without -o it is
    out/page.html in the season's folder. Next: hangplan done or hangplan mark.
    """
    check_on(on)
    path, _ = output_file(output, folder / "out" / "page.html", ("html",))
    season = open_season(folder)
    now = moment(on, season)

    from planner.cli.answers.page import answer

    answer(season, now, still_there(on, now, season), path, json_form=json_form)
