"""Ending work before its steps are through: it was begun by a slip, or it ends here, with the reason.

On a page and by lines alike (`ui.ways`). What was left on is made safe first, and the tools are counted back in.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from benchtui.faults.words import listed
from benchtui.jobs import events as ev
from benchtui.jobs.run_ending import begun_by_slip, end, left_on, made_safe, with_called
from benchtui.ui.closing import hand_on, staying
from benchtui.ui.view.rows import Row

if TYPE_CHECKING:
    from collections.abc import Sequence

    from benchtui.jobs.glance import JobSummary
    from benchtui.jobs.run import Run
    from benchtui.ui.ways import Ways

MISTAKE: Final = "mistake"
HERE: Final = "here"


async def end_here(ways: Ways, job: str) -> str:
    """End a job now, and the jobs it has called.

    Args:
        ways: Who asks.
        job: Its name.

    Returns:
        How it was closed; empty where it goes on.

    Raises:
        BenchError: It could not be written down.
    """
    run = ways.bench.resume(job)
    runs = with_called(ways.bench, run)
    title = f"{run.plan.title}{f', unit {run.unit}' if run.unit else ''}"
    how = await ways.pick(title, "How does it end?", _hows(run, runs))
    if how is None:
        return ""
    if on := left_on(runs):
        safe = [Row(id="safe", text="It is off, cold and safe now")]
        question = f"Left at the bench: {listed(on).upper()}. Make it safe before the work ends."
        if await ways.pick(title, question, safe) is None:
            return ""
    # Tools of a called procedure may stay in use for the work that goes on around it.
    stay = staying(run)
    out = tuple(dict.fromkeys(tool for each in runs for tool in each.state.not_back if tool not in stay))
    back = None
    if out:
        rows = [
            Row(id="all", text="All of them are back in their place"),
            Row(id="not", text="Not all", right="what is out keeps the unit here"),
        ]
        back = await ways.pick(title, f"Counted out: {'; '.join(out)}.", rows)
        if back is None:
            return ""
    because = "It was begun by mistake, because" if how == MISTAKE else "It ends here, because"
    why = await ways.ask(title, because, needed="say why")
    if why is None:
        return ""
    made_safe(runs)
    hand_on(run)
    for each in runs:
        for tool in each.state.not_back if back == "all" else ():
            each.act(ev.KitTicked(heading="tools", item=tool, back=True))
    closed = end(ways.bench, run, decision=why, mistake=how == MISTAKE)
    ways.report(_said(run))
    return closed


def _hows(run: Run, runs: Sequence[Run]) -> list[Row]:
    """The ways it can end; one in which something is marked was no mistake."""
    left = f", and stays open on {run.unit}" if run.unit else ""
    here = Row(id=HERE, text="It ends here", under=f"what was not done is listed{left}")
    if all(begun_by_slip(each.state, runs) for each in runs):
        nothing = "nothing of the unit was touched" if run.unit else "nothing was done"
        return [Row(id=MISTAKE, text="It was begun by mistake", under=nothing), here]
    if any(each.state.handled for each in runs):
        return [here, Row(text="It was worked in, so its tests are made again: it was no mistake only.")]
    return [here, Row(text="Begun by mistake? Take each mark back at its steps first.")]


def _said(run: Run) -> str:
    if run.state.closed == ev.NOTHING_DONE:
        return f"{run.plan.title} is {run.state.closed}"
    where = f". What is open stands on the page of {run.unit}" if run.unit and run.state.open_items() else ""
    return f"{run.plan.title} is {run.state.closed}{where}"


async def end_one(ways: Ways, jobs: Sequence[JobSummary]) -> str:
    """Pick which of some open jobs ends, and end it; hunts are closed on their own page.

    Returns:
        How it was closed; empty where none was.
    """
    rows = [
        Row(id=job.job, text=f"{job.title}{f', unit {job.unit}' if job.unit else ''}", right=job.batch)
        for job in jobs
        if job.procedure
    ]
    if not rows:
        ways.report("no work is open that ends so: a hunt is closed on its own page")
        return ""
    picked = rows[0].id if len(rows) == 1 else await ways.pick("End work", "Which work ends?", rows)
    return await end_here(ways, picked) if picked else ""
