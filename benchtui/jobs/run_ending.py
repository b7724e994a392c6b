"""Jobs that end before their steps are through: begun by a slip, cut off, or of a unit that is used no more.

What was not done stays open on the unit, and is told by `jobs.missing`; nothing of a job is forgotten by ending it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchtui.errors import JobError
from benchtui.jobs import events as ev
from benchtui.jobs.glance import glance_text, left_at_bench
from benchtui.jobs.state import advance
from benchtui.record.event import Draft

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from benchtui.jobs.jobstate import JobState
    from benchtui.jobs.run import Bench, Run


def with_called(bench: Bench, run: Run) -> tuple[Run, ...]:
    """An open job and every open one that it has called, the innermost first: they end together."""
    found = [run]
    open_now = bench.open_jobs()
    for each in found:
        found += [bench.resume(job.job) for job in open_now if job.caller == each.job]
    return tuple(reversed(found))


def left_on(runs: Iterable[Run]) -> tuple[str, ...]:
    """What some jobs have left on, hot or loose at the bench, in words."""
    return tuple(dict.fromkeys(what for run in runs for what in left_at_bench(run.state)))


def made_safe(runs: Iterable[Run]) -> None:
    """Write down that nothing of what some jobs have left at the bench is on, hot or loose any more.

    Raises:
        RecordError: It could not be written down.
    """
    for run in runs:
        if run.state.left:
            run.act(ev.BenchSaid(bench=()))


def end(bench: Bench, run: Run, *, decision: str, mistake: bool = False) -> str:
    """End a job, and the jobs it has called, before their steps are through.

    Args:
        bench: The bench.
        run: The job.
        decision: Why.
        mistake: It was begun by mistake, and nothing of the unit was touched in it.

    Returns:
        How it was closed.

    Raises:
        JobError: No reason is given; or a mark stands in one of them, so that it was no mistake.
        RecordError: It could not be written down.
    """
    runs = with_called(bench, run)
    if mistake and (worked := [each for each in runs if not begun_by_slip(each.state, runs)]):
        first = "" if any(each.state.handled for each in worked) else "take each mark back first, or "
        raise JobError(f"{worked[0].plan.title} was worked in", hint=f"{first}say that it ends here")
    for each in runs:
        each.close(decision=decision, untouched=mistake)
        caller = next((one for one in runs if one.job == each.state.caller), None)
        if caller is not None and caller.state[each.state.caller_step].called == each.job:
            step, result = each.state.caller_step, each.state.closed
            caller.act(ev.CallReturned(step=step, called=each.job, result=result))
    return run.state.closed


def closed_as(state: JobState, *, decision: str = "", untouched: bool = False) -> ev.JobClosed:
    """The event by which a job ends as it stands: complete, with open items, or with nothing done.

    Args:
        state: The job.
        decision: Why it ends with something open; without one it can only be complete.
        untouched: The builder says that nothing of the unit was touched in it.
    """
    open_items = state.open_items()
    if not (open_items and decision.strip()):
        return ev.JobClosed(result="complete", decision=decision, open_items=open_items)
    if untouched or not state.worked:
        # It was begun by a slip. Only a tool that was counted out may be in the unit all the same.
        out = tuple(f"not counted back in: {each}" for each in state.not_back)
        return ev.JobClosed(result=ev.NOTHING_DONE, decision=decision, open_items=out, untouched=untouched)
    return ev.JobClosed(result="closed with open items", decision=decision, open_items=open_items)


def begun_by_slip(state: JobState, others: Sequence[Run] = ()) -> bool:
    """Whether a job can have been begun by a slip: no mark of work stands in it.

    Args:
        state: The job.
        others: Jobs that end with it: having called one of them is no work.
    """
    return state.unmarked_but(frozenset(each.job for each in others))


def closing(jobs: Iterable[JobState], *, decision: str, time: str) -> tuple[list[Draft], dict[str, str]]:
    """What has to be written to end the open ones among the jobs of a unit, and their lines after it.

    Args:
        jobs: Jobs of one unit.
        decision: Why they end.
        time: When, as ISO text with offset.
    """
    drafts: list[Draft] = []
    glances: dict[str, str] = {}
    for state in jobs:
        if state.closed:
            continue
        event = closed_as(state, decision=decision)
        glances[state.job] = glance_text(advance(state, event, time=time))
        drafts.append(Draft(kind=event.KIND, unit=state.unit, job=state.job, data=event.to_data()))
    return drafts, glances
