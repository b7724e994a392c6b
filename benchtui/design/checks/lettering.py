"""Legends: one for each control alone, and none with a slot through it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchtui.design.checks.figures import mm
from benchtui.design.checks.finding import Finding
from benchtui.design.legends import SOURCE, legends

if TYPE_CHECKING:
    from collections.abc import Iterator

    from benchtui.design.model import Control, Design


def findings(design: Design) -> Iterator[Finding]:
    """What is wrong with legends."""
    seen: dict[tuple[str, bool], Control] = {}
    for control in design.controls:
        # A lamp may bear the legend of the control it belongs to.
        key = (" ".join(control.legend.lower().split()), control.kind == "lamp")
        if key in seen:
            yield Finding(
                check="legend-twice",
                level="warning",
                place=control.place,
                message=f'controls {seen[key].id} and {control.id} both bear the legend "{control.legend}"',
                hint="give each a legend of its own, for steps and test sheets name controls by it",
                source="common practice",
            )
        elif key[0]:
            seen[key] = control
    height = mm(design.panel.legend_height.value * 1000)
    wide, high = design.panel.width.value * 1000, design.panel.height.value * 1000
    for legend in legends(design):
        control = design.control(legend.control)
        on_it = 0 <= control.x_mm <= wide and 0 <= control.y_mm <= high  # else its control is what has to be moved
        if legend.across and on_it:
            yield Finding(
                check="legend-covered",
                level="warning",
                place=control.place,
                message=f'the legend "{control.legend}" of {control.id} lies across {legend.across}, and there is no '
                "room for it above or beside",
                hint="shorten it, move the control, or give the panel a smaller `legend-height:`",
                source=f"capitals {height} high; {SOURCE}",
            )
