"""What happens to a unit outside the steps of a job: made, moved to another state, taken in, loaded with firmware."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar, Final

from benchtui.jobs.event_base import JobEvent

if TYPE_CHECKING:
    from collections.abc import Mapping


@dataclass(frozen=True, slots=True, kw_only=True)
class UnitMade(JobEvent):
    """A serial number was given; what is fixed about the unit from then on."""

    KIND: ClassVar[str] = "unit-made"
    design: str
    hardware: str = ""
    """Revision of the hardware, such as "B"."""
    options: tuple[str, ...] = ()
    """Options fitted, such as "left-handed"."""
    batch: str = ""
    asked: tuple[str, ...] = ()
    """Options that were asked about, fitted or not; of any other it is not known whether the unit has it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class UnitFixed(JobEvent):
    """What is fixed of a unit was found out later, when a step depended on it; what is empty was not."""

    KIND: ClassVar[str] = "unit-fixed"
    hardware: str = ""
    options: tuple[str, ...] = ()
    asked: tuple[str, ...] = ()
    reason: str = ""
    """Why it is not as it was said before; empty where it was not known before."""
    by: str = ""
    was_hardware: str = ""
    """What was known before, where it is corrected."""
    was_options: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class UnitStateSet(JobEvent):
    """The unit went to another state; a release names who released it and on what evidence."""

    KIND: ClassVar[str] = "unit-state"
    state: str
    reason: str = ""
    by: str = ""
    evidence: str = ""
    """Digest over the events that the release rests on."""
    missing: tuple[str, ...] = ()
    """What was still open when it was let go under conditions."""
    decided: str = ""
    """Id of the conflict of states that was decided, by which a unit that one bench had scrapped is held instead."""


@dataclass(frozen=True, slots=True, kw_only=True)
class UnitTakenIn(JobEvent):
    """Somebody's unit came in: how it looked, what came with it, what was damaged already."""

    KIND: ClassVar[str] = "intake"
    condition: str
    accessories: str = ""
    damage: str = ""
    settings: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class FirmwareLoaded(JobEvent):
    """Which firmware and settings the unit runs from now on."""

    KIND: ClassVar[str] = "firmware-loaded"
    name: str
    version: str
    digest: str = ""
    step: str = ""
    """Step of a job that asked for it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkaroundSet(JobEvent):
    """Something was left in a temporary state to get through the show."""

    KIND: ClassVar[str] = "work-around"
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkaroundUndone(JobEvent):
    """A temporary state was put right; `workaround` is the id of the event that set it."""

    KIND: ClassVar[str] = "work-around-undone"
    workaround: str
    note: str = ""
    touched: tuple[str, ...] = ()
    """Ids of what was touched, "all" for everything and "none" for nothing; empty where nobody was asked."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ConcessionGiven(JobEvent):
    """Something that is missing and cannot well be made good was signed to stay as it is (ISO 9001:2015 8.7.1 d)."""

    KIND: ClassVar[str] = "concession"
    item: str
    """The line of what is missing, word for word."""
    reason: str
    by: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ConflictDecided(JobEvent):
    """What two benches did not agree on was looked into; `conflict` is the id of the event that did not fit."""

    KIND: ClassVar[str] = "conflict-decided"
    conflict: str
    reason: str
    by: str
    about: str = ""
    """The conflict in words, as it was shown."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DecisionWithdrawn(JobEvent):
    """A decision was wrong: what it was about is open again; `decision` is the id of the event that said it."""

    KIND: ClassVar[str] = "decision-withdrawn"
    decision: str
    conflict: str
    """Id of the event that the decision was about."""
    reason: str
    by: str
    about: str = ""
    """The decision in words, as it was shown."""


@dataclass(frozen=True, slots=True, kw_only=True)
class UnitParted(JobEvent):
    """Two units had one serial number, and one of them has another from now on; written under the old number."""

    KIND: ClassVar[str] = "unit-parted"
    made: str
    """Digest of the event that gave the old number to the unit that gets a new one."""
    serial: str
    """The new number."""
    reason: str
    by: str


@dataclass(frozen=True, slots=True, kw_only=True)
class UnitRenumbered(JobEvent):
    """The same, written under the new number."""

    KIND: ClassVar[str] = "unit-renumbered"
    made: str
    was: str
    """The old number."""
    serial: str
    """The new number."""
    reason: str
    by: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FirstUnitSigned(JobEvent):
    """The first-unit record of a design was signed for this unit; how it was built is kept with it."""

    KIND: ClassVar[str] = "first-unit"
    design: str
    by: str
    because: tuple[str, ...] = ()
    """Why it was due; empty where it was made without being due."""
    told: str = ""
    """How its characteristics stood, in words."""
    design_revision: str = ""
    procedures: tuple[str, ...] = ()
    """Id and revision of each procedure it was built by, as "hollin-assembly 7"."""
    hardware: str = ""
    place: str = ""
    """Where the bench stood."""


UNIT_EVENTS: Final[Mapping[str, type[JobEvent]]] = {
    cls.KIND: cls
    for cls in (
        UnitMade,
        UnitFixed,
        UnitStateSet,
        UnitTakenIn,
        FirmwareLoaded,
        WorkaroundSet,
        WorkaroundUndone,
        ConcessionGiven,
        ConflictDecided,
        DecisionWithdrawn,
        UnitParted,
        UnitRenumbered,
        FirstUnitSigned,
    )
}
"""Kind, as the record names it, to the class of its events."""
