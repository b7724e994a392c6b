"""The preliminary page of a batch: gone through once for all its units, with the kit of one of them listed."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from benchtui.ui.first_units import before_said
from benchtui.ui.screens.before import BeforeScreen
from benchtui.ui.view.batch import batch_head
from benchtui.ui.view.before import HEADINGS

if TYPE_CHECKING:
    from collections.abc import Sequence

    from benchtui.jobs.run import Run
    from benchtui.ui.view.rows import Row
    from benchtui.ui.view.text import Line


class BatchBefore(BeforeScreen):
    """Leaves with whether the work may begin; what is answered is written for the first unit."""

    def __init__(self, batch: str, runs: Sequence[Run]) -> None:
        super().__init__(runs[0])
        self.group_name = batch
        self.runs = tuple(runs)
        self.first = before_said(self.runs)

    def rows(self) -> list[Row]:
        """The lines of the page; how many times the parts are counted out stands over them, and does not go away."""
        count = len(self.runs)
        times = f"{HEADINGS['parts']}: listed for one unit; count out {count} times as many"
        rows = super().rows()
        if count < 2 or not self.run.plan.before.parts:
            return rows
        return [
            replace(row, text=times)
            if row.text == HEADINGS["parts"] and not row.id
            else replace(row, right=f"times {count}  {row.right}".rstrip())
            if row.id.startswith("parts:")
            else row
            for row in rows
        ]

    def head(self, width: int) -> list[Line]:
        step = self.run.plan.steps[0]
        states = [run.state for run in self.runs]
        return batch_head(self.group_name, self.run.plan.title, states, step, width, self.shapes, around=self.around)
