"""What a procedure must not do beyond the shape of its file: drop a source, use an id twice, never come to an end.

Rules about one file need nothing else; those about its neighbours (other procedures) get them as arguments. The rules
about hazards are in `benchtui.content.hazards`.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from benchtui.content.procedure import ACTS, Applies, Procedure, Step
from benchtui.errors import Problem, UnitError, did_you_mean
from benchtui.units import KINDS, parse

if TYPE_CHECKING:
    from collections.abc import Collection, Iterator, Mapping

    from benchtui.errors import Place

_FIGURE: Final = re.compile(
    r"(?<![\w{.])\d+(?:[.,]\d+)?\s?"
    r"(?:mm²|mm|cm|m|N·m|N m|N|°C|°|kΩ|MΩ|Ω|ohm|kohm|Mohm|nF|µF|mA|A|mV|V|W|Wh|W·h|kg|g|kHz|Hz|dB|%|min|minutes?"
    r"|hours?|seconds?|h|s|AWG|K)(?!\w)"
)
"""A figure with a unit, in digits and outside a placeholder."""

_ID: Final = re.compile(r"[a-z0-9]+(?:-[a-z0-9]+)*")


def own_problems(procedure: Procedure) -> Iterator[Problem]:
    """Problems that the procedure's own file shows."""
    from benchtui.content.hidden import hidden_in_step

    yield from _ids(procedure)
    if procedure.revision < 1:
        yield Problem(procedure.place, "the first revision is 1", "raise it by one at each change")
    if procedure.minutes <= 0:
        yield Problem(procedure.place, "minutes: how long it takes cannot be nothing", "an estimate will do")
    if procedure.touches and procedure.kind not in ("rework", "service"):
        hint = "take the line out, or call it rework or service"
        yield Problem(procedure.place, "touches: only rework and service say what they touch", hint)
    elif "nothing" in procedure.touches:
        hint = "name it, or take the line out"
        yield Problem(procedure.place, "touches: such work touches something of the unit", hint)
    standing: dict[str, Step] = {}
    for step in procedure.steps:
        yield from _shape(step)
        yield from hidden_in_step(step)
        if not step.source and (figure := bare_figure(*step.texts, step.twice)):
            yield Problem(
                step.place,
                f"step {step.id!r}: {figure!r} has no source",
                "add `source:`, or say it is common practice or an estimate",
            )
        if step.ends:
            if step.ends not in standing:
                yield Problem(step.place, f"step {step.id!r}: {step.ends!r} ends here but never began")
            standing.pop(step.ends, None)
        if step.begins:
            standing[step.begins] = step
    if procedure.steps and procedure.steps[-1].no_break:
        yield Problem(
            procedure.steps[-1].place,
            f"step {procedure.steps[-1].id!r}: the last step is marked `no-break`, so the stretch never ends",
            "take the mark off where work may be left again",
        )
    for hazard, step in standing.items():
        yield Problem(
            step.place, f"step {step.id!r}: {hazard!r} begins here and never ends", f"add `ends: {hazard}` to a step"
        )


def call_problems(
    procedure: Procedure, procedures: Mapping[str, Procedure], *, known: Collection[str]
) -> Iterator[Problem]:
    """Calls to a procedure that does not exist or is for another design, and circles of calls that would never end.

    Args:
        procedure: The one that calls.
        procedures: Every procedure that can be read, by id.
        known: Ids of every procedure there is, also of those whose file is broken.
    """
    if procedure.put_back and procedure.put_back not in known:
        told = f"put-back: there is no procedure {procedure.put_back!r}"
        yield Problem(procedure.place, told, did_you_mean(procedure.put_back, known))
    for step in procedure.steps:
        if not step.call:
            continue
        where = f"step {step.id!r}"
        called = procedures.get(step.call)
        if called is None:
            if step.call not in known:
                yield Problem(
                    step.place, f"{where}: there is no procedure {step.call!r}", did_you_mean(step.call, known)
                )
        elif circle := _circle(step.call, procedure.id, procedures):
            yield Problem(step.place, f"{where}: this call never ends: {' calls '.join((procedure.id, *circle))}")
        elif called.design not in ("any", procedure.design):
            yield Problem(
                step.place, f"{where}: {step.call!r} is for the design {called.design!r}", "call one that is for any"
            )


