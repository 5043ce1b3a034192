"""A season whose line hangs where it is colder than its lids: what plan, check and done say and record.

At 23 °C a pupa of this season takes 130 / (23 - 10) = 10 days from noon of its day, at 18 °C 16.25 days.
"""

from cli_world import SETTINGS

COLD = SETTINGS.replace("clips_every: 4}", "clips_every: 4, temperature: {constant: 18}}")


def test_a_plan_tells_who_is_due_on_another_day_where_it_goes(world):
    world.write("season.yaml", COLD)
    said = world.call("plan", "--seconds", "5")
    assert said.code == 0
    # m3, pupated on the 3rd at noon and moved on the 5th at 8:00, has 1.83 × 13 = 23.8; the other 106.2
    # at 8 a day take 13.27 days: the 18th. It is due on the 13th where it hangs.
    assert "m3 is due 18 Jul, not 13 Jul" in " ".join(said.err.split())
    assert "At north: 18 °C throughout, as stated in season.yaml." in " ".join(
        world.call("plan", "--explain", "--seconds", "5").out.split()
    )


def test_once_it_hangs_there_its_date_is_that_of_the_colder_place_and_the_check_agrees(world):
    world.write("season.yaml", COLD)
    world.call("plan", "--seconds", "5")
    assert world.call("done").code == 0
    due = {one["id"]: one["due"][:10] for one in world.call("today", "--json").data["movable"]}
    assert due["m3"] == "2027-07-18"
    assert world.call("plan", "--seconds", "5").code == 0
    assert world.call("check").code == 0


def test_a_file_of_readings_that_is_missing_is_told_by_every_command(world):
    world.write("season.yaml", COLD.replace("{constant: 18}", "{file: shed.csv}"))
    said = world.call("today")
    assert (said.code, said.err.splitlines()[0]) == (1, "shed.csv: this file is not there")
