"""What can happen to a job: one small frozen dataclass for each kind of event.

An event says what was done, never what follows from it; `jobs.state` folds events into the state of the job. In the
record an event is its `KIND` and the mapping `to_data()` gives; `read_event` turns those back. Fields that a newer
version has added are passed over, fields it has dropped take their default, so that old records stay readable.
"""

from __future__ import annotations

from dataclasses import MISSING, dataclass, fields
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, ClassVar, Final

from benchtui.errors import JobError
from benchtui.jobs.beside_events import PlaceKept as PlaceKept
from benchtui.jobs.beside_events import Witnessed as Witnessed
from benchtui.jobs.event_base import JobEvent as JobEvent
from benchtui.jobs.event_base import Recorded as Recorded
from benchtui.jobs.event_base import StepEvent as StepEvent
from benchtui.jobs.quality_events import DefectFound as DefectFound
from benchtui.jobs.quality_events import DispositionGiven as DispositionGiven
from benchtui.jobs.quality_events import PartFitted as PartFitted
from benchtui.jobs.quality_events import ReworkDone as ReworkDone
from benchtui.jobs.quality_events import ReworkStarted as ReworkStarted
from benchtui.jobs.quality_events import TextGiven as TextGiven
from benchtui.jobs.unit_events import FirmwareLoaded as FirmwareLoaded

if TYPE_CHECKING:
    from collections.abc import Mapping


RULES: Final = 2
"""Number of the rules that jobs are checked by. A job of an older program keeps the rules it was written under until it
is taken up again, so that nothing which was accepted then is refused when it is read."""

_BEFORE_RULES: Final = MappingProxyType({"rules": 0})


@dataclass(frozen=True, slots=True, kw_only=True)
class JobStarted(JobEvent):
    """The job was opened on a unit; `plan` is the digest of the plan's text, kept by the record beside the events."""

    KIND: ClassVar[str] = "job-started"
    BEFORE: ClassVar[Mapping[str, Any]] = _BEFORE_RULES
    plan: str
    procedure: str
    title: str = ""
    revision: int = 0
    digest: str = ""
    proven: str = ""
    """How far the text is proven, where it is not released: "draft" or "tried"."""
    first_use: bool = False
    """Nobody had worked by this revision of a draft before."""
    procedure_kind: str = ""
    design: str = ""
    design_revision: str = ""
    subject: str = ""
    """The one control, bank or connector the job is about."""
    defect: str = ""
    """Defect the job puts right, as "JOB:D1", and its text."""
    defect_text: str = ""
    defect_begun: bool = False
    """Its rework had begun in the job before, and what was touched was never said."""
    batch: str = ""
    caller: str = ""
    """Job that called this one, and the step it returns to."""
    caller_step: str = ""
    rules: int = RULES
    """Rules its events are checked by."""


@dataclass(frozen=True, slots=True, kw_only=True)
class UnitIdentified(JobEvent):
    """The serial number was read off the unit; `serial` is what was typed."""

    KIND: ClassVar[str] = "unit-identified"
    serial: str


NO: Final = "no"
"""The answer to a condition that does not hold; the work then begins only by a decision with its reason."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ConditionAnswered(JobEvent):
    """A line of the preliminary page was answered with a state or a value."""

    KIND: ClassVar[str] = "condition-answered"
    condition: str
    answer: str


@dataclass(frozen=True, slots=True, kw_only=True)
class KitTicked(JobEvent):
    """A tool, part or material was counted out before the work, or back in after it."""

    KIND: ClassVar[str] = "kit-ticked"
    heading: str
    item: str
    found: bool = True
    back: bool = False
    """Counted back in at close-out."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StartedShort(JobEvent):
    """The work goes on though something of the kit is missing; `reason` says why that is right."""

    KIND: ClassVar[str] = "started-short"
    missing: tuple[str, ...]
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class StepBegun(StepEvent):
    """Work on the step has begun."""

    KIND: ClassVar[str] = "step-begun"