def bare_figure(*texts: str) -> str:
    """The first figure with a unit in these texts, empty when there is none."""
    for text in texts:
        if match := _FIGURE.search(text):
            return match[0]
    return ""


def id_problems(place: Place, id: str) -> Iterator[Problem]:
    """An id that could not be typed, or be told from the marks of the record."""
    if not _ID.fullmatch(id):
        yield Problem(place, f"the id {id!r} is not in small letters, digits and hyphens", "write it like solder-lugs")


def _ids(procedure: Procedure) -> Iterator[Problem]:
    yield from id_problems(procedure.place, procedure.id)
    seen: set[str] = set()
    for step in procedure.steps:
        if step.id in seen:
            yield Problem(step.place, f"the step id {step.id!r} is used twice", "ids are never reused")
        if step.id in procedure.retired:
            yield Problem(
                step.place,
                f"the step id {step.id!r} is retired: records of earlier runs mean another step by it",
                "give this step an id of its own",
            )
        seen.add(step.id)
        yield from id_problems(step.place, step.id)


def _shape(step: Step) -> Iterator[Problem]:
    """Keys that must, or must not, go with the act of a step."""
    name = f"step {step.id!r}"
    acts = [act for act in ACTS if getattr(step, act)]
    if len(acts) != 1:
        found = " and ".join(acts) if acts else "none"
        yield Problem(step.place, f"{name}: a step has one act, and this has {found}", f"give one of {', '.join(ACTS)}")
        return
    act = acts[0]
    wanted = {"measure": "reading", "choose": "choices", "wait": "time", "call": "why"}
    for needs, key in wanted.items():
        if act == needs and not getattr(step, key):
            yield Problem(step.place, f"{name}: a {act} step needs `{key}:`")
        if act != needs and key != "why" and getattr(step, key):
            yield Problem(step.place, f"{name}: `{key}:` belongs to a {needs} step, and this is a {act} step")
    if act == "observe" and not step.accept:
        # IEC/IEEE 82079-1 (from memory): the result to expect is stated. A reading has limits, a choice its answers.
        yield Problem(
            step.place, f"{name}: an observe step needs `accept:`", "say what is seen when it is good: the tip shines"
        )
    if act == "choose" and len(step.choices) == 1:
        yield Problem(step.place, f"{name}: one choice is no choice", "give two or more")
    elif step.choices and all(choice.verdict == "fail" for choice in step.choices):
        yield Problem(step.place, f"{name}: every choice fails, so the step can never pass", "let one of them pass")
    if step.time is not None and step.time.value <= 0:
        yield Problem(step.place, f"{name}: a wait of no time", "give its length, such as 60 s")
    if step.tries and act != "measure":
        yield Problem(step.place, f"{name}: `tries:` belongs to a measure step, and this is a {act} step")
    if step.tries < 0:
        yield Problem(step.place, f"{name}: fewer tries than none", "leave `tries:` out for no limit")
    if step.twice and act != "measure":
        yield Problem(step.place, f"{name}: `twice:` belongs to a measure step, and this is a {act} step")
    if step.trace and act not in ("do", "observe"):
        yield Problem(step.place, f"{name}: `trace:` belongs to a do or observe step, and this is a {act} step")
    yield from _traced(step, name)
    yield from _about(step, name)
    if step.applies is not None and step.applies.serials:
        yield from _serials(step.applies, name)
    if step.reading is not None:
        yield from _reading(step)


def _traced(step: Step, name: str) -> Iterator[Problem]:
    """`part:` and `fits:` say of which parts a lot or serial number is asked, and `note:` what is written in words."""
    if step.note and step.act not in ("do", "observe"):
        yield Problem(step.place, f"{name}: `note:` belongs to a do or observe step, and this is a {step.act} step")
    if step.note and step.trace:
        yield Problem(
            step.place, f"{name}: `note:` and `trace:` both ask for something", "take one to a step of its own"
        )
    if step.part and step.trace not in ("lot", "serial"):
        yield Problem(step.place, f"{name}: `part:` belongs to a step with `trace: lot` or `serial`")
    if not step.fits:
        return
    if step.trace not in ("lot", "serial"):
        yield Problem(step.place, f"{name}: `fits:` belongs to a step with `trace: lot` or `serial`")
    elif not step.part:
        yield Problem(step.place, f"{name}: `fits:` needs `part:`", "say what the part is called, such as fader")
    elif step.for_:
        yield Problem(step.place, f"{name}: `fits:` and `for:` both say where the part goes", "take one of them out")
    elif step.trace == "serial" and step.fits.startswith("each "):
        hint = "ask for it at each of them by `for:`, or ask for the lot"
        yield Problem(step.place, f"{name}: one serial number is on one part, and `fits:` names several", hint)


