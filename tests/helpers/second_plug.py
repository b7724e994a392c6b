"""A design that has a second plug of the same part and pin-out as one of its own."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from benchtui.design.model import Design


def with_second_plug(design: Design, connector: str, id: str) -> Design:
    """The design with one more plug, and on it the same controls and common wires once more.

    Args:
        design: A design.
        connector: Id of one of its connectors.
        id: Of the new one.
    """
    controls = [
        replace(each, id=f"{each.id}{id}", connector=id, bank="")
        for each in design.controls
        if each.connector == connector
    ]
    buses = [replace(each, id=f"{each.id}{id}", connector=id) for each in design.buses if each.connector == connector]
    return replace(
        design,
        connectors=(*design.connectors, replace(design.connector(connector), id=id)),
        controls=(*design.controls, *controls),
        buses=(*design.buses, *buses),
    )
