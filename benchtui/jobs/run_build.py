"""Units still to build, as the record tells: what parts have to be bought for."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from benchtui.jobs.run_list import record_jobs
from benchtui.jobs.unit_events import UnitMade

if TYPE_CHECKING:
    from collections.abc import Collection

    from benchtui.content.library import Library
    from benchtui.record.store import Store

UNDER_WAY: Final = frozenset({"", "planned", "in work", "held"})
"""States of a unit that may not be built yet; a unit in another state was built once, or never will be."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ToBuild:
    """Units of a design by whether they are built."""

    waiting: tuple[str, ...] = ()
    """Serial numbers still to build, those that were begun among them."""
    built: tuple[str, ...] = ()
    """Serial numbers whose assembly came to its end."""

    @property
    def units(self) -> int:
        """How many to buy for: those still to build, or one where none is planned."""
        return len(self.waiting) or 1

    def words(self) -> str:
        """Where that number is from, as a sentence."""
        if self.waiting:
            number = len(self.waiting)
            shown = ", ".join(self.waiting[:6]) + (f" and {number - 6} more" if number > 6 else "")
            done = f" {len(self.built)} built already." if self.built else ""
            return f"For {number} {'unit' if number == 1 else 'units'} still to build in the record: {shown}.{done}"
        if self.built:
            return f"No unit is left to build in the record ({len(self.built)} built): this is for one more."
        return "No unit is planned in the record: this is for one."


def still_to_build(store: Store, design: str, procedures: Collection[str]) -> ToBuild:
    """The units of a design that are not built yet.

    Args:
        store: The record.
        design: Id of the design.
        procedures: Ids of the assembly procedures made for it; a unit is built once one of them was closed on it.
    """
    made = store.events(kinds=[UnitMade.KIND], where=("design", design))
    states = {row.unit: row.state for row in store.units()}
    waiting: list[str] = []
    built: list[str] = []
    for unit in dict.fromkeys(event.unit for event in made):
        state = states.get(unit, "")
        if state == "scrapped":
            continue
        jobs = record_jobs(store, unit=unit) if state in UNDER_WAY else ()
        done = state not in UNDER_WAY or any(
            job.procedure in procedures and job.closed and not job.slipped for job in jobs
        )
        (built if done else waiting).append(unit)
    return ToBuild(waiting=tuple(waiting), built=tuple(built))


def assemblies(library: Library, design: str) -> tuple[str, ...]:
    """Ids of the assembly procedures made for a design."""
    return tuple(
        entry.id
        for entry in library.entries("procedure")
        if entry.design == design and entry.procedure_kind == "assembly"
    )
