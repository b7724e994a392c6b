"""What may have to be replaced on tour, worked out from a design: its parts, their rates and rated lives."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from benchtui.design.bill import bill
from benchtui.design.wiring import wires
from benchtui.faults.spares import Item
from benchtui.faults.spots import Rates

if TYPE_CHECKING:
    from collections.abc import Mapping

    from benchtui.design.model import Design
    from benchtui.design.parts import Part
    from benchtui.faults.model import FaultModel

MASSES: Final[Mapping[str, float]] = {
    "lead": 0.08,
    "board": 0.02,
    "fader": 0.04,
    "pot": 0.015,
    "ribbon": 0.02,
    "multiplexer": 0.005,
    "connector": 0.004,
    "diode": 0.0005,
    "resistor": 0.0005,
    "crimp": 0.0003,
    "wire": 0.01,
}
"""Mass of one in kg, of wire one metre; our estimates, to weigh a kit by. Anything else: `MASS`."""
MASS: Final = 0.01

LEADS: Final = 2
"""USB leads that are carried whatever the chances say: common practice."""

COMMON_CONTACT: Final = "crimp"
"""Id of the contact that the bill counts where a connector names none."""

_FIXED: Final = ("diode", "resistor", "multiplexer", "connector", "wire", "crimp", "board", "lead")
"""Sorts of part that do not wear and are not a control, as the rates of a model name them."""


def _contacts(design: Design) -> dict[str, int]:
    """Crimp contacts in use by the part that the connector names."""
    found: dict[str, int] = {}
    for run in design.harness:
        if run.connector:
            ways = design.part(design.connector(run.connector).part).ways
            id = ways.crimp if ways and ways.crimp else COMMON_CONTACT
            found[id] = found.get(id, 0) + 1
    return found


def items_of(
    design: Design,
    model: FaultModel,
    *,
    moves_per_hour: float = 70.0,
    prices: Mapping[str, float] | None = None,
    units: int = 1,
) -> tuple[Item, ...]:
    """The parts of a design as candidates for a spares kit, for `benchtui.faults.spares.kit`.

    Args:
        design: The design.
        model: For the rates.
        moves_per_hour: Full moves or presses of one control in an hour of show; 200 a show of three hours in the trade
            notes.
        prices: Price by part id, where a kit is to be chosen by money.
        units: How many of the design travel.

    Returns:
        One item for each part of the bill that can fail and that the model has a rate for: controls, diodes, resistors,
        multiplexers, connectors, crimps, wire by the metre, the board and the lead. Only controls wear.
    """
    rates = Rates(model)
    parts: dict[str, Part] = {}
    sorts: dict[str, str] = {}
    counts: dict[str, int] = {}
    contacts = _contacts(design)
    for line in bill(design):
        sort = "crimp" if line.part.id in contacts else str(line.part.kind)
        if rates.of(sort) > 0.0 and sort not in ("board", "lead"):
            parts[line.part.id], sorts[line.part.id] = line.part, sort
            counts[line.part.id] = contacts.get(line.part.id, 0 if line.unit else round(line.each))
    for run in wires(design):
        if run.part in parts:
            counts[run.part] += 1
    for id, sort in ((design.board.part, "board"), (design.file.power.lead, "lead")):
        parts[id], sorts[id], counts[id] = design.part(id), sort, 1
    costs = prices or {}
    items = []
    for id, count in counts.items():
        part, sort = parts[id], sorts[id]
        endurance = None if sort in _FIXED else part.endurance
        life = endurance.cycles if endurance else 0
        items.append(
            Item(
                id=id,
                title=f"a metre of {part.title}" if sort == "wire" else part.title,
                count=count * units,
                rate=rates.of(sort) / 1e6,
                cycles=moves_per_hour if life else 0.0,
                life=float(life),
                price=costs.get(id, 0.0),
                mass=MASSES.get(sort, MASS),
                least=LEADS if sort == "lead" else 0,
                source=rates.source(sort)
                + (f"; rated life {endurance.source}" if endurance else "")
                + ("; two of them: common practice" if sort == "lead" else ""),
            )
        )
    return tuple(items)
