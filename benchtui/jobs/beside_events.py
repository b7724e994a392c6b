"""Events that stand beside the marks of a step: it was kept under a name, or somebody looked on."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from benchtui.jobs.event_base import StepEvent


@dataclass(frozen=True, slots=True, kw_only=True)
class PlaceKept(StepEvent):
    """A step was given a name, so that one goes there again by it; the same name at another step moves it there."""

    KIND: ClassVar[str] = "place-kept"
    name: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Witnessed(StepEvent):
    """Somebody looked on at a witness point while it was done."""

    KIND: ClassVar[str] = "witnessed"
    name: str
