"""A batch by lines: gone over with all its units together, or one of them taken in hand after the other."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from benchtui.errors import UsageError
from benchtui.jobs.run_batch import Batch
from benchtui.jobs.run_batches import known_batches
from benchtui.ui.first_units import first_said
from benchtui.ui.fixed import fixed_of_it
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
    picked = name or _picked(here)
    if picked is None:
        return
    batch: Batch | None = None
    if picked == "new":
        chosen = here.design()
        if chosen is None:
            return
        design = chosen.id
    else:
        batch = Batch(here.bench, picked)
        design = batch.design or here.units.view(batch.units[0]).design
    builds = [
        Row(id=entry.id, text=entry.title)
        for entry in here.library.entries("procedure")
        if entry.design == design and entry.procedure_kind == "assembly"
    ]
    if not builds:
        raise UsageError(f"there is no assembly procedure for {design}", hint="write one beside its design file")
    # Only now is a serial number given: a batch that nothing builds would stand in the record for ever.
    batch = batch or _planned(here, design)
    if batch is None:
        return
    procedure: str | None = builds[0].id
    if len(builds) > 1:
        procedure = here.ways.go(here.ways.pick(f"Batch {batch.name}", "By which procedure?", builds))
    if procedure is not None:
        _go_over(here, batch, procedure)


def _picked(here: BenchTalk) -> str | None:
    """The name of a batch, or "new" for one that is not planned yet."""
    names = [batch.name for batch in known_batches(here.store)]
    rows = [Row(id=name, text=f"Batch {name}", right=sums_text(Batch(here.bench, name).sums())) for name in names]
    return here.ways.go(here.ways.pick("Batches", "Which one?", [*rows[::-1], Row(id="new", text="Plan a new batch")]))


def _planned(here: BenchTalk, design: str) -> Batch | None:
    def number(typed: str) -> str:
        return "" if not typed or (typed.isdigit() and 1 <= int(typed) <= 99) else "type a number, 1 to 99"

    typed = here.ways.go(here.ways.ask("A new batch", "How many units, 1 to 99", needed="type a number", check=number))
    fixed = here.ways.go(fixed_of_it(here.ways, "", design)) if typed else None
    return Batch.make(here.bench, design, int(typed), fixed=fixed) if typed and fixed is not None else None


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
