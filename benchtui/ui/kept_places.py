"""Steps kept under a name in a job: one is gone to again, or the step in sight is kept (row J3)."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from benchtui.errors import BenchError
from benchtui.jobs.events import PlaceKept
from benchtui.ui.reply import Reply, refused
from benchtui.ui.view.rows import Row

if TYPE_CHECKING:
    from benchtui.jobs.jobstate import JobState
    from benchtui.ui.ways import Ways
    from benchtui.ui.work import Work

NAME: Final = "A name for this step, such as: after lunch"


async def places(ways: Ways, work: Work) -> Reply:
    """Pick a place that was kept and look at it, or keep the step in sight; nothing is marked by either."""
    rows = place_rows(work.state)
    if work.key:
        step = work.step
        rows += [Row(text="Or")] if rows else []
        rows.append(Row(id="new", text=f"Keep step {step.number} under a name", under=work.state.text(step.key)))
    picked = await ways.pick("Places kept in this job", "Which one?", rows)
    if picked is None:
        return Reply()
    if picked != "new":
        work.look_from_here(work.state.places[picked.partition(":")[2]])
        return Reply()
    name = await ways.ask("Places kept in this job", NAME, needed="type a word or two that you know it by")
    return keep_place(work, name) if name is not None else Reply()


def place_rows(state: JobState) -> list[Row]:
    """Each place with its step, in the order of the steps; one whose step an edit took out is no place any more."""
    kept = [(state.plan.step(key), name) for name, key in state.places.items() if state.plan.has(key)]
    return [
        Row(id=f"place:{name}", text=name, right=f"step {step.number}", under=state.text(step.key))
        for step, name in sorted(kept, key=lambda pair: (pair[0].number, pair[1]))
    ]


def keep_place(work: Work, name: str) -> Reply:
    """Keep the step in sight under a name."""
    if not work.key:
        return Reply("no step is in sight", problem=True)
    try:
        work.run.act(PlaceKept(step=work.key, name=" ".join(name.split())))
    except BenchError as error:
        return refused(error)
    return Reply(f"step {work.step.number} is kept as {' '.join(name.split())}")
