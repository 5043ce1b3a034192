import re
import shlex

import pytest
from cli_world import call

import planner
from planner.cli.app import COMMANDS
from planner.cli.shell.talk import fitting


def test_help_names_every_command_and_the_exit_codes():
    said = call("--help")
    assert said.code == 0
    assert all(f"  {name} " in said.out for name in COMMANDS)
    assert "hangplan new porch" in said.out
    assert "..." not in said.out.split("Commands:")[1]  # what each does is not cut off
    assert max(map(len, said.out.splitlines())) <= 80


@pytest.mark.parametrize("name", COMMANDS)
def test_the_help_of_all_gives_of_each_command_its_own_first_line(name):
    assert call(name, "--help").out.split("\n\n")[1].strip() == COMMANDS[name]


def examples(name):
    """The calls after ``Example:`` and ``More:``; what stands in brackets or after the last is no call."""
    parts = [part for part in call(name, "--help").out.split("\n\n") if re.match(r"\s*(Example|More):", part)]
    text = "; ".join(" ".join(part.split()).rstrip(".") for part in parts)
    calls = re.sub(r" \([^)]*\)", "", text).split("; ")
    return [re.sub(r"^(Example|More): ", "", one) for one in calls]


@pytest.mark.parametrize("name", COMMANDS)
def test_each_command_teaches_by_two_examples_at_least(name):
    said = call(name, "--help")
    assert said.code == 0
    found = examples(name)
    assert len(found) >= 2
    assert all(f"{one} ".startswith(f"hangplan {name} ") for one in found)
    assert max(map(len, said.out.splitlines())) <= 80


@pytest.mark.parametrize("name", COMMANDS)
def test_each_example_is_a_call_that_is_understood(name, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    for one in examples(name):
        # There is no season here but the one that new makes, so each goes as far as looking for it.
        said = call(*shlex.split(one)[1:])
        assert said.code == (0 if name == "new" else 1), (one, said.err)
        assert name == "new" or "hangplan new" in said.err or "there is no such folder" in said.err, one


@pytest.mark.parametrize("name", COMMANDS)
def test_each_command_says_what_comes_next(name):
    said = " ".join(call(name, "--help").out.split())
    assert said.count(" Next: ") == 1
    told = said.split(" Next: ")[1].split("Arguments:")[0].split("Options:")[0]
    assert [word for word in re.findall(r"hangplan (\w+)", told) if word in COMMANDS]


def test_the_version_is_the_package_s():
    said = call("--version")
    assert (said.code, said.out) == (0, f"hangplan {planner.__version__}\n")


def test_without_a_command_the_help_is_shown():
    said = call()
    assert said.code in (0, 2)  # which one, the library decides by its version
    assert "Usage: hangplan" in said.out + said.err


def test_an_unknown_command_is_a_wrong_call():
    said = call("fly")
    assert (said.code, said.out) == (2, "")
    assert "fly" in said.err


@pytest.mark.parametrize(
    ("text", "encoding", "expected"),
    [
        ("Säntis → 23 °C", "utf-8", "Säntis → 23 °C"),
        ("Säntis → 23 °C", "latin-1", "Säntis -> 23 °C"),
        ("Säntis → 23 °C", "ascii", "S\\xe4ntis -> 23 C"),
        ("10 × 5 mm – …", "ascii", "10 x 5 mm - ..."),
        ("蝶 and 蛾", "ascii", "\\u8776 and \\u86fe"),  # two names stay two
    ],
)
def test_letters_a_terminal_lacks_are_replaced(text, encoding, expected):
    assert fitting(text, encoding) == expected
