"""Tables of temperatures as loggers write them: each read by its own heading, or refused in a line."""

from dataclasses import replace
from datetime import datetime

import pytest

from planner.emergence import how_read, parse_temperatures
from planner.emergence.clock import EPOCH
from planner.emergence.temperatures import measured
from planner.season.logger.layout import in_fahrenheit
from planner.season.reading.problems import FaultyFiles
from planner.season.season import Season

JULY_3 = (datetime(2027, 7, 3) - EPOCH).days


def read(text, style=None, zone="UTC"):
    """The stretches as (hours since midnight of 3 July, hours, first °C, second °C)."""
    data = text if isinstance(text, bytes) else text.encode()
    found, problems = parse_temperatures(data, "log.csv", zone, style)
    assert list(map(str, problems)) == []
    return [
        (round((start - JULY_3) * 24, 6), round((end - start) * 24, 6), round(low, 6), round(high, 6))
        for start, end, low, high in zip(found.start, found.end, found.low, found.high, strict=True)
    ]


def refused(text, style=None):
    data = text if isinstance(text, bytes) else text.encode()
    return list(map(str, parse_temperatures(data, "log.csv", "UTC", style)[1]))


def told(text, style=None, **settings):
    data = text if isinstance(text, bytes) else text.encode()
    season = Season(
        folder="nowhere", name="s", temperature_file="log.csv", readings=data, date_style=style, **settings
    )
    return how_read(season)


# All of these say: 20 °C (68 °F) on 3 July at 14:00, 22.5 °C (72.5 °F) at 15:00.
AFTERNOON = [(14.0, 1.0, 20.0, 22.5)]
FORMS = {
    "a title, a numbered row, a unit behind the name, month first, twelve hours": (
        '"Title: back porch"\n'
        '"#","Date Time","Temp, °F (serial 77)","RH, % (serial 77)"\n'
        "1,07/03/27 02:00:00 PM,68,61.2\n"
        "2,07/03/27 03:00:00 PM,72.5,60.9\n"
        "3,07/13/27 03:00:00 PM,70,60.9\n"
    ),
    "two columns of time, days with points, semicolons, decimal commas": (
        "Nr.;Datum;Uhrzeit;Temperatur [°C];Luftfeuchtigkeit [%]\n"
        "1;03.07.2027;14:00;20,0;61,2\n"
        "2;03.07.2027;15:00;22,5;60,9\n"
    ),
    "year first with slashes, seconds, dew point before the temperature": (
        "Timestamp,Dew Point (°C),Relative Humidity (%),Temp (°C)\n"
        "2027/07/03 14:00:00,11,61,20\n"
        "2027/07/03 15:00:00,12,60,22.5\n"
    ),
    "channels between tabs, the unit in brackets": (
        "No.\tTime\tChannel 1 (F)\tChannel 2 (%RH)\n"
        "1\t2027-07-03 14:00\t68.0\t61\n"
        "2\t2027-07-03 15:00\t72.5\t60\n"
    ),
    "short names, the unit as a letter, a time zone": (
        "datetime,temp_f,humidity,battery\n2027-07-03T14:00:00Z,68,61,99\n2027-07-03T15:00:00Z,72.5,60,99\n"
    ),
    "a line of units below the heading": (
        "Date,Time,Temperature,Humidity\n,,°F,%RH\n3-Jul-2027,2:00 PM,68,61\n3-Jul-2027,3:00 PM,72.5,60\n"
    ),
    "the unit behind each number, the day named": (
        "Time,Temperature\nSat 3 July 2027 14:00,68 °F\nSat 3 July 2027 15:00,72.5 °F\n"
    ),
    "a note for spreadsheets, the unit above the table, lines below it": (
        "sep=;\nSerial no.;77\nUnit;Fahrenheit\n\nTime;Temperature\n2027-07-03 14:00;68,0\n"
        "2027-07-03 15:00;72,5\nAverage;70,2\nEnd of data;\n"
    ),
    "AM and PM in a column of their own": (
        "Date,Time,AM/PM,Temp (F)\n2027-07-03,2:00,PM,68\n2027-07-03,3:00,P.M.,72.5\nAverage,,,70\n"
    ),
    "the heading once more, as where two files were joined": (
        "time,temperature,humidity\n2027-07-03 14:00,20,50\n"
        "time,temperature,humidity,\n2027-07-03 15:00,22.5,50\n"
    ),
    "cells without a reading": (
        "Time,Temp °C\n2027-07-03 14:00,20\n2027-07-03 14:15,--\n2027-07-03 14:30,\n2027-07-03 14:45,ERR\n"
        "2027-07-03 15:00,22.5\n2027-07-04 15:00,20\n2027-07-05 15:00,20\n"
    ),
    "both units, one column each": (
        "Date/Time,Temperature_Celsius,Temperature_Fahrenheit\n"
        "2027-07-03 14:00,20,68\n2027-07-03 15:00,22.5,72.5\n"
    ),
    "an hour behind Greenwich by the heading": (
        '"Date Time, GMT-01:00","Temp, °C"\n2027-07-03 13:00,20\n2027-07-03 14:00,22.5\n'
    ),
    "a second probe that was never plugged in": (
        "Time,Inside (°C),Outside (°C)\n2027-07-03 14:00,20,--\n2027-07-03 15:00,22.5,--\n"
    ),
    "the order of the day in the heading": (
        "Date (MM/DD/YYYY),Time (HH:MM),Temp (C)\n07/03/2027,14:00,20\n07/03/2027,15:00,22.5\n"
    ),
}  # fmt: skip


