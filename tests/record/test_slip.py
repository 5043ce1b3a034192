"""What is no slip, or none any more, is told; what mail and chat do to one does no harm."""

import base64
import json
import re

import pytest
from slip_world import event, marked, moved, recorded, slip

from planner.record.refusal import Refused
from planner.record.slip import MOST_EVENTS, check_of, packed, read_slips

AGAIN = "Share it again from the phone"
DAMAGED = f"slip.txt: the slip is damaged: a part is missing, or was changed on the way. {AGAIN}"
NO_SLIP = "slip.txt: there is no slip in it: copy all from [hangplan slip begins] to [hangplan slip ends]"
LATER = "slip.txt: the slip was written by a later hangplan: install that on this computer"
CHANGED = f"slip.txt: the slip was changed after it was written. {AGAIN}"
NO_TIME = "is no time such as 2027-07-03T21:30:05.000"
TEXT = slip(moved("m2", "north", "4"), marked("m1", "emerged", note="“round” quotes — and dashes"))


def read(text):
    return read_slips(text if isinstance(text, bytes) else text.encode(), "slip.txt")


def told(text):
    with pytest.raises(Refused) as e:
        read(text)
    return list(map(str, e.value.problems))


def as_json(**changes):
    raw = changes.pop("events", [moved("m2", "north", "4")])
    whole = {
        "slip": 1,
        "season": "",
        "name": "Porch",
        "device": "phone1",
        "check": check_of(raw),
        "events": raw,
    }
    return json.dumps({**whole, **changes})


def one(raw, **changes):
    """What is told of a slip with this one event, but for the file and the event's number."""
    found = told(as_json(events=[{**raw, **changes}]))
    assert all(text.startswith("slip.txt: event 1: ") for text in found)
    return [text.removeprefix("slip.txt: event 1: ") for text in found]


WAYS = {
    "as it is": TEXT,
    "quoted in a mail": "> On Monday Ann wrote:\n>\n" + re.sub("^", "> > ", TEXT, flags=re.MULTILINE),
    "with a signature": f"Hello!\n\n{TEXT}\n-- \nAnn\nSent from my phone",
    "wrapped anew": "\n".join(re.findall(".{1,23}", TEXT.replace("\n", " "))),
    "in one line": TEXT.replace("\n", ""),
    "with lines of Windows": TEXT.replace("\n", "\r\n"),
    "with capitals and spaces": TEXT.replace("hangplan slip begins", "Hangplan  Slip Begins"),
    "with unseen letters": TEXT.replace("\n", "\u200b\n\ufeff").replace("slip ends", "slip\u00a0ends"),
    "of other letters": TEXT.replace("+", "-").replace("/", "_"),
    "of quoted-printable mail": re.sub("([A-Za-z0-9]{30})(?=[A-Za-z0-9])", r"\1=\n", TEXT),
    "as JSON": as_json(events=[moved("m2", "north", "4"), marked("m1", "emerged")]),
}  # fmt: skip


@pytest.mark.parametrize("text", WAYS.values(), ids=WAYS)
def test_a_slip_survives_what_mail_and_chat_do_to_it(text):
    (found,) = read(text)
    assert [e.pupa for e in found.events] == ["m2", "m1"]
    assert (found.device, found.name) == ("phone1", "Porch")


def test_a_slip_of_a_later_form_is_told_so_whatever_else_it_holds():
    assert told('{"slip": 2, "season_id": "a", "log": []}') == [LATER]


def test_it_is_read_as_notepad_saves_it():
    assert (
        len(read(TEXT.encode("utf-16"))[0].events)
        == len(read(b"\xef\xbb\xbf" + TEXT.encode())[0].events)
        == 2
    )


