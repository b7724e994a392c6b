"""Ways through several screens, told from beginning to end: starting a job, taking one up, hunting a fault.

Each is a coroutine that shows one screen after the other and acts on what they bring; `BenchApp.go` runs it and turns a
refusal into a sentence on the screen in front.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchtui.errors import UsageError
from benchtui.faults.words import listed
from benchtui.ui.fixed import fix
from benchtui.ui.sittings import ask_meter
from benchtui.ui.taking_up import open_already, time_away, to_identify
from benchtui.ui.walks import begun, end_walks

if TYPE_CHECKING:
    from collections.abc import Callable

    from benchtui.design.model import Design
    from benchtui.faults.run import HuntRun
    from benchtui.jobs.run import Run
    from benchtui.ui.app import BenchApp


# -- jobs ----------------------------------------------------------------------------------------------------------


async def start_job(app: BenchApp, id: str) -> None:
    """Start a procedure or checklist: on which design, control and unit, then its preliminary page, then its steps."""
    from benchtui.ui.screens.pick import PickScreen
    from benchtui.ui.screens.units import UnitScreen
    from benchtui.ui.view.subjects import chosen_kinds, one_of

    entry = next((entry for entry in app.library.entries() if entry.id == id), None)
    if entry is None:
        raise UsageError(f"there is no procedure or checklist {id!r}")
    design_id, subject = entry.design, ""
    kinds = chosen_kinds(app.library.procedure(id)) if entry.kind == "procedure" else ()
    if entry.design == "any":
        design = await pick_design(app, entry.title)
        if design is None:
            return
        design_id = design.id
        if kinds:
            rows = one_of(design, kinds)
            picked = await app.push_screen_wait(PickScreen(entry.title, f"Which {listed(kinds, last='or')}?", rows))
            if picked is None:
                return
            subject = picked
    app.bench.trusted(id, design_id=design_id, subject=subject)  # before a serial number is given for it
    # What is repaired or looked after was built before; only what builds is mostly about a new one.
    builds = entry.procedure_kind == "assembly"
    unit = await app.push_screen_wait(UnitScreen(entry.title, design_id, known_first=not builds))
    if unit is None:
        return
    if unit and entry.kind == "procedure" and not await fix(app, id, unit, design_id):
        return
    begun_before = await open_already(app, id, unit, subject)
    if begun_before:
        await take_up(app, begun_before)
    elif begun_before is not None:
        await work_on(app, app.bench.start(id, unit, design_id=design_id, subject=subject))


async def start_one_of(app: BenchApp, kind: str) -> None:
    """Pick one of the procedures of a kind that are for any design, and start it."""
    from benchtui.jobs.stages import in_build_order
    from benchtui.ui.screens.pick import PickScreen
    from benchtui.ui.view.bench import KINDS, of_kind, start_rows

    entries = [entry for entry in of_kind(app.library.entries(), kind) if entry.design == "any"]
    if kind == "assembly":
        entries = in_build_order(app.library, entries)
    rows = start_rows(entries, {})
    picked = await app.push_screen_wait(PickScreen(KINDS[kind], "Which one? Type a few letters.", rows))
    if picked is not None:
        await start_job(app, _after(picked))


async def take_up(app: BenchApp, job: str) -> str:
    """Take up a job where it stands, by way of the page after a break where there is something to say.

    Returns:
        How it was closed; empty when it was put aside.
    """
    from benchtui.jobs.events import Resumed
    from benchtui.ui.screens.resume import ResumeScreen
    from benchtui.ui.screens.step import StepScreen
    from benchtui.ui.view.resume import needs_page

    run = app.bench.resume(job)
    if app.store.read_only:  # to be looked at as it stands: nothing can be asked or answered
        return await app.push_screen_wait(StepScreen(run)) or ""
    left = run.state.suspended
    look_at = ""
    if left is not None:
        gone = time_away(run)
        # What was asked for in an earlier break and never given is asked for again, however short this one was.
        if run.state.identify or needs_page(run.state, gone, run.conflicts):
            page = ResumeScreen(run, gone=gone, identify=to_identify(run))
            if not await app.push_screen_wait(page):
                return ""
            look_at = page.look_at
        else:
            run.act(Resumed(identify=False))
    elif run.state.identify and not await _read_off(app, run):
        return ""
    return await work_on(app, run, look_at=look_at)


async def _read_off(app: BenchApp, run: Run) -> bool:
    """Ask for the serial number of a job that was taken up without it; whether it was given."""
    from benchtui.jobs.events import UnitIdentified
    from benchtui.ui.screens.pick import AskScreen

    def wrong(typed: str) -> str:
        if run.act(UnitIdentified(serial=typed)).identify:
            return f"that is not {run.unit}: look again which unit is on the bench"
        return ""

    asked = AskScreen(
        run.state.plan.title,
        "Serial number, read off the unit",
        needed="type the serial number that is marked on the unit",
        check=wrong,
    )
    if await app.push_screen_wait(asked) is not None:
        return True
    run.suspend()
    return False


async def work_on(app: BenchApp, run: Run, *, look_at: str = "") -> str:
    """The preliminary page, where it has not been gone through, then the steps.

    Args:
        app: The program.
        run: The job.
        look_at: Key of the step that is looked at first; the one in hand when empty.

    Returns:
        How the job was closed; empty when it was put aside.
    """
    from benchtui.ui.screens.before import BeforeScreen
    from benchtui.ui.screens.notice import read_notices
    from benchtui.ui.screens.step import StepScreen

    fresh = run.state.not_begun
    ready = not fresh or await read_notices(app, run)
    if ready and fresh and not run.plan.before.empty:
        ready = await app.push_screen_wait(BeforeScreen(run)) or False
    if not ready:
        run.suspend()
        app.report("put aside before its first step; e on its row ends it, where it was begun by mistake")
        return ""
    await ask_meter(app, run.plan)
    return await app.push_screen_wait(StepScreen(run, look_at=look_at)) or ""


# -- faults --------------------------------------------------------------------------------------------------------


async def find_fault(app: BenchApp, *, unit: str | None = None) -> None:
    """Start a hunt: which design, which unit, what is dead, how it shows, how long there is.

    Esc goes back to the question before, with the answers given so far.
    """
    from benchtui.faults.events import PowerSaid
    from benchtui.ui.hunt_start import Asked, ask_all

    asked = await ask_all(app, Asked(unit=unit))
    if asked is None or asked.design is None:
        return
    if asked.job:
        await _hunt_on(app, app.hunts.resume(asked.job))
        return
    run = app.hunts.start(
        asked.design,
        model=asked.known_model,
        unit=asked.unit or "",
        scope=asked.scope,
        subject=asked.subject,
        control=asked.control,
        symptom=asked.symptom,
        shows=asked.shows,
        signs=(asked.sign,) if asked.sign else (),
        deadline_minutes=asked.minutes,
    )
    if asked.no_power:
        run.act(PowerSaid(there=False))
    await _hunt_on(app, run)


async def _hunt_on(app: BenchApp, run: HuntRun) -> None:
    """Hunt; once it is closed, the page that one comes back to says what became of the fault."""
    from benchtui.faults.standing_fault import closed_said
    from benchtui.ui.screens.base import BenchScreen
    from benchtui.ui.screens.hunt import HuntScreen

    await app.push_screen_wait(HuntScreen(run))
    if isinstance(app.screen, BenchScreen):
        app.screen.say(closed_said(run.state, run.unit))


async def open_work(app: BenchApp, job: str) -> None:
    """Take up a job or a hunt of that name."""
    if job in {hunt.job for hunt in app.hunts.open_hunts()}:
        await take_up_hunt(app, job)
    else:
        await take_up(app, job)


async def take_up_hunt(app: BenchApp, job: str) -> None:
    """Take up a hunt where the record says it stands."""
    await _hunt_on(app, app.hunts.resume(job))


async def walk_repair(app: BenchApp, run: HuntRun, procedure: str, subject: str) -> bool:
    """Go through a rework procedure on a control, and come back.

    Args:
        app: The program.
        run: The hunt.
        procedure: Id of the rework procedure.
        subject: Id of the control that the repair is made on.

    Returns:
        Whether it was closed.
    """
    from benchtui.faults.events import WalkOpened

    if aside := begun(app.bench, run, procedure, subject):
        return bool(await take_up(app, aside))
    design = run.state.design
    job = app.bench.start(procedure, run.unit, design_id=design.id if design else "", subject=subject)
    run.act(WalkOpened(procedure=procedure, job=job.job))
    return bool(await work_on(app, job))


async def what_was_learnt(app: BenchApp, run: HuntRun) -> str:
    """Show what confirmed repairs have made of the weights, and forget it where that is wanted.

    Returns:
        What to say then.
    """
    from benchtui.faults import learning
    from benchtui.ui.screens.pick import PickScreen
    from benchtui.ui.view.learnt import learnt_rows

    started = run.state.started
    learnt = run.hunts.learnt(run.state.model, started.design)
    rows = learnt_rows(learnt, run.state.model)
    picked = await app.push_screen_wait(PickScreen("What was learnt", learning.sample_words(learnt), rows))
    if picked is None or picked == "keep":
        return ""
    run.hunts.forget(started.design if picked == "here" else "")
    return "forgotten for the hunts to come; the repairs stay in the record, and this hunt goes on as it began"


async def already_tried(app: BenchApp, run: HuntRun, then: Callable[[str], None]) -> None:
    """Take in a test or repair that was made before the hunt began; Esc at its outcome goes back to the list."""
    from benchtui.ui.screens.pick import PickScreen
    from benchtui.ui.tried import outcome_rows, title_of, tried_event, tried_rows, tried_said

    picked, outcome = "", None
    while outcome is None:
        rows = tried_rows(run)
        chosen = await app.push_screen_wait(PickScreen("Already tried", "What was tried before?", rows, wanted=picked))
        if chosen is None:
            return
        picked, outcome = chosen, ""
        if answers := outcome_rows(run, picked):
            outcome = await app.push_screen_wait(PickScreen(title_of(run, picked), "What came out?", answers))
    said = tried_said(run, picked, outcome)
    run.act(tried_event(picked, outcome))
    then(said)


async def close_hunt(app: BenchApp, run: HuntRun, left: Callable[[str], object], then: Callable[[], None]) -> None:
    """Write down how a hunt ended: what was found, what was done, which parts went in."""
    from benchtui.faults.events import HuntClosed
    from benchtui.ui.screens.pick import AskScreen, PickScreen
    from benchtui.ui.view.hunt_ends import DONE, FOUND, PARTS, STANDS_IN, WHERE, end_rows, tried_end
    from benchtui.ui.view.subjects import cause_rows

    title = f"Close the hunt: {run.state.target.title}"
    result = tried_end(run.state)
    if not result:
        rows = end_rows(run.state)
        answer = await app.push_screen_wait(PickScreen(title, "How does it end?", rows))
        if answer is None:
            return
        result = answer
    fault = ""
    if result == "fixed":
        rows = cause_rows(run.state)
        answer = await app.push_screen_wait(PickScreen(title, "What did you find? Only a cause you saw counts.", rows))
        if answer is None:
            return
        fault = _after(answer)
    stands_in = result == "work-around"
    found = "" if stands_in else await app.push_screen_wait(AskScreen(title, FOUND))
    done = None if found is None else await app.push_screen_wait(AskScreen(title, STANDS_IN if stands_in else DONE))
    parts = None if done is None else await app.push_screen_wait(AskScreen(title, PARTS))
    if found is None or done is None or parts is None:
        return
    where = ""
    if result == "not reproduced":
        where = await app.push_screen_wait(AskScreen(title, WHERE)) or ""
    assert result in ("fixed", "work-around", "not reproduced", "open")
    end_walks(app.bench, run)
    run.act(HuntClosed(result=result, found=found, done=done, parts=parts, fault=fault, conditions=where))  # type: ignore[arg-type]
    then()
    left(result)


async def pick_design(app: BenchApp, title: str) -> Design | None:
    """The design in question; asked for only where there are several."""
    from benchtui.design import load_design
    from benchtui.ui.screens.pick import PickScreen
    from benchtui.ui.view.rows import Row

    entries = sorted(app.library.entries("design"), key=lambda entry: entry.title)
    if not entries:
        raise UsageError("there is no design yet", hint="make one with: benchtui new design NAME")
    id: str | None = entries[0].id
    if len(entries) > 1:
        rows = [Row(id=entry.id, text=entry.title) for entry in entries]
        id = await app.push_screen_wait(PickScreen(title, "For which design?", rows))
    return load_design(app.library.path_of("design", id)) if id else None


def _after(id: str) -> str:
    """What follows the colon of a row's id."""
    return id.partition(":")[2]


async def spares_for_tour(app: BenchApp) -> None:
    """Work out what to carry on a tour with a design."""
    from benchtui.faults.reading import load_model
    from benchtui.ui.screens.spares import SparesScreen

    design = await pick_design(app, "Spares for a tour")
    if design is not None:
        model = load_model(app.library.path_of("fault-model", app.hunts.models(design.id)[0]))
        await app.push_screen_wait(SparesScreen(design, model))
