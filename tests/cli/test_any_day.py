"""Whatever counts as now, and wherever: no command fails on a day, nor calls firm what has not pupated."""

from datetime import datetime

from cli_world import SETTINGS
from hypothesis import HealthCheck, given
from hypothesis import strategies as st
from tries import tries

# Clocks that are put forward and back on either side of the year, at midnight, by half an hour, and never.
ZONES = st.sampled_from([
    "Europe/Lisbon", "Australia/Sydney", "Australia/Lord_Howe", "America/Santiago", "Africa/Cairo",
    "Asia/Kolkata", "Pacific/Apia", "UTC",
])  # fmt: skip
NOW = st.datetimes(datetime(2026, 1, 1), datetime(2028, 12, 31, 23, 59)) | st.just(datetime(2028, 2, 29, 12))


@tries(6, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(zone=ZONES, on=NOW, pupated=NOW)
def test_every_report_can_be_had_at_any_time_for_pupae_of_any_day(world, zone, on, pupated):
    world.write("season.yaml", SETTINGS.replace("Europe/Lisbon", zone))
    world.write(
        "pupae.csv",
        f"id,pupated,place,x,y\nm1,{pupated:%Y-%m-%dT%H:%M},tub-2,5,5\nm2,{pupated:%Y-%m-%d},tub-2,8,5\n",
    )
    moment = f"{on:%Y-%m-%dT%H:%M}"
    for command in ("check", "today", "outlook", "calendar"):
        said = world.call(command, on=moment)
        assert said.code == 0, (command, said)
    sheet = world.call("today", "--json", on=moment).data
    if on < pupated.replace(second=0, microsecond=0):
        assert "m1" not in [p["id"] for key in ("movable", "overdue") for p in sheet[key]]
        assert "which counts as now: m1" in " ".join(world.call("check", on=moment).out.split())


def test_records_of_a_time_to_come_are_told_for_the_clock_may_be_wrong(world):
    # Put back by a month, the clock would have whoever is darkening be soft again, and untouched as yet.
    world.write(
        "pupae.csv",
        "id,pupated,place,spot,hung,darkening,outcome,ended\n"
        "m1,2027-07-01,north,4,2027-07-03,2027-07-10,emerged,2027-07-11\n"
        "m2,2027-07-01,north,8,2027-07-03,2027-07-10,,\n"
        "m3,2027-05-01,north,12,2027-07-04T09:00,,,\n",
    )
    for command in ("check", "today", "page"):
        said = world.call(command, on="2027-07-05")
        assert (
            "darkening after Mon 5 Jul 2027, 12:00, which counts as now: m1, m2; emerged after it: m1"
            in " ".join((said.out + said.err).split())
        ), command
    assert world.call("check", on="2027-07-04T08:00").out.endswith(
        "note: darkening after Sun 4 Jul 2027, 08:00, which counts as now: m1, m2;\n"
        "  emerged after it: m1; hung after it: m3\n"
    )
