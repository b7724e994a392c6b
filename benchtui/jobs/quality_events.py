"""Events about what is in the unit and what is wrong with it: parts fitted, defects, what was decided, rework."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from benchtui.jobs.event_base import JobEvent
from benchtui.jobs.named import NOTHING


@dataclass(frozen=True, slots=True, kw_only=True)
class PartFitted(JobEvent):
    """A part went into the unit, with what is known of where it came from."""

    KIND: ClassVar[str] = "part-fitted"
    part: str
    place: str
    lot: str = ""
    serial: str = ""
    replaces: str = ""
    """What was at that place before, when something was taken out."""
    reason: str = ""
    step: str = ""
    beside: bool = False
    """It was asked, and nothing came out for it: it went in beside what is there."""
    touched: tuple[str, ...] = ()
    """"none" where it was asked, and no lead, joint or plug was touched for it; empty for all that is at its place."""

    corrects: bool = False
    """The same step had written it down before, mistyped: it is the same piece, and nothing came out for it."""

    @property
    def untouched(self) -> bool:
        """Whether it is said that the change touched nothing that a test is about, as that of a knob or a screw."""
        return tuple(self.touched) == NOTHING


@dataclass(frozen=True, slots=True, kw_only=True)
class TextGiven(JobEvent):
    """What a step asks to be written down in words, such as the weight of the unit."""

    KIND: ClassVar[str] = "text"
    step: str
    what: str
    """What it is of, as the step asks for it."""
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class DefectFound(JobEvent):
    """Something is wrong with the unit; written before it is touched."""

    KIND: ClassVar[str] = "defect"
    defect: str
    text: str
    step: str = ""
    subject: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class DispositionGiven(JobEvent):
    """What is to be done about a defect, decided by whom and why."""

    KIND: ClassVar[str] = "disposition"
    defect: str
    disposition: str
    """rework, repair, use as is, return or scrap."""
    reason: str
    name: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class ReworkStarted(JobEvent):
    """A defect is being put right; `joint` counts against the part's limit of soldering attempts."""

    KIND: ClassVar[str] = "rework-started"
    defect: str
    joint: str = ""
    limit: int = 0
    """How often the part bears rework, as older programs wrote it: 0 for none and for not known alike."""
    attempts: int = 0
    """How often the part bears to be soldered, the first time counted; 0 when its sheet gives no figure."""
    heeded: tuple[str, ...] = ()
    """SHA-256 of the words of each caution of the iron that was read before."""

    @property
    def borne(self) -> int:
        """How often the part bears to be soldered, whichever program wrote it; 0 when that is not known."""
        return borne(self.attempts, self.limit)


def borne(attempts: int, limit: int) -> int:
    """Solderings that a part bears, from the two figures of a `ReworkStarted`; 0 when that is not known."""
    return attempts or (limit + 1 if limit else 0)


@dataclass(frozen=True, slots=True, kw_only=True)
class ReworkDone(JobEvent):
    """The rework is finished; `touched` are the ids of what it disturbed, whose tests are open again."""

    KIND: ClassVar[str] = "rework-done"
    defect: str
    touched: tuple[str, ...] = ()
