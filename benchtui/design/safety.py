"""Hazards that follow from the test point a step reads: power that must be off, and probes inside with the power on."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from benchtui.content.hazards import OHMS, POWER_ON
from benchtui.design.testpoints import POINTS
from benchtui.errors import Problem

if TYPE_CHECKING:
    from collections.abc import Iterator

    from benchtui.content.procedure import Procedure, Step
    from benchtui.design.testpoints import PointKind

OPEN_LID: Final = "power-on-open-lid"
"""Use of probes inside a powered unit."""

_LOOSE: Final = frozenset({"element", "ribbon-element"})
"""Points that are read on a part in the hand or with its supply lead off."""
_NO_METER: Final = frozenset({"length", "force", "temperature"})
"""Kinds of quantity that are read with callipers, a scale or a thermometer."""


def reading_hazards(procedure: Procedure) -> Iterator[Problem]:
    """Readings of a procedure that its power does not allow, or whose caution is not shown."""
    powered = False
    for step in procedure.steps:
        powered = powered or step.begins == POWER_ON
        point = _point(step)
        if point is not None:
            yield from _wrong(procedure, step, point, powered=powered)
        powered = powered and step.ends != POWER_ON


def _wrong(procedure: Procedure, step: Step, point: PointKind, *, powered: bool) -> Iterator[Problem]:
    where = f"step {step.id!r}"
    if point.power == "off" and powered:
        yield Problem(
            step.place,
            f"{where}: {point.name!r} is read with the power off, and the unit is powered here",
            f"end {POWER_ON!r} before it",
        )
    shown = powered or OPEN_LID in step.uses or POWER_ON in step.hazards
    if point.power == "on" and point.kind == "voltage" and not shown:
        yield Problem(
            step.place,
            f"{where}: {point.name!r} is probed with the power on, and no caution is shown",
            f"add {OPEN_LID} to `uses`",
        )
    # While a unit is being built its parts are read loose; afterwards they sit in a circuit that may be powered.
    built = procedure.kind != "assembly" and point.name not in _LOOSE and point.kind not in _NO_METER
    if point.power == "off" and built and OHMS not in step.uses:
        yield Problem(
            step.place,
            f"{where}: {point.name!r} is read on a range with its own current, and no caution is shown",
            f"add {OHMS} to `uses`",
        )


def _point(step: Step) -> PointKind | None:
    """The test point of a step; None where it has none, or names one that does not exist."""
    if step.reading is None:
        return None
    name, position = step.reading.point, step.reading.position
    return POINTS.get(f"{name}-{position}") or POINTS.get(name)
