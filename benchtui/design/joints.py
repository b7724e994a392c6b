"""Joints by the name a builder gives them, such as "F3 lug 2", and how often their part may be soldered."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from benchtui.design.model import Control, Design
    from benchtui.design.parts import Lug, Soldering


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


def joints_at(design: Design | None, name: str) -> tuple[str, ...]:
    """Every joint at a control or connector by name, such as "F3 lug 1"; nothing where it has none, or is not known."""
    if design is None:
        return ()
    wanted = name.upper()
    lugs = [f"{one.id} lug {lug.lug}" for one in design.controls if one.id.upper() == wanted for lug in _lugs(one)]
    pins = [f"{one.id} pin {pin}" for one in design.connectors if one.id.upper() == wanted for pin in one.pins]
    return (*lugs, *pins)


def unknown_joint(design: Design | None, joint: str) -> str:
    """Why a joint cannot be that of a design, with those it has, as a sentence; empty when it is one of them.

    Args:
        design: The design; None where a job is about none, and then any name will do.
        joint: Name of the joint, such as "F3 lug 2".
    """
    words = joint.split()
    if design is None or not words:
        return ""
    known = joints_at(design, words[0])
    if " ".join(words).casefold() in {one.casefold() for one in known}:
        return ""
    if known:
        return f"there is no joint {joint}: {words[0].upper()} has {', '.join(one.partition(' ')[2] for one in known)}"
    return f"nothing that is soldered is called {words[0]}: type a control and its lug, or a connector and its pin"


def _lugs(control: Control) -> list[Lug]:
    return sorted(control.part.lugs.values(), key=lambda lug: lug.lug)
