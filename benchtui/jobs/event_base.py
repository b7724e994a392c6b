"""What every event of a job shares: the way to and from the record."""

from __future__ import annotations

from dataclasses import MISSING, dataclass, fields
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, ClassVar, Protocol

if TYPE_CHECKING:
    from collections.abc import Mapping


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


@dataclass(frozen=True, slots=True)
class JobEvent:
    """Base of the events: only the way to and from the record."""

    KIND: ClassVar[str] = ""
    BEFORE: ClassVar[Mapping[str, Any]] = MappingProxyType({})
    """Fields that are always written, with what they are in an event of the time before there were such fields."""

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
