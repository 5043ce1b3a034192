"""What ``serve`` does and says at the terminal, from its first line to its last."""

from __future__ import annotations

import sys
from pathlib import Path

from planner.cli.shell.talk import show, show_json, tell
from planner.record.refusal import Refused
from planner.serve.app import Site
from planner.serve.devices import Devices
from planner.serve.listening import LOOPBACK, lan_address, listen, qr, serve
from planner.serve.pages import LISTENERS
from planner.serve.pairing import Pairing
from planner.serve.service import Service


def run(folder: Path, on: str | None, *, lan: bool, port: int | None, browser: bool, json_form: bool) -> None:
    """Serve a season, or a folder of seasons, until Ctrl-C."""
    folder = folder.resolve()  # a whole path is known from a keeper's words, a short one is not
    devices = Devices(folder)
    before = devices.known().port
    addresses = [LOOPBACK, *([lan_address()] if lan else [])]
    sockets = listen(addresses, port, before)
    number = sockets[0].getsockname()[1]
    service = Service(folder, devices, tell, on)
    if lan:
        if before is None or port is not None:
            devices.keep_port(number)
        service.pairing = Pairing(tell)
        service.address = f"http://{addresses[1]}:{number}"
    site = Site(service, f"hangplan-{number}")
    own = f"http://{LOOPBACK}:{number}"
    opened = f"{own}{site.ticket()}"
    if json_form:
        code = service.pairing.code() if service.pairing else None
        show_json({"url": own, "open": opened, "lan": service.address or None, "code": code, "problems": []})
    else:
        _say(service, own, "" if browser else opened)
    if lan and before not in (None, number):
        tell(f"the port was {before} before: what a phone has not sent yet waits for that one")
    sys.stdout.flush()  # whoever reads it through a pipe needs it now, not at the end
    hosts = [f"{name}:{number}" for name in (*addresses, "localhost")]
    try:
        serve(site.app(frozenset(hosts)), sockets, opened if browser else "", tell)
    finally:
        service.plans.end()
        for each in sockets:
            each.close()
    tell("ended: what was recorded is in the season; phones keep what they have not sent")


def _say(service: Service, own: str, opened: str) -> None:
    """Where it is served, for this computer and for phones. ``opened``: a link to be opened by hand."""
    show(f"{_what(service)} is served at {own}; Ctrl-C ends it")
    if opened:
        show(f"Open this once in the browser of this computer: {opened}")
    if service.pairing is not None:
        show(f"A phone on your network opens {service.address} and types {service.pairing.code()}")
        show(qr(service.address))
        tell(LISTENERS)


def _what(service: Service) -> str:
    seasons = service.seasons()
    if len(seasons) == 1:
        return seasons[0].name
    return f"a folder of {len(seasons)} seasons" if seasons else "a folder without seasons yet"


def list_devices(folder: Path, *, json_form: bool) -> None:
    """Say which phones are paired."""
    found = Devices(folder).known().devices
    if json_form:
        devices = [{"name": one.name, "since": one.since} for one in found]
        show_json({"devices": devices, "problems": []})
        return
    for one in found:
        show(f"{one.name}, since {one.since}")
    if not found:
        show("no phone is paired")


def forget_device(folder: Path, name: str, *, json_form: bool) -> None:
    """Remove one, also while the season is served. Raises Refused where there is none of that name."""
    if not Devices(folder).forget(name):
        names = ", ".join(one.name for one in Devices(folder).known().devices)
        raise Refused(
            [f"no phone is called '{name}': {f'paired are {names}' if names else 'none is paired'}"]
        )
    if json_form:
        list_devices(folder, json_form=True)
        return
    show(f"removed {name}: it must be paired again; what it has not sent stays on it")
