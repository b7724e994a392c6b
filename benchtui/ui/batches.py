"""Ways to a batch and from it: pick or plan one, pass over its units, take one in hand, close their jobs, release."""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchtui.ui import together
from benchtui.ui.flows import pick_design
from benchtui.ui.sittings import ask_meter
from benchtui.ui.taking_up import time_away

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from benchtui.jobs.run import Run
    from benchtui.jobs.run_batch import Batch
    from benchtui.ui.app import BenchApp


async def build_batch(app: BenchApp) -> None:
    """Pick or plan a batch, and pass over it by one procedure."""
    from benchtui.jobs.run_batch import Batch
    from benchtui.ui.batch_plan import NEW, TITLE, pick_batch, pick_build, plan_batch

    picked = await pick_batch(app)
    if picked is None:
        return
    batch: Batch | None
    if picked == NEW:
        design = await pick_design(app, TITLE)
        batch = await plan_batch(app, design.id) if design is not None else None
    else:
        batch = Batch(app.bench, picked)
    procedure = await pick_build(app, batch) if batch is not None else None
    if batch is not None and procedure is not None:
        batch.start(procedure)
        await pass_over(app, batch, procedure)


async def open_batch(app: BenchApp, name: str) -> None:
    """Go on with a batch: all its units together, or one of them by itself."""
    from benchtui.jobs.run_batch import Batch
    from benchtui.ui.flows import open_work
    from benchtui.ui.screens.pick import PickScreen
    from benchtui.ui.view.bench import by_batch, where
    from benchtui.ui.view.rows import Row

    groups = [jobs for jobs in by_batch(app.bench.open_jobs()) if isinstance(jobs, tuple)]
    jobs = next((jobs for jobs in groups if any(job.batch == name for job in jobs)), ())
    procedures = dict.fromkeys(job.procedure for job in jobs if job.batch)
    rows = [Row(text="All units together, one step for all of them")]
    rows += [Row(id=f"all:{procedure}", text=app.title_of(procedure)) for procedure in procedures]
    rows.append(Row(text="One unit by itself"))
    for job in sorted(jobs, key=lambda job: (job.unit, not job.batch)):
        rows.append(Row(id=f"open:{job.job}", text=f"{job.unit}: {job.title}", under=where(job)))
    picked = await app.push_screen_wait(PickScreen(f"Batch {name}", "Which way?", rows))
    if picked is None:
        return
    kind, _, id = picked.partition(":")
    if kind == "open":
        await open_work(app, id)
        return
    batch = Batch(app.bench, name)
    batch.start(id)
    await pass_over(app, batch, id)


async def pass_over(app: BenchApp, batch: Batch, procedure: str) -> None:
    """Take up the jobs of a batch, by way of the page after a break and the preliminary page, and go over them."""
    from benchtui.ui.screens.batch import BatchScreen
    from benchtui.ui.screens.batch_before import BatchBefore
    from benchtui.ui.screens.notice import read_notices
    from benchtui.ui.screens.resume import ResumeScreen

    async def how_it_is(run: Run) -> Sequence[str] | None:
        page = ResumeScreen(run, gone=time_away(run), identify=False)
        return page.back.answers if await app.push_screen_wait(page) else None

    async def notices(run: Run) -> bool:
        return await read_notices(app, run)

    async def before(alike: Sequence[Run]) -> bool | None:
        return await app.push_screen_wait(BatchBefore(batch.name, alike))

    out = batch.left_out()
    runs = [run for unit, run in batch.runs().items() if unit not in out]
    if await together.taken_up(runs, how_it_is) and await together.prepared(runs, notices, before):
        if runs:
            await ask_meter(app, runs[0].plan)
        await app.push_screen_wait(BatchScreen(batch, procedure, app.title_of(procedure)))
    else:
        for run in runs:
            run.suspend()


async def take_in_hand(app: BenchApp, batch: Batch) -> None:
    """Work on one unit by itself, on the screen of its job or, once that is closed, from its page; then come back."""
    from benchtui.ui.screens.pick import PickScreen
    from benchtui.ui.screens.step import StepScreen
    from benchtui.ui.screens.unit import UnitPage
    from benchtui.ui.view.batch import unit_rows

    runs = batch.runs()
    rows = unit_rows({unit: run.state for unit, run in runs.items()}, batch.states(), app.shapes)
    waiting = batch.waiting()
    wanted = next(iter(waiting)) if len(waiting) == 1 else ""
    picked = await app.push_screen_wait(
        PickScreen(f"Batch {batch.name}", "Which one do you take in hand?", rows, wanted=wanted)
    )
    if picked is None:
        return
    run = runs.get(picked)
    if run is None:
        await app.push_screen_wait(UnitPage(picked))
        return
    await app.push_screen_wait(StepScreen(run))
    together.back_with_the_others(run)


async def close_jobs(app: BenchApp, batch: Batch) -> None:
    """The end page, once for the units that have nothing open, and one for each that has."""
    from benchtui.ui.screens.end import EndScreen

    runs = [batch.runs()[unit] for unit in batch.at_the_end()]
    seen = False
    for run in runs:
        # What is only not counted back is dealt with on the page; anything else is decided unit by unit.
        alike = together.only_to_count(run)
        if seen and alike:
            together.close_alike(run)
        elif not await app.push_screen_wait(EndScreen(run)):
            break
        else:
            seen = seen or alike


async def who_signs(app: BenchApp, batch: Batch, beside: Mapping[str, str]) -> str | None:
    """Ask who signs for several units, some with steps skipped or defects open; None when nobody does.

    Args:
        app: The program.
        batch: Their batch.
        beside: What is to be said of each unit before it is signed for; empty where nothing is.
    """
    from benchtui.ui.screens.pick import AskScreen
    from benchtui.ui.view.batch import signature_lines

    lines = signature_lines(beside, max(app.size.width, 20))
    question = f"Signed all the same for {len(beside)} unit{'s' if len(beside) != 1 else ''} by"
    page = AskScreen(f"Signature, batch {batch.name}", question, lines, needed="type who signs")
    return await app.push_screen_wait(page)


async def release(app: BenchApp, batch: Batch) -> str:
    """Release every unit that has nothing missing, by one name; the others are named with what they lack.

    Returns:
        What was done, as a sentence; empty when nothing was.
    """
    from benchtui.ui.first_units import signed_with
    from benchtui.ui.screens.pages import TextPage
    from benchtui.ui.screens.pick import AskScreen
    from benchtui.ui.view.batch import release_lines

    ready, missing = together.ready(app, batch)
    title = f"Release batch {batch.name}"
    if not ready:
        await app.push_screen_wait(TextPage(title, lambda width: release_lines(missing, width)))
        return "" if missing else "no unit of this batch waits for its release"
    lines = release_lines(missing, max(app.size.width, 20), first=signed_with(app.units, ready))
    name = await app.push_screen_wait(
        AskScreen(title, f"Released, {len(ready)} of {len(missing)}, by", lines, needed="type who releases them")
    )
    if name is None:
        return ""
    for unit in ready:
        app.units.release(unit, by=name)
    return f"released: {', '.join(ready)}"