@pytest.mark.parametrize("form", FORMS)
def test_a_loggers_table_is_read_by_its_own_heading(form):
    # Of the first form 13 July shows that the month comes first; that reading is joined to none.
    assert read(FORMS[form]) == AFTERNOON


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "latin-1"])
@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_encoding_and_line_ends_change_nothing(encoding, end):
    text = "Datum;Uhrzeit;Temp °F\n03.07.2027;14:00;68,0\n03.07.2027;15:00;72,5\n"
    assert read(text.replace("\n", end).encode(encoding)) == AFTERNOON


@pytest.mark.parametrize("form", [
    "Day,Low,High\n2027/07/03,10,20\n",
    "Date;Min. temperature (°C);Max. temperature (°C);Min humidity (%)\n3.7.2027;10,0;20,0;35\n",
    "date,tmin_F,tmax_F\n2027-07-03 00:00:00,50,68\n",
    "Weather of July\n\nDate,Rain (mm),Max temp (°C),Mean temp (°C),Min temp (°C)\n2027-07-03,3,20,16,10\n",
])  # fmt: skip
def test_a_table_of_days_is_read_by_its_own_heading(form):
    # 10 °C = 50 °F at night, 20 °C = 68 °F by day, over the 24 h of 3 July
    assert read(form) == [(0.0, 24.0, 10.0, 20.0)]


@pytest.mark.parametrize("other", [
    "Dew Point (°C)", "Wet bulb (°C)", "Heat index °C", "Feels like C", "Humidity", "Relative Humidity (%)",
    "RH %", "Battery (V)", "High alarm (°C)", "Temp status", "#", "No.", "Pressure (hPa)", "Elapsed time",
    "Luftfeuchtigkeit [%]",
])  # fmt: skip
def test_no_other_column_is_taken_for_the_temperature(other):
    assert (
        read(f"{other},Time,{other},Temp (°C)\n1,2027-07-03 14:00,2,20\n2,2027-07-03 15:00,2,22.5\n")
        == AFTERNOON
    )
    assert len(refused(f"Time,{other}\n2027-07-03 14:00,20\n")) == 1


def test_an_unnamed_column_of_whole_numbers_is_no_part_of_the_maximum():
    assert read("date,min,max\n2027-07-03,10,20,1\n2027-07-04,10,20,3\n")[0] == (0.0, 24.0, 10.0, 20.0)
    assert refused("date,min,max\n2027-07-03,10,5,20,0\n2027-07-04,10,0,20,5\n") == [
        "log.csv:2:1: has a comma within its numbers and between its cells: "
        "write 23.5, or cut cells by semicolons"
    ]


