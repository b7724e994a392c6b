"""A plan as blocks for paper: the page before, every step with its cautions in front, the lines at the end.

A step done on many controls in a row becomes one table, so that twelve faders do not fill six pages.
"""

from __future__ import annotations

from itertools import groupby
from typing import TYPE_CHECKING, Final

from benchtui.content.cautions import RANK
from benchtui.design.groups import spans
from benchtui.design.model import kind_words
from benchtui.jobs.look_through import look_through_lines
from benchtui.paper.document import (
    DITTO,
    TICK,
    Blanks,
    Heading,
    Lines,
    Paragraph,
    RepeatBlock,
    StepBlock,
    Table,
    Warn,
)

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping, Sequence

    from benchtui.jobs.plan import Caution, Limits, Plan, PlanStep, Wire
    from benchtui.paper.document import Block

HEADINGS: Final = (("tools", "Tools"), ("parts", "Parts"), ("materials", "Materials"))

NOTHING: Final = "–"
"""Fills a cell that is not to be written in."""

TRACED: Final = {
    "lot": "lot of the {part}",
    "serial": "serial number of the {part}",
    "firmware": "version of the firmware",
    "text": "{part}",
}
"""What a step asks to be written down: of what goes in, or in words."""

VERDICTS: Final = f"{TICK} pass  {TICK} near  {TICK} fail"


def plan_blocks(
    plan: Plan,
    *,
    titles: Mapping[str, str],
    level: int = 2,
    new_page: bool = False,
    alone: bool = False,
    called: Sequence[str] = (),
    ahead: bool = False,
) -> Iterator[Block]:
    """A whole plan.

    Args:
        plan: What is to be done.
        titles: Title of every procedure by id, for the steps that call one.
        level: Level of its heading.
        new_page: Whether it begins on a new page.
        alone: Whether its title is that of the document already.
        called: Where other procedures of the document call it, once for each time.
        ahead: Whether what comes is listed before the first step: hold points, readings with limits, cautions.
    """
    if not alone:
        yield Heading(plan.title, level, anchor=plan.id, new_page=new_page)
    level = level - 1 if alone else level
    about = [f"R{plan.edition[1:]}", plan.procedure_kind, f"about {_lasting(plan.minutes * 60)} (estimate)"]
    yield Paragraph(", ".join(part for part in about if part) + ".")
    if plan.purpose:
        yield Paragraph(plan.purpose)
    yield from _called(called)
    if plan.subject:
        yield Paragraph(f"Laid out for {plan.subject}. Another control has its own wires and limits.")
    if plan.kind == "procedure":
        yield from _before(plan, level + 1)
        yield from _ahead(plan, titles, level + 1) if ahead else ()
    yield from step_blocks(plan, titles=titles, level=level + 1)
    if plan.kind == "procedure":
        yield from _ticks("At the end", plan.after, level + 1, closing=True)


def step_blocks(plan: Plan, *, titles: Mapping[str, str], level: int) -> Iterator[Block]:
    """The steps of a plan under the headings of its sections."""
    for section, steps in groupby(plan.steps, key=lambda step: step.section):
        if section:
            yield Heading(section, level)
        shown: set[str] = set()
        for _, repeats in groupby(steps, key=lambda step: (step.step_id, step.act, step.detail, step.accept)):
            same = list(repeats)
            if len(same) > 1 and _fits_a_table(same):
                yield _repeat(plan, same, shown)
            else:
                yield from (_step(plan, step, shown, titles) for step in same)


def warnings(cautions: Iterable[Caution], shown: set[str]) -> tuple[Warn, ...]:
    """Cautions as they stand before a step, worst first; one that was in full in this section comes as a line."""
    found = []
    for caution in sorted(cautions, key=lambda caution: RANK.index(caution.signal)):
        found.append(
            Warn(
                id=caution.id,
                signal=caution.signal,
                hazard=caution.hazard,
                avoid=caution.avoid,
                consequence=caution.consequence,
                first_aid=caution.first_aid,
                again=caution.id in shown,
            )
        )
        shown.add(caution.id)
    return tuple(found)


def _called(called: Sequence[str]) -> Iterator[Block]:
    """Where a procedure is called from; with a box for each time where it is gone through more than once."""
    if len(called) == 1:
        yield Paragraph(f"Called by {called[0]}.")
    elif called:
        yield Paragraph(
            f"Gone through {len(called)} times. Tick each time here, and write its readings on the test sheet, which "
            "has room for every time; or print a copy for each.",
            with_next=True,
        )
        yield Lines(tuple(f"for {where}" for where in called), ticks=True)


