"""One step of a job as the builder sees it: the step before, the cautions, the step itself, and the one after.

The cautions stand before the step on the same screen. What does not fit is cut from the middle and can be scrolled to;
the step before and the step after always stay in sight.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from benchtui.design.groups import spans
from benchtui.jobs.kit import recalled
from benchtui.jobs.readings import shown
from benchtui.jobs.steps import Status
from benchtui.ui.view.cautions import acknowledge_line, in_full, in_order, in_short, on_page
from benchtui.ui.view.limits import LABEL, limits, working
from benchtui.ui.view.readings import FIRST, readings
from benchtui.ui.view.stopped import stopped
from benchtui.ui.view.text import BLANK, cut, line, rule, spread, table, window, wrap

if TYPE_CHECKING:
    from collections.abc import Sequence

    from benchtui.jobs.jobstate import JobState
    from benchtui.jobs.plan import Caution, PlanStep
    from benchtui.jobs.readings import Meter
    from benchtui.jobs.steps import StepState
    from benchtui.ui.view.shapes import Shapes
    from benchtui.ui.view.text import Line

CALLED = 2
"""Lines for where a job was called from."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Sight:
    """What is to be shown beyond the state of the job."""

    key: str
    """The step shown; another than the one in focus when looking ahead."""
    unread: tuple[Caution, ...] | None = None
    """Cautions to be read before the step opens, where these are not those of the job alone; gravest first."""
    armed: bool = False
    """The caution has been on the screen long enough to be acknowledged."""
    working: bool = False
    """Show how the limits come about."""
    brief: bool = False
    """Show the short text of a step that has one."""
    countdown: str = ""
    """Time left of a wait that runs."""
    notes: tuple[str, ...] = ()
    """Notes of earlier runs on this step."""
    changed: bool = False
    """The step reads differently from the last run of this procedure."""
    stop: str = ""
    """Time to the next safe stop."""
    called: str = ""
    """Where the job was called from, outermost first, and goes back to."""
    meter: Meter | None = None
    """The meter of this sitting, for how near a limit is near."""
    goes_to: str = ""
    """Title of the procedure that a step calls."""
    below: tuple[Line, ...] = ()
    """A picture or list that was asked for, under the step."""
    top: int = 0
    """How far the middle is scrolled."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StepPage:
    """The lines of a step, and how far its middle can be scrolled."""

    lines: list[Line]
    most: int
    cautions: tuple[Caution, ...] = ()
    """Cautions that stand whole on the page and are to be read now."""


def step_page(state: JobState, sight: Sight, *, width: int, height: int, shapes: Shapes) -> StepPage:
    """The step in sight.

    Args:
        state: The job.
        sight: What is to be shown beyond it.
        width: Cells of a line.
        height: Lines there are.
        shapes: Characters of this terminal.
    """
    place = state.plan.places[sight.key]
    steps = state.plan.steps
    before = steps[place - 1] if place else None
    after = steps[place + 1] if place + 1 < len(steps) else None
    top = _called(sight.called, width)
    top.append(neighbour(state, before, width, shapes) if before else line(("this is the first step", "quiet")))
    top.append(rule(width, mark=shapes.rule))
    bottom = [rule(width, mark=shapes.rule, title=sight.stop)]
    bottom.append(neighbour(state, after, width, shapes) if after else line(("this is the last step", "quiet")))
    room = max(height - len(top) - len(bottom), 1)
    unread = sight.unread
    if unread is None:
        unread = tuple(in_order(state.unread(sight.key))) if sight.key == state.current else ()
    page = cautions_on_page(state, unread, sight.key, width, room, shapes)
    middle = _middle(state, sight, unread, page, width, room, shapes)
    shown, most = window(middle, room, sight.top)
    if most and sight.top < most:
        bottom[0] = rule(width, mark=shapes.rule, title=f"more below: {shapes.more} key")
    shown += [BLANK] * (room - len(shown))
    return StepPage(lines=[*top, *shown, *bottom], most=most, cautions=page)


def _called(called: str, width: int) -> list[Line]:
    """Where the job was called from, in two lines at most: its end, where it goes back to, stays."""
    rows = wrap(called, width, role="strong") if called else []
    return rows if len(rows) <= CALLED else [cut(line((called, "strong")), width), rows[-1]]


def neighbour(state: JobState, step: PlanStep, width: int, shapes: Shapes) -> Line:
    """A step in one line: shape, number, text, and what came of it."""
    known = state[step.key]
    subject = f"{step.subject.id}: " if step.subject else ""
    left = line(
        (f"{shapes.status(known.status)} ", "mark"),
        (f"{step.number} {subject}{state.text(step.key)}", "quiet"),
    )
    return spread(left, line((outcome(state, step), "quiet")), width)


def outcome(state: JobState, step: PlanStep) -> str:
    """What came of a step, in a few words: the reading and its verdict, the answer, or the mark."""
    known = state[step.key]
    if known.first:
        return FIRST
    if known.reading and step.limits:
        return f"{shown(step.limits, known.reading.typed)}: {known.verdict_text}"
    if known.choice:
        return f"{known.choice}"
    return "" if known.status is Status.OPEN else str(known.status)


def _middle(
    state: JobState,
    sight: Sight,
    unread: Sequence[Caution],
    page: Sequence[Caution],
    width: int,
    height: int,
    shapes: Shapes,
) -> list[Line]:
    step = state.plan.step(sight.key)
    read = [caution for caution in in_order(step.cautions) if caution not in unread]
    lines: list[Line] = []
    if sight.key != state.current and state.current:
        at = state.plan.step(state.current).number
        lines += [line((f"Looking at step {step.number}; the work is at step {at}. ", "strong"))]
    if page:
        total = len(unread) + sum(1 for caution in read if caution.person)
        for number, caution in enumerate(page, total - len(unread) + 1):
            lines += in_full(caution, width, shapes, place=f"{number} of {total}" if total > 1 else "")
        what = "the step opens" if len(page) == len(unread) else "the next caution opens"
        lines += [acknowledge_line(what, armed=sight.armed, count=len(page)), BLANK]
        body = _step(state, step, sight, width, shapes)
        if len(lines) + len(body) > height:
            body = _step(state, step, sight, width, shapes, tight=True)
        if len(lines) + len(body) > height and len(page) > 1:
            # What the step says; its details come when it opens, and nothing of it can be done before.
            body = _said_first(state, step, width, shapes)
        return [*lines, *_quieter(body)]
    if sight.below:
        # What was asked for beside the step takes the place of its details; the wires stay.
        head = [_heading(state, step, width, shapes), cut(line((state.text(step.key), "do")), width)]
        return [*lines, *head, *(wires(step, width) if step.wires else []), *sight.below]
    body = _step(state, step, sight, width, shapes)
    full = [row for caution in read for row in in_short(caution, width, shapes)]
    if len(lines) + len(full) + len(body) > height:
        body = _step(state, step, sight, width, shapes, tight=True)
    if len(lines) + len(full) + len(body) > height:
        # Acknowledged in full: a line each keeps the words in sight, and the step on the screen with them. What needs
        # no acknowledging was never shown in full, so it stays whole.
        full = []
        for caution in read:
            whole = in_short(caution, width, shapes)
            full += [cut(in_short(caution, 10 * width, shapes)[0], width)] if caution.person else whole
    return [*lines, *full, *([BLANK] if full and len(full) + len(body) < height else []), *body]


def cautions_on_page(
    state: JobState, unread: Sequence[Caution], key: str, width: int, height: int, shapes: Shapes
) -> tuple[Caution, ...]:
    """Cautions that are read and acknowledged together at a step: as many as stand whole above what the step says.

    Args:
        state: The job.
        unread: Cautions still to be read, gravest first.
        key: The step.
        width: Cells of a line.
        height: Lines of the middle of the page.
        shapes: Characters of this terminal.
    """
    # The key for them and a blank line stand between.
    room = height - 2 - len(_said_first(state, state.plan.step(key), width, shapes))
    return on_page(unread, width, room, shapes)


def _said_first(state: JobState, step: PlanStep, width: int, shapes: Shapes) -> list[Line]:
    """Heading and text of a step."""
    return [_heading(state, step, width, shapes), *wrap(state.text(step.key), width, role="do")]


def _step(
    state: JobState, step: PlanStep, sight: Sight, width: int, shapes: Shapes, *, tight: bool = False
) -> list[Line]:
    """The step itself; `tight` leaves out the blank lines and where a figure is from (w shows that)."""
    known = state[step.key]
    gap = [] if tight else [BLANK]
    lines = [_heading(state, step, width, shapes)]
    if sight.changed:
        lines.append(line(("This step reads differently from the last time: read it anew.", "strong")))
    changed = bool(known.redline) and state.text(step.key) == known.redline
    text = step.brief if sight.brief and step.brief and not changed else state.text(step.key)
    lines += wrap(text, width, role="do")
    if known.redline and not changed:
        lines += wrap(f"The text changed by hand held until {known.until}.", width, role="quiet")
    if changed:
        lines += wrap(step.text, width, first="written".ljust(LABEL), rest=" " * LABEL, role="quiet")
        lines += wrap(known.redlined, width, first="changed".ljust(LABEL), rest=" " * LABEL, role="quiet")
    for detail in () if sight.brief and step.brief else step.detail:
        lines += wrap(detail, width, first=f"  {shapes.dot} ", rest="    ")
    for item in recalled(state).get(step.key, ()) if state.short else ():
        text = f"{item}. It was missing at the start: {state.short[item]}"
        lines += wrap(text, width, first="missing".ljust(LABEL), role="strong")
    if step.wires:
        lines += [*gap, *wires(step, width)]
    if step.limits:
        lines += [*gap, *limits(step.limits, width)]
        lines += readings(step, known, width, shapes)
        if sight.working:
            lines += working(step.limits, width, meter=sight.meter)
    if step.choices:
        lines += gap
        lines += [line("  ", (f" {n} ", "key"), f" {choice.text}") for n, choice in enumerate(step.choices, 1)]
    if step.response:
        lines += wrap(step.response, width, first="find".ljust(LABEL), role="value")
    if step.act == "wait":
        lines += [line("wait".ljust(LABEL), (sight.countdown or f"{step.seconds / 60:g} min", "value"))]
    if step.act == "call":
        # A plan of an older version has only the id for its text.
        title = f"{sight.goes_to or step.call}, then" if step.text == step.call else "there, then"
        why = f" {step.why}" if step.why else ""
        lines += wrap(f"{title} back here.{why}", width, first="goes".ljust(LABEL))
    if sight.key == state.current and (why := stopped(state, sight.key)):
        lines += wrap(f"{why[:1].upper()}{why[1:]}.", width, first=f"{shapes.failed} ", rest="  ", role="strong")
    if step.accept:
        lines += wrap(step.accept, width, first="done when".ljust(LABEL + 1))
    if known.reason and known.status is not Status.DONE:
        # Begun anew, it still says why it was opened again.
        came = Status.REOPENED if known.status is Status.BEGUN else known.status
        lines += wrap(known.reason, width, first=f"{came}: ", role="strong")
    for origin in known.fitted:
        lines += wrap(origin, width, first=FITTED.get(step.trace, step.trace).ljust(LABEL), role="value")
    if step.trace and not known.fitted:
        lines += wrap(asked_for(step), width, first="asks for".ljust(LABEL))
    if step.witness:
        lines += wrap(looked_on(known), width, first="witness".ljust(LABEL))
    for name, digest in known.files:
        lines += wrap(f"{name}  SHA-256 {digest[:12]}", width, first="file".ljust(LABEL), role="quiet")
    for text in sight.notes:
        lines += wrap(text, width, first="earlier".ljust(LABEL), role="strong")
    for note in known.notes:
        lines += wrap(note.text, width, first="note".ljust(LABEL), role="strong" if note.urgent else "")
    if step.source and (sight.working or not tight):
        lines += wrap(step.source, width, first="source".ljust(LABEL), role="quiet")
    return lines


def _quieter(lines: list[Line]) -> list[Line]:
    """The step while a caution before it is still to be read: in sight, but not what the eye goes to."""
    return [tuple(span._replace(role="quiet") for span in row) for row in lines]


def _heading(state: JobState, step: PlanStep, width: int, shapes: Shapes) -> Line:
    known = state[step.key]
    parts = [step.section, step.subject.title if step.subject else ""]
    n, of = step.repeat
    if of > 1:
        parts.append(f"{n} of {of}")
    left = line(
        (f"{shapes.status(known.status)} {step.number}", "strong"),
        f" {known.status}  ",
        (f" {shapes.dot} ".join(part for part in parts if part), "title"),
    )
    return spread(left, line((duty(step), "strong")), width)


def duty(step: PlanStep) -> str:
    """Why the step is not left out, as it stands at its heading; a witness point may be, and says that it is one."""
    if step.witness and not step.duty:
        return "WITNESS POINT"
    return step.duty.upper() if step.hold or step.critical else step.duty


def wires(step: PlanStep, width: int) -> list[Line]:
    """The wires of a step with both ends; a colour is always its word.

    Where they are cut, the length takes the place of what each is for, which its name says too.
    """
    rows = []
    for wire in step.wires:
        role = "" if wire.length else wire.role
        rows.append((wire.id, role, wire.colour, wire.gauge, wire.length, wire.start, wire.end))
    head = ("wire", "for", "colour", "gauge", "length", "from", "to")
    keep = [column for column in range(len(head)) if any(row[column] for row in rows)]
    return table([[row[c] for c in keep] for row in rows], width, head=[head[c] for c in keep], role="wire")


def looked_on(known: StepState) -> str:
    """Who looked on at a witness point."""
    if known.witnessed:
        return f"{' and '.join(known.witnessed)} looked on"
    return (
        "nobody looked on" if known.settled else "write down who looks on, if anybody does; the work waits for nobody"
    )


FITTED = {"": "fitted", "text": "noted"}
"""What stands before what was fitted or written down, where it is not the word of the content."""


def asked_for(step: PlanStep) -> str:
    """What the record asks for before the step is done."""
    if step.trace == "firmware":
        return "the version of the firmware, before this is done"
    if step.trace == "text":
        return f"the {step.part}, before this is done"
    what = "serial number" if step.trace == "serial" else "lot"
    places = f", for {spans(step.fits)}" if step.fits else ""
    return f"the {what} of the {step.part or 'part'}{places}, before this is done; - where it is not marked"
