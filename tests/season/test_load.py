from dataclasses import replace
from datetime import date
from datetime import time as hour
from hashlib import sha256
from pathlib import Path

import pytest

import planner
from planner.season import (
    Board,
    Expected,
    FaultyFiles,
    Lid,
    Line,
    Pupa,
    SpeciesEntry,
    When,
)
from planner.season.load import digest_now, inputs_of

LID = "places: [{lid: tub, width: 40, length: 28}]\n"
STARTER = Path(planner.__file__).parent / "cli" / "starter" / "season.yaml"


def test_every_setting_is_read(season_of):
    season = season_of("""\
season: Back porch 2027
units: cm
timezone: Europe/Lisbon
gap_days: 1.5
species: painted-lady
wing_reach: 9
drop: 15
clearance: 12
keeper_reach: {lowest: 40, highest: 190}
temperature: {constant: 24}
profiles:
  Swallowtail: {lower: 9.5, upper: 33, requirement: 150, spread: 0.08, word: chrysalis}
  monarch: {firm_after: 36, darkens_before: 24, darkens_spread: 6, wing_drying: 4}
  painted-lady: {emerges_from: 05:30, emerges_until: 11.25}
places:
  - {line: north, length: 180, height: 150, clips_every: 4, below: 20}
  - {line: south, length: 170, height: 140, clip_width: 3, left: 5, front: 20}
  - {board: cork, width: 60, height: 45, pins_every: 5, pattern: staggered, bottom: 90, below: 80}
  - {lid: tub-2, width: 40, length: 28, height: 30}
  - {lid: tub-3, width: 41, length: 29, clear: yes}
expected:
  - {pupating: 2027-07-09, count: 6}
  - {pupating: 2027-07-10, count: 2, species: monarch}
""")
    assert (season.name, season.units, season.timezone) == ("Back porch 2027", "cm", "Europe/Lisbon")
    assert (season.gap_days, season.species) == (1.5, "painted-lady")
    assert (season.wing_reach, season.drop, season.clearance) == (9, 15, 12)
    assert (season.lowest, season.highest) == (40, 190)
    assert (season.constant, season.temperature_file) == (24, None)
    assert season.profiles == {
        "swallowtail": SpeciesEntry(lower=9.5, upper=33, requirement=150, spread=0.08, word="chrysalis"),
        "monarch": SpeciesEntry(firm_after=36, darkens_before=24, darkens_spread=6, wing_drying=4),
        "painted-lady": SpeciesEntry(emerges_from=5.5, emerges_until=11.25),
    }
    assert season.places == (
        Line(name="north", length=180, height=150, clips_every=4, below=20),
        Line(name="south", length=170, height=140, clip_width=3, left=5, front=20),
        Board(name="cork", width=60, height=45, pins_every=5, bottom=90, pattern="staggered", below=80),
        Lid(name="tub-2", width=40, length=28, height=30),
        Lid(name="tub-3", width=41, length=29, clear=True),
    )
    assert season.expected == (
        Expected(date(2027, 7, 9), 6, "painted-lady"),
        Expected(date(2027, 7, 10), 2, "monarch"),
    )


def test_every_column_is_read(season_of):
    season = season_of(
        LID,
        "id,species,pupated,place,spot,x,y,hung,stay,darkening,outcome,ended,note\n"
        "a-1,Painted-Lady,2027-07-03 14:30,TUB,?,12,5.5,2027-07-05,Yes,2027-07-12,Emerged,"
        '2027-07-13,"small, green"\n',
    )
    assert season.pupae == (
        Pupa(
            id="a-1",
            species="painted-lady",
            pupated=When(date(2027, 7, 3), hour(14, 30)),
            place="tub",
            x=12,
            y=5.5,
            hung=When(date(2027, 7, 5)),
            stay=True,
            darkening=When(date(2027, 7, 12)),
            outcome="emerged",
            ended=When(date(2027, 7, 13)),
            note="small, green",
            line=2,
        ),
    )


def test_what_is_not_stated_has_a_default(season_of, tmp_path):
    season = season_of(LID)
    assert (season.name, season.units, season.timezone, season.gap_days) == (tmp_path.name, "cm", "UTC", 2)
    assert (season.species, season.wing_reach, season.drop, season.clearance) == ("monarch", 10, 20, 11)
    assert (season.lowest, season.highest, season.constant, season.temperature_file) == (0, 250, 23, None)
    assert (season.profiles, season.expected, season.pupae) == ({}, (), ())


def test_a_key_with_nothing_behind_it_is_not_stated(season_of):
    blank = season_of(LID + "gap_days:\nspecies: \nexpected:\ntemperature:\n")
    assert replace(blank, digests={}) == replace(season_of(LID), digests={})


def test_a_prepupa_has_no_date_yet(season_of):
    (pupa,) = season_of(LID, "id,pupated,place\nm1,,tub\n").pupae
    assert pupa.pupated is None