def _before(plan: Plan, level: int) -> Iterator[Block]:
    yield Heading("Before you begin", level)
    yield Blanks((("Unit", ""), ("Date", ""), ("Done by", "")))
    yield from _ticks("Conditions", plan.before.conditions, level + 1)
    for key, title in HEADINGS:
        yield from _ticks(title, getattr(plan.before, key), level + 1)


def _ahead(plan: Plan, titles: Mapping[str, str], level: int) -> Iterator[Block]:
    """What comes, in one list, to be read before the work."""
    listed = look_through_lines(plan, titles)
    if listed:
        yield Heading("What comes", level)
    for heading, lines in listed.items():
        yield Paragraph(f"{heading}:", with_next=True)
        yield Lines(lines)


def _ticks(title: str, lines: tuple[str, ...], level: int, *, closing: bool = False) -> Iterator[Block]:
    """Lines to tick under a heading; "none" beside it where the author said so."""
    if lines:
        yield Heading(title, level, closing=closing)
        yield Lines(lines, ticks=True)
    else:
        yield Paragraph(f"{title}: none")


def _step(plan: Plan, step: PlanStep, shown: set[str], titles: Mapping[str, str]) -> StepBlock:
    text = step.text
    if step.act == "call":
        text = f"Go through “{titles.get(step.call, step.call)}”, then come back to this step. {step.text}"
    if step.response:
        text = f"{step.text}: {step.response}"
    return StepBlock(
        anchor=f"{plan.id}-{step.key}",
        number=step.number,
        text=text,
        cautions=warnings(step.cautions, shown),
        marks=_marks(step),
        detail=(*step.detail, *_where(step.limits)),
        accept=step.accept,
        answers=tuple(_answer(step, number) for number in range(len(step.choices))),
        blanks=_blanks(step),
        wires=wire_table(step.wires) if step.wires else None,
        source=step.source,
    )


def _repeat(plan: Plan, same: Sequence[PlanStep], shown: set[str]) -> RepeatBlock:
    first, last = same[0], same[-1]
    kinds = {kind_words(step.subject.kind) for step in same if step.subject}
    what = kinds.pop() if len(kinds) == 1 else "control"
    what = {"wires": "group of wires", "wire": "kind of wire"}.get(what, what)
    cautions = {caution.id: caution for step in same for caution in step.cautions}
    return RepeatBlock(
        anchor=f"{plan.id}-{first.key}",
        title=f"Steps {first.number} to {last.number}, one line for each {what}",
        cautions=warnings(cautions.values(), shown),
        marks=_marks(first),
        detail=(*first.detail, *_power(same)),
        accept=first.accept,
        table=_grid(same),
        source=first.source,
    )


def _power(same: Sequence[PlanStep]) -> tuple[str, ...]:
    """The state the unit is measured in, where the steps share one."""
    states = {step.limits.power for step in same if step.limits and step.limits.power}
    return (f"Power: {states.pop()}",) if len(states) == 1 else ()


def _fits_a_table(same: Sequence[PlanStep]) -> bool:
    # A reading over a group of wires needs both ends of each, and a table of readings has no room for them.
    over_wires = same[0].limits is not None and any(step.subject and step.subject.kind == "wires" for step in same)
    return not (over_wires or any(step.trace or step.witness for step in same)) and same[0].act not in ("sign", "call")


def _grid(same: Sequence[PlanStep]) -> Table:
    """One row for each control, with the columns its act needs."""
    if same[0].limits is not None:
        rows = tuple(
            (TICK, str(step.number), step.text, step.limits.where, _limits_of(step), "")
            for step in same
            if step.limits is not None
        )
        return Table(("", "No.", "Measure", "Where", "Limits", "Reading"), rows, (4, 6, 29, 31, 16, 14))
    if same[0].choices:
        asked = tuple(
            (TICK, str(step.number), step.text, "  ".join(f"{TICK} {choice.text}" for choice in step.choices))
            for step in same
        )
        return Table(("", "No.", "Ask", "Answer"), asked, (4, 6, 50, 40))
    if any(step.wires for step in same):
        if any(wire.length for step in same for wire in step.wires):
            cut = tuple(row for step in same for row in _wired(step, with_length=True))
            return Table(
                ("", "No.", "Do", "Colour", "Gauge", "Length", "From", "To"), cut, (4, 6, 26, 11, 10, 10, 16, 17)
            )
        wired = tuple(row for step in same for row in _wired(step))
        return Table(("", "No.", "Do", "Colour", "Gauge", "From", "To"), wired, (4, 6, 32, 12, 10, 17, 19))
    return Table(("", "No.", "Do"), tuple((TICK, str(step.number), step.text) for step in same), (4, 6, 90))


