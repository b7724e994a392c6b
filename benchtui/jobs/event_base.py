"""What every event of a job shares: the way to and from the record."""

from __future__ import annotations

import re
from dataclasses import MISSING, dataclass, fields
from operator import attrgetter
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, ClassVar, Final, Protocol

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping


class Recorded(Protocol):
    """An event as the record gives it back; this part of the program knows no more of the record than this."""

    @property
    def seq(self) -> int: ...
    @property
    def id(self) -> str: ...
    @property
    def time(self) -> str: ...
    @property
    def kind(self) -> str: ...
    @property
    def unit(self) -> str: ...
    @property
    def job(self) -> str: ...
    @property
    def data(self) -> Mapping[str, Any]: ...


_LINE_ENDS: Final = re.compile("\\r\\n|[\\r\\v\\f\\x1c-\\x1e\\x85\\u2028\\u2029]")
_CONTROLS: Final = re.compile("[\\x00-\\x08\\x0e-\\x1f\\x7f-\\x9f\\u200e\\u200f\\u202a-\\u202e\\u2066-\\u2069]")
_NO_CHARACTER: Final = re.compile("[\\ud800-\\udfff]")
"""What stands for a byte that was no part of a text, as from a paste in another encoding; no file can hold it."""


def _clean(text: str) -> str:
    """Unusual ends of a line as a blank, what is no character as a question mark; control and direction marks away.

    Such marks can hide what is written.
    """
    return _NO_CHARACTER.sub("?", _CONTROLS.sub("", _LINE_ENDS.sub(" ", text)))


_TEXTS: Final[dict[type, Callable[[Any], tuple[Any, ...]]]] = {}
"""Class of events to what gives the values of its texts."""


def _texts_of(kind: type[JobEvent]) -> Callable[[Any], tuple[Any, ...]]:
    names = [entry.name for entry in fields(kind) if entry.type == "str"]
    # The name of the kind twice, for with one name alone there would be no tuple.
    return attrgetter("KIND", "KIND", *names)


@dataclass(frozen=True, slots=True)
class JobEvent:
    """Base of the events: only the way to and from the record."""

    KIND: ClassVar[str] = ""
    BEFORE: ClassVar[Mapping[str, Any]] = MappingProxyType({})
    """Fields that are always written, with what they are in an event of the time before there were such fields."""

    def __post_init__(self) -> None:
        """Take out what a paste may bring and no line of a record, an export or a page can hold."""
        kind = type(self)
        texts = _TEXTS.get(kind) or _TEXTS.setdefault(kind, _texts_of(kind))
        # All of them at one go: a million events are read from a record, and hardly one of them needs this.
        if "".join(map(str, texts(self))).isprintable():
            return
        for entry in fields(self):
            name, value = entry.name, getattr(self, entry.name)
            if isinstance(value, str) and not value.isprintable():
                object.__setattr__(self, name, _clean(value))

    def to_data(self) -> dict[str, Any]:
        """The fields that differ from their default, and those that are always written, as JSON values."""
        data: dict[str, Any] = {}
        for entry in fields(self):
            value = getattr(self, entry.name)
            if entry.default is MISSING or value != entry.default or entry.name in self.BEFORE:
                data[entry.name] = list(value) if isinstance(value, tuple) else value
        return data


@dataclass(frozen=True, slots=True, kw_only=True)
class StepEvent(JobEvent):
    """Base of the events about one step."""

    step: str
