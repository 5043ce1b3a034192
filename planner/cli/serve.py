"""``serve``: a season in the browser, of this computer and of the phones that were paired with it.

With ``--json``, once it listens: ``{"url": address on this computer, "open": link that lets a browser in
once, "lan": address for phones or null, "code": six figures or null, "problems": []}``; with ``--devices`` or
``--forget``: ``{"devices": [{"name", "since"}, ...], "problems": []}``.
"""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from planner.cli.shell.options import Json, On, SeasonFolder, check_on, this_year
from planner.cli.shell.season_files import require_season
from planner.cli.shell.talk import command, usage


@command
def serve(
    folder: SeasonFolder = Path(),
    lan: Annotated[bool, typer.Option("--lan", help="Let phones on your network in, once paired.")] = False,
    port: Annotated[
        int | None,
        typer.Option(metavar="N", help="Listen there.", show_default="as last time, or a free one"),
    ] = None,
    no_browser: Annotated[bool, typer.Option("--no-browser", help="Open no browser here.")] = False,
    devices: Annotated[bool, typer.Option("--devices", help="List the phones that are paired.")] = False,
    forget: Annotated[
        str | None, typer.Option("--forget", metavar="NAME", help="Remove a phone.", show_default=False)
    ] = None,
    on: On = None,
    json_form: Json = False,
) -> None:
    """Open a season in the browser; with --lan on phones too.

    Example: hangplan serve porch

    More: hangplan serve porch --lan (phones too); hangplan serve seasons (a folder with several).

    It is the page of hangplan page, live: what is written down is recorded at once, and what a phone writes
    down without the network is sent when it is back. Plans are made there, papers opened, and seasons begun.
    SEASON may be a folder of seasons. Only this computer is let in, unless you say --lan: then each phone is
    paired once, by six figures. Whoever shares that network may read along, for nothing is encrypted. Ctrl-C
    ends it. Next: hangplan plan, or plan in the browser.
    """
    check_on(on)
    if port is not None and not 1 <= port <= 65535:
        usage(f"--port: {port}: allowed is 1 to 65535")
    if not folder.is_dir():
        require_season(folder, this_year(on))

    from planner.serve.running import forget_device, list_devices, run

    if forget is not None:
        forget_device(folder, forget, json_form=json_form)
    elif devices:
        list_devices(folder, json_form=json_form)
    else:
        run(folder, on, lan=lan, port=port, browser=not no_browser, json_form=json_form)
