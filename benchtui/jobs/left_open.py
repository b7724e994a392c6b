"""What closed jobs of a unit left open, each as a job that does it: steps that were not gone through, and defects."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Final

from benchtui.jobs.jobstate import Gone, OpenItem
from benchtui.jobs.lineage import left_id, procedure_of, step_of, taken_up
from benchtui.jobs.plan import Plan, PlanStep
from benchtui.jobs.steps import Status

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence, Set

    from benchtui.jobs.jobstate import JobState
    from benchtui.jobs.units import OpenDefect, UnitView


PUT_RIGHT: Final = "put-right"
"""Key of the step that puts a defect right."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LeftOpen:
    """Work that a closed job left open."""

    id: str
    text: str
    plan: Plan
    """Goes through it."""
    defect: tuple[str, str] = ("", "")
    """(id, text) of the defect it puts right, where it is one."""


def closed_short(view: UnitView) -> Iterator[tuple[JobState, tuple[OpenItem, ...]]]:
    """Jobs that were closed with something open, with what of it no later job has gone through.

    A later run to the end makes good what it has gone through itself, after the job was closed and after the step
    had shown what was wrong. What it has no more, since an edit took it out, stays where it had failed or was begun.
    """
    jobs = {job.job: job for job in view.jobs}
    roots = {name: (procedure_of(job, jobs), job.plan.subject) for name, job in jobs.items()}
    for job in view.jobs:
        if job.closed in ("", "complete"):
            continue
        end = view.order.ended.get(job.job, -1)
        later = [each for each in view.jobs if each.closed == "complete" and view.order.ended.get(each.job, -1) > end]
        whole = [each for each in later if roots[each.job] == roots[job.job]]
        left = []
        for item in job.open_list():
            if not job.gone_through and not item.not_back:
                continue
            if item.kind == "kit":
                left += [] if any(each.plan.id == roots[job.job][0] for each in whole) else [item]
            elif not item.step:
                left.append(item)
            else:
                left += _still(job, item, whole, later, view)
        if left:
            yield job, tuple(left)


def _still(
    job: JobState, item: OpenItem, whole: Sequence[JobState], later: Sequence[JobState], view: UnitView
) -> Iterator[OpenItem]:
    """The open step as it stands now; nothing when it was made good.

    Args:
        job: The job that was closed with it open.
        item: The step.
        whole: Later jobs of the same procedure that came to their end.
        later: All later jobs that did: one of them may do this step again, or be what this one did again.
        view: The unit.
    """
    order, jobs = view.order, {each.job: each for each in view.jobs}
    root, of, here = procedure_of(job, jobs), step_of(job, item.step, jobs), (job.job, item.step)
    same = [(each, item.step) for each in whole]
    same += [(each, other.key) for each in later for other in each.plan.steps if other.again == of]
    if of != (root, item.step):
        same += [(each, of[1]) for each in later if procedure_of(each, jobs) == of[0]]
    for each, key in same:
        status = known.status if (known := each.known(key)) else None
        if status is Status.DONE and order.proved.get((each.job, key), -1) > order.shown.get(here, -1):
            return
        if status is Status.NOT_APPLICABLE and here not in order.shown:
            return
    # A job that makes tests again has those that were void when it was begun, and takes none out.
    without = [each for each in whole if each.step(item.step) is None and each.plan.id == root == of[0]]
    step, known = job.step(item.step), job.known(item.step)
    if not without or step is None or known is None:
        yield item
        return
    gone = Gone(step=step, known=known, revision=without[-1].plan.revision)
    if gone.open:
        # No job can go through it as it was any more: that it stays so is signed for.
        yield OpenItem(kind="step", text=gone.text, step=item.step, gone=item.gone)


def left_lines(view: UnitView, *kinds: str, proves: Callable[[str], bool] = lambda _: False) -> Iterator[str]:
    """What jobs were closed without, until the same work was gone through once more.

    Args:
        view: The unit.
        kinds: As for `OpenItem`. A call of what proves something is a test, also in a text that did not say so.
        proves: Whether the procedure of an id does.
    """
    for job, items in closed_short(view):
        for item in items:
            step = job.step(item.step)
            kind = "test" if step is not None and step.act == "call" and proves(step.call) else item.kind
            if kind in kinds and still_told(job, item, view):
                yield f"{item.text} (job {job.job})"


