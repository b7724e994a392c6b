"""When a line about many controls would tell most in a hunt, and an example of one in the design's own names."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from benchtui.design.parts import DIVIDERS
from benchtui.faults.belief import suspects
from benchtui.faults.events import PatternSeen
from benchtui.faults.one_by_one import shorted_diode

if TYPE_CHECKING:
    from collections.abc import Sequence

    from benchtui.design.model import Control, Design
    from benchtui.faults.huntstate import HuntState

CORNERS: Final = "corners"
"""What a test measures of which the one shorted diode follows only where the buttons are named."""

MATRIX: Final = "button-matrix"

LIKELY: Final = 0.2
"""Share of the shorted diodes together from which such a line is asked for. Our own choice."""


def line_to_say(state: HuntState, measures: str = "") -> str:
    """An example of the line that would tell most now; empty where none would, or one was said already.

    Args:
        state: Where the hunt stands.
        measures: What the test in sight measures.
    """
    design = state.design
    if design is None or state.phase != "look" or any(isinstance(event, PatternSeen) for _, event in state.standing):
        return ""
    many = state.target.scope in ("bank", "kind")
    own = [design.control(state.target.control)] if state.target.control else []
    if measures == CORNERS or (own and own[0].kind == MATRIX and (many or _phantom(state, design))):
        return _rectangle(design, own[0]) if own and own[0].kind == MATRIX else ""
    return _stuck(_controls(design, state)) if many else ""


def _phantom(state: HuntState, design: Design) -> bool:
    """Whether a shorted diode is likely: of several buttons held, the corners of a rectangle tell which one."""
    diodes = {shorted_diode(each.id) for each in design.controls if each.kind == MATRIX}
    return sum(each.share for each in suspects(state) if each.fault in diodes) >= LIKELY


def _controls(design: Design, state: HuntState) -> Sequence[Control]:
    """The controls of the bank or kind hunted on."""
    if state.target.scope == "bank":
        return [each for each in design.controls if each.bank == state.target.subject]
    return [each for each in design.controls if each.kind in state.target.kinds]


def _stuck(those: Sequence[Control]) -> str:
    if len(those) < 2:
        return ""
    names = f"{those[0].id} {'and' if len(those) == 2 else 'to'} {those[-1].id}"
    return f"{names} {'stay at 127' if all(each.kind in DIVIDERS for each in those) else 'are dead'}"


def _rectangle(design: Design, own: Control) -> str:
    """Three corners held and the fourth that shows; empty where the matrix has no other row and column."""
    others = [each for each in design.controls if each.kind == MATRIX]
    at = {(each.row, each.column): each.id for each in others}
    for far in others:
        beside, under = at.get((own.row, far.column)), at.get((far.row, own.column))
        if far.row != own.row and far.column != own.column and beside and under:
            return f"{own.id}, {beside} and {under} held, {far.id} shows"
    return ""