def _wired(step: PlanStep, *, with_length: bool = False) -> Iterator[tuple[str, ...]]:
    """A row for each wire of a step, its number and text on the first of them."""
    number, text = str(step.number), step.text
    for wire in step.wires:
        yield (
            TICK,
            number,
            text,
            wire.colour,
            wire.gauge,
            *([wire.length] if with_length else []),
            wire.start,
            wire.end,
        )
        text = DITTO  # the number stays, since the next line may stand on the next page
    if not step.wires:
        yield (TICK, number, text, *[NOTHING] * (5 if with_length else 4))


def _marks(step: PlanStep) -> tuple[str, ...]:
    marks = []
    if step.hold:
        marks.append("hold point")
    if step.witness:
        marks.append("witness point")
    if step.critical:
        marks.append("critical line")
    if step.required:
        marks.append("required test")
    if step.seconds:
        marks.append(f"wait {_lasting(step.seconds)}")
    if step.begins:
        marks.append(f"{step.begins.replace('-', ' ')} from here")
    if step.ends:
        marks.append(f"{step.ends.replace('-', ' ')} ends here")
    if step.no_break:
        marks.append("do not break off here")
    if step.stop:
        marks.append("safe to stop after this")
    return tuple(marks)


def _where(limits: Limits | None) -> tuple[str, ...]:
    if limits is None:
        return ()
    lines = []
    if limits.where:
        lines.append(f"Where: {limits.where}")
    if limits.power:
        lines.append(f"Power: {limits.power}")
    return tuple(lines)


def _answer(step: PlanStep, number: int) -> str:
    choice = step.choices[number]
    return f"{choice.text} (fail: stop, and write the defect down)" if choice.verdict == "fail" else choice.text


def _limits_of(step: PlanStep) -> str:
    """The limits of a reading, and whether it is taken twice, for one column of a table."""
    assert step.limits is not None
    twice = f"; twice, at most {step.twice} apart" if step.twice else ""
    tries = f"; at most {step.tries} tries" if step.tries else ""
    return f"{step.limits.text}{twice}{tries}"


def _blanks(step: PlanStep) -> tuple[tuple[str, str], ...]:
    """What is written down at a step."""
    blanks: list[tuple[str, str]] = []
    if step.limits is not None:
        blanks.append(("Reading", f"Limits: {step.limits.text}"))
        if step.twice:
            blanks.append(("Once more, the first covered", f"At most {step.twice} apart"))
        if step.tries:
            blanks.append(("Tries", f"{step.tries} at most, then write the defect down"))
        blanks.append(("Verdict", VERDICTS))
    if step.act == "wait":
        blanks += [("Began at", ""), ("Ended at", "")]
    if step.act == "sign":
        blanks += [("Name", ""), ("Date", "")]
    if step.trace:
        asked = TRACED[step.trace].format(part=step.part or "part")
        blanks.append((f"{asked[:1].upper()}{asked[1:]}", spans(step.fits)))
    if step.witness:
        blanks.append(("Looked on by", "nobody is an answer"))
    return tuple(blanks)


def wire_table(wires: Iterable[Wire]) -> Table:
    """Wires with a box each, both ends named; with their lengths where they are to be cut."""
    wires = tuple(wires)
    if any(wire.length for wire in wires):
        cut = tuple((TICK, wire.id, wire.colour, wire.gauge, wire.length, wire.start, wire.end) for wire in wires)
        return Table(("", "Wire", "Colour", "Gauge", "Length", "From", "To"), cut, (4, 16, 12, 10, 10, 23, 25))
    rows = tuple((TICK, wire.id, wire.colour, wire.gauge, wire.start, wire.end) for wire in wires)
    return Table(("", "Wire", "Colour", "Gauge", "From", "To"), rows, (4, 18, 13, 11, 26, 28))


def _lasting(seconds: float) -> str:
    if seconds >= 7200:
        return f"{seconds / 3600:.3g} h"
    return f"{seconds / 60:.3g} min" if seconds >= 120 else f"{seconds:g} s"
