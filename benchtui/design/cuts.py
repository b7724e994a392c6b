"""Every cut of the panel: holes and slots of the controls, and the panel's own holes, in mm from its upper left."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from benchtui.design.model import Control, Design
    from benchtui.errors import Place


@dataclass(frozen=True, slots=True, kw_only=True)
class Cut:
    """One cut.

    Attributes:
        owner: Control or panel hole it belongs to.
        part: Part whose sheet asks for it; the hole's own id for a panel hole.
        what: In words: "hole of K1".
        x: Of its middle.
        y: Of its middle, downwards.
        width: Across; the diameter of a round one.
        height: Down.
        round: A round hole; else a slot or window.
        place: In the design file.
    """

    owner: str
    part: str
    what: str
    x: float
    y: float
    width: float
    height: float
    round: bool
    place: Place


def cuts(design: Design) -> tuple[Cut, ...]:
    """Every cut, in the order of the controls, then the panel's own holes."""
    found = [cut for control in design.controls for cut in _of_control(control)]
    for hole in design.panel.holes:
        size = hole.diameter.value * 1000
        found.append(
            Cut(
                owner=hole.id,
                part=hole.id,
                what=f"hole {hole.id}",
                x=hole.x.value * 1000,
                y=hole.y.value * 1000,
                width=size,
                height=size,
                round=True,
                place=design.panel.place,
            )
        )
    return tuple(found)


def _of_control(control: Control) -> list[Cut]:
    mount, id = control.part.mount, control.id
    if mount is None:
        return []
    found = []
    if mount.hole is not None:
        size = mount.hole.value * 1000
        found.append(_cut(control, f"hole of {id}", 0.0, 0.0, size, size, is_round=True))
    elif mount.slot_width is not None and mount.slot_height is not None:
        width, height = mount.slot_width.value * 1000, mount.slot_height.value * 1000
        dx, dy = mount.slot_dx.value * 1000, mount.slot_dy.value * 1000
        found.append(_cut(control, f"slot of {id}", dx, dy, width, height, is_round=False))
    for hole in mount.holes:
        size = hole.diameter.value * 1000
        what = f"{hole.what or 'further'} hole of {id}"
        found.append(_cut(control, what, hole.dx.value * 1000, hole.dy.value * 1000, size, size, is_round=True))
    return found


def turned(control: Control, dx: float, dy: float) -> tuple[float, float]:
    """A spot of a part on the panel in mm, turned clockwise as the control is, from its offset to the part's middle."""
    angle = math.radians(control.turn)
    x, y = dx * math.cos(angle) - dy * math.sin(angle), dx * math.sin(angle) + dy * math.cos(angle)
    return round(control.x_mm + x, 6), round(control.y_mm + y, 6)


def _cut(control: Control, what: str, dx: float, dy: float, width: float, height: float, *, is_round: bool) -> Cut:
    """A cut at an offset from the control's middle, turned as the control is."""
    x, y = turned(control, dx, dy)
    if control.turn in (90, 270):
        width, height = height, width
    return Cut(
        owner=control.id,
        part=control.part.id,
        what=what,
        x=x,
        y=y,
        width=width,
        height=height,
        round=is_round,
        place=control.place,
    )
