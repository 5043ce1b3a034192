"""What ``new`` asks on a terminal and makes of the answers; before the last one nothing is written."""

import os
import select
import signal
import sys
from pathlib import Path

import pytest
from cli_world import call
from typer.testing import CliRunner

from planner.cli import new as new_command
from planner.cli.answers import new as questions
from planner.cli.answers.starter import Starter, starter
from planner.cli.app import app
from planner.emergence import known_species
from planner.season.load import load

LID = "lid 40 x 28"
ANSWERS = ("Back porch", "Lisbon", "", "in", "75", "line 72, another, board 24 x 18, lid 23 x 16")
WELCOME = "A few questions. Enter takes what stands in brackets; Ctrl-C ends, and nothing is written.\n"
PLACES = (
    "What do they hang from, and pupate on? Sizes in inches, such as\n"
    "  line 72, board 24 x 18, lid 23 x 16, round lid 4 [none yet]: "
)
HOW_WARM = "How warm is it where they hang, in °C? [23]: "


@pytest.fixture(autouse=True)
def _here(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("TZ", "Europe/Madrid")
    monkeypatch.setattr(new_command, "can_ask", lambda: True)


def asked(*answers, more=()):
    """``new porch`` with these answers typed, behind which the input ends."""
    typed = "".join(f"{a}\n" for a in answers)
    result = CliRunner().invoke(app, ["new", "porch", *more], prog_name="hangplan", input=typed)
    if result.exception is not None and not isinstance(result.exception, SystemExit):
        raise result.exception
    return result


def season():
    return load(Path("porch"), known_species())


def test_it_asks_six_things_and_shows_what_enter_takes():
    said = asked("", "", "", "", "", "")
    assert (said.exit_code, said.stderr) == (0, "")
    prompts = said.stdout.split("wrote")[0]
    assert prompts == (
        WELCOME + "Name of the season [porch]: \n"
        "Where? A large city in your time zone [Europe/Madrid]: \n"
        "Which species? One of\n"
        "  cabbage-white, indian-fritillary, large-white, monarch, painted-lady [monarch]: \n"
        "Lengths in cm or in inches (in)? [cm]: \n" + HOW_WARM + "\n"
        "What do they hang from, and pupate on? Sizes in cm, such as\n"
        "  line 180, board 60 x 45, lid 40 x 28, round lid 9 [none yet]: \n"
    )


def test_what_is_answered_is_the_season():
    said = asked(*ANSWERS)
    assert (said.exit_code, said.stderr) == (0, "")
    found = season()
    assert (found.name, found.timezone, found.species, found.units) == (
        "Back porch",
        "Europe/Lisbon",
        "monarch",
        "in",
    )
    assert found.constant == pytest.approx((75 - 32) / 1.8)
    assert [p.name for p in found.places] == ["line-1", "line-2", "board-1", "tub-1"]
    line, second, board, lid = found.places
    assert (line.length, second.length) == (72 * 2.54, 72 * 2.54)
    assert (board.width, board.height) == (24 * 2.54, 18 * 2.54)
    assert (lid.width, lid.length) == (23 * 2.54, 16 * 2.54)
    # The commented starter, in inches: reach 4, drop 8, clearance 4.5, hands from 16 to 75.
    assert (found.wing_reach, found.drop, found.clearance) == pytest.approx((10.16, 20.32, 11.43))
    assert (found.lowest, found.highest) == pytest.approx((40.64, 190.5))
    assert call("check", "porch").out.startswith("Back porch: the files are in order;")


def test_then_it_says_what_comes_next():
    assert asked(*ANSWERS).stdout.split(f"{PLACES}{ANSWERS[-1]}\n")[1] == (
        "wrote porch/season.yaml and porch/pupae.csv\n"
        "Next:\n"
        "  1. measure the height, clips and pins of your lines and boards: season.yaml guesses them\n"
        "  2. hangplan add porch 3 tub-1 (three that pupated today on lid tub-1)\n"
        "  3. hangplan plan porch\n"
        "'hangplan use porch' lets you type 'hangplan today' and all else in any folder.\n"
    )


def test_no_place_is_written_that_the_keeper_does_not_own():
    asked(*ANSWERS)
    text = Path("porch/season.yaml").read_text()
    assert [line for line in text.splitlines() if line.startswith("  - ")] == [
        "  - {line: line-1, length: 72, height: 60, clip_width: 1.25}",
        "  - {line: line-2, length: 72, height: 60, clip_width: 1.25}",
        "  - {board: board-1, width: 24, height: 18, pins_every: 2, pattern: staggered, bottom: 36}",
        "  - {lid: tub-1, width: 23, length: 16}",
    ]
    assert "  # - {line: north, length: 72, height: 60, clips_every: 2}\n" in text  # how it is written


def test_who_has_no_place_yet_is_told_by_every_command_what_to_write():
    assert asked("", "", "", "", "", "none yet").exit_code == 0
    said = call("add", "porch", "3", "tub-1")
    assert (said.code, said.out) == (1, "")
    assert said.err == "season.yaml:23:8: places: at least one place is needed: a line, a board or a lid\n"


@pytest.mark.parametrize(
    ("wrong", "why", "right"),
    [
        (["", "CST"], "'CST' may mean several zones, or one without summer time: write a large city in "
         "yours, such as Lisbon or Chicago", ["Chicago", "", "", "", LID]),
        (["", "Lisbo"], "'Lisbo' is not known (did you mean 'Lisbon'?)", ["Lisbon", "", "", "", LID]),
        (["", "Springfield"], "'Springfield' is not known: write a large city in your time zone, such as "
         "Lisbon or Chicago", ["Chicago", "", "", "", LID]),
        (["", "", "monarh"], "'monarh' is not a known species (did you mean 'monarch'?); more can be given "
         "under profiles: in season.yaml", ["monarch", "", "", LID]),
        (["", "", "", "feet"], "'feet': write cm or in", ["cm", "", LID]),
        (["", "", "", "", "warm"], "'warm' is not a temperature: write 23, 23 C or 73 F", ["23", LID]),
        (["", "", "", "", "73"], "73: as °C that kills (0 to 45 °C are allowed); for Fahrenheit write "
         "'73 F'", ["73 F", LID]),
        (["", "", "", "", "", "shelf 3"], "'shelf 3': write line, board or lid and its size, such as "
         "line 180", [LID]),
        (["", "", "", "", "", "line 0"], "length: 0 cm: must be more than 0 and at most 5000 cm", [LID]),
        (["", "", "", "", "", "line north 90, lid North 40 x 28"],
         "'North' is the name of another: each place needs its own", [LID]),
    ],
)  # fmt: skip
def test_a_wrong_answer_is_told_and_asked_again(wrong, why, right):
    said = asked(*wrong, *right)
    assert (said.exit_code, said.stderr) == (0, f"  {why}\n")
    assert season().name == "porch"


@pytest.mark.parametrize("number", range(6))
def test_where_the_input_ends_before_the_last_answer_nothing_is_written(number):
    said = asked(*ANSWERS[:number])
    assert (said.exit_code, said.stderr) == (130, "\nstopped: nothing was written\n")
    assert list(Path().iterdir()) == []


def test_what_is_given_is_not_asked():
    said = asked("", "Lisbon", "", "lid 23 x 16", more=["--units", "in", "--temperature", "75"])
    assert (said.exit_code, said.stderr) == (0, "")
    assert "Lengths" not in said.stdout
    assert "How warm" not in said.stdout
    assert season().units == "in"
    assert season().constant == pytest.approx((75 - 32) / 1.8)


def test_where_everything_is_given_nothing_is_asked():
    more = ["--name", "A", "--timezone", "Lisbon", "--species", "monarch", "--units", "cm"]
    said = asked(more=[*more, "--temperature", "23", "--places", "none"])
    assert (said.exit_code, said.stdout.splitlines()[0]) == (0, "wrote porch/season.yaml and porch/pupae.csv")


def test_for_programs_nothing_is_asked():
    said = asked(more=["--json"])
    assert said.exit_code == 0
    assert Path("porch/season.yaml").read_text() == starter()


def test_what_refuses_the_folder_is_told_before_anything_is_asked():
    Path("porch").write_text("mine")
    said = asked()
    assert (said.exit_code, said.stdout) == (1, "")
    assert said.stderr == "porch is not a folder: a season is a folder\n"


@pytest.mark.parametrize(
    ("typed", "zone"),
    [
        ("Lisbon", "Europe/Lisbon"),
        ("new york", "America/New_York"),
        ("Europe/Berlin", "Europe/Berlin"),
        ("america/chicago", "America/Chicago"),
        ("Buenos Aires", "America/Buenos_Aires"),
        ("utc", "UTC"),
        ("Portugal", "Portugal"),
    ],
)
def test_a_time_zone_is_found_by_its_city(typed, zone):
    assert questions.QUESTIONS[1].read(typed, Starter()) == zone


@pytest.mark.parametrize("typed", ["EST", "est", "MST", "CST", "PST", "GMT", "EST5EDT"])
def test_letters_that_mean_a_zone_without_summer_time_or_several_are_asked_back(typed):
    if typed == "est":
        typed = typed.upper()
    with pytest.raises(ValueError, match="may mean several zones, or one without summer time"):
        questions.QUESTIONS[1].read(typed, Starter())


@pytest.mark.parametrize(
    ("locale", "zone", "units"),
    [
        ("en_US.UTF-8", "America/Chicago", "in"),
        ("en_US.UTF-8", "Europe/Lisbon", "cm"),  # en_US is what many a computer elsewhere is set to
        ("pt_BR.UTF-8", "America/Sao_Paulo", "cm"),
        ("C", "America/Chicago", "cm"),
    ],
)
def test_inches_are_offered_where_computer_and_season_are_in_the_united_states(
    monkeypatch, locale, zone, units
):
    monkeypatch.setenv("LC_ALL", locale)
    assert questions.QUESTIONS[3].default(Starter(timezone=zone), Path()) == units


def test_names_of_any_letters_are_written_so_that_they_are_read_back():
    for name in (
        "no",
        "a: b",
        "# 1",
        "- x",
        '"',
        "{}",
        "Мой сад",
        "[x]",
        "'",
        "a  # b",
        "!x",
        "&a",
        "%",
        "1",
    ):
        assert Starter(name=name).problems(Path()) == [], name
        text = Starter(name=name).text()
        Path("porch").mkdir(exist_ok=True)
        Path("porch/season.yaml").write_text(text)
        assert season().name == name


@pytest.mark.skipif(sys.platform == "win32", reason="no terminals of this kind")
@pytest.mark.parametrize("key", [b"\x03", b"\x04"], ids=["Ctrl-C", "end of input"])
def test_at_a_real_terminal_it_asks_and_can_be_stopped_with_nothing_written(tmp_path, key):
    code, said = at_a_terminal(["new", str(tmp_path / "porch")], key)
    assert code == 130
    assert said.endswith(b"\r\nstopped: nothing was written\r\n")
    assert not (tmp_path / "porch").exists()


def at_a_terminal(words, key):
    """Exit code and output of a call that is answered by one key as soon as it asks."""
    import pty

    pid, terminal = pty.fork()
    if pid == 0:
        signal.signal(signal.SIGINT, signal.SIG_DFL)  # a test run in the background may ignore it
        os.execv(sys.executable, [sys.executable, "-m", "planner", *words])
    said, closed = b"", False
    for _ in range(60):  # seconds, at most
        while not closed and select.select([terminal], [], [], 1)[0]:
            try:
                more = os.read(terminal, 4096)
            except OSError:  # the other end is closed
                more = b""
            said, closed = said + more, not more
        if closed:
            break
        # Pressed again where it came just before Python began to read, which loses it.
        if b"]: " in said:
            os.write(terminal, key)
    else:
        os.kill(pid, signal.SIGKILL)
    os.close(terminal)
    return os.waitstatus_to_exitcode(os.waitpid(pid, 0)[1]), said
