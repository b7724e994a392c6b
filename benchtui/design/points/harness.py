"""Test points of the harness that no circuit gives: what a crimp holds."""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchtui.calc.tables.crimps import least_pull, pull_source
from benchtui.design.points.spec import Spec
from benchtui.errors import DesignError

if TYPE_CHECKING:
    from benchtui.design.model import Design


def crimp_pull(design: Design, id: str) -> Spec:
    """Force that a sample crimp on a kind of wire has to hold before it gives."""
    conductor = design.part(id).conductor
    if conductor is None:
        raise DesignError(f"{id} is no wire")
    return Spec(
        where="spring scale on the wire, contact held in the vice; pull along the wire, slowly",
        formula=f"least pull-out force of a crimp on {conductor.gauge.text or conductor.gauge}",
        metered=False,
        sides="least",
        least=least_pull(conductor.gauge.value),
        reason=pull_source(conductor.gauge.value),
    )
