"""The harness as it is laid: where its plugs lie, and whether the wires of a plug can be told apart."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from benchtui.design.checks.figures import mm
from benchtui.design.checks.finding import Finding

if TYPE_CHECKING:
    from collections.abc import Iterator

    from benchtui.design.model import Design
    from benchtui.design.wiring import WireRun
    from benchtui.errors import Place

COLOURS: Final = 10
"""Colours that hook-up wire is sold in: those of the resistor code (common practice)."""


def findings(design: Design) -> Iterator[Finding]:
    """What is wrong with places and colours."""
    panel = design.panel
    for connector in design.connectors:
        x, y = connector.x.value, connector.y.value
        if not (0 <= x <= panel.width.value and 0 <= y <= panel.height.value):
            yield Finding(
                check="connector-off",
                place=connector.place,
                message=f"connector {connector.id} lies at {mm(x * 1000)}, {mm(y * 1000)}, and the panel is "
                f"{mm(panel.width.value * 1000)} by {mm(panel.height.value * 1000)}",
                hint="the plug lies behind the panel; its wires are cut to this place",
                source="the design itself",
            )
        yield from _colours(design, connector.id)


def _colours(design: Design, connector: str) -> Iterator[Finding]:
    nets = {bus.id: bus.net for bus in design.buses}
    by_colour: dict[str, dict[str, WireRun]] = {}
    for run in design.harness:
        if run.connector == connector:
            by_colour.setdefault(run.colour, {}).setdefault(nets.get(run.bus, run.id), run)
    wires = sum(map(len, by_colour.values()))
    if len(by_colour) >= min(wires, COLOURS):
        return  # there is no further colour to tell them apart by
    for colour, runs in by_colour.items():
        if len(runs) > 1:
            pins = sorted((run.pin for run in runs.values()), key=lambda pin: (len(pin), pin))
            many = f"{', '.join(pins[:-1])} and {pins[-1]}"
            yield Finding(
                check="colour-twice",
                level="warning",
                place=_place(design, list(runs.values())[-1]),
                message=f"connector {connector}: the wires of pins {many} are all {colour}"
                if len(pins) > 2
                else f"connector {connector}: the wires of pins {many} are both {colour}",
                hint="give its bank another colour in `colours:`, for wires that look alike are swapped",
                source=f"wire is sold in {COLOURS} colours, common practice",
            )


def _place(design: Design, run: WireRun) -> Place:
    return design.bank(design.control(run.control).bank).place if run.control else design.connector(run.connector).place