def test_an_outcome_may_stand_without_its_day(season_of):
    (pupa,) = season_of(LID, "id,pupated,place,outcome\nm1,2027-07-03,tub,escaped\n").pupae
    assert (pupa.outcome, pupa.ended, pupa.present) == ("escaped", None, False)


def test_on_one_day_nothing_is_before_anything_unless_both_hours_are_known(season_of):
    rows = "id,pupated,place,hung\nm1,2027-07-03T14:00,tub,2027-07-03\nm2,2027-07-03,tub,2027-07-03T06:00\n"
    assert len(season_of(LID, rows).pupae) == 2


def test_who_is_gone_leaves_the_spot_to_another(season_of):
    settings = "places: [{line: north, length: 90, height: 150, clips_every: 4}]\n"
    rows = "id,pupated,place,spot,outcome\nm1,2027-07-03,north,36,emerged\nm2,2027-07-13,north,36,\n"
    assert [p.spot for p in season_of(settings, rows).pupae] == ["36", "36"]


def test_a_point_noted_before_it_was_hung_is_of_no_account_on_a_line(season_of):
    settings = "places: [{line: north, length: 90, height: 150, clips_every: 4}]\n"
    (pupa,) = season_of(settings, "id,pupated,place,spot,x,y\nm1,2027-07-03,north,36,400,-1\n").pupae
    assert (pupa.spot, pupa.x, pupa.y) == ("36", None, None)


def test_inches_become_centimetres(season_of):
    season = season_of(
        "units: in\nwing_reach: 4\nkeeper_reach: {lowest: 10, highest: 70}\n"
        "places:\n  - {line: north, length: 72, height: 60, clips_every: 2}\n"
        "  - {lid: tub, width: 16, length: 11}\n",
        "id,pupated,place,spot,x,y\nm1,2027-07-03,tub,,5,2\nm2,2027-07-03,north,71.5,,\n",
    )
    line, _ = season.places
    assert isinstance(line, Line)
    # 2.54 cm to the inch; a default that nobody wrote stays what it is in cm.
    assert season.wing_reach == pytest.approx(10.16)
    assert (season.lowest, season.highest) == pytest.approx((25.4, 177.8))
    assert (line.length, line.height, line.clips_every) == pytest.approx((182.88, 152.4, 5.08))
    assert season.drop == 20
    assert (season.pupae[0].x, season.pupae[0].y) == pytest.approx((12.7, 5.08))
    assert season.pupae[1].spot == "71.5"


@pytest.mark.parametrize(
    ("text", "celsius"),
    # (73 - 32) / 1.8 = 22.78; (-0 + 32 F) is freezing
    [
        ("23", 23),
        ("23.5 C", 23.5),
        ("23°C", 23),
        ("73 F", 22.7778),
        ("73 °F", 22.7778),
        ("73f", 22.7778),
        ("32 F", 0),
    ],
)
def test_a_temperature_may_be_in_celsius_or_fahrenheit(season_of, text, celsius):
    assert season_of(LID + f"temperature: {{constant: {text}}}\n").constant == pytest.approx(
        celsius, abs=1e-4
    )


def test_temperatures_may_come_from_a_file_with_a_constant_for_the_days_to_come(season_of):
    season = season_of(LID + "temperature: {file: log/temperatures.csv, constant: 21}\n")
    assert (season.temperature_file, season.constant) == ("log/temperatures.csv", 21)
    assert season_of(LID + "temperature: {file: temperatures.csv}\n").constant is None


def test_yaml_changes_no_text_into_something_else(season_of):
    season = season_of(
        "season: 2027-02-30\nplaces:\n"
        "  - {lid: no, width: 010, length: 28}\n  - {lid: 12:30, width: 40, length: 28}\n"
        "  - {lid: 1_000, width: 40, length: 28}\n  - {lid: null, width: 40, length: 28}\n"
    )
    assert season.name == "2027-02-30"
    assert [p.name for p in season.places] == ["no", "12:30", "1_000", "null"]
    assert season.places[0] == Lid(name="no", width=10, length=28)


def test_an_anchor_may_be_used_again(season_of):
    season = season_of("places: [{lid: a, width: &w 40, length: 28}, {lid: b, width: *w, length: 28}]\n")
    assert season.places[1] == Lid(name="b", width=40, length=28)


@pytest.mark.parametrize("bom", [b"", b"\xef\xbb\xbf"])
@pytest.mark.parametrize("end", [b"\n", b"\r\n"])
@pytest.mark.parametrize("delimiter", [b",", b";", b"\t"])
def test_line_ends_byte_order_marks_and_delimiters_of_any_editor_are_read(season_of, bom, end, delimiter):
    settings = bom + b"units: cm\n".replace(b"\n", end) + LID.encode().replace(b"\n", end)
    rows = b"ID|Pupated|PLACE|x|y|note\nm1|2027-07-03|tub|3|4|\xc3\xa9\n\n|||||\n"
    season = season_of(settings, bom + rows.replace(b"|", delimiter).replace(b"\n", end))
    (pupa,) = season.pupae
    assert (pupa.id, pupa.place, pupa.x, pupa.y, pupa.note, pupa.line) == ("m1", "tub", 3, 4, "é", 2)


