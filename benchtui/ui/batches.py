"""Ways to a batch and from it: pick or plan one, pass over its units, take one in hand, close their jobs, release."""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchtui.errors import UsageError
from benchtui.ui import together
from benchtui.ui.fixed import fixed_of_it
from benchtui.ui.flows import pick_design
from benchtui.ui.sittings import ask_meter
from benchtui.ui.taking_up import time_away

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from benchtui.content.library import Entry
    from benchtui.jobs.run import Run
    from benchtui.jobs.run_batch import Batch
    from benchtui.ui.app import BenchApp


async def build_batch(app: BenchApp) -> None:
    """Pick or plan a batch, and pass over it by one procedure."""
    from benchtui.jobs.run_batch import Batch
    from benchtui.jobs.run_batches import known_batches
    from benchtui.ui.screens.pick import AskScreen, PickScreen
    from benchtui.ui.view.batch import sums_text
    from benchtui.ui.view.rows import Row

    names = [batch.name for batch in known_batches(app.store)]
    known = [Row(id=name, text=f"Batch {name}", right=sums_text(Batch(app.bench, name).sums())) for name in names]
    picked = await app.push_screen_wait(
        PickScreen("Batches", "Which one?", [*known[::-1], Row(id="new", text="Plan a new batch")])
    )
    if picked is None:
        return
    if picked == "new":
        design = await pick_design(app, "A new batch")
        if design is None:
            return
        design_id = design.id
        # Before any serial number is given: a batch that nothing builds would stand in the record for ever.
        builds = [entry.id for entry in _builds(app, design_id)]
        if not builds:
            raise _no_build(design_id)
        first = builds[0]
        if len(builds) == 1:  # of several, the one that is chosen is looked at when it begins
            app.bench.trusted(first, design_id=design_id)
        typed: str | None = ""
        while typed is not None and not (typed.isdigit() and 1 <= int(typed) <= 99):
            typed = await app.push_screen_wait(
                AskScreen("A new batch", "How many units, 1 to 99", needed="type a number")
            )
        if typed is None:
            return
        fixed = await fixed_of_it(app, first, design_id)
        if fixed is None:
            return
        batch = Batch.make(app.bench, design_id, int(typed), fixed=fixed)
    else:
        batch = Batch(app.bench, picked)
        design_id = batch.design
    rows = [Row(id=entry.id, text=entry.title) for entry in _builds(app, design_id)]
    if not rows:
        raise _no_build(design_id)
    procedure: str | None = rows[0].id
    if len(rows) > 1:
        procedure = await app.push_screen_wait(PickScreen(f"Batch {batch.name}", "By which procedure?", rows))
    if procedure is not None:
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
    together = dict.fromkeys(job.procedure for job in jobs if job.batch)
    rows = [Row(text="All units together, one step for all of them")]
    rows += [Row(id=f"all:{procedure}", text=app.title_of(procedure)) for procedure in together]
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


def _builds(app: BenchApp, design_id: str) -> list[Entry]:
    """The procedures that build a design."""
    entries = app.library.entries("procedure")
    return [entry for entry in entries if entry.design == design_id and entry.procedure_kind == "assembly"]


def _no_build(design_id: str) -> UsageError:
    return UsageError(
        f"there is no assembly procedure for {design_id}",
        hint="write one beside its design file; `benchtui new design NAME` writes one to begin with",
    )


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
