"""What happens after a plan was made is judged as progress: only a step that would harm is refused."""

from __future__ import annotations

import csv
import io
from datetime import timedelta
from typing import Any

import pytest
from hypothesis import strategies as st
from hypothesis.stateful import invariant, precondition, rule
from test_season_life import HOURS, SeasonLife, State, quick
from tries import tries

VOID = "cannot be hung by any more"
__all__ = ["quick"]  # a fixture


class ManyEvenings(SeasonLife):
    """The same keeper, who also dates those that hung in a J, corrects dates, and cleans after sick ones."""

    def edit(self, name: str, **cells: str) -> None:
        """Change a row by hand, as in a spreadsheet."""
        path = self.folder / "pupae.csv"
        with path.open(encoding="utf-8", newline="") as file:
            table = csv.DictReader(file)
            rows, head = list(table), list(table.fieldnames or ())
        for row in rows:
            if row["id"] == name:
                row |= cells
        out = io.StringIO()
        writer = csv.DictWriter(out, head, lineterminator="\n")
        writer.writeheader()
        writer.writerows(rows)
        path.write_text(out.getvalue(), encoding="utf-8")
        self.state = State(self.files(), self.state.elsewhere)
        self.before.clear()
        self.after.clear()

    @property
    def undated(self) -> list[str]:
        return [n for n, row in self.rows().items() if row.present and not row.cells["pupated"]]

    @precondition(lambda self: self.undated)
    @rule(hours=st.sampled_from([0, 3, 12]))
    def the_skin_of_a_prepupa_was_shed(self, hours: int) -> None:
        when = self.now - timedelta(hours=hours)
        self.edit(self.undated[0], pupated=f"{when:%Y-%m-%dT%H:%M}")

    @precondition(lambda self: self.present)
    @rule(number=st.integers(0, 11), days=st.sampled_from([-2, -1, 1]))
    def a_date_is_corrected(self, number: int, days: int) -> None:
        [name] = self.some({number})
        row = self.rows()[name]
        if row.firm and row.present and not row.cells.get("hung") and not row.cells.get("darkening"):
            day = min(row.firm - timedelta(days=2) + timedelta(days=days), self.now)
            self.edit(name, pupated=f"{day:%Y-%m-%d}")

    @precondition(lambda self: self.present)
    @rule(number=st.integers(0, 11), hours=HOURS)
    def one_was_sick(self, number: int, hours: int) -> None:
        self.now += timedelta(hours=hours)
        self.do("mark", *self.some({number}), "parasitised", str(self.folder))

    @invariant()
    def check_finds_no_fault_but_with_what_the_keeper_hung_elsewhere(self) -> None:
        """Here: with steps that are refused or too late, each by name, and never with the plan as a whole."""
        said = self.call("check", str(self.folder), "--json")
        assert said.code in (0, 1)
        assert not said.data["problems"], said
        assert said.code == bool(said.data["breaches"])
        movers = set() if (plan := self.in_force()) is None else set(plan.movers)
        for breach in said.data["breaches"]:
            if breach["where"] != "clash" and not self.state.elsewhere:
                assert any(name in breach["what"] for name in movers), said

    @invariant()
    def the_plan_goes_on_for_all_whom_it_does_not_harm(self) -> None:
        sheet = self.call("today", str(self.folder), "--json").data
        assert not any(VOID in note for note in sheet["notes"]), sheet["notes"]

    @precondition(lambda self: self.in_force() and self.present)
    @invariant()
    def tags_are_printed_only_for_those_that_may_be_touched(self) -> None:
        said = self.call("tags", str(self.folder), "--moved", "--json")
        data: dict[str, Any] = said.data
        assert said.code == 0 or all(VOID not in p["what"] for p in data["problems"]), said
        rows = self.rows()
        assert all(rows[name].touchable(self.now) for name in data.get("tags", ())), said


ManyEvenings.TestCase.settings = tries(3, stateful_step_count=15)


@pytest.mark.usefixtures("quick")
def test_a_plan_goes_on_through_fifteen_evenings() -> None:
    ManyEvenings.TestCase().runTest()
