"""Single sheets: a procedure with what it calls, a checklist, the wiring list."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from benchtui.design.bill import length_text
from benchtui.design.reels import reels
from benchtui.design.wiring import bond_wire, through_note, wires
from benchtui.paper.document import TICK, Blanks, Document, Heading, Paragraph, Table
from benchtui.paper.steps import NOTHING, plan_blocks
from benchtui.paper.tested import passages

if TYPE_CHECKING:
    from collections.abc import Iterator

    from benchtui.design.model import Design
    from benchtui.design.wiring import WireRun
    from benchtui.jobs.plan import Plan
    from benchtui.paper.document import Block
    from benchtui.paper.source import Source

LOCAL_CODE: Final = (
    "Local codes and the rules of the house come before this page. Mains: use an enclosed, approved supply, unplug it "
    "before you touch anything, and never open it. If it must be opened, stop and hand it to a licensed person."
)


def procedure_sheet(source: Source, id: str) -> Document:
    """A procedure, and behind it every procedure it calls."""
    plans = list(source.with_called([id]))
    calls = called_from(source, id)
    blocks: list[Block] = [Paragraph(LOCAL_CODE)]
    blocks += plan_blocks(plans[0], titles=source.titles, alone=True, ahead=True)
    for called in plans[1:]:
        blocks += plan_blocks(called, titles=source.titles, new_page=True, called=calls.get(called.id, ()), ahead=True)
    return Document(plans[0].title, subtitle(plans[0]), tuple(blocks))


def called_from(source: Source, id: str) -> dict[str, tuple[str, ...]]:
    """Id of each procedure that one calls, by itself or through others, to where: once for each time."""
    found: dict[str, tuple[str, ...]] = {}
    for passage in passages(source, id):
        if passage.called:
            found[passage.plan.id] = (*found.get(passage.plan.id, ()), passage.called)
    return found


def checklist_sheet(source: Source, id: str) -> Document:
    """A checklist on a sheet of its own."""
    plan = source.checklist(id)
    blocks: list[Block] = [Blanks((("Unit", ""), ("Date", ""), ("Done by", "")))]
    blocks += plan_blocks(plan, titles=source.titles, alone=True)
    blocks.append(Paragraph("The list is done when every box has its tick."))
    return Document(plan.title, subtitle(plan), tuple(blocks))


def wiring_sheet(source: Source) -> Document:
    """The wiring list in building order, by control, by connector, and by the reel each wire is cut from."""
    blocks: list[Block] = [Paragraph("Front view mirrored is rear view: find the lug by its number, not by its side.")]
    blocks += wiring_blocks(source, level=2)
    return Document("Wiring list", f"{source.design.title}, revision {source.design.revision}", tuple(blocks))


def wiring_blocks(source: Source, *, level: int) -> Iterator[Block]:
    """Wires in building order, then by control, each connector pin by pin, and by gauge and colour."""
    bond = bond_wire(source.design)
    runs = (*wires(source.design), bond) if bond is not None else wires(source.design)
    yield Heading("In building order", level)
    rows = [
        (TICK, run.id, run.colour, run.gauge, f"{run.length * 1000:.0f}", run.start, run.end, run.through or NOTHING)
        for run in runs
    ]
    yield Table(
        ("", "Wire", "Colour", "Gauge", "mm", "From", "To", "With"), tuple(rows), (4, 16, 13, 11, 8, 19, 19, 10)
    )
    yield Paragraph("mm is the length to cut, slack included. With names the part that lies in the wire at the lug.")
    turned = through_note(source.design, runs)
    if turned:
        yield Paragraph(turned)
    yield from _by_control(source.design, runs, level)
    for connector in source.design.connectors:
        here = sorted((run for run in runs if run.connector == connector.id), key=lambda run: _natural(run.pin))
        yield Heading(f"Connector {connector.id}{f', {connector.title}' if connector.title else ''}", level)
        yield Table(
            ("", "Pin", "Colour", "Wire", "Goes to"), tuple((TICK, *_end(run)) for run in here), (4, 8, 18, 30, 40)
        )
    yield from _by_reel(source.design, level)


def _by_control(design: Design, runs: tuple[WireRun, ...], level: int) -> Iterator[Block]:
    """The wires of each control, and those that no control owns."""
    yield Heading("By control", level)
    yield Paragraph("A wire stands at the control where it is soldered last.")
    rows = [
        (TICK, f"{control.id}, {control.legend}", run.lug, run.lug_name, f"{run.colour}, {run.gauge}", run.end, run.id)
        for control in design.controls
        for run in runs
        if run.control == control.id
    ]
    rows += [
        (
            TICK,
            "feeds" if run.bus else "bonding",
            NOTHING,
            run.start,
            f"{run.colour}, {run.gauge}",
            run.end,
            run.id,
        )
        for run in runs
        if not run.control
    ]
    head = ("", "Control", "Lug", "Which", "Wire", "Goes to", "Name")
    yield Table(head, tuple(rows), (4, 20, 6, 17, 16, 20, 17))


def _by_reel(design: Design, level: int) -> Iterator[Block]:
    """What is cut from each reel."""
    yield Heading("By gauge and colour, to cut from the reels", level)
    rows = [
        (
            TICK,
            f"{reel.gauge} {reel.colour}",
            str(len(reel.runs)),
            length_text(reel.length),
            ", ".join(f"{run.id} {run.length * 1000:.0f}" for run in reel.runs),
        )
        for reel in reels(design)
    ]
    yield Table(("", "Wire", "Pieces", "In all", "Name and mm of each"), tuple(rows), (4, 18, 9, 11, 58))


def subtitle(plan: Plan) -> str:
    """What tells this print from an older one."""
    mark = f", mark {plan.digest[:8]}" if plan.digest else ""
    design = f", for {plan.design_title}, revision {plan.design_revision}" if plan.design_id else ""
    return f"{plan.id}, {plan.edition}{mark}{design}"


def _end(run: WireRun) -> tuple[str, str, str, str]:
    return run.pin, run.colour, run.id, run.start


def _natural(pin: str) -> tuple[int, str]:
    """Pins in the order people count: 2 before 10."""
    return (int(pin), "") if pin.isascii() and pin.isdecimal() else (10**6, pin)
