"""Ways to a batch: pick one or plan one, pick its procedure, and pass over its units."""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchtui.ui.flows import pick_design

if TYPE_CHECKING:
    from benchtui.jobs.run import Run
    from benchtui.ui.app import BenchApp


async def build_batch(app: BenchApp) -> None:
    """Pick or plan a batch, and pass over it by one procedure."""
    from benchtui.jobs.events import Resumed
    from benchtui.jobs.run_batch import Batch
    from benchtui.jobs.unit_events import UnitMade
    from benchtui.ui.screens.batch import BatchScreen
    from benchtui.ui.screens.pick import AskScreen, PickScreen
    from benchtui.ui.view.rows import Row

    made = app.store.events(kinds=[UnitMade.KIND])
    names = dict.fromkeys(str(event.data.get("batch", "")) for event in made if event.data.get("batch"))
    rows = [Row(id=name, text=f"Batch {name}") for name in names]
    picked = await app.push_screen_wait(
        PickScreen("Batches", "Which one?", [Row(id="new", text="Plan a new batch"), *rows])
    )
    if picked is None:
        return
    if picked == "new":
        design = await pick_design(app, "A new batch")
        if design is None:
            return
        typed = await app.push_screen_wait(AskScreen("A new batch", "How many units", needed="type a number"))
        if typed is None or not typed.isdigit():
            return
        batch = Batch.make(app.bench, design.id, int(typed))
    else:
        batch = Batch(app.bench, picked)
    design_id = next((str(event.data.get("design", "")) for event in made if event.data.get("batch") == batch.name), "")
    entries = [
        entry
        for entry in app.library.entries("procedure")
        if (entry.procedure_kind == "assembly" and entry.design in (design_id, "any")) or not design_id
    ]
    rows = [Row(id=entry.id, text=entry.title) for entry in entries if entry.design != "any"]
    procedure = rows[0].id if len(rows) == 1 else None
    if procedure is None:
        procedure = await app.push_screen_wait(PickScreen(f"Batch {batch.name}", "By which procedure?", rows))
    if procedure is None:
        return
    batch.start(procedure)
    for run in batch.runs(procedure).values():
        if run.state.suspended is not None:
            run.act(Resumed(answers=tuple("still so" for _ in run.state.suspended.bench)))
    if not await _prepared(app, list(batch.runs(procedure).values())):
        return
    title = next(entry.title for entry in entries if entry.id == procedure)
    await app.push_screen_wait(BatchScreen(batch, procedure, title))


async def _prepared(app: BenchApp, runs: list[Run]) -> bool:
    """The preliminary page, gone through once for all units; whether the work may begin."""
    from benchtui.jobs.events import ConditionAnswered
    from benchtui.ui.screens.before import BeforeScreen

    waiting = [run for run in runs if run.state.gate]
    if not waiting:
        return True
    if not await app.push_screen_wait(BeforeScreen(waiting[0])):
        return False
    for run in waiting[1:]:
        for condition, answer in waiting[0].state.conditions.items():
            run.act(ConditionAnswered(condition=condition, answer=answer))
    return True
