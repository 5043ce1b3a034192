"""Whatever a name or a note may hold stays text: on the page and in the calendar."""

import json
from dataclasses import replace
from datetime import datetime, timedelta
from html.parser import HTMLParser

from hypothesis import example, given
from hypothesis import strategies as st
from icalendar import Calendar
from room_world import NOW, pupa, season
from tries import tries

from planner.follow.day import Day
from planner.report.calendar_file import calendar_file
from planner.report.page.data import PageData
from planner.report.page.document import page
from planner.season import Lid, Line, Move, Plan

# All that a season's files may hold; the control characters that they refuse as well.
TEXTS = st.text(st.characters(blacklist_categories=["Cs"]), min_size=1, max_size=30)
HOSTILE = (
    "</script><script>alert(1)</script>",
    "<!--<script>",
    "]]>",
    "\"'><img src=x onerror=alert(1)>",
    "a\r\nBEGIN:VEVENT\r\nSUMMARY:mine\r\nEND:VEVENT\r\nb",
    "a\nEND:VCALENDAR\n",
    "\u202edetrevni\u202c",
    "\u2028\u2029\x85\x0b\x0c",
    "\N{BUTTERFLY}\N{ZERO WIDTH JOINER}\N{FIRE}",
    "=cmd|' /C calc'!A0",
    'a\\n;,:"b\\',
    "{{ 7 * 7 }}{% raw %}",
    "x" * 76 + "\N{BUTTERFLY}" * 40,
)


def hostile(test):
    """Try every one of HOSTILE besides those that are drawn."""
    for text in HOSTILE:
        test = example(text=text)(test)
    return tries(25)(given(text=TEXTS)(test))


def named(text):
    """A season, a lid, a line and a note of that name; m1 is to go to the line."""
    places = (
        Line(name=text, length=60, height=150, clips_every=4),
        Lid(name=text + "-2", width=40, length=28),
    )
    pupae = (
        pupa("m1", "2027-07-01", text + "-2", x=5.0, y=5.0, note=text),
        pupa("m2", "2027-07-01", text, "8", note=text),
    )
    found = replace(season(*pupae), name=text, places=places)
    step = Move(step=1, pupa="m1", from_place=text + "-2", from_spot="5,5", to_place=text, to_spot="4",
                not_before=datetime(2027, 7, 3), not_after=datetime(2027, 7, 10, 12))  # fmt: skip
    return found, Plan(on=NOW, gap_days=2, hangs=(), moves=(step,))


class Elements(HTMLParser):
    """Every element but labels, with the names of its attributes, and the data for the scripts."""

    def __init__(self, text):
        super().__init__()
        self.found, self.facts, self.inside = [], "", False
        self.feed(text)

    def handle_starttag(self, tag, attrs):
        if tag != "text":  # a label in the drawing, left out where it finds no room
            self.found.append((tag, sorted(name for name, _ in attrs)))
        self.inside = dict(attrs).get("id") == "facts"

    def handle_endtag(self, _tag):
        self.inside = False

    def handle_data(self, text):
        if self.inside:
            self.facts += text


def made(text):
    found, plan = named(text)
    return Elements(page(PageData(Day(found, NOW, plan))))


PLAIN = made("plain").found


@hostile
def test_no_name_adds_an_element_or_an_attribute_to_the_page(text):
    odd = made(text)
    assert odd.found == PLAIN
    assert json.loads(odd.facts)["pupae"][0]["note"] == text


@hostile
def test_no_name_adds_a_line_or_an_event_to_the_calendar(text):
    found, plan = named(text)
    data = calendar_file(found, NOW, plan)
    lines = data.decode().removesuffix("\r\n").split("\r\n")
    # RFC 5545: lines end with CR LF, are at most 75 octets long and have no other control character.
    assert all(len(line.encode()) <= 75 for line in lines)
    assert not any(ord(c) < 32 or ord(c) == 127 for line in lines for c in line if c != "\t")
    logical = data.decode().replace("\r\n ", "").split("\r\n")
    assert logical.count("BEGIN:VEVENT") == logical.count("END:VEVENT") == 2
    assert logical.count("END:VCALENDAR") == 1
    # m1 and m2 pupated on one day: due on one, and dark a day before.
    days = [e.decoded("dtstart") for e in Calendar.from_ical(data).walk("VEVENT")]
    assert days[1] - days[0] == timedelta(days=1)