def test_two_slips_in_one_text_are_two():
    assert [s.device for s in read(TEXT + "and\n" + slip(marked("m1", "failed"), device="phone2"))] == [
        "phone1", "phone2"]  # fmt: skip


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", NO_SLIP),
        (b"\x89PNG\r\n\x1a\n\xff\x00", NO_SLIP),
        (TEXT[:120], "slip.txt: the slip is cut off: [hangplan slip ends] is missing. Copy all of it, or "
         "share it again from the phone"),
        (TEXT[:200] + TEXT[230:], DAMAGED),
        (TEXT.replace("\n", "\n!", 3), DAMAGED),
        ("[hangplan slip begins]\n[hangplan slip ends]", DAMAGED),
        ("{", DAMAGED),
        ("{}", DAMAGED),
        (as_json(slip="1"), DAMAGED),
        (as_json(slip=True), DAMAGED),
        (as_json(slip=0), DAMAGED),
        (as_json(device="../../etc"), DAMAGED),
        (as_json(name="a\nb"), DAMAGED),
        (as_json(events={}), DAMAGED),
        (as_json(slip=2), LATER),
        (as_json().replace("north", "south"), CHANGED),
        ('{"slip": 1, "events": ' + "[" * 100_000 + "]" * 100_000 + "}", DAMAGED),
        ('{"slip": ' + "9" * 10_000 + "}", DAMAGED),
        ('{"slip": 1e400}', DAMAGED),
        ('{"slip": NaN}', DAMAGED),
        ("x" * 2_000_001, "slip.txt: no slip is larger than 2,000,000 bytes"),
    ],
)  # fmt: skip
def test_what_is_no_slip_is_told(text, message):
    assert told(text) == [message]


def test_very_many_events_are_refused():
    raw = [{"id": f"event{i:05}"} for i in range(10_000)]
    assert told(as_json(events=raw)) == [
        f"slip.txt: 10,000 events in one slip: at most {MOST_EVENTS:,} are taken"
    ]


def test_letters_that_are_no_text_are_damage():
    letters = base64.b64encode(b"\xff\xfe\xfd").decode()
    assert told(f"[hangplan slip begins]\n{letters}\n[hangplan slip ends]") == [DAMAGED]


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"id": "x"}, "id: 'x' is no id of an event"),
        ({"id": 7}, "id: '7' is no line of at most 40 visible characters"),
        ({"at": "2027-02-30T10:00:00.000"}, "at: '2027-02-30T10:00:00.000': there is no such time"),
        ({"at": "yesterday"}, f"at: 'yesterday' {NO_TIME}"),
        ({"at": "9999-07-03T21:30:05.000"}, f"at: '9999-07-03T21:30:05.000' {NO_TIME}"),
        ({"kind": "eaten"}, "kind: 'eaten' is none of recorded, moved, marked, pupated, cleaned, "
         "noted, taken back"),
        ({"pupa": ""}, "pupa is missing"),
        ({"pupa": ["m1"]}, "pupa: '['m1']' is no line of at most 40 visible characters"),
        ({"pupa": 10**4000}, f"pupa: '1{'0' * 36}...' is no line of at most 40 visible characters"),
        ({"place": "a\x1b[31m"}, "place: 'a�[31m' is no line of at most 40 visible characters"),
        ({"place": "x" * 41}, f"place: '{'x' * 37}...' is no line of at most 40 visible characters"),
        ({"anyway": "yes"}, "anyway: 'yes': allowed is true or false"),
        ({"cells": {}}, "'cells' is not part of an event 'moved'"),
    ],
)  # fmt: skip
def test_what_is_wrong_with_an_event_is_told(changes, message):
    assert one(moved("m2", "north", "4"), **changes) == [message]


def test_every_event_that_is_wrong_is_told():
    found = told(as_json(events=[7, event("moved"), marked("m1", "eaten"), recorded("tub-2", x="5")]))
    assert found == [
        "slip.txt: event 1: '7' is no event",
        "slip.txt: event 2: pupa is missing",
        "slip.txt: event 3: what: 'eaten' is none of darkening, emerged, failed, deformed, parasitised, "
        "escaped, released, removed",
        "slip.txt: event 4: x, y: '5,' is no point",
    ]


@pytest.mark.parametrize("note", ["=1+2", "+1", "-1", "@SUM(A1)"])
def test_a_note_that_a_spreadsheet_would_reckon_with_is_kept_as_text(note):
    (found,) = read(slip(marked("m1", "failed", note=note)))
    assert found.events[0].note == "'" + note


@pytest.mark.parametrize("note", ["a\nb", "a\x00b", "x" * 501, "\u202eabc"])
def test_a_note_that_is_no_line_is_refused(note):
    assert len(one(marked("m1", "failed", note=note))) == 1


def test_what_is_packed_is_read():
    raw = [recorded("Fensterbrett für Große", note="فراشة"), event("taken back", of="event00001")]
    (found,) = read(packed("0123456789ab", "Größe", "k3f9a2", raw))
    assert (found.season, found.name, list(found.raw)) == ("0123456789ab", "Größe", raw)