def _about(step: Step, name: str) -> Iterator[Problem]:
    """`about:` stands at a test that repeats over nothing, or at a do step."""
    if not step.about:
        return
    if step.act == "do":
        if step.for_ and step.about not in ("papers", "nothing"):
            yield Problem(
                step.place,
                f"{name}: `about: {step.about}` at a step that repeats over something",
                "take the line out: it works on what it repeats over; only papers and nothing say otherwise",
            )
    elif step.about == "nothing":
        yield Problem(step.place, f"{name}: a test is about something, and `about: nothing` belongs to a do step")
    elif step.act not in ("observe", "measure", "choose", "sign") or step.for_:
        yield Problem(
            step.place,
            f"{name}: `about:` belongs to a test that repeats over nothing, or to a do step",
            "take the line out: what the step repeats over, or its act, tells what it is about",
        )


def _serials(applies: Applies, name: str) -> Iterator[Problem]:
    match = re.fullmatch(r"(\d+) to (\d+)", applies.serials)
    if match is None:
        yield Problem(applies.place, f"{name}: {applies.serials!r} is not a range of unit numbers", "write: 4 to 9")
    elif int(match[1]) > int(match[2]):
        yield Problem(applies.place, f"{name}: the range {applies.serials!r} ends before it begins")


def _reading(step: Step) -> Iterator[Problem]:
    reading = step.reading
    assert reading is not None
    name = f"step {step.id!r}"
    if bool(reading.point) == bool(reading.quantity):
        yield Problem(reading.place, f"{name}: a reading has either a `point:` or a `quantity:` with limits")
        return
    if not reading.quantity:
        return
    if reading.quantity not in KINDS:
        yield Problem(
            reading.place, f"{name}: there is no quantity {reading.quantity!r}", did_you_mean(reading.quantity, KINDS)
        )
        return
    for key in ("what", "source"):
        if not getattr(reading, key):
            yield Problem(reading.place, f"{name}: limits given here need `{key}:`")
    if not (reading.low or reading.high):
        yield Problem(reading.place, f"{name}: a quantity needs `low:`, `high:` or both")
    values = []
    for key in ("low", "high"):
        if text := getattr(reading, key):
            try:
                values.append(parse(text, reading.quantity).value)
            except UnitError as error:
                yield Problem(reading.place, f"{name}: {key}: {error.message}", error.hint)
    if len(values) == 2 and values[0] > values[1]:
        yield Problem(reading.place, f"{name}: the low limit is above the high one")
    if step.twice:
        try:
            apart(step.twice, reading.quantity)
        except UnitError as error:
            yield Problem(step.place, f"{name}: twice: {error.message}", error.hint)


def apart(text: str, quantity: str) -> float:
    """The most that two readings may differ by, as `Step.twice` gives it.

    Args:
        text: A share such as "2 %", or an amount with its unit.
        quantity: Kind of quantity that is read.

    Returns:
        The share as a number from 0 to 1, or the amount in the SI unit of the quantity.

    Raises:
        UnitError: It is neither, or not above nought.
    """
    share = text.rstrip().endswith("%")
    value = parse(text, "ratio" if share else quantity).value
    if value <= 0 or (share and value >= 1):
        raise UnitError(f"{text!r} is no difference that two readings may have", hint="write: 2 %, or an amount")
    return value


def _circle(start: str, goal: str, procedures: Mapping[str, Procedure]) -> list[str]:
    """The chain of calls from `start` back to `goal`; empty when there is none."""
    stack = [[start]]
    seen: set[str] = set()
    while stack:
        path = stack.pop()
        if path[-1] == goal:
            return path
        if path[-1] in seen or path[-1] not in procedures:
            continue
        seen.add(path[-1])
        stack.extend([*path, step.call] for step in procedures[path[-1]].steps if step.call)
    return []
