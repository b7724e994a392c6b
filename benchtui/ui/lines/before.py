"""What comes before the steps of a job by lines: taking it up after a break, and the page before the work."""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchtui.jobs import events as ev
from benchtui.jobs.lists import FROM_TOP, WENT_ON, left_in_the_midst
from benchtui.jobs.look_through import look_through_lines
from benchtui.jobs.serials import same_unit
from benchtui.ui.first_units import before_said
from benchtui.ui.lines.talk import WIDTH
from benchtui.ui.lines.yes import answered_so, each_ticked
from benchtui.ui.past import other_bench
from benchtui.ui.taking_up import take_up, time_away, to_identify
from benchtui.ui.view.before import HEADINGS, begin_text
from benchtui.ui.view.resume import ANSWERS, LIST_ASKED, Return, resume_lines
from benchtui.ui.view.shapes import SPOKEN

if TYPE_CHECKING:
    from benchtui.jobs.run import Run
    from benchtui.ui.lines.talk import Talk


def come_back(talk: Talk, run: Run) -> bool:
    """What is read off the unit, and how it is now what was left on; whether the work may go on."""
    state = run.state
    if state.suspended is None:
        serials = _read_off(talk, run) if state.identify else ()
        if serials:
            take_up(run, (), serials)
        return serials is not None
    answers = how_it_is(talk, run)
    serials = (_read_off(talk, run) if to_identify(run) else ()) if answers is not None else None
    if answers is None or serials is None:
        return False
    how: str | None = ""
    if left_in_the_midst(state, time_away(run)):
        here = f"go on with it at line {state.plan.step(state.current).number}"
        how = talk.pick(LIST_ASKED, [(FROM_TOP, "from the top, every line anew"), (WENT_ON, here)])
    if how is None:
        return False
    take_up(run, answers, serials, checklist=how)
    return True


def how_it_is(talk: Talk, run: Run) -> list[str] | None:
    """Say where a job was left, and ask how it is now what was left on; None when that was given up."""
    state = run.state
    bench, gone = other_bench(run), time_away(run)
    asked = Return(answers=("asked next",) * (len(state.suspended.bench) if state.suspended else 0))
    talk.lines(
        resume_lines(
            state,
            asked,
            width=WIDTH,
            gone=gone,
            shapes=SPOKEN,
            conflicts=run.conflicts,
            bench=bench,
            by_number=False,
        )
    )
    answers: list[str] = []
    for left in state.suspended.bench if state.suspended else ():
        choices = [(answer, answer) for answer in ANSWERS if answer]
        answer = talk.pick(f"When you left: {left}. How is it now?", choices)
        if answer is None:
            return None
        answers.append(answer)
    return answers


def prepare(talk: Talk, run: Run, *, units: int = 1) -> bool:
    """The page before the work; whether it may begin.

    Args:
        talk: The conversation.
        run: The job; of several units, that of the first.
        units: How many are begun together: the parts are listed for one of them.
    """
    state = run.state
    if not state.not_begun:
        return True
    if first := before_said((run,)):
        talk.say(f"{first}.")
    for condition in state.gate:
        question = f"{condition}? y, n, or the state you find, list: what comes, nothing to stop"
        while (answer := talk.ask(question)).lower() == "list":
            _say_ahead(talk, run)
        if not answer:
            return False
        so = answered_so(answer)
        run.act(ev.ConditionAnswered(condition=condition, answer=answer if so is None else "yes" if so else ev.NO))
    for heading, title in HEADINGS.items():
        open_ones = [item for item in getattr(run.plan.before, heading) if (heading, item) not in state.kit]
        if len(open_ones) > 1:
            talk.say(f"{title}: {'; '.join(open_ones)}.")
        if heading == "parts" and open_ones and units > 1:
            talk.say(f"They are listed for one unit: count out {units} times as many.")
        for item, found in each_ticked(talk, open_ones, f"{title}: {{}}. Enter: here, x: missing".format):
            run.act(ev.KitTicked(heading=heading, item=item, found=found))
    missing = run.state.shortage
    if missing or run.state.not_so:
        reason = talk.ask(f"{begin_text(run.state).removesuffix(', with a reason')}, because (nothing to stop)")
        if not reason:
            return False
        run.act(ev.StartedShort(missing=(*missing, *run.state.not_so), reason=reason))
    return True


def _read_off(talk: Talk, run: Run) -> tuple[str, ...] | None:
    """What was read off the unit, the right number last; None when that was given up.

    Other units are in work too: which one is on the bench is read off it, and not remembered.
    """
    read: tuple[str, ...] = ()
    while True:
        serial = talk.ask("serial number, read off the unit (nothing: not now)")
        if not serial:
            return None
        read = (*read, serial)
        if same_unit(serial, run.unit):
            return read
        talk.say(f"That is not {run.unit}: look again which unit is on the bench.")


def _say_ahead(talk: Talk, run: Run) -> None:
    """What the work will ask for: hold points, readings with their limits, cautions."""
    entries = run.bench.library.entries("procedure")
    for heading, lines in look_through_lines(run.plan, {each.id: each.title for each in entries}).items():
        talk.say(f"{heading}:")
        for text in lines:
            talk.say(f"  {text}")
