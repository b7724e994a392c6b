"""What is said of a unit outside a job: another state, something put right, taken in, and what is fixed of it."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from benchtui.jobs.disagree import how_to_part
from benchtui.jobs.events import DispositionGiven, StepNotApplicable
from benchtui.jobs.plan import Before
from benchtui.jobs.unit_events import UnitMade, UnitTakenIn, WorkaroundUndone
from benchtui.jobs.units import MOVES
from benchtui.ui.view.text import BLANK, wrap

if TYPE_CHECKING:
    from collections.abc import Iterator

    from benchtui.content.library import Library
    from benchtui.content.procedure import Step
    from benchtui.ui.app import BenchApp
    from benchtui.ui.view.text import Line

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


async def another_state(app: BenchApp, unit: str) -> None:
    """Put a unit into another state, with the reason; only those it may go to are offered (ISO 9001:2015 8.7)."""
    from benchtui.ui.screens.pick import AskScreen, PickScreen
    from benchtui.ui.view.rows import Row

    now = app.units.view(unit).state
    rows = [Row(id=state, text=state, right=MEANS[state]) for state in MEANS if state in MOVES[now]]
    if not rows:
        app.report(f"{unit} is {now or 'not known yet'}, and goes to no other state", problem=True)
        return
    title = f"Unit {unit} is {now or 'not known yet'}"
    picked = await app.push_screen_wait(PickScreen(title, "What is it from now on?", rows))
    if picked is None:
        return
    why = await app.push_screen_wait(AskScreen(f"Unit {unit}: {picked}", "Because", needed="say why"))
    if why is not None:
        app.units.set_state(unit, picked, reason=why)
        app.report(f"{unit} is {picked}")


async def put_right(app: BenchApp, unit: str) -> None:
    """Say that a temporary state was undone; it is an open item of the unit until then."""
    from benchtui.ui.screens.pick import AskScreen, PickScreen
    from benchtui.ui.view.rows import Row

    still = app.units.view(unit).workarounds
    if not still:
        app.report("nothing of this unit is in a temporary state")
        return
    rows = [Row(id=id, text=text) for id, text in still.items()]
    picked = await app.push_screen_wait(PickScreen(f"Unit {unit}", "Which one was put right?", rows))
    if picked is None:
        return
    note = await app.push_screen_wait(
        AskScreen(f"Unit {unit}: {still[picked]}", "What was done instead", needed="say what was done")
    )
    if note is not None:
        app.units.write(unit, WorkaroundUndone(workaround=picked, note=note))
        app.report("it is put right, and open no more")


async def leave_as_is(app: BenchApp, unit: str) -> None:
    """Sign that something missing stays as it is; only what can hardly be made good is offered (ISO 9001:2015 8.7)."""
    from benchtui.ui.screens.pick import AskScreen, PickScreen
    from benchtui.ui.view.rows import Row

    lines = app.units.may_concede(unit)
    if not lines:
        app.report("nothing is missing here that may be signed to stay as it is")
        return
    rows = [Row(id=str(place), text=text) for place, text in enumerate(lines)]
    picked = await app.push_screen_wait(PickScreen(f"Unit {unit}", "Which one stays as it is?", rows))
    if picked is None:
        return
    item = lines[int(picked)]
    why = await app.push_screen_wait(AskScreen(item, "It can stay as it is, because", needed="say why this is right"))
    if why is None:
        return
    name = await app.push_screen_wait(AskScreen(item, "Signed by", needed="type who signs"))
    if name is not None:
        app.units.concede(unit, item, reason=why, by=name)
        app.report("signed; it stands on the unit for life")


async def do_left_open(app: BenchApp, unit: str) -> None:
    """Do what a closed job left open: its steps as a job of their own, or a defect, put right or used as it is."""
    from benchtui.ui import flows
    from benchtui.ui.screens.pick import AskScreen, PickScreen
    from benchtui.ui.view.rows import Row

    left = {each.id: each for each in app.units.left_open(unit)}
    if not left:
        app.report("no closed job of this unit left anything open that can be done")
        return
    rows = [Row(id=each.id, text=each.text) for each in left.values()]
    picked = await app.push_screen_wait(PickScreen(f"Unit {unit}", "Which one is done now?", rows))
    if picked is None:
        return
    work = left[picked]
    if not work.defect[0]:
        await flows.work_on(app, app.bench.open(work.plan, unit))
        return
    rows = [Row(id=name, text=name, right=means) for name, means in DEFECT_MEANS.items()]
    what = await app.push_screen_wait(PickScreen(f"Unit {unit}: {work.text}", "What is to be done?", rows))
    if what is None:
        return
    why = await app.push_screen_wait(AskScreen(work.text, f"{what}, because", needed="say why this is right"))
    if why is None:
        return
    # Nothing is touched where it is used as it is, so nothing has to be so before.
    plan = replace(work.plan, before=Before()) if what == "use as is" else work.plan
    run = app.bench.open(plan, unit, defect=work.defect)
    run.act(DispositionGiven(defect=work.defect[0], disposition=what, reason=why))
    if what != "use as is":
        await flows.work_on(app, run)
        return
    for step in run.plan.steps:
        run.act(StepNotApplicable(step=step.key, reason=f"used as it is: {why}"))
    run.close()
    app.report("it is used as it is; that stands on the unit for life")


DEFECT_MEANS = {
    "rework": "afterwards it is as designed",
    "repair": "it works, but not as designed; that stays on the unit",
    "use as is": "nothing is done; that stays on the unit",
}
"""What can be decided about a defect of a closed job, in words."""


async def decide(app: BenchApp, unit: str) -> None:
    """Say what was found out where two benches disagree; the unit does not leave before each is decided."""
    from benchtui.ui.screens.pages import TextPage
    from benchtui.ui.screens.pick import AskScreen, PickScreen
    from benchtui.ui.view.rows import Row

    conflicts = app.units.view(unit).conflicts
    if not conflicts:
        app.report("no two benches disagree on this unit")
        return
    rows = [Row(id=str(place), text=conflict.text) for place, conflict in enumerate(conflicts)]
    picked = await app.push_screen_wait(PickScreen(f"Unit {unit}", "Which one do you decide?", rows))
    if picked is None:
        return
    text = conflicts[int(picked)].text
    twice = conflicts[int(picked)].kind == UnitMade.KIND
    if twice:
        rows = [
            Row(id="one", text="one unit, entered twice"),
            Row(id="two", text="two units", right="shows what to do"),
        ]
        which = await app.push_screen_wait(PickScreen(text, "Look at the bench and the shelf. Which is it?", rows))
        if which == "two":
            app.push_screen(TextPage(f"Unit {unit}: two units of one number", lambda width: _parting(unit, width)))
        if which != "one":
            return
    found = AskScreen(text, "Look at the unit. What is so, and why", needed="say what you found and why work may go on")
    why = await app.push_screen_wait(found)
    if why is None:
        return
    name = await app.push_screen_wait(AskScreen(text, "Decided by", needed="type who decides"))
    if name is not None:
        reason = f"one unit: {why}" if twice else why
        app.units.decide(unit, conflicts[int(picked)].id, reason=reason, by=name)
        app.report("decided; it stands on the page of the unit under Decisions")


def _parting(unit: str, width: int) -> list[Line]:
    said, *acts = how_to_part(unit)
    lines = [*wrap(said, width), BLANK]
    return [*lines, *(row for act in acts for row in (*wrap(act, width, rest="   "), BLANK))]


async def take_in(app: BenchApp, unit: str) -> None:
    """Write down in what condition a unit came in, before it is touched (ISO 9001:2015 8.5.3)."""
    from benchtui.ui.screens.pick import AskScreen

    title = f"Taken in: unit {unit}"
    said: list[str] = []
    for question, needed in (
        ("Its condition, as it came", "say how it came; untouched is an answer"),
        ("Damage that is seen (nothing: none)", ""),
        ("What came with it: leads, caps, case (nothing: nothing)", ""),
        ("Its settings, and where they are saved (nothing: not looked at)", ""),
    ):
        answer = await app.push_screen_wait(AskScreen(title, question, needed=needed))
        if answer is None:
            return
        said.append(answer)
    condition, damage, accessories, settings = said
    app.units.write(unit, UnitTakenIn(condition=condition, accessories=accessories, damage=damage, settings=settings))
    app.report("kept with the unit")


async def fixed_of_it(app: BenchApp, procedure: str) -> tuple[str, tuple[str, ...]] | None:
    """Hardware revision and options of a new unit, asked only where a step of the procedure depends on them.

    Returns:
        What was said; empty where nothing depends on it; None when it was given up.
    """
    from benchtui.ui.screens.pick import AskScreen

    revisions, options = asked_of(app.library, procedure)
    hardware, fitted = "", ""
    if revisions:
        question = f"Hardware revision, such as {', '.join(revisions)} (nothing: not known)"
        answer = await app.push_screen_wait(AskScreen("What is fixed of the new unit", question))
        if answer is None:
            return None
        hardware = answer
    if options:
        question = f"Options fitted, of {', '.join(options)} (nothing: none)"
        answer = await app.push_screen_wait(AskScreen("What is fixed of the new unit", question))
        if answer is None:
            return None
        fitted = answer
    return hardware, options_of(fitted)


def options_of(typed: str) -> tuple[str, ...]:
    """Options as typed, with commas between."""
    return tuple(word.strip() for word in typed.split(",") if word.strip())


def asked_of(library: Library, procedure: str) -> tuple[list[str], list[str]]:
    """Hardware revisions and options that steps of a procedure, or of those it calls, depend on."""
    rules = [step.applies for step in _steps(library, procedure, set()) if step.applies is not None]
    revisions = dict.fromkeys(name for rule in rules for name in rule.hardware)
    options = dict.fromkeys(name for rule in rules for name in rule.options)
    return list(revisions), list(options)


def _steps(library: Library, procedure: str, seen: set[str]) -> Iterator[Step]:
    """The steps of a procedure and of those that it calls."""
    known = {entry.id for entry in library.entries("procedure")}
    if procedure in seen or procedure not in known:
        return
    seen.add(procedure)
    for step in library.procedure(procedure).steps:
        yield step
        if step.call:
            yield from _steps(library, step.call, seen)
