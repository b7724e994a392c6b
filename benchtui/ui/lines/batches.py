"""A batch by lines: gone over with all its units together, or one of them taken in hand after the other."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from benchtui.jobs.run_batch import Batch
from benchtui.ui.batch_plan import NEW, pick_batch, pick_build, plan_batch
from benchtui.ui.first_units import first_said
from benchtui.ui.lines.batch_acts import Acts
from benchtui.ui.lines.batch_pass import BatchTalk
from benchtui.ui.view.batch import sums_text
from benchtui.ui.view.bench import where
from benchtui.ui.view.rows import Row

if TYPE_CHECKING:
    from benchtui.ui.lines.bench import BenchTalk


TOGETHER: Final = (
    Row(id="all", text="all units together, one step for all of them"),
    Row(id="where", text="where each unit is"),
    Row(id="spread", text="readings that stand out"),
    Row(id="spread all", text="every reading over the units"),
    Row(id="hold", text="hold a unit, which drops out, or free one"),
)
"""What is done with a batch as a whole; its units follow, each to be taken in hand by itself."""


def build_batch(here: BenchTalk, name: str = "") -> None:
    """Pick a batch, or plan one, and go over its units together or one after the other.

    Args:
        here: The bench.
        name: Name of the batch, where it was picked already.
    """
    ways = here.ways
    picked = name if name else ways.go(pick_batch(ways))
    if picked is None:
        return
    batch: Batch | None
    if picked == NEW:
        design = here.design()
        batch = ways.go(plan_batch(ways, design.id)) if design is not None else None
    else:
        batch = Batch(here.bench, picked)
    procedure = ways.go(pick_build(ways, batch)) if batch is not None else None
    if batch is not None and procedure is not None:
        _go_over(here, batch, procedure)


def _go_over(here: BenchTalk, batch: Batch, procedure: str) -> None:
    """Say how far each unit is, and go over all of them or take one in hand, until that is enough."""
    acts = Acts(here, batch, procedure)
    while True:
        here.talk.say(f"Batch {batch.name}: {sums_text(batch.sums())}.")
        jobs = {job.unit: job for job in here.bench.open_jobs() if job.procedure == procedure}
        out, left = batch.left_out(), batch.left_to_build(procedure)
        units = [
            Row(id=unit, text=unit, right=where(jobs[unit]) if unit in jobs else "not begun")
            for unit in left
            if unit not in out
        ]
        if first := first_said(here.units, batch.taking_part()):
            here.talk.say(f"{first}.")
        for gone, state in out.items():
            here.talk.say(f"Not in the pass: {gone} ({state}).")
        if not units:
            here.talk.say(
                "Every unit that takes part has been gone through. Each is released on its page: units, at the bench."
            )
            if not out:
                return
        picked = here.ways.go(here.ways.pick(f"Batch {batch.name}", "What do you want to do?", [*TOGETHER, *units]))
        if picked is None:
            return
        if picked == "all":
            group = Batch(here.bench, batch.name)  # anew: its units may have been taken in hand one by one meanwhile
            group.start(procedure)
            BatchTalk(here, group, procedure).go()
        elif picked.partition(" ")[0] in acts.commands():
            acts.do(picked)
        elif picked in jobs:
            here.open_work(jobs[picked].job)
        else:
            here.ways.go(here.ways.work_on(here.bench.start(procedure, picked, batch=batch.written)))
