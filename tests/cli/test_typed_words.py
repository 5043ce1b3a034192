"""Words taken as typed: every call comes out as with typer's own validators, errors included."""

from importlib import import_module

import pytest
import typer

from planner.cli.app import COMMANDS, load

CALLS = [
    [],
    ["porch"],
    ["m1", "m2", "emerged", "porch"],
    ["3", "tub-2", "--count", "3", "--at", "12,5", "--at", "14,5", "--note", "Säntis → 蝶"],
    ["--count", "three"],
    ["porch", "--seconds", "20", "--gap", "1.5"],
    ["porch", "--seconds", "long"],
    ["porch", "--days", "1.5"],
    ["porch", "-o", "t.pdf", "--on", "2027-07-05"],
    ["porch", "--on", ""],
    ["porch", "--on", "\udcff"],  # bytes that are no text, as the system hands them on
    ["\udcff"],
    ["porch", "porch", "porch"],
    ["--no-such-option"],
]


def plain(name):
    """The same command as typer makes it by itself."""
    module = import_module(f"planner.cli.{name}")
    alone = typer.Typer(add_completion=False, rich_markup_mode=None, pretty_exceptions_enable=False)
    alone.command(name)(getattr(module, name, None) or getattr(module, f"{name}_"))
    return typer.main.get_command(alone)


def understood(command, args, monkeypatch, tmp_path):
    monkeypatch.chdir(tmp_path)
    try:
        return command.make_context(command.name, list(args)).params
    except Exception as e:
        return type(e), str(e), getattr(e, "message", "")


@pytest.mark.parametrize("name", COMMANDS)
def test_a_call_is_understood_as_typer_understands_it(name, monkeypatch, tmp_path):
    for args in CALLS:
        found = understood(load(name), args, monkeypatch, tmp_path)
        assert found == understood(plain(name), args, monkeypatch, tmp_path), args


def test_these_calls_reach_commands_and_errors(monkeypatch, tmp_path):
    add = [understood(load("add"), args, monkeypatch, tmp_path) for args in CALLS]
    assert add[1]["words"] == ["porch"]
    assert add[3]["number"] == 3
    assert add[4][2] == "Input should be a valid integer, unable to parse string as an integer"
