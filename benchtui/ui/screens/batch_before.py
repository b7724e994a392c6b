"""The preliminary page of a batch: gone through once for all its units, with the kit of one of them listed."""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchtui.ui.screens.before import BeforeScreen
from benchtui.ui.view.batch import batch_head

if TYPE_CHECKING:
    from collections.abc import Sequence

    from benchtui.jobs.run import Run
    from benchtui.ui.view.text import Line


class BatchBefore(BeforeScreen):
    """Leaves with whether the work may begin; what is answered is written for the first unit."""

    def __init__(self, batch: str, runs: Sequence[Run]) -> None:
        super().__init__(runs[0])
        self.group_name = batch
        self.runs = tuple(runs)

    def on_mount(self) -> None:
        super().on_mount()
        if self.run.plan.before.parts:
            self.say(f"Parts are listed for one unit: count out {len(self.runs)} times as many.")

    def head(self, width: int) -> list[Line]:
        step = self.run.plan.steps[0]
        states = [run.state for run in self.runs]
        return batch_head(self.group_name, self.run.plan.title, states, step, width, self.shapes)
