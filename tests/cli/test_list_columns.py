"""Columns of a list that are not used: told, or asked back, before anything is recorded."""

from pathlib import Path

from cli_world import call


def test_a_column_that_may_be_the_quantity_is_asked_back_and_nothing_recorded(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    call("new", "p")
    before = Path("p/pupae.csv").read_bytes()
    Path("l.csv").write_text("pupated,lid,batch,Heads\n2026-07-03,tub-1,A,4\n2026-07-03,tub-1,B,9\n")
    said = call("add", "p", "--csv", "l.csv")
    plain = "pupated=pupated,lid=place"
    how = f'then say --columns "{plain},Heads=count"; if not, --columns "{plain}"'
    assert (said.code, said.err) == (1, f"l.csv: is 'Heads' how many? If so, {how}\n")
    assert Path("p/pupae.csv").read_bytes() == before
    said = call("add", "p", "--csv", "l.csv", "--columns", f"{plain},Heads=count")
    assert said.code == 0
    assert "l.csv: not used, nor kept: batch\n" in said.err
    assert len(Path("p/pupae.csv").read_text().splitlines()) == 1 + 4 + 9
