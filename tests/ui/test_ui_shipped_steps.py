"""Every step of the shipped build fits a screen of 80 by 24, once its cautions were read."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from benchtui.content.library import Library
from benchtui.jobs.events import JobStarted
from benchtui.jobs.run import Bench
from benchtui.jobs.state import begin
from benchtui.record.store import Store
from benchtui.ui.view.shapes import UNICODE
from benchtui.ui.view.step import Sight, step_page
from benchtui.ui.view.text import width_of

if TYPE_CHECKING:
    from pathlib import Path

MANY = 6
"""Wires in one step from which it may take more than one screen: the whole of a connector."""


@pytest.mark.parametrize("procedure", ["hollin-assembly", "first-power", "after-repair"])
def test_every_step_fits_or_says_that_there_is_more(tmp_path: Path, procedure: str) -> None:
    # MIL-STD-2106: a step with its warnings, limits and entry line on one page.
    with Store.open(tmp_path / "record.sqlite") as store:
        plan = Bench(Library.open(), store).plan(procedure, design_id="hollin-cue-desk", subject="F3")
    state = begin(plan, JobStarted(plan="p", procedure=plan.id), job="JAAAAA", unit="HCD-001-R")
    read = frozenset((caution.digest, step.step_id) for step in plan.steps for caution in step.cautions)
    state = replace(state, acknowledged=read)
    for step in plan.steps:
        page = step_page(replace(state, current=step.key), Sight(key=step.key), width=80, height=20, shapes=UNICODE)
        assert all(width_of(row) <= 80 for row in page.lines), step.key
        assert page.most == 0 or len(step.wires) >= MANY, step.key
