"""Units as a list to choose from."""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchtui.ui.view.ages import ago
from benchtui.ui.view.rows import Row

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import datetime

    from benchtui.record.views import UnitRow


def unit_rows(units: Sequence[UnitRow], *, now: datetime, next_serial: str = "") -> list[Row]:
    """A new unit first, then the known ones, the one touched last on top.

    Args:
        units: The known ones.
        now: For telling how long ago.
        next_serial: The serial number the next unit of the design gets; empty where there is no design.
    """
    rows = [Row(id=f"next:{next_serial}", text=f"A new unit: {next_serial}")] if next_serial else []
    rows.append(Row(id="new", text="A unit with another serial number", right="n"))
    if units:
        rows.append(Row(text="Known units"))
    rows += known_rows(units, now=now)
    rows.append(Row(text="Or"))
    rows.append(Row(id="none", text="No unit in particular"))
    return rows


def known_rows(units: Sequence[UnitRow], *, now: datetime) -> list[Row]:
    """The known units, each with its state and when it was last touched."""
    rows = []
    for unit in units:
        state = f"{unit.state}, " if unit.state else ""
        rows.append(Row(id=f"unit:{unit.unit}", text=unit.unit, right=f"{state}{ago(unit.last_time, now)}"))
    return rows
