"""Every step of every shipped procedure fits a screen of 80 by 24, once its cautions were read."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from benchtui.content.library import Library
from benchtui.errors import BenchError
from benchtui.jobs.events import JobStarted
from benchtui.jobs.run import Bench
from benchtui.jobs.state import begin
from benchtui.record.store import Store
from benchtui.ui.view.shapes import UNICODE
from benchtui.ui.view.step import Sight, step_page
from benchtui.ui.view.text import plain, width_of

if TYPE_CHECKING:
    from pathlib import Path

    from benchtui.jobs.plan import Plan

LIBRARY = Library.open()
PROCEDURES = [
    (entry.id, design)
    for design in ("hollin-cue-desk", "foot-switch")
    for entry in LIBRARY.entries("procedure")
    if entry.design in ("any", design)
]


@pytest.mark.parametrize(("procedure", "design"), PROCEDURES)
def test_every_step_of_every_procedure_fits(tmp_path: Path, procedure: str, design: str) -> None:
    # MIL-STD-2106: a step with its warnings, limits and entry line on one page.
    with Store.open(tmp_path / "record.sqlite") as store:
        bench = Bench(LIBRARY, store)
        for subject in ("F3", "K3", "R1", "B6", "T1", "E1", "L1", "B1"):
            try:
                plan = bench.plan(procedure, design_id=design, subject=subject)
            except BenchError:
                continue  # the design has no such control
            every_step_fits(plan)


def every_step_fits(plan: Plan) -> None:
    state = begin(plan, JobStarted(plan="p", procedure=plan.id), job="JAAAAA", unit="HCD-001-R")
    read = frozenset((caution.digest, step.step_id) for step in plan.steps for caution in step.cautions)
    state = replace(state, acknowledged=read)
    for step in plan.steps:
        page = step_page(replace(state, current=step.key), Sight(key=step.key), width=80, height=20, shapes=UNICODE)
        assert all(width_of(row) <= 80 for row in page.lines), step.key
        assert page.most == 0, f"{plan.id}: {step.key}"
        if step.wires:
            text = plain(page.lines)
            for wire in step.wires:  # both ends of each in full
                assert wire.start in text and wire.end in text, f"{plan.id}: {step.key}: {wire.id}"
