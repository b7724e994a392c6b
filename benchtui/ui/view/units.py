"""Units as a list to choose from."""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchtui.ui.view.ages import ago
from benchtui.ui.view.rows import Row

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import datetime

    from benchtui.record.views import UnitRow


def unit_rows(units: Sequence[UnitRow], *, now: datetime) -> list[Row]:
    """A new unit first, then the known ones, the one touched last on top."""
    rows = [Row(id="new", text="A new unit", right="n")]
    if units:
        rows.append(Row(text="Known units"))
    for unit in units:
        state = f"{unit.state}, " if unit.state else ""
        rows.append(Row(id=f"unit:{unit.unit}", text=unit.unit, right=f"{state}{ago(unit.last_time, now)}"))
    rows.append(Row(text="Or"))
    rows.append(Row(id="none", text="No unit in particular"))
    return rows
