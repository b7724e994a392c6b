"""The order of building: procedures as the assemblies of the designs call them, stage after stage."""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchtui.errors import BenchError

if TYPE_CHECKING:
    from collections.abc import Iterable

    from benchtui.content.library import Entry, Library


def in_build_order(library: Library, entries: Iterable[Entry]) -> list[Entry]:
    """Procedures in the order in which they come up when a design is built.

    What an assembly calls itself comes first, in the order of its steps: these are the stages. What the stages call in
    turn follows. What no assembly calls comes last, in the order given.

    Args:
        library: Where the procedures are.
        entries: Those to put in order.
    """
    asked = list(entries)
    todo = [
        entry.id
        for entry in library.entries("procedure")
        if entry.procedure_kind == "assembly" and entry.design != "any"
    ]
    places: dict[str, int] = {}
    seen = set(todo)
    for id in todo:  # grows while it is walked, so that stages come before what they call
        for called in _calls(library, id):
            places.setdefault(called, len(places))
            if called not in seen:
                seen.add(called)
                todo.append(called)
    return sorted(asked, key=lambda entry: places.get(entry.id, len(places)))


def _calls(library: Library, id: str) -> list[str]:
    """Ids that a procedure calls, in the order of its steps; none where its file cannot be read."""
    try:
        return [step.call for step in library.procedure(id).steps if step.call]
    except BenchError:
        return []  # the check of the content says what is wrong with it
