"""Units as a list to choose from."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from benchtui.errors import UsageError
from benchtui.jobs import serials
from benchtui.ui.view.ages import ago
from benchtui.ui.view.rows import Row

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from datetime import datetime

    from benchtui.record.views import UnitRow


def serial_typed(typed: str, known: Iterable[str] = ()) -> str:
    """A serial number as it is kept: that of a known unit, whose letters before the number may be left out, or another.

    Args:
        typed: What was typed.
        known: Serial numbers in the record.

    Raises:
        BenchError: It names several known units; or it is one of our own shape, and its last letter does not follow
            from the rest: it was misread.
    """
    serial = "-".join(serials.written(typed).upper().split())
    units = list(known)
    same = [unit for unit in units if unit.upper() == serial] or [u for u in units if serials.same_unit(serial, u)]
    if len(same) > 1:
        raise UsageError(f"{serial} may be {' or '.join(same)}", hint="type the whole of it")
    if same:
        return same[0]
    return serials.normal(serial) if serials.number_of(serial) is not None else serial


_NONE: Final = (Row(id="none", text="No unit in particular"),)


def unit_rows(
    units: Sequence[UnitRow],
    *,
    now: datetime,
    next_serial: str = "",
    known_first: bool = False,
    known_only: bool = False,
) -> list[Row]:
    """A new unit and the known ones, the one touched last on top.

    Args:
        units: The known ones.
        now: For telling how long ago.
        next_serial: The serial number the next unit of the design gets; empty where there is no design.
        known_first: The known ones come first: a fault is looked for in a unit that was built.
        known_only: No new unit is offered.
    """
    known = [Row(text="Known units"), *known_rows(units, now=now)] if units else []
    under = "its last letter follows from the rest, so that a misread number is noticed"
    new = [Row(id=f"next:{next_serial}", text=f"A new unit: {next_serial}", under=under)] if next_serial else []
    new.append(Row(id="new", text="A unit with another serial number", right="n"))
    if known_only:
        return [*known, Row(text="Or"), Row(id="new", text="Type a serial number", right="n"), *_NONE]
    rest = [Row(text="Or"), *_NONE]
    return (
        [*known, Row(text="Or a unit that is not in this record"), *new, *rest]
        if known_first and known
        else [*new, *known, *rest]
    )


def known_rows(units: Sequence[UnitRow], *, now: datetime) -> list[Row]:
    """The known units, each with its state and when it was last touched."""
    rows = []
    for unit in units:
        state = f"{unit.state}, " if unit.state else ""
        rows.append(Row(id=f"unit:{unit.unit}", text=unit.unit, right=f"{state}{ago(unit.last_time, now)}"))
    return rows
