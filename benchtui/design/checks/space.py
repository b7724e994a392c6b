"""Room on the panel and behind it: fingers, bodies, edges, and the webs between cuts."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations
from math import hypot
from typing import TYPE_CHECKING

from benchtui.design.checks.figures import mm
from benchtui.design.checks.finding import Finding
from benchtui.design.cuts import Cut, cuts, turned

if TYPE_CHECKING:
    from collections.abc import Iterator

    from benchtui.design.model import Control, Design

_NUREG = "NUREG-0700, minimum between edges"
_MIL = "MIL-STD-1472, figure of edge distances (from memory)"
_MIL_E = "MIL-STD-1472E table VII"
FINGERS: dict[frozenset[str], tuple[float, str]] = {
    frozenset({"button"}): (13.0, _NUREG),
    frozenset({"toggle"}): (19.0, _NUREG),
    frozenset({"toggle", "button"}): (13.0, _MIL_E),
    frozenset({"toggle", "knob"}): (19.0, _MIL_E),
    frozenset({"button", "knob"}): (13.0, _MIL_E),
    frozenset({"knob"}): (25.0, _MIL),
    frozenset({"slide"}): (13.0, _NUREG),
}
"""Kinds side by side to the least distance between their edges in mm; for one bare hand."""
_TOUCH = {"button-direct": "button", "button-matrix": "button", "toggle": "toggle", "pot": "knob", "encoder": "knob",
          "fader": "slide"}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle in mm, by its middle."""

    x: float
    y: float
    width: float
    height: float

    def gap(self, other: Box) -> float:
        """Distance between edges; below 0 when they overlap."""
        across = abs(self.x - other.x) - (self.width + other.width) / 2
        down = abs(self.y - other.y) - (self.height + other.height) / 2
        if across > 0 and down > 0:
            return hypot(across, down)
        return max(across, down)


def findings(design: Design) -> Iterator[Finding]:
    """What is wrong with room."""
    yield from _fingers(design)
    yield from _bodies(design)
    yield from _cuts(design)


def front(design: Design, control: Control) -> Box | None:
    """What a finger meets: the part, or the knob fitted to it; a slide over its whole travel."""
    sizes = [
        (mount.front_width.value * 1000, mount.front_height.value * 1000)
        for part in (control.part, *(design.part(id) for id in control.fitted))
        if (mount := part.mount) is not None and mount.front_width is not None and mount.front_height is not None
    ]
    if not sizes:
        return None
    width, height = max(sizes)
    mount = control.part.mount
    if control.kind == "fader" and mount is not None and mount.slot_height is not None:
        height += mount.slot_height.value * 1000
    if control.turn in (90, 270):
        width, height = height, width
    return Box(control.x_mm, control.y_mm, width, height)


def _fingers(design: Design) -> Iterator[Finding]:
    fronts = [(control, box) for control in design.controls if (box := front(design, control)) is not None]
    met = {control.id for control, _ in fronts}
    for part in {each.part.id: each for each in reversed(design.controls) if each.id not in met}.values():
        if part.kind in _TOUCH:
            yield Finding(
                check="front-unknown",
                level="note",
                place=part.part.place,
                message=f"part {part.part.id} ({part.id}): how large it is on the front is not known, so nobody checks "
                "whether a finger fits beside it",
                hint="give `front-width:` and `front-height:` of the part, or fit a knob or cap that has them",
                source="common practice",
            )
    for (one, box), (other, far) in combinations(fronts, 2):
        gap = box.gap(far)
        if gap < -1e-6:
            yield Finding(
                check="fronts-overlap",
                place=other.place,
                message=f"controls {one.id} and {other.id} overlap on the front by {mm(-gap)}",
                hint="move one of them",
                source="two things need two places",
            )
            continue
        least = FINGERS.get(frozenset({_TOUCH.get(one.kind, ""), _TOUCH.get(other.kind, "")}))
        if least is not None and gap < least[0] - 1e-6:
            yield Finding(
                check="finger-spacing",
                level="warning",
                place=other.place,
                message=f"controls {one.id} and {other.id} are {mm(gap)} apart, and {mm(least[0])} is advised for a "
                "finger",
                hint="try it on the paper mock-up with eyes shut; builders go below this on purpose",
                source=least[1],
            )