def test_minimum_and_maximum_of_an_hour_are_no_days():
    rows = "2027-07-03 14:00,20,19,21\n2027-07-03 15:00,22.5,20,23\n"
    assert read("Time,Temperature,Min,Max\n" + rows) == AFTERNOON
    assert read("Date,Time,Temp,Low,High\n" + rows.replace(" ", ",")) == AFTERNOON


def test_days_with_the_hour_at_which_they_were_noted_are_days():
    rows = "2027-07-03,10,20,2027-07-04 08:00\n"
    assert read("date,min,max,time\n" + rows) == [(0.0, 24.0, 10.0, 20.0)]


@pytest.mark.parametrize(("hour", "meant"), [("12:30 AM", 0.5), ("12:30 PM", 12.5), ("1:30:00 p.m.", 13.5)])
def test_twelve_is_midnight_before_noon(hour, meant):
    assert read(f"Time,Temp C\n2027-07-03 {hour},20\n2027-07-03 14:00,22\n")[0][0] == meant


def test_without_am_or_pm_in_its_column_an_hour_is_no_time():
    rows = "2027-07-03,2:00,PM,20\n2027-07-03,3:00,PM,21\n2027-07-03,4:00,,22\n"
    assert refused("Date,Time,,Temp\n" + rows) == [
        "log.csv:4:1: time: '2027-07-03 4:00' is not a time: write 2027-07-03T14:30"
    ]


def _twelve_hours(day, hours):
    return "".join(f"2027-{day} {(h % 12) or 12}:00,{h}\n" for h in hours)


def test_hours_of_which_am_or_pm_is_not_told_are_refused():
    assert refused("time,temperature\n" + _twelve_hours("07-03", range(20))) == [
        "log.csv:14:1: time: this time stands in line 2 already, with another temperature, and so in 7 more "
        "rows: write AM or PM behind each time, or give each logger a file of its own"
    ]


def test_the_hour_that_comes_twice_when_summer_time_ends_is_averaged_in_each_autumn():
    clocks = ("1:00", "1:30", "1:00", "1:30", "2:00")
    days = ("2027-10-31", "2028-10-29")
    hours = "".join(f"{day} {clock},{i}\n" for day in days for i, clock in enumerate(clocks))
    assert refused("time,temperature\n" + hours) == []
    assert read("time,temperature\n2027-07-03 1:00,10\n2027-07-03 1:00,14\n2027-07-03 2:00,9\n") == [
        (1, 1, 12, 9)
    ]


def test_rows_that_are_there_twice_alike_and_seconds_left_out_are_no_fault():
    rows = _twelve_hours("07-03", range(1, 9))
    assert refused("time,temperature\n" + rows + rows) == []
    assert (
        refused(
            "time,temperature\n" + "".join(f"2027-07-03 {h}:00,{h + k}\n" for h in range(9) for k in (0, 1))
        )
        == []
    )


@pytest.mark.parametrize("again", [
    "time,humidity,temperature\n2027-07-03 16:00,55,21\n",
    "time,temperature_F,humidity\n2027-07-03 16:00,70,55\n",
    "humidity,time,temperature\n55,2027-07-03 16:00,21\n",
])  # fmt: skip
def test_another_heading_further_down_is_a_fault(again):
    assert refused("time,temperature,humidity\n2027-07-03 14:00,20,50\n2027-07-03 15:00,20,50\n" + again)[
        0
    ] == (
        "log.csv:4:1: time: this heading differs from that in line 1: bring all rows under one heading, or "
        "take the others out"
    )


@pytest.mark.parametrize(("style", "hours"), [("us", 14.0), ("eu", 14.0 - 118 * 24)])
def test_the_date_style_of_the_season_decides_what_the_file_leaves_open(style, hours):
    # 7 March is 24 + 30 + 31 + 30 + 3 = 118 days before 3 July
    text = "Time,Temp (°C)\n7/3/2027 2:00 PM,20\n7/3/2027 3:00 PM,22.5\n"
    assert read(text, style) == [(hours, 1.0, 20.0, 22.5)]


