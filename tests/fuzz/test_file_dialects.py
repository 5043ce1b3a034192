"""One file as several programs save it: the same to every reader, or refused in a line, and never guessed."""

import pytest
from hostile_readers import FOLDER, KNOWN
from test_hostile_files import FILES

from planner.emergence import learned_file
from planner.emergence.temperatures import parse_temperatures
from planner.season import FaultyFiles
from planner.season.lists import foreign_columns, foreign_table
from planner.season.lists.sketch import read_sketch
from planner.season.plan import plan_file
from planner.season.pupae.record import read_record
from planner.season.settings import read_settings


def settings(data):
    found, report = read_settings(data, FOLDER, KNOWN)
    return found.season, report.problems


def pupae(data):
    found = read_record(data, 1.0, "monarch")
    return found.pupae, found.problems


def temperatures(data):
    found, problems = parse_temperatures(data, "temperatures.csv", "Europe/Lisbon")
    if problems:
        raise FaultyFiles(problems)
    return [a.tolist() for a in (found.start, found.end, found.low, found.high)]


def learned(data):
    return [(e.accepted, e.species, e.replaced_by) for e in learned_file.parse(data)]


def drawn(data):
    return read_sketch(data, "lid.txt")


def keepers(data):
    found = foreign_table.read_foreign(data, "notes.csv")
    return found.header, foreign_table.understand(
        found, foreign_columns.guess(found, ["tub-2"], ""), "", "tub-2"
    )


READ = {
    "season_yaml": settings, "pupae_csv": pupae, "temperatures_csv": temperatures, "learned_yaml": learned,
    "plan_yaml": plan_file.parse, "sketch": drawn, "keeper_table": keepers,
}  # fmt: skip
WIDE = ": the file is written in UTF-16: save it as UTF-8"
EACH = [(name, file) for name in READ for file in FILES[name]]


def outcome(read, data):
    """What a reader makes of it, or what it says against it."""
    try:
        return read(data)
    except FaultyFiles as e:
        return str(e)


@pytest.mark.parametrize(("name", "file"), EACH, ids=lambda v: getattr(v, "name", v))
def test_a_byte_order_mark_and_the_line_ends_of_other_systems_change_nothing(name, file):
    plain = file.read_bytes().removeprefix(b"\xef\xbb\xbf").replace(b"\r\n", b"\n").replace(b"\r", b"\n")
    expected = outcome(READ[name], plain)
    for ends in (b"\n", b"\r\n"):
        for mark in (b"", b"\xef\xbb\xbf"):
            assert outcome(READ[name], mark + plain.replace(b"\n", ends)) == expected


@pytest.mark.parametrize("name", [name for name in READ if name != "temperatures_csv"])
@pytest.mark.parametrize(
    ("damage", "said"),
    [
        (lambda d: b"\xff\xfe" + d.decode().encode("utf-16-le"), WIDE),
        (lambda d: b"\xfe\xff" + d.decode().encode("utf-16-be"), WIDE),
        (lambda d: b"\0" + d, ":1:1: a NUL byte: this is not a text file, or it was damaged"),
        (lambda d: b"\xe9" + d, ":1:1: byte 0xe9 is not UTF-8: save the file as UTF-8"),
    ],
    ids=["UTF-16, low byte first", "UTF-16, high byte first", "NUL", "Latin-1"],
)  # fmt: skip
def test_other_encodings_are_refused_by_their_name(name, damage, said):
    told = outcome(READ[name], damage(FILES[name][0].read_bytes().removeprefix(b"\xef\xbb\xbf")))
    assert isinstance(told, str)
    assert told.endswith(said)
    assert told.count("\n") == 0


@pytest.mark.parametrize("encoding", ["utf-16", "utf-16-le", "utf-16-be", "latin-1"])
def test_a_loggers_table_is_read_in_the_encoding_its_program_saved_it_in(encoding):
    text = "time,temperature (°F)\n2027-07-03T08:00,50\n2027-07-03T09:00,51\n"
    mark = {"utf-16-le": b"\xff\xfe", "utf-16-be": b"\xfe\xff"}.get(encoding, b"")
    assert temperatures(mark + text.encode(encoding)) == temperatures(text.encode())


@pytest.mark.parametrize(("damage", "said"), [
    (lambda d: b"\0" + d, ":1:1: a NUL byte: this is not a text file, or it was damaged"),
    (lambda d: b"\xff\xfe" + d.decode().encode("utf-16-le") + b"a", WIDE),
    (lambda d: b"\xe9" + d, ":1:1: the first line must name date, min, max or time, temperature"),
])  # fmt: skip
def test_a_damaged_table_of_temperatures_is_refused_in_a_line(damage, said):
    told = outcome(temperatures, damage(FILES["temperatures_csv"][0].read_bytes()))
    assert told == f"temperatures.csv{said}"


@pytest.mark.parametrize(("comma", "point"), [
    (b"date;min;max\n2027-07-03;17,5;27\n", b"date,min,max\n2027-07-03,17.5,27\n"),
    (b"time;temperature\n2027-07-03T08:00;17,5\n2027-07-03T09:00;18\n",
     b"time,temperature\n2027-07-03T08:00,17.5\n2027-07-03T09:00,18\n"),
])  # fmt: skip
def test_temperatures_with_semicolons_and_decimal_commas_are_those_with_points(comma, point):
    assert temperatures(comma) == temperatures(point)


def test_pupae_with_semicolons_and_decimal_commas_are_those_with_points():
    comma = b"id;pupated;place;x;y\nm1;2027-07-03;tub-2;12,5;3\n"
    assert pupae(comma) == pupae(b"id,pupated,place,x,y\nm1,2027-07-03,tub-2,12.5,3\n")


@pytest.mark.parametrize(
    "day", ["03/07/2027", "7/3/2027", "3.7.2027", "03-07-2027", "3 Jul 2027", "20270703"]
)
def test_a_day_in_another_order_is_refused_in_every_file_of_the_keeper(day):
    assert "is not a date: write 2027-07-03" in str(pupae(f"id,pupated,place\nm1,{day},tub-2\n".encode())[1])
    expected = f"expected: [{{pupating: {day}, count: 1}}]\nplaces: [{{lid: t, width: 9, length: 9}}]\n"
    assert f"'{day}'" in str(settings(expected.encode())[1])
    assert f"'{day}'" in outcome(drawn, f"a = {day}\n\na a\n".encode())
    assert f"'{day}'" in outcome(keepers, f"Date,Tub\n{day},tub-2\n".encode())


@pytest.mark.parametrize("day", ["03/07/2027", "7/3/2027", "03-07-2027", "20270703"])
def test_a_loggers_day_that_could_be_another_is_refused(day):
    assert f"'{day}'" in outcome(temperatures, f"date,min,max\n{day},10,20\n".encode())


@pytest.mark.parametrize("day", ["3.7.2027", "03.07.2027", "3 Jul 2027", "2027/7/3"])
def test_a_loggers_day_that_can_be_no_other_is_read(day):
    plain = temperatures(b"date,min,max\n2027-07-03,10,20\n")
    assert temperatures(f"date,min,max\n{day},10,20\n".encode()) == plain
