"""What stands between a unit and its release, line by line, and what of it may be signed to stay as it is."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from benchtui.jobs.heated import too_often
from benchtui.jobs.hold_points import uncalled_lines
from benchtui.jobs.left_open import left_lines
from benchtui.jobs.left_out import left_out_lines
from benchtui.jobs.lineage import first_of, procedure_of, step_of
from benchtui.jobs.taken_out import still_out

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from benchtui.jobs.jobstate import JobState
    from benchtui.jobs.units import UnitView


UNKNOWN: Final = ("unknown", "not known", "none", "no", "?", "-", "n/a")
"""Words that say of a firmware only that nobody knows which it is."""


def _proves_nothing(_: str) -> bool:
    return False


def _no_duty(_: str, _step: str) -> str:
    return ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Needs:
    """What a design asks of a unit before it may leave."""

    procedures: tuple[tuple[str, str], ...] = ()
    """(id, title) of procedures that have to be gone through to the end."""
    firmware: bool = False
    unsaid: str = ""
    """Why nothing says what it has to pass; empty where something does, or where nobody looked."""
    proves: Callable[[str], bool] = _proves_nothing
    """Whether the procedure of an id has a hold point or a required test of the unit."""
    duty: Callable[[str, str], str] = _no_duty
    """(procedure, step), by id: why that step can be neither skipped nor called not applicable, as `PlanStep.duty`."""


def missing(view: UnitView, needs: Needs) -> tuple[str, ...]:
    """Each thing that stands between the unit and its release, one line each (ISO 9001:2015 8.6)."""
    lasting = (line for line in lasting_lines(view, needs) if line not in view.conceded)
    return (*_missing(view, needs), *lasting)


def lasting_lines(view: UnitView, needs: Needs) -> Iterator[str]:
    """What is missing and can hardly be made good on this unit, so that it may be signed to stay as it is.

    A wait that was cut short counts only until the same one was waited to its end.
    """
    if needs.unsaid:
        # Somebody who knows the unit has to answer for it, where no procedure does (ISO 9001:2015 8.6).
        yield f"nothing says what it has to pass: {needs.unsaid}"
    yield from left_lines(view, "step", "kit", proves=needs.proves)
    yield from left_out_lines(view, lambda job, hidden: not needs.duty(job.plan.id, hidden.step_id))
    yield from _cut_short(view)
    for joint, (times, attempts) in view.joints.items():
        if text := too_often(joint, times, attempts, since=_since_changed(view, joint)):
            yield text


def _since_changed(view: UnitView, joint: str) -> str:
    """Of which part in this place a joint is: what was signed for one says nothing of the next one that went in."""
    thing = joint.partition(" ")[0].casefold()
    changed = [part for part in view.parts if part.exchange and thing in part.place.casefold().split()]
    if not changed:
        return ""
    told = ", ".join(filter(None, (changed[-1].time[:19].replace("T", " "), changed[-1].origin)))
    return f" since its part was changed ({told})"


def _cut_short(view: UnitView) -> Iterator[str]:
    """The last wait at each step, where it was ended before its time; the last one is the one that ended last."""
    last: dict[tuple[str, str, str], tuple[int, str]] = {}
    for job in view.jobs:
        for step, known in job.every():
            if known.timer is not None and known.timer.ended:
                where = f"{job.plan.title}, step {step.number} (job {job.job})"
                text = f"{where}: its wait was cut short, because: {known.timer.reason}"
                # With its job: what was signed to stay as it is says nothing of the next wait that is cut short.
                ended = (view.order.waited.get((job.job, step.key), -1), text if known.timer.reason else "")
                place = _wait_of(job, step.key, view)
                last[place] = max(last.get(place, ended), ended)
    yield from (text for _, text in last.values() if text)


def _wait_of(job: JobState, key: str, view: UnitView) -> tuple[str, str, str]:
    """(id of its procedure, key there, whom that was about) of a wait, also in a job that takes it up or repeats it."""
    jobs = {each.job: each for each in view.jobs}
    of = step_of(job, key, jobs)
    if of == (procedure_of(job, jobs), key):
        return *of, first_of(job, jobs).plan.subject
    # Tests made again do not say whom their procedure was about; where it was about several, this wait is of its own.
    about = {each.plan.subject for each in view.jobs if each.plan.id == of[0] and each.step(of[1])}
    return *of, about.pop() if len(about) == 1 else f"in job {job.job}"


def _missing(view: UnitView, needs: Needs) -> Iterator[str]:
    for id, title in needs.procedures:
        done = [job for job in view.jobs if job.plan.id == id and job.gone_through]
        if not done:
            yield f"{title} ({id}) has not been gone through to the end"
    for conflict in view.conflicts:
        yield f"two benches disagree, and it has to be decided: {conflict.text}"
    for job in view.jobs:
        if not job.closed:
            yield f"{job.plan.title} is still open (job {job.job})"
    yield from left_lines(view, "test", proves=needs.proves)
    yield from uncalled_lines(view, needs)
    yield from left_out_lines(view, lambda job, hidden: bool(needs.duty(job.plan.id, hidden.step_id)))
    for defect in view.defects:
        yield f"defect {defect.id} {defect.status}: {defect.text}"
    for proof in view.void:
        yield f"to be tested again after later work: {proof.step.text}"
    yield from still_out(view)
    for text in view.workarounds.values():
        yield f"still in a temporary state: {text}"
    for title in view.hunts_open:
        yield f"{title} has not come to an end"
    asked = any(step.trace == "firmware" for job in view.jobs for step in job.plan.steps)
    if view.board_changed:
        yield "its firmware is not written down since its board was exchanged"
    elif (needs.firmware or asked) and view.firmware is None:
        yield "its firmware is not written down"
    elif view.firmware is not None and view.firmware.version.strip().casefold() in UNKNOWN:
        yield f"its firmware is not known: {view.firmware.version.strip()} was written down (read it, or load it again)"