def body(control: Control) -> Box | None:
    """The body behind the panel."""
    mount = control.part.mount
    if mount is None or mount.body_width is None or mount.body_height is None:
        return None
    width, height = mount.body_width.value * 1000, mount.body_height.value * 1000
    if control.turn in (90, 270):
        width, height = height, width
    x, y = turned(control, mount.slot_dx.value * 1000, mount.slot_dy.value * 1000)
    return Box(x, y, width, height)


def _bodies(design: Design) -> Iterator[Finding]:
    bodies = [(control, box) for control in design.controls if (box := body(control)) is not None]
    for (one, box), (other, far) in combinations(bodies, 2):
        if (gap := box.gap(far)) < -1e-6:
            yield Finding(
                check="bodies-overlap",
                place=other.place,
                message=f"controls {one.id} and {other.id} overlap behind the panel by {mm(-gap)}",
                hint="move one of them",
                source="sizes of the parts",
            )
    width, height = design.panel.width.value * 1000, design.panel.height.value * 1000
    for control, box in bodies:
        over = -_edge(box, width, height)
        if over > 1e-6:
            yield Finding(
                check="off-panel",
                place=control.place,
                message=f"control {control.id} reaches over the edge of the panel",
                hint=f"move it {mm(over)} inwards, or make the panel larger; it is {mm(width)} by {mm(height)}",
                source="sizes of the parts",
            )


def _cuts(design: Design) -> Iterator[Finding]:
    panel = design.panel
    thick = panel.thickness.value * 1000
    width, height = panel.width.value * 1000, panel.height.value * 1000
    metal = panel.material in ("aluminium", "steel")
    found = cuts(design)
    small: set[str] = set()
    for cut in found:
        edge = _edge(Box(cut.x, cut.y, cut.width, cut.height), width, height)
        if edge < -1e-6:
            yield Finding(
                check="cut-off-panel",
                place=cut.place,
                message=f"the {cut.what} runs over the edge of the panel",
                hint=f"move it {mm(1.5 * thick - edge)} inwards, or make the panel larger",
                source="cutting shops' design rules",
            )
        elif edge < 1.5 * thick - 1e-6:
            yield Finding(
                check="hole-edge",
                place=cut.place,
                message=f"the {cut.what} is {mm(edge)} from the edge of the panel, and {mm(1.5 * thick)} is the least",
                hint=f"move it {mm(1.5 * thick - edge)} inwards; the least is 1.5 times the thickness of the sheet",
                source="cutting shops' design rules",
            )
        least = (0.7 if metal else 1.5) * thick
        if min(cut.width, cut.height) < least - 1e-6 and cut.round and cut.part not in small:
            small.add(cut.part)
            yield Finding(
                check="hole-small",
                place=cut.place,
                message=f"the {cut.what} is {mm(cut.width)} wide, and {mm(least)} is the least in this sheet",
                hint="drill it by hand, or choose a larger hole",
                source="cutting shops' design rules",
            )
    merged: set[str] = set()
    for one, other in combinations(found, 2):
        if one.owner == other.owner:  # the part's own sheet puts them so near, but never into each other
            if _web(one, other) < 1e-6 and other.part not in merged:
                merged.add(other.part)
                yield Finding(
                    check="cuts-merge",
                    place=other.place,
                    message=f"the {other.what} reaches {mm(abs(_web(one, other)))} into the {one.what}",
                    hint=f"put the holes of part {other.part} right from its sheet: `holes:` are measured from its "
                    "middle",
                    source="two holes that touch are one",
                )
            continue
        web = _web(one, other)
        if web < thick - 1e-6:
            yield Finding(
                check="web",
                place=other.place,
                message=f"{mm(max(web, 0.0))} of sheet is left between the {one.what} and the {other.what}, and "
                f"{mm(thick)} is the least",
                hint=f"move one of them {mm(thick - web)} away; as much is left as the sheet is thick",
                source="cutting shops' design rules",
            )


def _edge(box: Box, width: float, height: float) -> float:
    """mm from a box to the nearest edge of the panel; below 0 where it runs over."""
    across = min(box.x, width - box.x) - box.width / 2
    return min(across, min(box.y, height - box.y) - box.height / 2)


def _web(one: Cut, other: Cut) -> float:
    if one.round and other.round:
        return hypot(one.x - other.x, one.y - other.y) - (one.width + other.width) / 2
    return Box(one.x, one.y, one.width, one.height).gap(Box(other.x, other.y, other.width, other.height))