@dataclass(frozen=True, slots=True, kw_only=True)
class CautionAcknowledged(StepEvent):
    """A caution was read; `digest` fixes the very words."""

    KIND: ClassVar[str] = "caution-acknowledged"
    caution: str
    digest: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingTaken(StepEvent):
    """A measurement, as typed and as understood, with the limits and verdict in force when it was taken."""

    KIND: ClassVar[str] = "reading"
    typed: str
    value: float | None = None
    """In the SI unit of `quantity`; None when the meter showed over-range."""
    over: bool = False
    quantity: str = ""
    what: str = ""
    low: float | None = None
    high: float | None = None
    near: float | None = None
    verdict: str = ""
    meter: str = ""
    meter_due: str = ""
    override: str = ""
    """Why a meter past its calibration date was used."""
    reason: str = ""
    """Why a second reading was taken: probe slipped, adjusted, part changed."""
    asked: str = ""
    """The question put before the reading was kept, where there was one."""
    twice: bool = False
    """One of two: the first stays out of sight until the second is kept."""
    blind: bool = False
    """The second of two, taken with the first reading out of sight."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ChoiceMade(StepEvent):
    """An answer was picked at a choose step, or a state confirmed at a checklist item."""

    KIND: ClassVar[str] = "choice"
    choice: str
    reason: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class StepDone(StepEvent):
    """The step is finished and its acceptance line is true."""

    KIND: ClassVar[str] = "step-done"


@dataclass(frozen=True, slots=True, kw_only=True)
class StepSkipped(StepEvent):
    """The step was left out for now; it stays on the list of open items."""

    KIND: ClassVar[str] = "step-skipped"
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class StepNotApplicable(StepEvent):
    """The step does not concern this unit."""

    KIND: ClassVar[str] = "step-not-applicable"
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class StepFailed(StepEvent):
    """The acceptance line is not true."""

    KIND: ClassVar[str] = "step-failed"
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class StepHeld(StepEvent):
    """The step waits for something outside the job: a part, a decision."""

    KIND: ClassVar[str] = "step-held"
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class StepReopened(StepEvent):
    """A mark was taken back, or what it proved no longer holds."""

    KIND: ClassVar[str] = "step-reopened"
    reason: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class MovedTo(StepEvent):
    """The builder went to another step."""

    KIND: ClassVar[str] = "moved-to"


@dataclass(frozen=True, slots=True, kw_only=True)
class NoteAdded(JobEvent):
    """A note on a step, or on the job as a whole when `step` is empty."""

    KIND: ClassVar[str] = "note"
    text: str
    step: str = ""
    urgent: bool = False
    """Shown, and to be read, before any later run of the same procedure."""


@dataclass(frozen=True, slots=True, kw_only=True)
class NoticeRead(JobEvent):
    """An urgent note of an earlier run was read; `note` is the id of its event."""

    KIND: ClassVar[str] = "notice-read"
    note: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FileAttached(JobEvent):
    """A picture or other file that belongs to the step, by name and SHA-256; the file itself stays where it is."""

    KIND: ClassVar[str] = "file-attached"
    name: str
    digest: str
    size: int
    step: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class TimerStarted(StepEvent):
    """A cure, soak or dwell began."""

    KIND: ClassVar[str] = "timer-started"
    seconds: float
    boot: str = ""
    boot_seconds: float = 0.0
    """The machine's own count at that moment, see `jobs.timers`."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TimerEnded(StepEvent):
    """The wait is over; `reason` is needed when it was cut short."""

    KIND: ClassVar[str] = "timer-ended"
    reason: str = ""
    known_by: str = ""
    """How it is known that the time has passed, where only a clock could tell; see `jobs.waits`."""
    boot: str = ""
    boot_seconds: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class SignedOff(StepEvent):
    """A name stands for something: did, inspected, self-check, released."""

    KIND: ClassVar[str] = "signed-off"
    name: str
    meaning: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Redlined(StepEvent):
    """The text of a step was changed for this job only; it becomes a proposal for the procedure."""

    KIND: ClassVar[str] = "redline"
    text: str
    reason: str
    until: str = ""
    """A date or a serial number up to which it is offered to other units as well; empty: this unit only."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CallOpened(StepEvent):
    """The call step went to another procedure, whose job is `called`."""

    KIND: ClassVar[str] = "call-opened"
    called: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CallReturned(StepEvent):
    """The called procedure came back; `result` is how its job was closed."""

    KIND: ClassVar[str] = "call-returned"
    called: str
    result: str
    shared: bool = False
    """It was gone through for another unit, and served this one too."""
    nothing: bool = False
    """Nothing was done in it, so that the step which called it is as it was; false in an event of an older program."""
    iron: str = ""
    """How it left the iron, "on" or "off"; empty where it does not say."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Suspended(JobEvent):
    """Work stopped. `next_act` and `bench` are what the builder said at that moment, if there was time to."""

    KIND: ClassVar[str] = "suspended"
    next_act: str = ""
    bench: tuple[str, ...] = ()
    """States of the bench that have to be answered for at the return: "power on", "iron hot"."""
    forced: bool = False
    """The program was ended from outside: terminal gone, lid shut."""
    elsewhere: bool = False
    """Another bench had the job in hand, as the last entry from there tells; nothing was ended here."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Resumed(JobEvent):
    """Work goes on; `answers` are what the builder found of each state left behind."""

    KIND: ClassVar[str] = "resumed"
    BEFORE: ClassVar[Mapping[str, Any]] = _BEFORE_RULES
    answers: tuple[str, ...] = ()
    checklist: str = ""
    """How a list goes on that was left in the midst, see `jobs.lists`; empty where that is not asked."""
    identify: bool = False
    """Other units are being worked on, so the serial number has to be read off this one before any mark."""
    rules: int = RULES
    """Rules its events are checked by from now on."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BenchSaid(JobEvent):
    """What is on, hot or loose at the bench was said while the work went on; what was said before holds no more."""

    KIND: ClassVar[str] = "bench-said"
    bench: tuple[str, ...] = ()
    off: tuple[str, ...] = ()
    """Hazards that a step has begun and that are over without the step that ends them, such as power-on."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RevisionMoved(JobEvent):
    """The job goes on by a newer text of its procedure; changed steps that were done are open again."""

    KIND: ClassVar[str] = "revision-moved"
    plan: str
    revision: int
    reason: str
    reopened: tuple[str, ...] = ()


NOTHING_DONE: Final = "closed with nothing done"
"""Result of a job that was begun by a slip: the unit is as it was before."""


@dataclass(frozen=True, slots=True, kw_only=True)
class JobClosed(JobEvent):
    """The job is over. With open items it needs a decision, and is then "closed with open items".

    One in which nothing was done is closed so, by a decision too, and leaves nothing open.
    """

    KIND: ClassVar[str] = "job-closed"
    result: str = "complete"
    decision: str = ""
    open_items: tuple[str, ...] = ()
    untouched: bool = False
    """The builder says that nothing of the unit was touched in it, and no mark of work stands in it."""


EVENTS: Final[Mapping[str, type[JobEvent]]] = {
    cls.KIND: cls
    for cls in list(globals().values())
    if isinstance(cls, type) and issubclass(cls, JobEvent) and cls.KIND
}
"""Kind, as the record names it, to the class of its events."""


def read_event(kind: str, data: Mapping[str, Any], *, kinds: Mapping[str, type[JobEvent]] = EVENTS) -> JobEvent | None:
    """The event of a kind and data from the record; None for a kind that is not among `kinds`.

    Raises:
        JobError: A field without a default is missing.
    """
    cls = kinds.get(kind)
    if cls is None:
        return None
    values: dict[str, Any] = {}
    for entry in fields(cls):
        if entry.name in data:
            value = data[entry.name]
            values[entry.name] = tuple(value) if isinstance(value, list) else value
        elif entry.name in cls.BEFORE:
            values[entry.name] = cls.BEFORE[entry.name]
        elif entry.default is MISSING:
            raise JobError(f"the record's event {kind!r} lacks its field {entry.name!r}")
    return cls(**values)
