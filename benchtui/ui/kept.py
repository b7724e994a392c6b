"""What is kept with a step beside its marks: parts with their lot, files, and changes of its text made by hand.

As in `ui.work`, each act writes through the job's `Run` and gives back what to say; a refusal is a sentence.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Final

from benchtui.design.groups import spans
from benchtui.errors import BenchError
from benchtui.jobs import events as ev
from benchtui.jobs.kit import part_named
from benchtui.jobs.named import NOTHING
from benchtui.jobs.parts import NOT_MARKED, in_its_place, is_board, may_come_out
from benchtui.jobs.past import is_limit
from benchtui.ui.places import each_place
from benchtui.ui.reply import refused
from benchtui.ui.work import Reply, Work

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from benchtui.jobs.plan import PlanStep


def part_question(step: PlanStep) -> str:
    """What to ask at a step that fits a part whose origin the record wants."""
    if step.trace == "firmware":
        return "Version of the firmware, as the unit says it"
    if step.trace == "text":
        return f"{step.part[:1].upper()}{step.part[1:]}"
    what = "Serial number" if step.trace == "serial" else "Lot"
    places = spans(step.fits) if step.fits else step.subject.id if step.subject else ""
    return f"{what} of the {step.part or 'part'}{f' for {places}' if places else ''} ({UNMARKED}: {NOT_MARKED})"


UNMARKED: Final = "-"
"""What is typed for a part that bears neither lot nor serial number."""


def nothing_typed(step: PlanStep) -> str:
    """What is said where nothing was typed."""
    if step.trace == "text":
        return f"type the {step.part} in words"
    other = "unknown is an answer too" if step.trace == "firmware" else f"{UNMARKED} where it is {NOT_MARKED}"
    return f"type it as it stands there; {other}"


def origin_typed(step: PlanStep, typed: str) -> str:
    """What was typed as a lot, serial number or version, as it is kept; empty for nothing."""
    origin = " ".join(typed.split())
    return NOT_MARKED if origin == UNMARKED and step.trace in ("lot", "serial") else origin


def fit(work: Work, typed: str) -> Reply:
    """Keep the lot or serial number of the part that is fitted at the step in sight, and go on."""
    origin = origin_typed(work.step, typed)
    if not origin:
        return Reply(nothing_typed(work.step), problem=True)
    return keep_origin(work, origin) or (Reply(f"kept: {origin}") if work.looking else work.go_on())


def keep_origin(work: Work, origin: str) -> Reply | None:
    """Keep what the step in sight asks of its part; a refusal, or None when it was kept."""
    try:
        work.run.act_all(fitting(work, origin))
    except BenchError as error:
        return refused(error)
    return None


def fitting(work: Work, origin: str) -> Sequence[ev.JobEvent]:
    """What the step in sight asks of its part: a lot, for each place of its bag, a serial number, a version, a text."""
    step = work.step
    if step.trace == "firmware":
        return [ev.FirmwareLoaded(step=step.key, name=work.state.plan.design_id, version=origin)]
    if step.trace == "text":
        return [ev.TextGiven(step=step.key, what=step.part, text=origin)]
    part = step.part
    if not part and step.subject:
        part = step.subject.title.partition(" ")[0]
    elif not part:
        part = part_named(work.state.plan.before.parts, step) or step.text.rstrip(".")
    serial = step.trace == "serial"
    events = [
        ev.PartFitted(
            step=step.key,
            part=part,
            place=place,
            lot="" if serial else origin,
            serial=origin if serial else "",
        )
        for place in step.fits or (place_of(work) or "unit",)
    ]
    rework = work.run.plan.procedure_kind == "rework"
    return [
        # The mark was taken back, and the number is typed once more: it was mistyped.
        replace(event, corrects=True) if work.run.written_before(event) else instead(event, work) if rework else event
        for event in events
    ]


def instead(event: ev.PartFitted, work: Work) -> ev.PartFitted:
    """A part that rework puts in, with what comes out for it: the same kind of part from the same bag is another one.

    What was touched for it the rework says itself. Only another board takes the firmware with it.
    """
    old = in_its_place(work.run.fitted(), event)
    if old is None:
        return event
    touched = () if is_board(event.part, event.place) else NOTHING
    return replace(event, replaces=old.named, reason=work.run.plan.title, touched=touched)


GOES = {
    "in": ("In place of it", "what was tested there is tested again"),
    "plain": ("In place of it, and no lead, joint or plug was touched", "as for a knob or a screw"),
    "beside": ("Beside it: nothing came out", "no test is made again"),
}
"""How a part can go in where another one is that it may take the place of: words, and what follows from it."""

CAME_OUT = {
    "in": ("A lead, joint, plug or socket", GOES["in"][1]),
    "plain": ("No lead, joint, plug or socket", GOES["plain"][1]),
}
"""The same where it was said what came out: for a knob none of these is touched, and its fader is not tested again."""


def how_it_goes_in(
    work: Work, part: str, place: str, lot: str, serial: str, out: str
) -> tuple[str, Mapping[str, tuple[str, str]]]:
    """What is asked of a part before it is kept, and the answers by their id; empty where nothing has to be asked.

    Args:
        work: The job.
        part: What it is.
        place: Where it went; empty for where the step says.
        lot: Its lot.
        serial: Its serial number.
        out: What was said to have come out for it.
    """
    if len(places := each_place(place)) > 1:
        each = (how_it_goes_in(work, part, one, lot, serial, out) for one in places)
        return next((asked for asked in each if asked[1]), ("", {}))
    event = _part(work, part, place, lot, serial)
    if out.strip():
        return f"Came out at {event.place}: {out.strip()}. What was touched for it?", CAME_OUT
    old = may_come_out(work.run.fitted(), event)
    return (f"In place of the {old.named} at {old.place}, or beside it?", GOES) if old else ("", {})


def fit_other(
    work: Work, part: str, place: str, lot: str, serial: str, *, replaces: str = "", why: str = "", goes: str = ""
) -> Reply:
    """Keep a part that went in, at a step that does not ask for it by itself.

    Args:
        work: The job.
        part: What it is.
        place: Where it went; empty for where the step says. Several, such as "F1 to F8", are kept one by one.
        lot: Its lot.
        serial: Its serial number.
        replaces: What came out for it.
        why: Why that came out.
        goes: Which answer of `how_it_goes_in` was given, where that was asked.
    """
    if len(places := each_place(place)) > 1:
        return _fit_each(work, part, place, places, lot, serial, replaces=replaces, why=why, goes=goes)
    event = _part(work, part, place, lot, serial)
    if goes in ("in", "plain") and (old := may_come_out(work.run.fitted(), event)):
        replaces = replaces.strip() or old.named
    event = replace(
        event,
        replaces=replaces.strip(),
        reason=why.strip() or ("changed" if replaces.strip() else ""),
        beside=goes == "beside",
        touched=NOTHING if goes == "plain" else (),
    )
    out = ""
    if not event.replaces and isinstance(whole := work.run.whole(event), ev.PartFitted) and whole.replaces:
        out = f". It counts as put in for {whole.replaces}: what was tested there is tested again"
    elif goes in ("in", "plain"):
        out = f". It went in for {event.replaces}" + (": what was tested there is tested again" if goes == "in" else "")
    origin = ", ".join(
        text
        for text in (f"lot {event.lot}" if event.lot else "", f"serial {event.serial}" if event.serial else "")
        if text
    )
    return _act(work, event) or Reply(f"kept: {event.part} at {event.place}{', ' if origin else ''}{origin}{out}")


def _fit_each(
    work: Work,
    part: str,
    place: str,
    places: Sequence[str],
    lot: str,
    serial: str,
    *,
    replaces: str,
    why: str,
    goes: str,
) -> Reply:
    """The same part at several places, one entry for each: where it is looked for later by one of them it is found."""
    if serial.strip():
        return Reply(f"one serial number is on one part: type one place and not {place.strip()}", problem=True)
    for one in places:
        said = fit_other(work, part, one, lot, "", replaces=replaces, why=why, goes=goes)
        if said.problem:
            return said
    origin = f", lot {lot.strip()}" if lot.strip() else ""
    return Reply(f"kept: {part.strip()} at {place.strip()}, {len(places)} entries{origin}")


def _part(work: Work, part: str, place: str, lot: str, serial: str) -> ev.PartFitted:
    return ev.PartFitted(
        step=work.key,
        part=part.strip(),
        place=place.strip() or place_of(work),
        lot=lot.strip(),
        serial=serial.strip(),
    )


def place_of(work: Work) -> str:
    """Where a part fitted at the step in sight goes, as far as the step tells."""
    step = work.step
    if step.fits:
        return spans(step.fits)
    return step.subject.id if step.subject else work.state.plan.subject


def attach(work: Work, typed: str) -> Reply:
    """Keep a file with the step in sight, by name and digest."""
    text = typed.strip().strip("'\"")
    if not text:
        return Reply("type the path of the file", problem=True)
    try:
        state = work.run.attach(Path(text).expanduser(), step=work.key)
    except BenchError as error:
        return refused(error)
    name, digest = state[work.key].files[-1]
    return Reply(f"kept with this step: {Path(name).name}, SHA-256 {digest[:12]}; the file itself stays where it is")


def redline(work: Work, text: str, reason: str, *, until: str = "") -> Reply:
    """Change the text of the step in sight by hand: for this unit, or for others as well until an end."""
    if text.strip() == work.step.text:
        return Reply("that is what it reads already", problem=True)
    limit = until.strip().upper()
    if limit and not is_limit(limit):
        return Reply("type a date as 2031-03-31, a serial number, or nothing for this unit only", problem=True)
    event = ev.Redlined(step=work.key, text=text.strip(), reason=reason.strip(), until=limit)
    held = f"; offered to other units until {limit}" if limit else ""
    return _act(work, event) or Reply(f"the step reads so for this unit now{held}; the written text stays beside it")


def after_move(work: Work) -> Reply:
    """The job was moved to a newer text: go to the first step that is open again, where that has to come first."""
    state = work.state
    first = state.next_to_do()
    if first and first != state.current and (not state.current or state.blocked(state.current)):
        said = _act(work, ev.MovedTo(step=first))
        if said:
            return said
    work.look(work.state.current)
    work.take_up()
    return Reply("the job goes on by the newer text")


def _act(work: Work, event: ev.JobEvent) -> Reply | None:
    try:
        work.run.act(event)
    except BenchError as error:
        return refused(error)
    return None
