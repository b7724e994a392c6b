"""Which design a unit is of, as the record has it: by how it was made, and by the jobs that were begun on it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from benchtui.errors import JobError

if TYPE_CHECKING:
    from collections.abc import Mapping

    from benchtui.record.store import Store

_TELLING: Final = ("unit-made", "job-started")
"""Kinds of events that say so. A hunt says less: it may have been begun on the wrong unit."""

_HUNT: Final = "hunt-started"


def designs_of(store: Store, unit: str = "") -> Mapping[str, tuple[str, ...]]:
    """Ids of the designs by serial number, the one it was made by first; a unit of which none is known is left out.

    Args:
        store: The record.
        unit: Only this unit; all of them when empty.
    """
    return _found(store, unit, _TELLING)


def known_designs(store: Store, unit: str) -> tuple[str, ...]:
    """Ids of the designs that a unit is known to be of, the one it was made by first; none for no unit."""
    return designs_of(store, unit).get(unit, ()) if unit else ()


def others(store: Store, design: str) -> Mapping[str, str]:
    """Units that are of another design than this one: the id of that design by serial number."""
    return {unit: known[0] for unit, known in designs_of(store).items() if design not in known}


def unlikely(store: Store, design: str) -> Mapping[str, str]:
    """Units of which only hunts on another design are known, so that it is asked before work on this one goes there.

    Args:
        store: The record.
        design: The design of the work.

    Returns:
        The id of that other design by serial number.
    """
    sure, hunted = designs_of(store), _found(store, "", (_HUNT,))
    return {unit: known[0] for unit, known in hunted.items() if unit not in sure and design not in known}


def _found(store: Store, unit: str, kinds: tuple[str, ...]) -> dict[str, tuple[str, ...]]:
    found: dict[str, dict[str, None]] = {}
    for event in store.events(unit=unit, kinds=kinds) if unit else store.events(kinds=kinds):
        if event.unit and (design := str(event.data.get("design") or "")):
            found.setdefault(event.unit, {})[design] = None
    return {serial: tuple(designs) for serial, designs in found.items()}


def refuse_unit_of_other(store: Store, unit: str, design: str) -> None:
    """Refuse to write work on one design into the record of a unit of another.

    Raises:
        JobError: The unit is known to be of another design.
    """
    known = known_designs(store, unit)
    if known and design not in known:
        raise JobError(other_words(unit, known[0]), hint=f"choose a unit of {design}, or begin again with {known[0]}")


def other_words(unit: str, design: str) -> str:
    """That a unit is of another design, as a sentence without its full stop."""
    return f"{unit} is a unit of another design, {design}"