@pytest.mark.parametrize("style", [None, "iso"])
def test_a_date_that_is_left_open_is_asked_back_once(style):
    text = "Time,Temp (°C)\n7/3/2027 2:00 PM,20\n7/3/2027 3:00 PM,22.5\n7/4/2027 3:00 PM,22.5\n"
    assert refused(text, style) == [
        "log.csv:2:1: time: '7/3/2027' could be 7 March 2027 or 3 July 2027, and the other rows do not tell: "
        "write date_style: eu (day first) or us (month first) in season.yaml"
    ]


def test_two_figures_of_a_year_may_stand_on_either_side():
    # 27/07/03 is 3 July 2027: nobody logs the year 2003. 26/07/27 is 26 July 2027 or 27 July 2026.
    assert read("Time,Temp (°C)\n27/07/03 14:00,20\n27/07/03 15:00,22.5\n") == AFTERNOON
    assert refused("Time,Temp (°C)\n26/07/27 14:00,20\n") == [
        "log.csv:2:1: time: '26/07/27' could be 26 July 2027 or 27 July 2026, and the other rows do not "
        "tell: write date_style: eu (day first) or iso (year first) in season.yaml"
    ]


@pytest.mark.parametrize(("days", "month"), [
    (("07/03/2027", "07/13/2027"), 7),  # no month has the number 13
    (("07/03/2027", "07/04/2027", "07/05/2027"), 7),  # 3 to 5 July, not 7 March, April and May
    (("07/03/2027", "08/03/2027", "09/03/2027"), 3),  # 7 to 9 March, not 3 July, August and September
    (("07/07/2027",), 7),  # the same day in either order
])  # fmt: skip
def test_the_order_of_the_dates_is_found_from_the_whole_file(days, month):
    text = "Date,Min,Max\n" + "".join(f"{day},10,20\n" for day in days)
    found, problems = parse_temperatures(text.encode(), "log.csv")
    assert problems == ()
    first = datetime.fromordinal(EPOCH.toordinal() + int(found.start[0]))
    assert first.month == month


@pytest.mark.parametrize(("text", "message"), [
    ("No.,Time,Channel 1 (C),Channel 2 (C)\n1,2027-07-03 14:00,20,21\n",
     "log.csv:1:1: 'Channel 1 (C)' and 'Channel 2 (C)' could both be the temperature: "
     "in season.yaml write column: 'Channel 1 (C)' beside the file, or the other one"),
    ("Time,Temp,Temp,Temp\n2027-07-03 14:00,20,21,22\n",
     "log.csv:1:1: columns 2, 3 and 4 are all named 'Temp': give each another name"),
    ("Date,Max,Max,Min\n2027-07-03,25,24,12\n",
     "log.csv:1:1: columns 2 and 3 are named 'Max': give each another name"),
    ("Date-Time (EDT),Temp\n2027-07-03 14:00,20\n2027-07-03 15:00,21\n",
     "log.csv:1:1: 'Date-Time (EDT)': UTC has no 'EDT': take it out if times are local, else write the "
     "offset, as GMT-05:00"),
    ("Day,Max 1 (C),Max 2 (C),Min (C)\n2027-07-03,27,28,15\n",
     "log.csv:1:1: 'Max 1 (C)' and 'Max 2 (C)' could both be the max: "
     "rename the one that is meant to 'max (°C)'"),
    ("Date,Time,Temp\n13.07.2027,14:00,23,5\n13.07.2027,15:00,24,0\n",
     "log.csv:2:1: has a comma within its numbers and between its cells: "
     "write 23.5, or cut cells by semicolons"),
    ("Porch\nTime,Humidity (%),Dew point (°C)\n2027-07-03 14:00,50,11\n",
     "log.csv:2:1: 'Time' names the time, but no column names the temperature: "
     "write temperature, or min and max, above it"),
    ("2027-07-03 14:00,20\n2027-07-03 15:00,21\n",
     "log.csv:1:1: the first line must name date, min, max or time, temperature"),
    ("Time,Temp\n2027-07-03 14:00,1O.5\n2027-07-03 15:00,20\n2027-07-03 16:00,20\n",
     "log.csv:2:18: temperature: '1O.5' is not a temperature: -60 to 70 °C is allowed"),
    ("Porch\nTime,Temp\n2027-07-03 14:00,78\n2027-07-03 15:00,60\n",
     "log.csv:3:18: temperature: '78' is not a temperature: -60 to 70 °C is allowed; "
     "if it is in °F, write 'Temp (°F)' in line 2"),
    ("Time,Temp (°C)\n2027-07-03 14:00,20\n2027-07-03 15:00,68 °F\n",
     "log.csv:3:18: temperature: '68 °F': temperature is in °C by its column: write all in one unit"),
    ("Date,Time,Temp\n13/07/2027,14:00,20\n14/07/2027,14:00,20\n07/15/2027,14:00,20\n",
     "log.csv:4:1: time: '07/15/2027 14:00' is not a time with the day first as in the other rows: "
     "write 2027-07-03T14:30"),
    ("Date,Time,Temp\n2027-07-03,25:00,20\n2027-07-03,15:00,20\n",
     "log.csv:2:1: time: '2027-07-03 25:00' is not a time: write 2027-07-03T14:30"),
    ("Date,Time,Temp\n2027-07-03,13:00 PM,20\n2027-07-03,15:00,20\n",
     "log.csv:2:1: time: '2027-07-03 13:00 PM' is not a time: write 2027-07-03T14:30"),
])  # fmt: skip
def test_what_cannot_be_read_for_sure_is_refused_in_a_line(text, message):
    assert refused(text) == [message]


