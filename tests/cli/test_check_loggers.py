"""What check tells of a logger's table: once, in one sentence, how it was read."""

from cli_world import PUPAE, SETTINGS

from planner.emergence import known_species
from planner.season import load

IN_A_FILE = SETTINGS.replace("{constant: 23}", "{file: log.csv}")
READ = (
    "log.csv: times are read from 'Date Time', month first, temperatures from 'Temp (°F)' in °F; "
    "left out: 1 of 73 rows, the first in line 4 ('--')"
)


def log():
    """From 13 July 00:00, three days of hours between 68 and 71 °F; one hour without a reading."""
    hours = [(day, hour) for day in (13, 14, 15) for hour in range(24)]
    rows = [
        f"07/{day}/2027 {hour % 12 or 12}:00 {'AM' if hour < 12 else 'PM'},{68 + hour % 4}"
        for day, hour in hours
    ]
    return "\n".join(["Porch", "Date Time,Temp (°F)", rows[0], "07/13/2027 12:30 AM,--", *rows[1:]]) + "\n"


def test_how_a_loggers_table_was_read_is_told_once(world):
    world.write("season.yaml", IN_A_FILE)
    world.write("log.csv", log())
    said = world.call("check", "--json")
    assert said.code == 0
    assert [note for note in said.data["notes"] if note.startswith("log.csv: times")] == [READ]
    assert " ".join(world.call("check").out.split()).count(READ) == 1


def test_a_season_with_a_loggers_table_in_fahrenheit_tells_fahrenheit(world):
    world.write("season.yaml", IN_A_FILE)
    world.write("log.csv", log())
    season = load(world.folder, known_species())
    assert season.fahrenheit
    assert season.degrees(20) == "68 °F"


def test_what_leaves_open_the_month_is_a_fault_until_the_date_style_is_stated(world):
    world.write("season.yaml", IN_A_FILE)
    world.write("log.csv", "Time,Temp (°C)\n07/03/2027 08:00,20\n07/03/2027 09:00,20\n")
    said = world.call("check")
    assert said.code == 1
    assert said.err == (
        "log.csv:2:1: time: '07/03/2027' could be 7 March 2027 or 3 July 2027, and the other rows do not "
        "tell: write date_style: eu (day first) or us (month first) in season.yaml\n"
    )
    world.write("season.yaml", f"date_style: us\n{IN_A_FILE}")
    world.write("pupae.csv", PUPAE)
    assert world.call("check").code == 0
