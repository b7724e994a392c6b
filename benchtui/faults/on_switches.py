"""What the board reads of contacts under a spot: buttons, toggles and encoders, worked or left alone."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Final

from benchtui.design.circuit.elements import Bridge
from benchtui.faults.on_bench import Answer, Case, of_one
from benchtui.faults.terms import PRESSED

if TYPE_CHECKING:
    from benchtui.design.model import Control

WANDERS: Final = 0.8
"""Share of inputs that nothing holds that do not sit still; our estimate."""

FLICKERS: Final[Mapping[str, float]] = {"double": 0.5, "missing": 0.25, "ten": 0.25}
"""On-messages of ten presses of a switch whose released input nothing holds: it flickers, sits where it was, or comes
back by itself. Our estimate."""

STUMBLES: Final[Mapping[str, float]] = {"still": 0.4, "fewer": 0.4, "back": 0.2}
"""One turn each way of an encoder with a lead that makes and breaks as it is turned. Our own estimate."""


def floats(case: Case, control: Control, role: str = "") -> bool:
    """Whether nothing holds the input of a released switch, so that it reads at random."""
    return case.bench.input_share(case.spot, control, held=False, role=role).floating


def low(case: Case, control: Control, *, held: bool, role: str = "", pressed: Control | None = None) -> bool:
    """Whether the board reads an input as low, with this or another control held."""
    share = case.bench.input_share(case.spot, control, held=held, role=role, pressed=pressed).value
    return share < case.design.board.logic.low.value


def works(case: Case, control: Control, role: str = "") -> bool:
    """Whether a switch, or one contact of an encoder, is surely read as released and as held."""
    return (
        not floats(case, control, role)
        and not low(case, control, held=False, role=role)
        and low(case, control, held=True, role=role)
    )


def presses(case: Case) -> Answer | None:
    """On-messages of ten presses: one each, two for one, or too few."""
    return of_one(case, _presses_of)


def _presses_of(case: Case, control: Control) -> Answer | None:
    role = "push" if control.kind == "encoder" else ""
    if control.kind not in PRESSED and role not in control.pins:
        return None
    if floats(case, control, role):
        return dict(FLICKERS)
    dead = not works(case, control, role)
    if case.spot.loose and dead:
        return {"missing": 0.7, "double": 0.3}  # it makes and breaks as it is pressed; our estimate
    return {"missing": 1.0} if dead else {"ten": 1.0}


def turn(case: Case) -> Answer | None:
    """One turn of an encoder each way."""
    return of_one(case, _turn_of)


def _turn_of(case: Case, control: Control) -> Answer | None:
    if control.kind != "encoder":
        return None
    bridged = bridged_to(case, control)
    if bridged:  # A upon B never counts; with a push switch or a neighbour it may
        return {"still": 1.0} if set(bridged) == {(control.id, "a"), (control.id, "b")} else None
    if floats(case, control, "a") or floats(case, control, "b"):
        return {"back": WANDERS, "right": 1.0 - WANDERS}  # it counts by itself
    if turns(case, control):
        return {"right": 1.0}
    return dict(STUMBLES) if case.spot.loose else {"still": 1.0}


def turns(case: Case, control: Control) -> bool:
    """Whether both contacts of an encoder are surely read, so that it counts; with one of them it only dithers."""
    return all(works(case, control, role) for role in ("a", "b"))


def bridged_to(case: Case, control: Control) -> list[tuple[str, str]]:
    """Control and role of both pins of a bridge at a control's connector; empty without one."""
    pins = {
        f"{each.connector}.{pin}": (each.id, role) for each in case.design.controls for role, pin in each.pins.items()
    }
    for change in case.spot.changes:
        if isinstance(change, Bridge) and change.a in pins and change.b in pins:
            return [pins[change.a], pins[change.b]]
    return []
