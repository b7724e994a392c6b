"""Power that is on where it must be off: asked before a reading on a dead circuit, and before anything is put right."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from benchtui.errors import BenchError
from benchtui.jobs import events as ev
from benchtui.jobs.standing import POWER_HAZARD, power_by_steps, power_stands, without_power

if TYPE_CHECKING:
    from benchtui.jobs.plan import Limits
    from benchtui.jobs.run import Run
    from benchtui.ui.ways import Ways

OFF: Final = "off"

POWER_ASKED: Final = "The power is on. Pull the lead out first, then type off"
"""Asked before what is done with the power off."""

NOT_OFF: Final = "type off once the lead is out"


def powered(run: Run) -> list[Run]:
    """The jobs by which the power is on: this one, and those it was called from."""
    found = [run] if power_stands(run.state) else []
    caller = run.state.caller
    while caller:
        try:
            calling = run.bench.resume(caller)
        except BenchError:  # it cannot be read, and the page that says where one comes from says so
            break
        found += [calling] if power_stands(calling.state) else []
        caller = calling.state.caller
    return found


def in_the_way(run: Run, limits: Limits | None) -> bool:
    """Whether a reading is taken with the power off, and it is on by this job or one that it was called from."""
    return limits is not None and limits.power == "off" and bool(powered(run))


def lead_out(run: Run) -> str:
    """Write down that the lead is out, for every job by which it was in.

    Returns:
        What to say of it.

    Raises:
        BenchError: It could not be written down.
    """
    again = []
    for each in powered(run):
        on = power_by_steps(each.state)
        each.act(ev.BenchSaid(bench=without_power(each.state), off=(POWER_HAZARD,) if on else ()))
        again += [step for step in each.plan.steps if step.key in each.state.over] if on else []
    then = f"; step {again[0].number}, which puts it in, is open again" if again else ""
    return f"the power is off{then}"


def said_off(typed: str) -> bool:
    """Whether it was said that the lead is out."""
    return typed.strip().lower() == OFF


async def asked_off(ways: Ways, run: Run, title: str) -> bool:
    """Ask for the power to be off before something is put right; whether it is."""
    if not powered(run):
        return True
    typed = await ways.ask(title, POWER_ASKED, needed=NOT_OFF, check=lambda typed: "" if said_off(typed) else NOT_OFF)
    if typed is None:
        return False
    ways.report(lead_out(run))
    return True
