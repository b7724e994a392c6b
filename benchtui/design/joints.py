"""Joints by the name a builder gives them, such as "F3 lug 2", and how often their part may be soldered."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from benchtui.design.model import Design
    from benchtui.design.parts import Soldering


def soldering_of(design: Design | None, joint: str) -> Soldering | None:
    """What the part of a joint stands when it is soldered.

    Args:
        design: The design; None where a job is about none.
        joint: Name of the joint; its first word names the control.

    Returns:
        The figures of the part's sheet, or None where the control or its figures are not known.
    """
    name = joint.split()[0].upper() if joint.split() else ""
    if design is None or not name:
        return None
    part = next((control.part for control in design.controls if control.id.upper() == name), None)
    return part.solder if part is not None else None
