"""Tests and repairs of one place at a time, such as the diodes of a matrix: one for each place that is suspected.

A model writes such a move once, for the control that is hunted on. A phantom press comes through the diode of another
button, so here the move is made anew for each button that has a spot of the circuit in its cures or findings.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final, TypeVar

from benchtui.design.circuit.elements import Open, Short, Worse
from benchtui.faults.model import Repair, Test
from benchtui.faults.target import control_title

if TYPE_CHECKING:
    from collections.abc import Collection, Iterator, Mapping, Sequence

    from benchtui.design.model import Design
    from benchtui.faults.spots import Spot
    from benchtui.faults.target import Target

Move = TypeVar("Move", Test, Repair)

AT: Final = "@"
"""Stands in the id of a move between that of the model and the control it is made on."""


def tests_at(design: Design, target: Target, test: Test, found: Sequence[Spot]) -> Iterator[Test]:
    """A test, and the same on each other control that it could tell something about."""
    others = _others(design, target, [spot for spot in found if spot.class_id in test.finds]) if test.one_by_one else ()
    if target.scope == "control" or not others:
        yield _own(design, target, test) if others else test
    for id in others:
        yield replace(
            test,
            id=f"{test.id}{AT}{id}",
            title=f"{test.title} of {id}",
            do=_named(design, test.do, id),
            detail=tuple(_named(design, line, id) for line in test.detail),
            undo=_named(design, test.undo, id),
            outcomes=tuple(replace(each, text=_named(design, each.text, id)) for each in test.outcomes),
            at=id,
        )


def repairs_at(
    design: Design, target: Target, repair: Repair, found: Sequence[Spot], tests: Mapping[str, Test]
) -> Iterator[Repair]:
    """A repair, and the same on each other control whose fault it cures; each cures what sits at its own place.

    Args:
        design: The design.
        target: What the hunt is about.
        repair: One of the model, its cures by spot.
        found: The spots of this target.
        tests: Tests of this hunt by id: a repair elsewhere is proved where it was made.
    """
    cured = [spot for spot in found if spot.id in repair.cures] if repair.one_by_one else []
    others = _others(design, target, cured)
    if not others:
        yield repair
        return
    place = {spot.id: _place(design, spot) for spot in cured}
    if target.scope == "control":
        left = {id: text for id, text in repair.cures.items() if place.get(id) not in others}
        yield replace(_own(design, target, repair), cures=left)
    for id in others:
        proofs = (f"{each}{AT}{id}" if f"{each}{AT}{id}" in tests else each for each in repair.prove)
        yield replace(
            repair,
            id=f"{repair.id}{AT}{id}",
            title=f"{repair.title} of {id}",
            do=_named(design, repair.do, id),
            detail=tuple(_named(design, line, id) for line in repair.detail),
            cures={fault: text for fault, text in repair.cures.items() if place.get(fault) == id},
            prove=tuple(proofs),
            at=id,
        )


def diodes_that_fit(design: Design, held: Collection[str], shown: str) -> tuple[str, ...]:
    """Buttons whose shorted diode lets a press of one show while others are held, in the order of the design.

    The current goes from the row of the one that shows through a held button of that row into its column, backwards
    through the shorted diode of a second held one, and through a third one into the column that is scanned. So the
    diode is at the corner opposite, of a rectangle whose other three corners are held; worked out.

    Args:
        design: The design.
        held: Buttons that are held.
        shown: The one that reports itself.
    """
    here = design.control(shown)
    if not here.row or shown in held:
        return ()
    at = {(each.row, each.column): each.id for each in (design.control(id) for id in held)}
    corners = [
        id
        for (row, column), id in at.items()
        if row != here.row and column != here.column and {(here.row, column), (row, here.column)} <= set(at)
    ]
    return tuple(each.id for each in design.controls if each.id in corners)


def shorted_diode(button: str) -> str:
    """Id of the fault that the diode of a button is shorted."""
    return f"F34@{button}.diode"


def _others(design: Design, target: Target, found: Sequence[Spot]) -> tuple[str, ...]:
    """Controls that the spots sit in, but the one hunted on, in the order of the design."""
    places = {_place(design, spot) for spot in found}
    own = target.subject if target.scope == "control" else ""
    return tuple(each.id for each in design.controls if each.id in places and each.id != own)


def _place(design: Design, spot: Spot) -> str:
    """The control that a spot sits in; empty where it sits in none."""
    known = {control.id for control in design.controls}
    for change in spot.changes:
        if isinstance(change, Open | Short | Worse) and change.element.partition(".")[0] in known:
            return change.element.partition(".")[0]
    return ""


def _own(design: Design, target: Target, move: Move) -> Move:
    """The move on the control hunted on, told by its title from those on others."""
    return replace(move, title=f"{move.title} of {design.control(target.subject).id}")


def _named(design: Design, text: str, id: str) -> str:
    """A text of the model about the control hunted on, for another one."""
    it = control_title(design.control(id))
    return text.replace("{it}", it).replace("{each}", it)
