"""What is said of a first-unit record that is due, in one line, before the work on one unit or several and in it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchtui.jobs.run_first_unit import first_unit

if TYPE_CHECKING:
    from collections.abc import Sequence

    from benchtui.jobs.run import Run
    from benchtui.jobs.run_units import Units


def first_said(units: Units, serials: Sequence[str]) -> str:
    """Which of some units is the first of its design, and why its first-unit record is due; empty when none is.

    Args:
        units: The units of the record.
        serials: Those that are worked on.
    """
    if not serials:
        return ""
    found = first_unit(units, serials[0])
    if found.first in serials and found.first != serials[0]:
        found = first_unit(units, found.first)
    return found.short


def signed_with(units: Units, ready: Sequence[str]) -> str:
    """The unit, of some that are released by one name, whose first-unit record that name signs; empty for none."""
    return ready[0] if ready and first_unit(units, ready[0]).why else ""


def before_said(runs: Sequence[Run]) -> str:
    """The same before the build of units is begun; empty for work that builds none."""
    builds = [run for run in runs if run.unit and run.plan.procedure_kind == "assembly" and not run.state.caller]
    return first_said(builds[0].bench.units, [run.unit for run in builds]) if builds else ""
