"""What is said of a unit outside a job: another state, something put right, taken in, and what is fixed of it."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final

from benchtui.errors import first_and_more
from benchtui.faults.events import HuntClosed
from benchtui.jobs import run_decisions
from benchtui.jobs.events import DispositionGiven, StepNotApplicable
from benchtui.jobs.hold_points import unreached_hold
from benchtui.jobs.named import NOTHING, unknown_words
from benchtui.jobs.plan import Before
from benchtui.jobs.run_parting import alike, part
from benchtui.jobs.steps import Status
from benchtui.jobs.unit_events import FirmwareLoaded, UnitMade, UnitTakenIn, WorkaroundUndone
from benchtui.jobs.units import MOVES
from benchtui.ui.defect_acts import decided_by
from benchtui.ui.view.rows import Row

if TYPE_CHECKING:
    from collections.abc import Sequence

    from benchtui.jobs.run_units import Units
    from benchtui.jobs.units import UnitView
    from benchtui.ui.ways import Ways

MEANS = {
    "in work": "work on it goes on",
    "held": "it waits, and nobody builds on",
    "temporary": "it serves for now, with something open",
    "accepted": "nothing is open; nobody has released it yet",
    "returned": "it came back from where it was used",
    "scrapped": "it is not used again, and its number is not given again",
    "planned": "it has a number and no part yet",
}
"""States a unit can be put into by hand, in words. A release has a key of its own, for it is signed."""

MOST_NAMED: Final = 4
"""Numbers of steps that are named; more would not be read."""


def temporary_question(lines: Sequence[str]) -> str:
    """Asks why a unit goes out with something missing, and says what: the first of it, and how much more."""
    more = f", and {len(lines) - 1} more" if len(lines) > 1 else ""
    return f"Missing: {lines[0]}{more}. It goes out as temporary, because"


def cannot_go_out(units: Units, view: UnitView) -> str:
    """Why a unit goes out by no reason, as a sentence; empty where it may go out as temporary."""
    if not {"accepted", "released", "temporary"} & set(MOVES[view.state]):
        word = view.state or "not known to have been built or worked on here"
        return f"it is {word}, and does not go out from there"
    unreached = unreached_hold(view, units.needs(view.design))
    return f"it cannot go out, not even as temporary: {unreached}" if unreached else ""


def released_by(units: Units, unit: str, *, temporary: bool) -> str:
    """Asks who releases a unit, and says so where that signs its first-unit record as well."""
    from benchtui.jobs.run_first_unit import first_unit

    if temporary:
        return "Released as temporary by"
    return "Released, and its first-unit record signed, by" if first_unit(units, unit).why else "Released by"


async def release(ways: Ways, unit: str) -> None:
    """Release a unit by name; with something missing it goes out as temporary, by a reason that stays on it."""
    if stays := cannot_go_out(ways.units, ways.units.view(unit)):  # before a reason is typed for nothing
        ways.report(stays, problem=True)
        return
    why = ""
    if lines := ways.units.missing(unit):
        question = temporary_question(lines)
        said = await ways.ask(f"Unit {unit}", question, needed="say why it may go out with something open")
        if said is None:
            return
        why = said
    question = released_by(ways.units, unit, temporary=bool(why))
    name = await ways.ask(f"Unit {unit}", question, needed="type who releases it")
    if name is not None:
        ways.units.release(unit, by=name, conditional=why)
        ways.report(f"{unit} is {ways.units.view(unit).state}")


async def first_unit(ways: Ways, unit: str) -> None:
    """The first-unit record of a unit, to be read; and its signature, where the unit is whole and it is not signed."""
    from benchtui.jobs.first_unit import characteristics
    from benchtui.jobs.run_first_unit import first_unit as due_for
    from benchtui.jobs.run_first_unit import sign
    from benchtui.ui.view.first_unit import first_unit_page

    view = ways.units.view(unit)
    lines = characteristics(view)
    due = due_for(ways.units, unit, view=view).line
    title = f"First-unit record of {unit}"
    await ways.read(title, lambda width: first_unit_page(view, lines, due, width=width, shapes=ways.shapes))
    if not lines or (view.first_unit and not due) or ways.store.read_only:
        return
    if lacks := ways.units.missing(unit):
        ways.report(f"it can be signed once nothing is missing: {first_and_more(lacks)}")
        return
    name = await ways.ask(title, "Looked through and signed by", needed="type who looked through it; Esc signs nothing")
    if name is not None:
        sign(ways.units, unit, by=name)
        ways.report(f"the first-unit record of {unit} is signed")


async def load_firmware(ways: Ways, unit: str) -> None:
    """Write down which firmware was loaded."""
    question = "Version of the firmware, as the unit says it"
    needed = "type what the unit says of itself; unknown is kept too, and keeps the unit here"
    version = await ways.ask(f"Unit {unit}", question, needed=needed)
    if version is not None:
        design = ways.units.view(unit).design
        ways.units.write(unit, FirmwareLoaded(name=design, version=" ".join(version.split())))
        ways.report("kept with the unit")


def nothing_void(view: UnitView) -> str:
    """Why there is no test to be made again by itself: none is open, or the job that has it is open."""
    for job in view.jobs:
        if not job.closed:
            again = [step for step, known in job.every() if known.status is Status.REOPENED and step.proves]
            if again:
                numbers = ", ".join(str(step.number) for step in again[:MOST_NAMED])
                more = f" and {len(again) - MOST_NAMED} more" if len(again) > MOST_NAMED else ""
                steps = "step" if len(again) == 1 else "steps"
                return f"{steps} {numbers}{more} of {job.plan.title} to be tested again: take that job up, it is open"
    return "no test was made void by later work here"


async def test_again(ways: Ways, unit: str) -> None:
    """The tests that a rework made void after they were passed, in other jobs, as a job of their own."""
    view = ways.units.view(unit)
    if not view.void:
        ways.report(nothing_void(view))
        return
    await ways.work_on(ways.bench.open(ways.units.retest_plan(unit), unit))


async def another_state(ways: Ways, unit: str) -> None:
    """Put a unit into another state, with the reason; only those it may go to are offered (ISO 9001:2015 8.7)."""
    now = ways.units.view(unit).state
    rows = [Row(id=state, text=state, right=MEANS[state]) for state in MEANS if state in MOVES[now]]
    if not rows:
        ways.report(f"{unit} is {now or 'not known yet'}, and goes to no other state", problem=True)
        return
    title = f"Unit {unit} is {now or 'not known yet'}"
    picked = await ways.pick(title, "What is it from now on?", rows)
    if picked is None:
        return
    if picked == "temporary":  # it goes out of the door by the same questions, list and name as by r
        if ways.units.missing(unit):
            await release(ways, unit)
        else:
            ways.report(f"nothing is missing on {unit}, so it does not go out as temporary: r releases it")
        return
    why = await ways.ask(f"Unit {unit}: {picked}", "Because", needed="say why")
    if why is not None:
        ways.units.set_state(unit, picked, reason=why)
        if picked == "scrapped":
            for hunt in ways.hunts.open_hunts(unit):
                ways.hunts.resume(hunt.job).act(HuntClosed(result="open", done=f"{unit} was scrapped: {why}"))
        ways.report(f"{unit} is {picked}")


async def put_right(ways: Ways, unit: str) -> None:
    """Say that a temporary state was undone; it is an open item of the unit until then."""
    still = ways.units.view(unit).workarounds
    if not still:
        ways.report("nothing of this unit is in a temporary state")
        return
    rows = [Row(id=id, text=text) for id, text in still.items()]
    picked = await ways.pick(f"Unit {unit}", "Which one was put right?", rows)
    if picked is None:
        return
    note = await ways.ask(f"Unit {unit}: {still[picked]}", "What was done instead", needed="say what was done")
    touched = None if note is None else await _touched(ways, unit, still[picked])
    if note is not None and touched is not None:
        ways.units.write(unit, WorkaroundUndone(workaround=picked, note=note, touched=touched))
        ways.report("it is put right, and open no more")


async def _touched(ways: Ways, unit: str, text: str) -> tuple[str, ...] | None:
    """What was touched in the unit to put something right; its tests are made again. None where it is not said."""
    names = ways.units.names(unit)
    rows = [
        Row(id="no", text="No", right="nothing is tested again"),
        Row(id="yes", text="Yes, or I am not sure", right="what was touched is tested again"),
    ]
    picked = await ways.pick(
        f"Unit {unit}: {text}", "Was a lead, joint, plug or part of the unit touched for it?", rows
    )
    if picked != "yes":
        return NOTHING if picked == "no" else None

    def check(typed: str) -> str:
        strange = unknown_words((typed,), names)
        return f"nothing here is called {', '.join(strange)}: type {names.some or 'all'}" if strange else ""

    said = await ways.ask(
        f"Unit {unit}: {text}",
        "What was touched, such as F3 J1; all: everything, or not sure",
        check=check,
        needed="name what was touched, or type all",
    )
    return None if said is None else tuple(said.replace(",", " ").split())


async def leave_as_is(ways: Ways, unit: str) -> None:
    """Sign that something missing stays as it is; only what can hardly be made good is offered (ISO 9001:2015 8.7)."""
    lines = run_decisions.may_concede(ways.units, unit)
    if not lines:
        ways.report("nothing is missing here that may be signed to stay as it is")
        return
    rows = [Row(id=str(place), text=text) for place, text in enumerate(lines)]
    picked = await ways.pick(f"Unit {unit}", "Which one stays as it is?", rows)
    if picked is None:
        return
    item = lines[int(picked)]
    why = await ways.ask(item, "It can stay as it is, because", needed="say why this is right")
    if why is None:
        return
    name = await ways.ask(item, "Signed by", needed="type who signs")
    if name is not None:
        run_decisions.concede(ways.units, unit, item, reason=why, by=name)
        ways.report("signed; it stands on the unit for life")


async def do_left_open(ways: Ways, unit: str) -> None:
    """Do what a closed job left open: its steps as a job of their own, or a defect, put right or used as it is."""
    left = {each.id: each for each in ways.bench.left_open(unit)}
    if not left:
        ways.report("no closed job of this unit left anything open that can be done")
        return
    rows = [Row(id=each.id, text=each.text) for each in left.values()]
    picked = await ways.pick(f"Unit {unit}", "Which one is done now?", rows)
    if picked is None:
        return
    work = left[picked]
    if not work.defect[0]:
        await ways.work_on(ways.bench.open(work.plan, unit))
        return
    if ways.units.rework_begun(unit, work.defect[0]):
        # Something was touched: it is ended and said what, and not decided otherwise.
        await ways.work_on(ways.bench.open(work.plan, unit, defect=work.defect))
        return
    rows = [Row(id=name, text=name, right=means) for name, means in DEFECT_MEANS.items()]
    what = await ways.pick(f"Unit {unit}: {work.text}", "What is to be done?", rows)
    if what is None:
        return
    why = await ways.ask(work.text, f"{what}, because", needed="say why this is right")
    if why is None:
        return
    name = await decided_by(ways, work.text, what)
    if name is None:
        return
    # Nothing is touched where it is used as it is, so nothing has to be so before.
    plan = replace(work.plan, before=Before()) if what == "use as is" else work.plan
    run = ways.bench.open(plan, unit, defect=work.defect)
    run.act(DispositionGiven(defect=work.defect[0], disposition=what, reason=why, name=name))
    if what != "use as is":
        await ways.work_on(run)
        return
    for step in run.plan.steps:
        run.act(StepNotApplicable(step=step.key, reason=f"used as it is: {why}"))
    run.close()
    ways.report("it is used as it is; that stands on the unit for life")


DEFECT_MEANS = {
    "rework": "afterwards it is as designed",
    "repair": "it works, but not as designed; that stays on the unit",
    "use as is": "nothing is done; that stays on the unit",
}
"""What can be decided about a defect of a closed job, in words."""


DECIDING: Final = (
    "What you write closes the question and changes no mark. Where the step stands otherwise than you find it, go back "
    "and do it again, then decide."
)
"""Said before a decision: it picks neither of the two entries."""


async def decide(ways: Ways, unit: str) -> None:
    """Say what was found out where two benches disagree; the unit does not leave before each is decided."""
    view = ways.units.view(unit)
    conflicts = view.conflicts
    standing = {id: text for id, text in view.decided.items() if id not in view.withdrawn}
    if not conflicts and not standing:
        ways.report("no two benches disagree on this unit")
        return
    rows = [Row(id=str(place), text=conflict.text) for place, conflict in enumerate(conflicts)]
    rows += [Row(text="Decided already")] if standing else []
    rows += [Row(id=f"back:{id}", text=text, under="it was wrong: withdraw it") for id, text in standing.items()]
    picked = await ways.pick(f"Unit {unit}", "Which one do you decide?", rows)
    if picked is None:
        return
    if picked.startswith("back:"):
        decision = picked.removeprefix("back:")
        await _withdraw(ways, unit, decision, standing[decision])
        return
    text = conflicts[int(picked)].text
    twice = conflicts[int(picked)].kind == UnitMade.KIND
    if twice:
        rows = [
            Row(id="one", text="one unit, entered twice"),
            Row(id="two", text="two units", right="one gets a new number"),
        ]
        which = await ways.pick(text, "Look at the bench and the shelf. Which is it?", rows)
        if which == "two":
            await _part(ways, unit)
        if which != "one":
            return
    why = await ways.ask(
        text,
        "Look at the unit. What is so, and why",
        told=DECIDING if not twice else "",
        needed="say what you found and why work may go on",
    )
    if why is None:
        return
    name = await ways.ask(text, "Decided by", needed="type who decides")
    if name is not None:
        reason = f"one unit: {why}" if twice else why
        run_decisions.decide(ways.units, unit, conflicts[int(picked)].id, reason=reason, by=name)
        ways.report("decided; it stands on the page of the unit under Decisions")


async def _withdraw(ways: Ways, unit: str, decision: str, text: str) -> None:
    """Withdraw a decision: what it was about is to be decided again."""
    why = await ways.ask(text, "It is withdrawn, because", needed="say why it is not so")
    if why is None:
        return
    name = await ways.ask(text, "Withdrawn by", needed="type who withdraws it")
    if name is not None:
        run_decisions.withdraw(ways.units, unit, decision, reason=why, by=name)
        ways.report("withdrawn; what it was about is to be decided again")


async def _part(ways: Ways, unit: str) -> None:
    """Give one of two units that have one number a new one; all that its bench wrote of it goes with it."""
    title = f"Two units are {unit}"
    rows = [Row(id=one.id, text=one.text, under=one.work) for one in alike(ways.units, unit)]
    picked = await ways.pick(title, "Which of them gets a new number?", rows)
    if picked is None:
        return
    told = "All that its bench wrote goes with it. The old number stays in the history of both."
    why = await ways.ask(
        title, "What you saw: where each of the two stands", told=told, needed="say where each of the two stands"
    )
    if why is None:
        return
    name = await ways.ask(title, "Said by", needed="type who says so")
    if name is not None:
        number = part(ways.units, unit, picked, reason=why, by=name)
        ways.bench.look_again()
        ways.report(f"it is {number} from now on: put {number} on it, over {unit}")


async def take_in(ways: Ways, unit: str) -> None:
    """Write down in what condition a unit came in, before it is touched (ISO 9001:2015 8.5.3)."""
    title = f"Taken in: unit {unit}"
    said: list[str] = []
    for question, needed in (
        ("Its condition, as it came", "say how it came; untouched is an answer"),
        ("Damage that is seen (nothing: none)", ""),
        ("What came with it: leads, caps, case (nothing: nothing)", ""),
        ("Its settings, and where they are saved (nothing: not looked at)", ""),
    ):
        answer = await ways.ask(title, question, needed=needed)
        if answer is None:
            return
        said.append(answer)
    condition, damage, accessories, settings = said
    ways.units.write(unit, UnitTakenIn(condition=condition, accessories=accessories, damage=damage, settings=settings))
    ways.report("kept with the unit")