def still_told(job: JobState, item: OpenItem, view: UnitView) -> bool:
    """Whether an open item of a closed job is told of that job still, and not of one that took it up.

    What that one left open in its turn is told of it alone; what was not counted back in stays with the first.
    """
    return item.kind == "kit" or not any(
        _told(job, item, each, view) for each in taken_up(job, view.jobs) if each.closed
    )


def _told(job: JobState, item: OpenItem, by: JobState, view: UnitView) -> bool:
    """Whether a job that took up an open step has it done since, or tells itself that it is open."""
    if by.step(item.step) is None:
        return False
    proved = view.order.proved.get((by.job, item.step))
    done = by.plan.has(item.step) and by.steps[item.step].status is Status.DONE
    return not done or (proved is not None and proved > view.order.shown.get((job.job, item.step), -1))


def left_open(view: UnitView) -> Iterator[LeftOpen]:
    """What closed jobs of a unit left open and no job has in hand now, steps first."""
    for job, items in closed_short(view):
        again = taken_up(job, view.jobs)
        if any(not each.closed for each in again):
            continue
        open_ = [item for item in items if item.step and not any(_told(job, item, each, view) for each in again)]
        steps = _steps(job, {item.step for item in open_})
        if steps:
            title = f"Left open: {job.plan.title.removeprefix('Left open: ')}"
            plan = replace(job.plan, id=left_id(job.job), title=title, procedure_kind="service", steps=steps)
            count = len(open_)
            text = f"{count} step{'s' if count != 1 else ''} of {job.plan.title} (job {job.job})"
            yield LeftOpen(id=job.job, text=text, plan=plan)
    jobs = {job.job: job for job in view.jobs}
    in_hand = {defect for job in view.jobs if not job.closed for defect in job.defects}
    for defect in view.defects:
        job = jobs[defect.id.partition(":")[0]]
        if job.closed and defect.id not in in_hand:
            text = f"defect {defect.id} {defect.status}: {defect.text}"
            yield LeftOpen(id=defect.id, text=text, plan=_rework(job, defect), defect=(defect.id, defect.text))


def _steps(job: JobState, wanted: Set[str]) -> tuple[PlanStep, ...]:
    """The open steps, and those that begin and end a hazard which stands around one, such as power on and off."""
    within = around(job.plan.steps, wanted)
    every = [step for step, _ in job.every() if step.key in wanted | within] if wanted else []
    return tuple(replace(step, number=number) for number, step in enumerate(every, start=1))


def around(steps: Sequence[PlanStep], wanted: Set[str]) -> frozenset[str]:
    """Keys of the steps that begin and end a hazard which stands around a wanted one, such as power on and off."""
    begun: list[PlanStep] = []
    within: set[str] = set()
    for step in steps:
        if step.key in wanted:
            within |= {each.key for each in begun}
        if step.begins:
            begun.append(step)
        if step.ends:
            for each in [each for each in begun if each.begins == step.ends]:
                within |= {step.key} if each.key in within or each.key in wanted else set()
                begun.remove(each)
    return frozenset(within)


def _rework(job: JobState, defect: OpenDefect) -> Plan:
    what = defect.text.rstrip(".")
    begin = (("begin", f"Press d. Begin the rework of this defect: {what}.", "the list says: in rework"),)
    texts = (
        # What was touched at the first try is told at the end of this one, and no second rework is begun over it.
        *(begin if defect.status != "in rework" else ()),
        (PUT_RIGHT, f"Put it right: {what}.", ""),
        ("end", "Press d. End the rework, and name all that was touched.", "the list says: reworked"),
    )
    steps = tuple(
        PlanStep(key=key, step_id=key, number=number, act="do", text=text, accept=accept)
        for number, (key, text, accept) in enumerate(texts, start=1)
    )
    title = f"Put right: {what}"
    return replace(
        job.plan,
        id=left_id(defect.id),
        title=title,
        procedure_kind="service",
        steps=steps,
        subject=defect.subject,
        touched=(),
        hidden=(),
        after=(),
    )
