"""One test point on one subject: the reading, where the probes go, and what limits are made of it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from benchtui.errors import AbsentError

if TYPE_CHECKING:
    from benchtui.design.circuit.window import Reading
    from benchtui.design.model import Control, Design
    from benchtui.design.points.places import Place
    from benchtui.design.wiring import WireRun


@dataclass(frozen=True, slots=True, kw_only=True)
class Spec:
    """How a test point is worked out.

    Attributes:
        where: Where both probes go.
        formula: What the reading is made of, in words.
        probes: Pairs of places that are read between, red first; what `where` says is made of their words. Empty where
            no probe goes to a node: a current, a value on the monitor, limits given outright.
        reading: What the circuit gives; None where limits are given outright.
        sides: Which sides of the window are limits.
        metered: Whether a meter's error is added.
        kept: The limits are kept as practice or a sheet states them: what the meter may be off makes a band inside
            them, where a reading is near the limit, and widens nothing.
        least: Low limit given outright, or widened to.
        most: High limit given outright, or widened to.
        cap: The high end of the window is taken as no more than this, before the meter's error is added.
        nominal: Given outright, where there is no reading.
        reason: Where `least` and `most` are from.
        sources: Where the figures are from, beyond those of the quantities.
    """

    where: str
    formula: str
    probes: tuple[tuple[Place, Place], ...] = ()
    reading: Reading | None = None
    sides: Literal["both", "most", "least"] = "both"
    metered: bool = True
    kept: bool = False
    least: float | None = None
    most: float | None = None
    cap: float | None = None
    nominal: float | None = None
    reason: str = ""
    sources: tuple[str, ...] = ()


def wire_of(design: Design, control: Control, role: str) -> WireRun:
    """The wire at a lug.

    Raises:
        AbsentError: There is none.
    """
    from benchtui.design.wiring import wires

    for run in wires(design, control.id):
        if run.role == role:
            return run
    raise AbsentError(f"{control.id} has no wire at its lug for {role}")


def unplugged(design: Design, bank: str) -> str:
    """The connectors to unplug before ohms of a bank: its own, and those of the banks it shares a bus with."""
    from benchtui.design.buses import joined

    ids = {design.bank(id).connector for id in joined(design, bank)}
    return f"{' and '.join(each.id for each in design.connectors if each.id in ids)} unplugged"
