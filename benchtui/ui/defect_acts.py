"""What is done about a defect of a job: it is written down before anything is touched, decided, and put right."""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchtui.design.joints import joints_at, soldering_of, unknown_joint
from benchtui.errors import BenchError, JobError
from benchtui.jobs import events as ev
from benchtui.jobs.iron import iron_cautions
from benchtui.jobs.named import joint_name, names_of
from benchtui.jobs.quality import DISPOSITIONS
from benchtui.ui.power import asked_off
from benchtui.ui.view.defects import MEANINGS, design_unread, heated_text
from benchtui.ui.view.rows import Row
from benchtui.ui.view.seen import not_seen

if TYPE_CHECKING:
    from benchtui.design.model import Design
    from benchtui.jobs.jobstate import Defect
    from benchtui.jobs.run import Run
    from benchtui.ui.ways import Ways


def found(run: Run, seen: str, *, step: str = "") -> str:
    """Write a defect down.

    Args:
        run: The job.
        seen: What is seen.
        step: Key of the step it was seen at; empty for none.

    Returns:
        Its id.

    Raises:
        BenchError: It cannot be written down so, or figures alone are to say what is wrong.
    """
    if wrong := not_seen(seen):
        raise JobError(wrong)
    number = run.next_defect()
    about = run.plan.step(step).subject if step else None
    run.act(ev.DefectFound(defect=number, text=seen.strip(), step=step, subject=about.id if about else ""))
    return number


async def next_for(ways: Ways, run: Run, id: str) -> bool:
    """Do what comes next for a defect: decide, begin the rework, end it.

    Args:
        ways: Who asks.
        run: The job.
        id: The defect.

    Returns:
        Whether something was written down.
    """
    defect = run.state.defects[id]
    title = f"Defect {defect.id}: {defect.text}"
    event: ev.JobEvent | None = None
    if defect.status == "found":
        event = await _decide(ways, title, defect)
    elif defect.status == "decided" and defect.disposition in ("rework", "repair"):
        if not await asked_off(ways, run, title):
            return False
        design, gone = _design(ways, run)
        known = joints_at(design, defect.subject)
        such = f"one of {', '.join(known)}" if known else "such as F3 lug 2"
        joint = await ways.ask(
            title,
            f"Joint to be heated, {such} (Enter: none)",
            told=gone,
            check=lambda typed: unknown_joint(design, _joint(ways, run, typed)) if typed else "",
        )
        event = None if joint is None else await _heat(ways, run, title, defect, _joint(ways, run, joint))
    elif defect.status == "decided":
        # Nothing was touched for it, so that a slip is no dead end; what was decided before stays in the record.
        rows = [Row(id="no", text=f"It stays: {defect.disposition}"), Row(id="yes", text="Decide it anew")]
        if await ways.pick(title, f"Decided: {defect.decision}.", rows) == "yes":
            event = await _decide(ways, title, defect)
    elif defect.status == "in rework":
        rows = [
            Row(id="no", text="Not yet: back to the work"),
            Row(id="yes", text="It is done", under="the tests it made void are open again"),
        ]
        if await ways.pick(title, "Is the rework done?", rows) != "yes":
            return False
        question = f"What was touched, such as F3 J1; all: everything (Enter: {defect.subject or 'everything'})"
        touched = await ways.ask(title, question)
        if touched is not None:
            names = tuple(touched.replace(",", " ").split()) or tuple(filter(None, (defect.subject,)))
            event = ev.ReworkDone(defect=defect.id, touched=names)
    if event is None:
        return False
    run.act(event)
    return True


def _design(ways: Ways, run: Run) -> tuple[Design | None, str]:
    """The design of the job, or why it cannot be asked; the work goes on by the text that the job keeps."""
    try:
        return ways.design_of(run.plan), ""
    except BenchError as error:
        return None, f"{design_unread(error.message)} Nothing checks the name of the joint: read it twice."


def _joint(ways: Ways, run: Run, typed: str) -> str:
    """The joint as it is written down, so that each is counted once however it is typed."""
    units = ways.units
    names = units.names(run.unit) if run.unit else names_of(run.state)
    return joint_name(typed, names)


async def _heat(ways: Ways, run: Run, title: str, defect: Defect, joint: str) -> ev.JobEvent | None:
    """Begin a rework; a joint whose part bears no more solder is heated again only for a reason."""
    design, gone = _design(ways, run)
    solder = soldering_of(design, joint)
    heated = ways.units.view(run.unit).joints if run.unit else run.state.joints
    before, kept = heated.get(joint, (0, 0))
    # A design that is gone says nothing any more; what was written down with an earlier rework still stands.
    limit = solder.attempts if solder else kept
    unknown = bool(gone and joint and not limit)
    if unknown or (limit and before + 1 >= limit):
        source = f"figure from: {solder.source if solder else 'the last rework of this joint'}"
        under = "read the sheet of the part first" if unknown else source
        rows = [
            Row(id="no", text="Leave it, and replace the part instead", under=under),
            Row(id="yes", text="Heat it once more, with a reason"),
        ]
        question = heated_text(joint, before, limit)
        if await ways.pick(title, question, rows) != "yes":
            return None
        why = await ways.ask(title, "Because", needed="say why this is right")
        if why is None:
            return None
        how = "again, and what its part bears is not known" if unknown else "beyond what its part bears"
        run.act(ev.NoteAdded(text=f"{joint} is heated {how}: {why}", step=defect.step))
    heeded = await _heeded(ways, run, title, design) if joint else ()
    return None if heeded is None else ev.ReworkStarted(defect=defect.id, joint=joint, attempts=limit, heeded=heeded)


async def _heeded(ways: Ways, run: Run, title: str, design: Design | None) -> tuple[str, ...] | None:
    """Have the cautions of the iron read that were not read since the work was taken up; None when that was given up.

    DANGER is read each time.
    """
    read = {digest for digest, _ in run.state.acknowledged}
    every = iron_cautions(ways.library.cautions(), design)
    unread = [each for each in every if each.person and (each.digest not in read or each.signal == "DANGER")]
    return tuple(each.digest for each in unread) if await ways.heed(title, unread) else None


async def _decide(ways: Ways, title: str, defect: Defect) -> ev.JobEvent | None:
    rows = [Row(id=name, text=name, right=MEANINGS[name]) for name in DISPOSITIONS]
    disposition = await ways.pick(title, "What is to be done?", rows)
    if disposition is None:
        return None
    why = await ways.ask(title, "Because", needed="say why this is right")
    if why is None:
        return None
    name = await decided_by(ways, title, disposition)
    return (
        None if name is None else ev.DispositionGiven(defect=defect.id, disposition=disposition, reason=why, name=name)
    )


async def decided_by(ways: Ways, title: str, disposition: str) -> str | None:
    """Who decides; None when that was given up.

    Rework brings the unit to its design and needs nobody's leave, so it asks nothing. What leaves it different for
    life, or takes it out of use, is answered for by name (ISO 9001:2015 8.7.2).
    """
    return "" if disposition == "rework" else await ways.ask(title, "Decided by", needed="type who decides")
