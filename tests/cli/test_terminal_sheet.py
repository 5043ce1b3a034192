"""The same words and tables on a terminal and in a pipe: what a terminal adds is looks only."""

import io
import re

import pytest
from cli_world import call as hangplan

from planner.cli.app import app
from planner.cli.shell.talk import show, show_paragraph
from planner.cli.shell.terminal_sheet import lay_out
from planner.report.texts.sheet import Sheet, Table, Words
from planner.report.texts.text import columns

SHEET = Sheet.of(
    [
        [Words("Day sheet", tone="head"), Words("35 pupae present, and a long sentence about them. " * 2)],
        [],
        [
            Words("Overdue: 2", tone="warn"),
            Table(
                ("pupa", "hangs", "to", "today", "due"),
                [
                    ("m1", "Décollé-Ñandú étagère du milieu", "[bold]yarn[/] 12 cm", "    5 %", "14 Jul"),
                    ("m10", "蝶蝶蝶蝶蝶蝶", "north", "   25 %", "5 Jul"),
                ],
                (1, 2),
                "  ",
                ("after step 3", ""),
                warn=(1,),
                spare=(4,),
            ),
            Words("hangplan done m1 a-long-folder-that-must-not-be-broken/porch", whole=True),
        ],
    ]
)


class Screen(io.StringIO):
    """A stream that says it is a terminal."""

    encoding = "utf-8"

    def isatty(self):
        return True


@pytest.fixture
def screen(monkeypatch):
    monkeypatch.setenv("TERM", "xterm-256color")
    monkeypatch.delenv("NO_COLOR", raising=False)
    monkeypatch.setenv("COLUMNS", "80")
    return Screen()


def said(screen):
    """What a person reads: without what only changes the looks."""
    return re.sub(r"\x1b\[[0-9;]*m", "", screen.getvalue())


def words(text):
    return sorted(re.sub(r"[─\s]", "", text))


@pytest.mark.parametrize("width", [80, 60, 40, 200])
def test_on_a_terminal_nothing_is_cut_off_or_wider_than_it(screen, monkeypatch, width):
    monkeypatch.setenv("COLUMNS", str(width))
    lay_out(SHEET, screen, lambda text: text)
    lines = [line for line in said(screen).splitlines() if not line.startswith("hangplan done")]
    assert max(map(columns, lines)) <= min(width, 80)
    gone = "due14Jul5Jul" if width == 40 else ""  # the column that may be left out
    assert words(said(screen) + gone) == words(str(SHEET))


def test_bold_and_colour_add_nothing_that_is_not_there_in_words(screen):
    lay_out(SHEET, screen, lambda text: text)
    assert "\x1b[1;31mOverdue: 2" in screen.getvalue()
    assert "\x1b[1mDay sheet" in screen.getvalue()
    assert words(said(screen)) == words(str(SHEET))


def test_numbers_stand_under_one_another(screen):
    lay_out(Table(("day", "free"), [("Mon", "7"), ("Tue", "119")], (0,)), screen, str)
    assert [line.rstrip() for line in said(screen).splitlines()] == [
        "day  free",
        "─────────",
        "Mon     7",
        "Tue   119",
    ]


def test_a_command_to_copy_is_never_broken(screen, monkeypatch):
    monkeypatch.setenv("COLUMNS", "40")
    lay_out(SHEET, screen, str)
    assert f"\n{SHEET.parts[1][-1].text}\n" in said(screen)


@pytest.mark.parametrize(("name", "value"), [("NO_COLOR", "1"), ("TERM", "dumb"), ("TERM", "")])
def test_who_wants_plain_text_gets_it_on_a_terminal_too(screen, monkeypatch, name, value):
    monkeypatch.setenv(name, value)
    monkeypatch.setattr("sys.stdout", screen)
    show(SHEET)
    assert screen.getvalue() == str(SHEET)


def test_a_long_line_is_as_wide_as_the_terminal_and_in_a_pipe_80(screen, monkeypatch, capsys):
    show_paragraph("Next: " + "step " * 20)
    piped = capsys.readouterr().out
    assert piped == "Next:" + " step" * 14 + "\n  step step step step step step\n"
    monkeypatch.setattr("sys.stdout", screen)
    monkeypatch.setenv("COLUMNS", "60")
    show_paragraph("Next: " + "step " * 20)
    assert screen.getvalue().startswith("\x1b[1mNext:")
    assert said(screen) == "Next:" + " step" * 10 + "\n  " + " ".join(["step"] * 10) + "\n"


@pytest.mark.parametrize(
    "call", [("today",), ("outlook",), ("check",), ("undo", "--list"), ("learn",), ("learn", "--history")]
)
def test_each_report_says_the_same_on_a_terminal_as_in_a_pipe(world, screen, monkeypatch, call):
    world.plan()
    assert hangplan("mark", "m1", "emerged", "porch", "--on", "2027-07-12").code == 0
    args = (*call, "porch", *([] if call[0] == "undo" or "--history" in call else ["--on", "2027-07-12"]))
    plain = hangplan(*args)
    monkeypatch.setattr("sys.stdout", screen)
    code = 1 if call == ("check",) else 0  # it is too late to move m2
    assert app(args, standalone_mode=False) == plain.code == code
    assert "\x1b[1m" in screen.getvalue() or "--history" in call
    assert words(said(screen)) == words(plain.out)
