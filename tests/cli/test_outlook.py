import pytest
from cli_world import SETTINGS

EXPECTED = SETTINGS.replace("places:", "expected: [{pupating: 2027-07-06, count: 30}]\nplaces:")


def test_the_weeks_to_come_with_all_that_goes_with_them(world):
    world.write("season.yaml", EXPECTED)
    said = world.call("outlook", "--days", "5")
    assert (said.code, said.err) == (0, "")
    lines = said.out.splitlines()
    assert lines[0] == "Porch: Mon 5 Jul to Fri 9 Jul 2027"
    # Marks at 4, 8 … 56 cm; 30 pupae are firm on the 8th, and m3 must leave its lid.
    assert lines[2] == "14 spots on lines and boards can be used. They RUN OUT on Thu 8 Jul: 31 needed."
    # 31 needed, 14 there; nobody is gone within the five days.
    assert lines[4:6] == [
        "Most are lacking on Thu 8 Jul: 17 on average, up to 17.",
        "What would mend it: 17 more spots (68 cm of line with marks as on north).",
    ]
    assert lines[7].split() == ["emerge", "arrive", "needed", "at", "most", "free", "at", "least"]
    assert [line.split()[:7] for line in lines[8:12]] == [
        ["Mon", "5", "Jul", "0.0", "-", "1", "1"],
        ["Tue", "6", "Jul", "0.0", "-", "1", "1"],
        ["Wed", "7", "Jul", "0.0", "-", "1", "1"],
        ["Thu", "8", "Jul", "0.0", "30", "31", "31"],
    ]
    assert lines[-4:] == [
        "Counted: who hangs there by the record, and who is on a lid to be cleared; of",
        "those expected, all once they are firm.",
        "note: there is no plan yet: 'hangplan plan porch' makes one",
        "Dates are reckoned by temperature: 23 °C throughout, as stated in season.yaml.",
    ]


def test_where_clips_slide_only_those_count_that_fit_between_the_ones_that_hang(world):
    # 32 cm take 11 clips of 3 cm; seven hang 5 cm apart, and no eighth fits between two of them.
    world.write(
        "season.yaml",
        SETTINGS[: SETTINGS.index("places:")]
        + "places:\n  - {line: yarn, length: 32, height: 150, clip_width: 3}\n"
        + "  - {lid: tub-1, width: 40, length: 28, clear: yes}\n",
    )
    rows = [f"h{n},2027-07-0{1 + n % 2 * 3},yarn,{5 * n + 1},," for n in range(7)]
    rows += [f"m{n},2027-07-05,tub-1,,{5 + n},5" for n in range(2)]
    world.write("pupae.csv", "\n".join(["id,pupated,place,spot,x,y", *rows, ""]))
    said = world.call("outlook", "--days", "20", on="2027-07-09")
    text = " ".join(said.out.split())
    assert "7 spots on lines and boards can be used. They RUN OUT on Fri 9 Jul: 9 needed." in text
    assert "as many count as fit between those that hang: more once these are gone." in text
    days = world.call("outlook", "--days", "20", "--json", on="2027-07-09").data["days"]
    assert (days[0]["spots"], days[-1]["spots"]) == (7, 11)
    assert [d["spots"] for d in days] == sorted(d["spots"] for d in days)


def test_json(world):
    world.write("season.yaml", EXPECTED)
    world.plan()
    data = world.call("outlook", "--days", "4", "--json").data
    assert (data["spots"], data["runs_out"], data["may_run_out"]) == (14, "2027-07-08", "2027-07-08")
    # The plan hangs m2 and m3 on north.
    assert data["days"][0] == {
        "day": "2027-07-05", "emerging": pytest.approx(0, abs=1e-6), "arriving": 0, "needed": 2.0,
        "needed_most": 2, "spots": 14, "free": 12.0, "free_least": 12,
    }  # fmt: skip
    assert data["days"][3]["arriving"] == 30
    # 30 more on the 8th: 32 needed, 14 there.
    assert data["lacking"] == {"day": "2027-07-08", "mean": pytest.approx(18, abs=1e-3), "most": 18}
    assert (data["notes"], data["files"], data["problems"]) == ([], [], [])


@pytest.mark.parametrize(("suffix", "magic"), [("png", b"\x89PNG"), ("svg", b"<?xml"), ("pdf", b"%PDF")])
def test_it_is_drawn_in_the_format_of_the_suffix(world, suffix, magic):
    world.write("season.yaml", EXPECTED)
    said = world.call("outlook", "-o", f"o.{suffix}")
    assert (said.code, said.out) == (0, f"wrote o.{suffix}\n")
    with open(f"o.{suffix}", "rb") as file:  # noqa: PTH123
        assert file.read().startswith(magic)


def test_an_empty_season_has_an_outlook_too(world):
    world.write("pupae.csv", "id,pupated,place\n")
    said = world.call("outlook", "--days", "1")
    assert said.code == 0
    assert "They suffice: at least 14 stay free." in said.out
    world.write(
        "season.yaml", SETTINGS.replace("  - {line: north, length: 60, height: 150, clips_every: 4}\n", "")
    )
    assert "0 spots on lines and boards can be used." in world.call("outlook").out
    assert world.call("outlook", "-o", "o.png").code == 0


@pytest.mark.parametrize(
    ("args", "message"),
    [
        (("--days", "0"), "--days: 0: allowed is 1 to 120"),
        (("--days", "121"), "--days: 121: allowed is 1 to 120"),
        (("-o", "o.txt"), "-o: 'o.txt': the suffix chooses the format: allowed is .png, .svg, .pdf"),
    ],
)
def test_a_wrong_call_is_refused(world, args, message):
    said = world.call("outlook", *args)
    assert (said.code, said.out, said.err) == (2, "", message + "\n")
