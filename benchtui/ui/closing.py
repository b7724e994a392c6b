"""Counting tools back in: those of a called procedure that the calling work has out as well stay in use for it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchtui.errors import BenchError
from benchtui.jobs import events as ev
from benchtui.jobs.kit import things

if TYPE_CHECKING:
    from collections.abc import Mapping

    from benchtui.jobs.jobstate import JobState
    from benchtui.jobs.run import Run


def stay_out(state: JobState, calling: JobState) -> tuple[str, ...]:
    """Tools of a called job that the calling job counted out too and has not counted back in.

    Args:
        state: The called job.
        calling: The job it goes back to.
    """
    held = {thing for tool in calling.not_back for thing in things(tool)}
    return tuple(tool for tool in state.not_back if tool in calling.not_back or held & {*things(tool)})


def staying(run: Run) -> Mapping[str, str]:
    """Each tool that stays in use when this job is closed, to the title of the work it stays in use for."""
    if not run.state.caller:
        return {}
    try:
        calling = run.bench.look(run.state.caller)
    except BenchError:  # it cannot be read: then everything is counted back in here
        return {}
    return dict.fromkeys(stay_out(run.state, calling), calling.plan.title)


def hand_on(run: Run) -> None:
    """Write down which tools stay in use for the calling work: it counts them back in at its own end.

    Raises:
        BenchError: It cannot be written down.
    """
    tools = staying(run)
    if not tools:
        return
    title = next(iter(tools.values()))
    run.act(ev.NoteAdded(text=f"still in use for {title}, and counted back in there: {', '.join(tools)}"))
    for tool in tools:
        run.act(ev.KitTicked(heading="tools", item=tool, back=True))
