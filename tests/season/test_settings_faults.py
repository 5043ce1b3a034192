"""One faulty setting per error: what stands in season.yaml, and the exact line that is reported."""

import pytest

LID = "places: [{lid: tub, width: 40, length: 28}]\n"
SETTINGS = {
    "an unknown key": ("unit: cm", "2:1: unknown key 'unit' (did you mean 'units'?)"),
    "an unknown unit": ("units: mm", "2:8: units: 'mm': write cm or in"),
    "a list for a word": ("units: [cm]", "2:8: units: a list where one value is expected"),
    "an empty name": ("season: ' '", "2:9: season: is empty"),
    "a name of two lines": (
        'season: "a\\nb"',
        "2:9: season: 'a\N{REPLACEMENT CHARACTER}b': write one line of visible characters",
    ),
    "a name too long": (
        f"season: {'x' * 201}",
        f"2:9: season: '{'x' * 57}...' has 201 characters: at most 200 are allowed",
    ),
    "an unknown time zone": (
        "timezone: Europe/Lisbn",
        "2:11: timezone: 'Europe/Lisbn' is not a time zone (did you mean 'Europe/Lisbon'?)",
    ),
    "no time zone at all": (
        "timezone: ../../etc/passwd",
        "2:11: timezone: '../../etc/passwd' is not a time zone: write one such as Europe/Lisbon",
    ),
    "a folder of time zones": (
        "timezone: Europe",
        "2:11: timezone: 'Europe' is not a time zone: write one such as Europe/Lisbon",
    ),
    "a negative gap": ("gap_days: -1", "2:11: gap_days: -1 days: must be 0 to 60 days"),
    "a gap of two months": ("gap_days: 61", "2:11: gap_days: 61 days: must be 0 to 60 days"),
    "a gap in words": ("gap_days: two", "2:11: gap_days: 'two' is not a number of days"),
    "a decimal comma": ("gap_days: 1,5", "2:11: gap_days: '1,5' is not a number of days: write 1.5"),
    "an infinite gap": ("gap_days: .inf", "2:11: gap_days: '.inf' is not a number of days"),
    "not a number": ("gap_days: nan", "2:11: gap_days: 'nan' is not a number of days"),
    "a number too large to hold": ("gap_days: 1e999", "2:11: gap_days: '1e999' is not a number of days"),
    "digits of another script": ("gap_days: ٣", "2:11: gap_days: '٣' is not a number of days"),
    "a time that YAML takes for a number": (
        "gap_days: 12:30",
        "2:11: gap_days: '12:30' is not a number of days",
    ),
    "a yes that YAML takes for a number": ("gap_days: yes", "2:11: gap_days: 'yes' is not a number of days"),
    "no wing reach": ("wing_reach: 0", "2:13: wing_reach: 0 cm: must be more than 0 and at most 200 cm"),
    "a negative elbow room": ("elbow_room: -1", "2:13: elbow_room: -1 cm: must be 0 to 200 cm"),
    "elbow room in words": ("elbow_room: plenty", "2:13: elbow_room: 'plenty' is not a number of cm"),
    "a negative drop": ("drop: -1", "2:7: drop: -1 cm: must be 0 to 500 cm"),
    "a negative clearance": ("clearance: -1", "2:12: clearance: -1 cm: must be 0 to 500 cm"),
    "an unknown species": (
        "species: monarc",
        "2:10: species: 'monarc' is not a known species (did you mean 'monarch'?); "
        "more can be given under profiles: in season.yaml",
    ),
    "a species like no other": (
        "species: xxx",
        "2:10: species: 'xxx' is not a known species: known are monarch, painted-lady; "
        "more can be given under profiles: in season.yaml",
    ),
    "a reach upside down": (
        "keeper_reach: {lowest: 140, highest: 90}",
        "2:15: keeper_reach: lowest is 140 and highest 90 cm: lowest must be below highest",
    ),
    "a reach as a number": (
        "keeper_reach: 90",
        "2:15: keeper_reach: '90' where 'key: value' pairs are expected",
    ),
    "an unknown key of the reach": (
        "keeper_reach: {top: 140}",
        "2:16: keeper_reach: unknown key 'top'",
    ),
    "Fahrenheit taken for Celsius": (
        "temperature: {constant: 73}",
        "2:25: temperature.constant: 73: as °C that kills (0 to 45 °C are allowed); "
        "for Fahrenheit write '73 F'",
    ),
    "a temperature that is none": (
        "temperature: {constant: 400}",
        "2:25: temperature.constant: 400: as °C that kills (0 to 45 °C are allowed)",
    ),
    "Celsius that kill": (
        "temperature: {constant: 50 C}",
        "2:25: temperature.constant: 50 C: as °C that kills (0 to 45 °C are allowed)",
    ),
    "Fahrenheit that kill": (
        "temperature: {constant: 122 F}",
        "2:25: temperature.constant: 122 F: 32 °F to 113 °F are allowed",
    ),
    "frost": ("temperature: {constant: -3}", "2:25: temperature.constant: -3: 0 to 45 °C are allowed"),
    "a temperature in words": (
        "temperature: {constant: warm}",
        "2:25: temperature.constant: 'warm' is not a temperature: write 23, 23 C or 73 F",
    ),
    "Kelvin": (
        "temperature: {constant: 296 K}",
        "2:25: temperature.constant: '296 K' is not a temperature: write 23, 23 C or 73 F",
    ),
    "no temperature": (
        "temperature: {}",
        "2:14: temperature: write {constant: 23} or {file: temperatures.csv}",
    ),
    "an absolute file": (
        "temperature: {file: /etc/passwd}",
        "2:21: temperature.file: '/etc/passwd': the file must lie in the season's folder",
    ),
    "a file above the folder": (
        "temperature: {file: a/../../b.csv}",
        "2:21: temperature.file: 'a/../../b.csv': the file must lie in the season's folder",
    ),
    "a file above the folder, the other way of writing": (
        "temperature: {file: '..\\b.csv'}",
        "2:21: temperature.file: '..\\b.csv': the file must lie in the season's folder",
    ),
    "a file on another drive": (
        "temperature: {file: 'C:b.csv'}",
        "2:21: temperature.file: 'C:b.csv': the file must lie in the season's folder",
    ),
    "a new species without its figures": (
        "profiles: {swallowtail: {upper: 35}}",
        "2:25: profiles.swallowtail: lower and requirement must be given for a species that is not shipped",
    ),
    "thresholds upside down": (
        "profiles: {monarch: {lower: 12, upper: 11}}",
        "2:40: profiles.monarch.upper: must be above lower, 12 °C",
    ),
    "a requirement of nothing": (
        "profiles: {monarch: {requirement: 0}}",
        "2:35: profiles.monarch.requirement: 0 degree-days: must be more than 0 and at most 5000 degree-days",
    ),
    "a spread above a half": (
        "profiles: {monarch: {spread: 0.6}}",
        "2:30: profiles.monarch.spread: 0.6: must be more than 0 and at most 0.5",
    ),
    "an hour in words": (
        "profiles: {monarch: {emerges_from: dawn}}",
        "2:36: profiles.monarch.emerges_from: 'dawn' is not an hour of the day: "
        "write 05:30 or 5.5, up to 24:00",
    ),
    "an hour that no clock has": (
        "profiles: {monarch: {emerges_until: 24:30}}",
        "2:37: profiles.monarch.emerges_until: '24:30' is not an hour of the day: "
        "write 05:30 or 5.5, up to 24:00",
    ),
    "minutes that no clock has": (
        "profiles: {monarch: {emerges_from: 5:60}}",
        "2:36: profiles.monarch.emerges_from: '5:60' is not an hour of the day: "
        "write 05:30 or 5.5, up to 24:00",
    ),
    "an hour before midnight": (
        "profiles: {monarch: {emerges_from: -1}}",
        "2:36: profiles.monarch.emerges_from: '-1' is not an hour of the day: "
        "write 05:30 or 5.5, up to 24:00",
    ),
    "emergences that end before they begin": (
        "profiles: {monarch: {emerges_from: 13.5, emerges_until: 09:00}}",
        "2:57: profiles.monarch.emerges_until: must be later than emerges_from, 13:30",
    ),
    "a darkening known to the minute": (
        "profiles: {monarch: {darkens_spread: 0.5}}",
        "2:38: profiles.monarch.darkens_spread: 0.5 h: must be 1 to 240 h",
    ),
    "a species that differs only in case": (
        "profiles: {monarch: {word: a}, Monarch: {word: b}}",
        "2:41: profiles.Monarch: species 'monarch' is given twice",
    ),
    "a species without a name": (
        "profiles: {' ': {lower: 9, requirement: 150}}",
        "2:17: profiles. : a species' name is one line of 1 to 40 visible characters",
    ),
    "a day that does not exist": (
        "expected: [{pupating: 2027-02-30, count: 1}]",
        "2:23: expected[0].pupating: '2027-02-30': there is no such day",
    ),
    "a day with an hour": (
        "expected: [{pupating: 2027-07-03T10:00, count: 1}]",
        "2:23: expected[0].pupating: '2027-07-03T10:00': write the day alone, 2027-07-03",
    ),
    "a year long past": (
        "expected: [{pupating: 1927-07-03, count: 1}]",
        "2:23: expected[0].pupating: '1927-07-03': the year must be 1990 to 2200",
    ),
    "half an animal": (
        "expected: [{pupating: 2027-07-03, count: 6.5}]",
        "2:42: expected[0].count: '6.5' is not a whole number from 1 to 100000",
    ),
    "nothing expected": (
        "expected: [{pupating: 2027-07-03}]",
        "2:12: expected[0].count: is missing",
    ),
    "an expected species that is unknown": (
        "expected: [{pupating: 2027-07-03, count: 1, species: painted-lad}]",
        "2:54: expected[0].species: 'painted-lad' is not a known species (did you mean 'painted-lady'?); "
        "more can be given under profiles: in season.yaml",
    ),
    "a mapping for a list": (
        "expected: {pupating: 2027-07-03}",
        "2:11: expected: a mapping where a list is expected: begin each item with '- '",
    ),
}


