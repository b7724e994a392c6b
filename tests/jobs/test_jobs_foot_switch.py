"""A second, much smaller design is built and looked after by the same common procedures, with no line of Python."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from helpers.bench_of_plans import Clock
from helpers.builder import Builder

from benchtui.content.library import Library
from benchtui.design import load_design
from benchtui.errors import JobError
from benchtui.jobs.expand import expand
from benchtui.jobs.run import Bench
from benchtui.record.store import Store

if TYPE_CHECKING:
    from pathlib import Path

LIBRARY = Library.open()
DESIGN = "foot-switch"
COMMON = [entry.id for entry in LIBRARY.entries("procedure") if entry.design == "any"]


@pytest.mark.parametrize("id", COMMON)
def test_a_common_procedure_is_laid_out_over_the_foot_switch(id: str) -> None:
    """For a button, for a lamp, or for neither: one that is about a kind the foot switch has not is refused by name."""
    design = load_design(LIBRARY.path_of("design", DESIGN))
    for subject in ("B1", "L1"):
        try:
            plan = expand(LIBRARY.procedure(id), design, LIBRARY.cautions(), subject=subject)
        except JobError as error:
            assert f"{subject} is of the kind" in error.message
            continue
        assert plan.design_id == DESIGN
        assert not any("{" in text for step in plan for text in (step.text, *step.detail, step.accept))


def test_the_foot_switch_is_built_to_its_end(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("benchtui.jobs.timers._boot_id", lambda: "")  # so that the frozen clock is what counts
    clock = Clock()
    worker = Builder(lambda seconds: clock.forward(seconds=seconds))
    with Store.open(tmp_path / "record.sqlite", clock=clock) as store:
        bench = Bench(LIBRARY, store, clock=clock)
        run = bench.start("foot-switch-assembly", "WFS-001-A")
        worker.finish(run)
        assert run.state.closed == "complete"
        titles = {summary.title for summary in bench.jobs(unit="WFS-001-A")}
    assert {"Build the harness (stage C)", "First power (stage G)", "Test every input (stage I)"} <= titles
