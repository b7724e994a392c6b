"""The end of a job by lines: what is seen to, tools counted back in, the decision to close; and putting it aside."""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchtui.errors import BenchError
from benchtui.jobs import events as ev
from benchtui.jobs.kit import lacking
from benchtui.ui.closing import hand_on, staying
from benchtui.ui.lines.talk import kept_said
from benchtui.ui.lines.yes import answered_so, each_ticked, seen_to
from benchtui.ui.view.before import heading_of
from benchtui.ui.view.owed import owed_rows

if TYPE_CHECKING:
    from benchtui.jobs.run import Run
    from benchtui.jobs.run_units import Units
    from benchtui.ui.lines.talk import Talk


def close_job(talk: Talk, run: Run, units: Units) -> str:
    """Every step was gone through: close it; empty when somebody goes back to the steps."""
    talk.say("Every step was gone through.")
    for text in run.plan.after:
        if not seen_to(talk, f"{text}. Enter when it is seen to, x: not yet"):
            talk.say("See to it first; Enter at the last step comes back here.")
            return ""
    stay = staying(run)
    for tool, title in stay.items():
        talk.say(f"Stays in use for {title}, and is counted back in there: {tool}.")
    hand_on(run)
    _turned_up(talk, run)  # a tool that is here again is counted back in like the others
    _count_back(talk, run)
    open_items = run.state.open_items()
    owed = owed_rows(units.missing(run.unit)) if run.unit else []
    for text in [*(f"Open: {text}" for text in open_items), *(row.text for row in owed)]:
        talk.say(text)
    decision = ""
    if open_items:
        decision = talk.ask("Close it with this open, because (nothing: go back to the steps)")
        if not decision:
            return ""
    try:
        run.close(decision=decision)
    except BenchError as error:
        talk.say(str(error))
        return ""
    talk.say(f"Closed: {run.state.closed}.")
    return run.state.closed


def put_aside(talk: Talk, run: Run, *others: Run) -> None:
    """Ask what comes next and what is left on or hot, and put the job aside, with others of the same batch."""
    next_act = talk.ask("Next you will (nothing: say nothing)")
    before = run.state.left
    if before:
        bench = talk.ask(f"Left at the bench: {', '.join(before)}. Enter: still so; none; or say what is")
    else:
        bench = talk.ask("Left at the bench, such as power on, iron hot (Enter: none)")
    said = [part.strip() for part in bench.split(",") if part.strip()]
    none = [part.lower() for part in said] in (["none"], ["off"])
    for each in (run, *others):
        each.suspend(next_act=next_act, bench=[] if none else said or before)
    talk.say(f"Put aside. {kept_said(run.bench.store)}")


def _count_back(talk: Talk, run: Run) -> None:
    """Count the tools back in, one by one or all the same as at the start."""
    out = run.state.not_back
    if len(out) > 1:
        talk.say(f"Tools to count back in: {'; '.join(out)}.")
    for item, back in each_ticked(talk, out, "Back in its place: {}. Enter: yes, x: not found".format):
        if back:
            run.act(ev.KitTicked(heading="tools", item=item, back=True))


def _here_now(talk: Talk, question: str) -> bool:
    """Whether what was missing is here now; Enter alone is no."""
    while typed := talk.ask(question):
        here = answered_so(typed)
        if here is not None or typed.casefold() == "still missing":
            return bool(here)
        talk.say(f"{typed!r} is neither: h where it is here, Enter where it is not.")
    return False


def _turned_up(talk: Talk, run: Run) -> None:
    """What was missing at the start and is here now, and failed steps that a newer text has no more."""
    for item in lacking(run.state):
        if _here_now(talk, f"Begun without: {item}. Enter: still missing, h: it is here now"):
            run.act(ev.KitTicked(heading=heading_of(run.plan, item), item=item))
    for each in [each for each in run.state.open_list() if each.gone]:
        why = talk.ask(f"{each.text}. It is needed no more, because (nothing: it stays open)")
        if why:
            run.act(ev.StepNotApplicable(step=each.gone, reason=why))