def test_with_semicolons_a_number_may_have_a_decimal_comma(season_of):
    settings = LID.replace("]", ", {line: north, length: 90, height: 150, clip_width: 3}]")
    season = season_of(
        settings, "id;pupated;place;spot;x;y\nm1;2027-07-03;tub;;3,5;4.5\nm2;2027-07-03;north;36,5;;\n"
    )
    assert [(p.x, p.y, p.spot) for p in season.pupae] == [(3.5, 4.5, None), (None, None, "36.5")]


def test_short_rows_are_filled_up_and_empty_cells_beyond_the_columns_are_nothing(season_of):
    season = season_of(LID, "id,pupated,place,note\nm1,2027-07-03,tub\nm2,2027-07-03,tub,x,,,\n,,,,,,\n")
    assert [(p.id, p.note) for p in season.pupae] == [("m1", ""), ("m2", "x")]


def test_a_place_may_be_spelt_with_a_capital_or_another_kind_of_accent(season_of):
    # An e with an accent is one character, or two: e and a combining accent.
    settings = "places: [{lid: caf\u00e9, width: 40, length: 28}]\n"
    (pupa,) = season_of(settings, "id,pupated,place\nm1,2027-07-03,Cafe\u0301\n").pupae
    assert pupa.place == "caf\u00e9"


def test_digests_are_of_the_bytes_as_they_are(season_of):
    rows = b"\xef\xbb\xbfid,pupated,place\r\n"
    assert season_of(LID, rows).digests == {
        "season.yaml": sha256(LID.encode()).hexdigest(),
        "pupae.csv": sha256(rows).hexdigest(),
    }


def test_without_a_record_there_is_no_digest_of_it(season_of):
    assert set(season_of(LID).digests) == {"season.yaml"}


def test_digests_are_of_every_file_that_dates_are_made_from(season_of, tmp_path):
    (tmp_path / "learned.yaml").write_bytes(b"what was learned")
    (tmp_path / "own.csv").write_bytes(b"readings")
    season = season_of(LID + "temperature: {file: own.csv}\n")
    assert inputs_of(season) == ("season.yaml", "pupae.csv", "learned.yaml", "earlier.yaml", "own.csv")
    assert set(season.digests) == {"season.yaml", "learned.yaml", "own.csv"}
    assert season.digests["learned.yaml"] == sha256(b"what was learned").hexdigest()
    assert season.digests["own.csv"] == sha256(b"readings").hexdigest() == digest_now(season, "own.csv")


def test_what_dates_are_reckoned_from_is_read_with_the_season(season_of, tmp_path):
    (tmp_path / "learned.yaml").write_bytes(b"what was learned")
    (tmp_path / "own.csv").write_bytes(b"readings")
    season = season_of(LID + "temperature: {file: own.csv}\n")
    assert (season.readings, season.learned) == (b"readings", b"what was learned")


def test_what_is_not_there_has_no_digest(season_of, tmp_path):
    season = season_of(LID + "temperature: {file: own.csv}\n")
    assert (season.readings, season.learned, set(season.digests)) == (None, None, {"season.yaml"})
    assert digest_now(season, "learned.yaml") is None


def test_readings_that_cannot_be_read_are_a_fault(season_of, tmp_path):
    (tmp_path / "own.csv").mkdir()
    (tmp_path / "learned.yaml").mkdir()
    with pytest.raises(FaultyFiles) as faulty:
        season_of(LID + "temperature: {file: own.csv}\n")
    assert list(map(str, faulty.value.problems)) == [
        "learned.yaml: cannot be read: Is a directory",
        "season.yaml:2:21: temperature.file: 'own.csv' is a folder: name a file in it",
    ]


def test_ten_thousand_pupae_are_loaded(season_of):
    rows = [f"m{i},2027-07-{i % 28 + 1:02d},tub,,,\n" for i in range(10_000)]
    season = season_of(LID, "id,pupated,place,x,y,note\n" + "".join(rows))
    assert len(season.pupae) == 10_000


def test_the_starter_season_is_read_without_a_fault(season_of):
    season = season_of(STARTER.read_bytes())
    assert [p.name for p in season.places] == ["north", "south", "cork", "tub-1", "tub-2"]


def test_what_the_starter_season_has_commented_out_is_right_too(season_of):
    text = STARTER.read_text()
    for part in ("expected:", "  - {pupating", "profiles:", "  monarch:"):
        assert f"# {part}" in text
        text = text.replace(f"# {part}", part)
    season = season_of(text)
    assert season.expected == (Expected(date(2027, 7, 9), 6, "monarch"),)
    assert season.profiles == {"monarch": SpeciesEntry(firm_after=36)}
