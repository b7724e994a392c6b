"""What the acts of `benchtui record` share: the words typed after them, and the page of a unit."""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchtui.errors import UsageError

if TYPE_CHECKING:
    from benchtui.record.store import Store


def known_unit(store: Store, typed: str) -> str:
    """The unit that is meant.

    Raises:
        UsageError: There is no such unit, or there are several.
    """
    found = named_unit(store, typed)
    if len(found) != 1:
        raise UsageError(
            f"there is no unit {typed!r}" if not found else f"{typed!r} could be {' or '.join(found)}",
            hint="see them all with: benchtui record",
        )
    return found[0]


def named_unit(store: Store, typed: str) -> list[str]:
    """The units that can be meant."""
    from benchtui.jobs.serials import meant

    return meant(typed, (row.unit for row in store.units()))


def page_of(store: Store, serial: str) -> list[str]:
    """The passport of a unit in Markdown, with all that the record tells of it."""
    from benchtui.faults.told import teller
    from benchtui.jobs.passport import passport
    from benchtui.jobs.run_passport import beside
    from benchtui.jobs.run_units import Units

    view = Units(store).view(serial)
    return passport(view, beside(store, view, lambda events: teller(events, store.text)))


def exactly(words: list[str], count: int, usage: str) -> None:
    """Refuse another number of words."""
    if len(words) != count:
        raise UsageError(f"this takes {count} word{'s' if count != 1 else ''}", hint=f"type: {usage}")


def at_most(words: list[str], count: int, usage: str) -> None:
    """Refuse more words."""
    if len(words) > count:
        raise UsageError(f"{words[count]!r} is too much", hint=f"type: {usage}")
