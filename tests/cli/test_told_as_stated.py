"""What is typed in inches, °F and with the month first is told so, by every command."""

import re

import pytest
from cli_world import World, call

SEASON = """\
season: Window bay
units: in
date_style: us
timezone: America/Chicago
wing_reach: 4
drop: 8
clearance: 4.5
keeper_reach: {lowest: 20, highest: 76}
temperature: {constant: 74 F}
profiles:
  monarch: {lower: 10, requirement: 130, firm_after: 24, darkens_before: 24, word: chrysalis}
places:
  - {line: upper, length: 30, height: 66, clips_every: 2}
  - {board: cork, width: 24, height: 18, pins_every: 3, bottom: 40}
  - {lid: tub-A, width: 23, length: 16}
  - {lid: tub-C, width: 23, length: 16, clear: true}
"""
PUPAE = """\
id,pupated,place,x,y
m1,2027-07-01,tub-A,5,5
m2,2027-07-01,tub-A,6,5
m3,2027-07-03T20:30,tub-C,5,5
m4,2027-07-05,tub-A,9,9
"""
ELSE = re.compile(r"\d ?cm\b|°C|\b\d\d:\d\d\b(?! ?[ap]m)|\b\d{1,2} (Jul|Aug)\b|\d{4}-\d\d-\d\d")
PUPA = re.compile(r"(?<![-\w./])[Pp]upae?\b(?!\.)")
EVENING = "Jul 5 2027 9:00 pm"
COMMANDS = [
    ("today",),
    ("today", "--explain"),
    ("plan", "--explain", "--seconds", "1"),
    ("today",),
    ("check",),
    ("add", "3", "tub-A", "12,12", "13,13", "14,15", "--explain"),
    ("done",),
    ("mark", "m1", "darkening"),
    ("mark", "m3", "pupated", "--on", "Jul 3 2027 8:00 pm"),
    ("outlook",),
    ("learn",),
    ("today", "--brief"),
]


@pytest.fixture
def evening(tmp_path, monkeypatch):
    """All that an evening's commands say, one text for each."""
    monkeypatch.chdir(tmp_path)
    world = World(tmp_path)
    world.write("season.yaml", SEASON)
    world.write("pupae.csv", PUPAE)
    said = []
    for words in COMMANDS:
        found = call(*words, *(() if "--on" in words else ("--on", EVENING)))
        assert found.code == 0, (words, found)
        said.append((" ".join(words), found.out + found.err))
    moves = world.read("out/moves.txt")
    return [*said, ("out/moves.txt", moves)]


def test_no_command_tells_centimetres_celsius_24_hours_or_the_day_first(evening):
    for name, text in evening:
        assert not ELSE.search(text), (name, text)


def test_no_command_calls_a_chrysalis_otherwise(evening):
    for name, text in evening:
        assert not PUPA.search(text), (name, text)
