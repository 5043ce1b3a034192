"""``plan --verbose`` and ``--dump-model``: what was asked of the solver, for who looks into it."""

import pytest

from planner.cli.shell.solver_log import Models, Watched


@pytest.fixture
def asking(world):
    """A season that cannot be hung without the solver: four marks, three of one date, and a date between."""
    rows = "".join(f"m{k},2027-07-0{1 + k % 2},tub-3,{5 + 3 * k},5\n" for k in range(6))
    world.write("pupae.csv", "id,pupated,place,x,y\n" + rows)
    world.write("season.yaml", world.read("season.yaml").replace("length: 60", "length: 26"))
    return world


def test_the_search_log_is_told_beside_the_results(asking):
    quiet, loud = (asking.call("plan", "--seconds", "5", *more) for more in ((), ("--verbose",)))
    assert "CP-SAT" not in quiet.out + quiet.err
    assert "CP-SAT" in loud.err
    assert "model without clashes, gap 2\n" in loud.err
    assert "CP-SAT" not in loud.out


def test_each_model_is_written_with_what_it_asks_and_names_of_all_its_variables(asking, tmp_path):
    said = asking.call("plan", "--seconds", "5", "--dump-model", str(tmp_path / "model.txt"))
    files = sorted(tmp_path.glob("model-*.txt"))
    assert len(files) > 1
    assert f"model-1 to -{len(files)}.txt" in said.err
    first = (tmp_path / "model-1.txt").read_text()
    assert first.startswith("# without clashes, gap 2\n")
    for file in files:
        text = file.read_text()
        variables = text.split("constraints {")[0].count("variables {")
        assert variables > 0
        assert text.count('  name: "') >= variables, file


def test_where_no_model_is_asked_that_is_told(tmp_path, capsys):
    Watched(models=Models(tmp_path / "model.txt")).tell_models()
    assert capsys.readouterr().err == "no model was asked of the solver: --dump-model wrote nothing\n"
