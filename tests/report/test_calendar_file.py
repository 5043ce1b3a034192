"""The file read back by a library and, for what a library forgives, byte by byte."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest
from icalendar import Calendar
from room_world import NOW, pupa, season

from planner.report.calendar_file import announced, by_name, calendar_file
from planner.season import Hang, Line, Move, Plan, When

NASTY = 'אבג; porch, "x" \\n a\\b'  # right to left, and all that the format gives a meaning


def events(data):
    return {str(e["uid"]): e for e in Calendar.from_ical(data).walk("VEVENT")}


def of(data, kind, status="CONFIRMED"):
    """Day → title of the events of one kind."""
    return {
        e.decoded("dtstart"): str(e["summary"])
        for uid, e in events(data).items()
        if f"-{kind}-" in uid and e["status"] == status
    }


TWO = season(
    pupa("m1", "2027-07-01", spot="4"), pupa("m2", "2027-07-01", "tub-2"), pupa("m3", "2027-07-03", spot="8")
)


def test_there_is_one_event_for_each_day_and_one_before_it():
    data = calendar_file(TWO, NOW, None)
    # Pupated 1 July, due ten days later, dark a day before that.
    assert of(data, "due") == {
        date(2027, 7, 11): "due: m1, m2 (north 4 cm, tub-2)",
        date(2027, 7, 13): "due: m3 (north 8 cm)",
    }
    assert of(data, "darkening") == {
        date(2027, 7, 10): "should darken: m1, m2 (north 4 cm, tub-2)",
        date(2027, 7, 12): "should darken: m3 (north 8 cm)",
    }


def test_a_name_from_right_to_left_keeps_to_itself_beside_the_spot():
    shelf = Line(name="מדף", length=60, height=150, clips_every=4)
    one = season(pupa("m1", "2027-07-01", "מדף", spot="8"), places=(shelf,))
    (title,) = of(calendar_file(one, NOW, None), "due").values()
    assert title == "due: m1 (\u2068מדף\u2069 8 cm)"


def test_events_take_whole_days_block_nobody_and_say_when_they_were_made():
    for event in events(calendar_file(TWO, NOW, None)).values():
        assert event.decoded("dtend") - event.decoded("dtstart") == timedelta(days=1)
        assert event["dtstart"].params["VALUE"] == "DATE"
        assert event["transp"] == "TRANSPARENT"
        # 8:00 in Lisbon in July is 7:00 UTC.
        assert event.decoded("dtstamp") == datetime(2027, 7, 5, 7, tzinfo=UTC)


def test_the_text_of_an_event_names_each_with_its_chance():
    (event,) = [
        e for uid, e in events(calendar_file(TWO, NOW, None)).items() if uid.startswith("20270713-due")
    ]
    line, what_to_do = str(event["description"]).split("\n")
    assert line.startswith("m3, north 8 cm, ")
    assert line.endswith(" % on this day")
    assert (
        what_to_do == "Leave each hanging until its wings are dry, and record it: hangplan mark PUPA emerged"
    )


def test_another_export_has_the_same_ids_and_a_higher_sequence():
    first, again = (events(calendar_file(TWO, now, None)) for now in (NOW, NOW + timedelta(minutes=1)))
    assert first.keys() == again.keys()
    assert all(again[uid]["sequence"] == first[uid]["sequence"] + 1 for uid in first)


def test_the_same_arguments_give_the_same_bytes():
    assert calendar_file(TWO, NOW, None) == calendar_file(TWO, NOW, None)


def test_seasons_of_different_names_have_different_ids():
    other = replace(TWO, name="Yard")
    assert not events(calendar_file(TWO, NOW, None)).keys() & events(calendar_file(other, NOW, None)).keys()


def test_a_day_on_which_nobody_is_due_any_more_is_cancelled():
    before = calendar_file(TWO, NOW, None)
    left = season(TWO.pupa["m1"], replace(TWO.pupa["m3"], outcome="failed", ended=When(date(2027, 7, 5))))
    data = calendar_file(left, NOW + timedelta(hours=1), None, before)
    assert of(data, "due") == {date(2027, 7, 11): "due: m1 (north 4 cm)"}
    assert of(data, "due", "CANCELLED") == {date(2027, 7, 13): "due: nobody any more"}
    assert of(data, "darkening", "CANCELLED") == {date(2027, 7, 12): "darkening: nobody any more"}
    # It stays cancelled in the export after that, until the day is past.
    third = calendar_file(left, NOW + timedelta(hours=2), None, data)
    assert of(third, "due", "CANCELLED") == of(data, "due", "CANCELLED")
    late = calendar_file(left, datetime(2027, 7, 14, 8), None, third)
    assert of(late, "due", "CANCELLED") == {}


@pytest.mark.parametrize(
    "previous",
    [
        b"", b"nothing of the kind", b"BEGIN:VCALENDAR\r\n", b"\xff\xfe\x00",
        b"BEGIN:VCALENDAR\r\nBEGIN:VEVENT\r\nUID:20279999-due-x@hangplan\r\nEND:VEVENT\r\nEND:VCALENDAR\r\n",
        b"BEGIN:VCALENDAR\r\nBEGIN:VEVENT\r\nUID:1@elsewhere\r\nEND:VEVENT\r\nEND:VCALENDAR\r\n",
    ],
)  # fmt: skip
def test_a_file_of_something_else_announces_nothing(previous):
    assert announced(by_name(TWO), previous) == []
    assert calendar_file(TWO, NOW, None, previous) == calendar_file(TWO, NOW, None)


def test_a_broken_day_in_an_id_of_ours_is_passed_over():
    data = calendar_file(TWO, NOW, None).replace(b"UID:20270713-due", b"UID:20279999-due")
    assert announced(by_name(TWO), data) == []


def test_the_overdue_are_due_today_and_to_be_looked_at():
    data = calendar_file(TWO, datetime(2027, 7, 20, 8), None)
    assert of(data, "due") == {date(2027, 7, 20): "due: m1 to m3 (north 4 cm, tub-2, north 8 cm)"}
    assert of(data, "darkening") == {}
    (event,) = events(data).values()
    assert str(event["description"]).count("OVERDUE: look") == 3


def test_once_darkening_is_seen_the_day_follows_it():
    # Seen at noon of the 7th, four days early: it began within the day before, and emerges about a day after.
    seen = replace(TWO.pupa["m3"], darkening=When.parse("2027-07-07T12:00"))
    data = calendar_file(season(seen), datetime(2027, 7, 7, 13), None)
    assert list(of(data, "due")) == [date(2027, 7, 8)]
    assert of(data, "darkening") == {}


def test_a_prepupa_has_no_day():
    assert events(calendar_file(season(pupa("m1", None, "tub-2")), NOW, None)) == {}


def test_where_the_plan_will_have_hung_it_is_told_as_long_as_it_can_be_moved():
    move = Move(step=1, pupa="m2", from_place="tub-2", from_spot="?", to_place="north", to_spot="12",
                not_before=datetime(2027, 7, 3), not_after=datetime(2027, 7, 10, 12))  # fmt: skip
    plan = Plan(on=NOW, gap_days=2, hangs=(Hang(pupa="m2", place="north", spot="12"),), moves=(move,))
    assert of(calendar_file(TWO, NOW, plan), "due")[date(2027, 7, 11)] == (
        "due: m1, m2 (north 4 cm, north 12 cm)"
    )
    late = calendar_file(TWO, datetime(2027, 7, 10, 13), plan)
    assert of(late, "due")[date(2027, 7, 11)] == "due: m1, m2 (north 4 cm, tub-2)"


def test_of_many_the_title_says_how_many_and_the_text_names_all():
    many = season(*(pupa(f"m{i}", "2027-07-01", "tub-2") for i in range(1, 601)))
    data = calendar_file(many, NOW, None)
    assert of(data, "due") == {date(2027, 7, 11): "due: 600 pupae"}
    texts = [str(e["description"]).splitlines() for e in events(data).values()]
    assert [len(t) for t in texts] == [601, 601]


def test_any_name_survives_and_the_bytes_are_as_the_standard_has_them():
    line = Line(name=NASTY, length=20, height=150, clips_every=4)
    places = (*TWO.places, line)
    odd = replace(season(pupa("m1", "2027-07-01", NASTY, "4"), places=places), name=NASTY + "é" * 100)
    data = calendar_file(odd, NOW, None)
    calendar = Calendar.from_ical(data)
    assert str(calendar["x-wr-calname"]) == odd.name
    assert of(data, "due") == {date(2027, 7, 11): f"due: m1 (\u2068{NASTY}\u2069 4 cm)"}
    # RFC 5545, 3.1: lines end with CRLF and have at most 75 octets; 3.3.11: escapes.
    assert data.endswith(b"\r\n")
    assert b"\n" not in data.replace(b"\r\n", b"")
    lines = data.split(b"\r\n")
    assert max(map(len, lines)) <= 75
    assert all(x.decode() for x in lines[:-1])  # no letter is cut in two
    unfolded = data.replace(b"\r\n ", b"").decode()
    escaped = NASTY.replace("\\", "\\\\").replace(";", "\\;").replace(",", "\\,")
    assert f"SUMMARY:due: m1 (\u2068{escaped}\u2069 4 cm)\r\n" in unfolded


def test_required_properties_are_there_once():
    lines = calendar_file(TWO, NOW, None).replace(b"\r\n ", b"").decode().split("\r\n")
    assert lines[0] == "BEGIN:VCALENDAR"
    assert lines[-2:] == ["END:VCALENDAR", ""]
    names = [x.split(":")[0].split(";")[0] for x in lines]
    assert [names.count(n) for n in ("VERSION", "PRODID", "METHOD")] == [1, 1, 1]
    assert {names.count(n) for n in ("UID", "DTSTAMP", "DTSTART", "SUMMARY", "SEQUENCE")} == {4}
