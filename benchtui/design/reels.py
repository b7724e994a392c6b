"""The wires of a harness by the reel they are cut from: one gauge, one colour."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from benchtui.design.wiring import bond_wire

if TYPE_CHECKING:
    from benchtui.design.model import Design
    from benchtui.design.wiring import WireRun


@dataclass(frozen=True, slots=True, kw_only=True)
class Reel:
    """Wires of one part and one colour.

    Attributes:
        part: Id of the wire's part.
        gauge: As the part's sheet writes it.
        colour: Of the insulation.
        runs: The wires, the longest first: what is left of a reel then still makes a short one.
        length: All of them together in m, slack included, nothing lost.
    """

    part: str
    gauge: str
    colour: str
    runs: tuple[WireRun, ...]
    length: float


def reels(design: Design) -> tuple[Reel, ...]:
    """Every reel that is needed, in the order of the parts and then of the building."""
    found: dict[tuple[str, str], list[WireRun]] = {}
    bond = bond_wire(design)
    for run in (*design.harness, bond) if bond is not None else design.harness:
        found.setdefault((run.part, run.colour), []).append(run)
    order = list(design.parts)
    return tuple(
        Reel(
            part=part,
            gauge=runs[0].gauge,
            colour=colour,
            runs=tuple(sorted(runs, key=lambda run: -run.length)),
            length=round(sum(run.length for run in runs), 6),
        )
        for (part, colour), runs in sorted(found.items(), key=lambda item: order.index(item[0][0]))
    )