TWO = "No.,Time,Shelf 1 (F),Shelf 2 (F)\n1,2027-07-03 14:00,50,68\n2,2027-07-03 15:00,50,72.5\n"


def test_the_column_that_season_yaml_names_is_read_whatever_its_name():
    two = Season(
        folder="nowhere", name="s", temperature_file="log.csv", temperature_column="shelf 2 (f)",
        readings=TWO.encode(),
    )  # fmt: skip
    found = measured(two)
    assert (round(found.low[0], 6), round(found.high[0], 6)) == (20, 22.5)
    assert how_read(two) == ("log.csv: times are read from 'Time', temperatures from 'Shelf 2 (F)' in °F",)
    with pytest.raises(FaultyFiles) as faulty:
        measured(replace(two, temperature_column="Shelf 3"))
    assert [str(one) for one in faulty.value.found] == [
        "log.csv:1:1: no column is named 'Shelf 3', as season.yaml has it: "
        "'No.', 'Time', 'Shelf 1 (F)', 'Shelf 2 (F)'"
    ]


def test_a_column_named_twice_is_not_guessed():
    text = TWO.replace("Shelf 1", "Shelf 2").encode()
    with pytest.raises(FaultyFiles) as faulty:
        measured(
            Season(
                folder="n",
                name="s",
                temperature_file="log.csv",
                temperature_column="Shelf 2 (F)",
                readings=text,
            )
        )
    assert str(faulty.value) == (
        "log.csv:1:1: columns 3 and 4 are named 'Shelf 2 (F)': give each another name"
    )


@pytest.mark.parametrize(("heading", "hour"), [
    ("Date-Time (EDT)", 14), ("Date Time (EST)", 15), ("Time [EST/EDT]", 14), ("Time (America/New_York)", 14),
    ("Timestamp (AM/PM)", 14),
])  # fmt: skip
def test_an_abbreviation_of_the_local_zone_is_understood(heading, hour):
    text = f"#,{heading},Temp\n1,2027-07-03 14:00,20\n2,2027-07-03 15:00,22.5\n"
    assert read(text, zone="America/New_York") == [(hour, 1, 20, 22.5)]


@pytest.mark.parametrize(
    "rows", ["3/7/2027,14h00,20\n13/7/2027,15h00,21\n", "3/7/2027 14h00,,20\n13/7/2027 15h00,,21\n"]
)
def test_hours_written_with_an_h_are_hours(rows):
    assert refused("Date,Time,Temp\n" + rows) == []


