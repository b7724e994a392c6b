"""What may have to be replaced on tour, worked out from a design: its parts, their rates and rated lives."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from benchtui.faults.spares import Item
from benchtui.faults.spots import Rates

if TYPE_CHECKING:
    from collections.abc import Mapping

    from benchtui.design.model import Design
    from benchtui.faults.model import FaultModel

MASSES: Final[Mapping[str, float]] = {"lead": 0.08, "board": 0.02, "fader": 0.04, "pot": 0.015, "ribbon": 0.02}
"""Mass of one in kg; our estimates, to weigh a kit by. Anything else: `MASS`."""
MASS: Final = 0.01

_SORTS: Final[Mapping[str, str]] = {"button-direct": "button", "button-matrix": "button"}


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
        One item for each part of a control, the board and the lead. Only controls wear.
    """
    rates = Rates(model)
    counts: dict[str, int] = {}
    for control in design.controls:
        counts[control.part.id] = counts.get(control.part.id, 0) + 1
    kinds = {control.part.id: str(control.kind) for control in design.controls}
    costs = prices or {}
    items = []
    for id, count in counts.items():
        part, sort = design.part(id), _SORTS.get(kinds[id], kinds[id])
        life = part.endurance.cycles if part.endurance else 0
        items.append(
            Item(
                id=id,
                title=part.title,
                count=count * units,
                rate=rates.of(sort) / 1e6,
                cycles=moves_per_hour if life else 0.0,
                life=float(life),
                price=costs.get(id, 0.0),
                mass=MASSES.get(sort, MASS),
                source=rates.source(sort) + (f"; rated life {part.endurance.source}" if part.endurance else ""),
            )
        )
    for id, sort in ((design.board.part, "board"), (design.file.power.lead, "lead")):
        items.append(
            Item(
                id=id,
                title=design.part(id).title,
                count=units,
                rate=rates.of(sort) / 1e6,
                price=costs.get(id, 0.0),
                mass=MASSES[sort],
                source=rates.source(sort),
            )
        )
    return tuple(items)