@pytest.mark.parametrize(("text", "line"), SETTINGS.values(), ids=SETTINGS)
def test_a_faulty_setting_is_one_problem(faults_of, text, line):
    assert faults_of(LID + text + "\n") == [f"season.yaml:{line}"]


@pytest.mark.parametrize(
    ("units", "stated", "line"),
    [
        ("cm", "90.5", "3:13: elbow_room: 90.5 cm: must be 0 to 90 cm"),
        ("in", "91", "3:13: elbow_room: 91 in: must be 0 to 90 in"),
    ],
)
def test_elbow_room_is_no_longer_than_the_longest_line_or_board(faults_of, units, stated, line):
    settings = (
        f"{LID.removesuffix(']' + chr(10))}, {{line: n, length: 90, height: 70, clips_every: 4}}]\n"
        f"units: {units}\nelbow_room: {stated}\n"
    )
    assert faults_of(settings) == [f"season.yaml:{line}"]


def test_all_faults_of_both_files_are_told_at_once_and_in_order(faults_of):
    settings = "places:\n  - {lid: tub, width: x, length: 28}\ngap_days: many\ntimezone: Moon\n"
    pupae = "id,pupated,place\nm1,yesterday,tub\nm2,2027-07-03,tob\n"
    assert faults_of(settings, pupae) == [
        "pupae.csv:2:4: m1: pupated: 'yesterday' is not a date: write 2027-07-03 or 2027-07-03T14:30",
        "pupae.csv:3:15: m2: place: there is no place 'tob' (did you mean 'tub'?)",
        "season.yaml:2:23: places[0].width: 'x' is not a number of cm",
        "season.yaml:3:11: gap_days: 'many' is not a number of days",
        "season.yaml:4:11: timezone: 'Moon' is not a time zone: write one such as Europe/Lisbon",
    ]


def test_a_broken_settings_file_does_not_hide_the_faults_of_the_record(faults_of):
    assert faults_of("places: ]", "id,pupated,place\nm1,soon,tub\n") == [
        "pupae.csv:2:4: m1: pupated: 'soon' is not a date: write 2027-07-03 or 2027-07-03T14:30",
        "season.yaml:1:9: ']' cannot stand here",
    ]
