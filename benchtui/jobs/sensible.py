"""Whether an event of another record makes sense, before it is taken in: its fields are there and of their kind."""

from __future__ import annotations

from dataclasses import fields
from typing import TYPE_CHECKING, Any, Final

from benchtui.errors import JobError
from benchtui.jobs.events import EVENTS, read_event
from benchtui.jobs.unit_events import UNIT_EVENTS, UnitStateSet
from benchtui.unit_states import MOVES

if TYPE_CHECKING:
    from collections.abc import Mapping

_KINDS: Final = {**EVENTS, **UNIT_EVENTS}

_TYPES: Final[Mapping[str, tuple[type, ...]]] = {
    "str": (str,),
    "int": (int,),
    "float": (int, float),
    "float | None": (int, float, type(None)),
    "bool": (bool,),
    "tuple[str, ...]": (list, tuple),
}
"""What a field is declared as to what it may be in the record; other declarations are not looked at."""


def sensible(kind: str, data: Mapping[str, Any]) -> None:
    """Check the kind and data of an event; kinds this program does not know are passed over.

    Raises:
        JobError: A field is missing or of another kind, or the state of a unit is none.
    """
    event = read_event(kind, data, kinds=_KINDS)
    if event is None:
        return
    for entry in fields(event):
        wanted = _TYPES.get(str(entry.type))
        if entry.name in data and wanted and not isinstance(data[entry.name], wanted):
            raise JobError(f"the field {entry.name!r} of the event {kind!r} is {data[entry.name]!r}")
    if isinstance(event, UnitStateSet) and event.state not in MOVES:
        raise JobError(f"{event.state!r} is no state of a unit")
