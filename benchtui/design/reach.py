"""What hangs together: what the circuit of a control runs through, and what hangs on a connector, bus or chip.

A test of a control is a test of its wires, of its connector, of the multiplexer and of the common feeds too. So work on
one of those touches everything that runs through it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from benchtui.design.groups import owner_of

if TYPE_CHECKING:
    from collections.abc import Iterable

    from benchtui.content.procedure import Extent
    from benchtui.design.model import Design

ALL: Final = ("all",)
"""Everything is touched, or what is cannot be told."""

NONE: Final = ("none",)
"""Nothing of the unit is touched, but something outside it, such as a lead."""


def neighbours(design: Design, id: str) -> tuple[str, ...]:
    """A subject and what it runs through or bears, the subject first.

    Args:
        design: The design.
        id: Control, bank, connector, bus, multiplexer, or a group of wires; any other id stands alone.
    """
    kin = {id}
    for control in design.controls:
        runs = {control.bank, control.connector, control.multiplexer, *_buses(design, control.bank)} - {""}
        if control.id == id:
            kin |= runs
        elif id in runs:
            kin.add(control.id)
            # A bank is tested through all its plugs, chips and feeds; what else hangs on a plug is not its business.
            kin |= runs if id == control.bank else set()
    if any(each.id == id for each in design.connectors):
        kin.update(found.id for found in design.subjects(f"each control on {id}"))
    if owner := owner_of(design, id):
        from benchtui.design.wiring import wires

        kin |= {owner, *(run.control for run in wires(design, id) if run.control)}
    return (id, *sorted(kin - {id}))


def reached(design: Design | None, extents: Iterable[Extent], subject: str) -> tuple[str, ...]:
    """Ids of what some work touches: `ALL` for everything, or where it cannot be told; `NONE` for nothing of the unit.

    Args:
        design: The design of the unit; None where it is not known.
        extents: What is touched, in words.
        subject: The control or bank that the work is about; empty where it is about none.
    """
    found: set[str] = set()
    for extent in extents:
        if extent == "nothing":
            continue
        if extent == "unit" or design is None or not subject:
            return ALL
        here = {subject} if extent == "control" else _of_kind(design, extent) & set(neighbours(design, subject))
        if not here:
            return ALL
        found |= here if extent == "control" else {id for each in here for id in (each, *_bears(design, each))}
    return tuple(sorted(found)) or NONE


def _of_kind(design: Design, extent: Extent) -> set[str]:
    return {
        "bank": {each.id for each in design.banks},
        "connector": {each.id for each in design.connectors},
        "bus": {each.id for each in design.buses},
        "multiplexer": {each.id for each in design.multiplexers},
    }[extent]


def _bears(design: Design, id: str) -> set[str]:
    """The controls that run through a bank, connector, bus or multiplexer."""
    return set(neighbours(design, id)) & {control.id for control in design.controls}


def _buses(design: Design, bank: str) -> set[str]:
    return {bus for each in design.banks if each.id == bank for bus in (each.ground, each.supply) if bus}