def test_where_most_rows_have_no_reading_each_is_a_fault():
    rows = "2027-07-03 14:00,--\n2027-07-03 15:00,\n2027-07-03 16:00,20\n"
    what = "is not a temperature: -60 to 70 °C is allowed"
    assert refused("Time,Temp\n" + rows) == [
        f"log.csv:2:18: temperature: '--' {what}",
        f"log.csv:3:18: temperature: '' {what}",
    ]
    assert refused("Time,Temp\n" + rows + "2027-07-03 17:00,20\n") == []  # two of four: as many as not


def test_a_plain_file_is_read_without_a_word_and_any_other_is_told_in_a_sentence():
    assert told("time,temperature\n2027-07-03T14:00,20\n2027-07-03T15:00,20\n") == ()
    assert told("date,min_F,max_F\n2027-07-03,50,68\n") == ()
    first = FORMS["a title, a numbered row, a unit behind the name, month first, twelve hours"]
    assert told(first) == (
        "log.csv: times are read from 'Date Time', month first, "
        "temperatures from 'Temp, °F (serial 77)' in °F",
    )
    assert told(FORMS["two columns of time, days with points, semicolons, decimal commas"]) == (
        "log.csv: times are read from 'Datum' and 'Uhrzeit', day first (as dates with points are), "
        "temperatures from 'Temperatur [°C]' in °C",
    )
    assert told("Date,Low,High\n7/3/2027,10,20\n7/4/2027,10,20\n", "us") == (
        "log.csv: dates are read from 'Date', month first (date_style), "
        "temperatures from 'Low' and 'High' in °C, for no unit is named",
    )
    assert told(FORMS["an hour behind Greenwich by the heading"]) == (
        "log.csv: times are read from 'Date Time, GMT-01:00', as UTC-1, temperatures from 'Temp, °C' in °C",
    )


def test_rows_that_are_left_out_are_counted_with_the_first_of_them():
    rows = "2027-07-03T14:00,20\n2027-07-03T15:00,--\n2027-07-03T16:00,\n2027-07-03T17:00,20\n"
    assert told("time,temperature\n" + rows + "2027-07-03T18:00,20\n") == (
        "log.csv: left out: 2 of 5 rows, the first in line 3 ('--')",
    )


def test_a_faulty_file_is_told_by_its_faults_alone():
    assert told("Time,Temp\n2027-07-03 14:00,1O.5\n") == ()


@pytest.mark.parametrize("form", FORMS)
def test_the_unit_of_the_heading_is_the_one_in_which_temperatures_are_told(form):
    assert in_fahrenheit(FORMS[form].encode()) == ("in °F" in told(FORMS[form])[0])


def test_the_heading_of_a_large_file_is_found_in_its_beginning():
    rows = "".join(f"2027-07-{day:02} {hour:02}:00,68\n" for day in range(1, 31) for hour in range(24))
    assert in_fahrenheit(("Time,Temp °F\n" + rows * 10).encode())
    assert in_fahrenheit(("Time,Temp °F\n" + rows * 10).encode("utf-16"))
    assert not in_fahrenheit(b"\0")


def test_a_last_row_that_breaks_off_as_while_it_is_written_is_left_out_and_told():
    whole = "time,temperature\n2027-07-03 14:00,20\n2027-07-03 15:00,22.5\n"
    last = "2027-07-03 16:00,23.5"
    for cut in [last[:n] for n in range(1, last.index(",") + 1)] + ["2027-07-03 16:00,23."]:
        assert read(whole + cut) == AFTERNOON
        cell = cut.partition(",")[0].strip()
        assert told(whole + cut) == (f"log.csv: left out: 1 of 3 rows, the first in line 4 ('{cell}')",)
    assert len(read(whole + last)) == 2


@pytest.mark.parametrize("end", ["", "\n"])
def test_a_last_row_with_all_its_cells_is_never_left_out_for_a_fault(end):
    said = refused(f"date,min,max\n2027-02-27,4,9\n2027-02-30,4,9{end}")
    assert said == ["log.csv:3:1: date: '2027-02-30': there is no such day"]
    assert refused("time,temperature\n2027-07-03 14:00,20\n2027-07-03 1\n") == [
        "log.csv:3:1: time: '2027-07-03 1' is not a time: write 2027-07-03T14:30"
    ]
