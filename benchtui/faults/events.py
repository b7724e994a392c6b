"""What can happen in a hunt, as values that go into the record and come back from it unchanged."""

from __future__ import annotations

from dataclasses import asdict, dataclass, field, fields
from typing import TYPE_CHECKING, Any, Final, Literal

from benchtui.errors import JobError

if TYPE_CHECKING:
    from collections.abc import Mapping

Result = Literal["fixed", "work-around", "not reproduced", "open"]

CANNOT_TELL: Final = "cannot tell"
NOT_AT_HAND: Final = "not at hand"
"""Outcome that fits every test: it costs the time and says nothing."""


@dataclass(frozen=True, slots=True, kw_only=True)
class HuntStarted:
    """A hunt begins.

    Attributes:
        model: Id of the fault model, with `revision` and `digest` of the file as it was.
        design: Id of the design.
        scope: unit, bank, control or kind.
        subject: Control, bank or kind.
        title: For lists of jobs.
        target: What the hunt is about, as `benchtui.faults.target.Target.to_data` takes it apart.
        symptom: Id of what is reported.
        words: The report in the player's own words.
        conditions: When and where it shows.
        signs: Ids of what was noticed at once.
        deadline: Minutes to curtain; None when there is no hurry.
        weights: Weights learnt from the record, by fault, as they were when the hunt began; None for the model's own.
        sample: How many repairs stand behind the weights, in words.
        shows: Share of tries in which it showed before, as the player says; None where that was not asked or not known.
        locked: Whether another hunt on this unit has left a short inside, so that it is measured before anything else.
    """

    model: str
    revision: int = 0
    digest: str = ""
    design: str
    scope: str
    subject: str = ""
    title: str = ""
    target: Mapping[str, Any] = field(default_factory=dict)
    symptom: str = ""
    words: str = ""
    conditions: str = ""
    signs: tuple[str, ...] = ()
    deadline: float | None = None
    weights: Mapping[str, float] | None = None
    sample: str = ""
    shows: float | None = None
    locked: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class TestAnswered:
    """A test was made.

    Attributes:
        test: Its id.
        outcome: Id of the outcome, or "cannot tell".
        typed: Readings as they were typed.
        minute: Minutes since the hunt began; None counts the model's own estimate.
        before: Whether this was known already ("already tried that"), so that it costs no time now.
        parts: Outcome to share, where a reading near a limit speaks for more than one; empty for the outcome alone.
        asked: The question that was put about the last reading, and answered with "as typed"; empty for none.
        power: What it meant for the power: "forbids" it, "frees" it, or neither when empty; None in older records.
        meter: Id of the meter that the readings were taken with; empty where none was chosen, and in older records.
    """

    test: str
    outcome: str
    typed: tuple[str, ...] = ()
    minute: float | None = None
    before: bool = False
    parts: Mapping[str, float] = field(default_factory=dict)
    asked: str = ""
    power: str | None = None
    meter: str = ""
    __test__ = False  # keeps pytest from taking it for a class of tests


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingTyped:
    """One of the readings of a test was typed, and others are still to come or the answer is one by number.

    Attributes:
        test: Id of the test.
        typed: The reading as it was typed.
        asked: As for `TestAnswered`.
        meter: As for `TestAnswered`.
    """

    test: str
    typed: str
    asked: str = ""
    meter: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class PatternSeen:
    """What many controls show was said in one line; it counts as evidence at once and costs no time.

    Attributes:
        text: The line as it was said.
        words: What was understood.
        answers: Pairs of test and outcome that it amounts to.
        factors: How well it fits single faults, where the design can tell; only ratios count.
    """

    text: str
    words: str = ""
    answers: tuple[tuple[str, str], ...] = ()
    factors: Mapping[str, float] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class RepairDone:
    """A repair was carried out; the symptom is to be tried next.

    Attributes:
        repair: Its id in the model.
        note: What was found.
        touched: Ids of what it touched, as `benchtui.design.reach.reached` gives them; empty in older records.
        voids: Ids of tests that it makes void besides.
        walked: Name of the job that walked through it; empty where it was done without.
        minute: As for `TestAnswered`.
        before: It was made before the hunt began.
    """

    repair: str
    note: str = ""
    touched: tuple[str, ...] = ()
    voids: tuple[str, ...] = ()
    walked: str = ""
    minute: float | None = None
    before: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class TriedAgain:
    """The original symptom was tried again after a repair or a work-around.

    Attributes:
        gone: True when it is gone, False when it is still there, None when one cannot tell.
        tries: Clean tries made.
        minute: As for `TestAnswered`.
        unhealthy: Id of the test that proves the repair before any power and came out bad, so that nothing was plugged
            in and the symptom was not tried; empty for none.
    """

    gone: bool | None
    tries: int = 1
    minute: float | None = None
    unhealthy: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class NeighboursTried:
    """The neighbours were tried after a repair.

    Attributes:
        well: Whether all of them work.
        which: Id of the one that does not; empty where it was not said.
        left: Whether that one is left for a hunt of its own, instead of looking at the repair again.
        note: A remark.
        minute: As for `TestAnswered`.
    """

    well: bool
    which: str = ""
    left: bool = False
    note: str = ""
    minute: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkaroundDone:
    """The work-around was put in place."""

    workaround: str
    note: str = ""
    minute: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class NotPossible:
    """A move cannot be made here: a tool or a part is missing. Costs no time; the move drops out.

    Attributes:
        move: Its id.
        why: The reason, as typed.
        missing: Tools that are not at hand, so that every other move that wants one of them drops out as well.
    """

    move: str
    why: str = ""
    missing: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Withdrawn:
    """An earlier event is taken back.

    Attributes:
        event: Its number in the hunt, counted from 0 with the start; the last one that still stands when None.
        why: The reason.
    """

    event: int | None = None
    why: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Opened:
    """Something was opened or shut outside the moves themselves.

    Attributes:
        access: Id of the access.
        shut: Whether it was shut again.
    """

    access: str
    shut: bool = False
    minute: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class DeadlineSet:
    """The curtain time was set, moved or taken away.

    Attributes:
        minutes: Minutes from the start of the hunt to curtain; None for no deadline.
        minute: Minutes since the hunt began, by the clock. What was done before without a curtain time counts by the
            clock from then on, and not by the model's estimates; None in older records, which count on from those.
    """

    minutes: float | None
    minute: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PowerSaid:
    """Whether there is power where the unit is: while there is none, nothing that needs it is proposed."""

    there: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class ShortBeside:
    """Another hunt on the same unit found that a short may be inside, or that it is gone.

    Attributes:
        job: Name of the other hunt.
        found: Whether it may be inside; False when that hunt measured healthy, or took its answer back.
    """

    job: str
    found: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class CautionAcknowledged:
    """A caution before a move was read.

    Attributes:
        move: Id of the test, repair or work-around.
        caution: Id of the caution.
        digest: Digest of its text as it was shown.
    """

    move: str
    caution: str
    digest: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Noted:
    """A remark for the record."""

    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class HuntClosed:
    """The hunt ends.

    Attributes:
        result: fixed, work-around, not reproduced or open.
        found: What was found.
        done: What was done.
        parts: What was used up.
        fault: Id of the confirmed fault; empty when it is not known. Only a confirmed one is learnt from.
        conditions: When and where, for what could not be reproduced.
        locked: Whether a short may still be inside.
        touched: Ids of what the work-around touched, as for `RepairDone`; empty for what was hunted on.
        voids: Ids of tests that are void once the work-around is undone.
        minute: As for `TestAnswered`.
    """

    result: Result
    found: str = ""
    done: str = ""
    parts: str = ""
    fault: str = ""
    conditions: str = ""
    locked: bool = False
    touched: tuple[str, ...] = ()
    voids: tuple[str, ...] = ()
    minute: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class WalkOpened:
    """A repair was opened step by step, as a job of its own.

    Attributes:
        procedure: Id of the rework procedure.
        job: Name of the job.
    """

    procedure: str
    job: str


HuntEvent = (
    HuntStarted
    | TestAnswered
    | ReadingTyped
    | PatternSeen
    | RepairDone
    | TriedAgain
    | NeighboursTried
    | WorkaroundDone
    | NotPossible
    | Withdrawn
    | Opened
    | DeadlineSet
    | PowerSaid
    | ShortBeside
    | CautionAcknowledged
    | Noted
    | WalkOpened
    | HuntClosed
)

KINDS: Final[Mapping[str, type[Any]]] = {
    "hunt-started": HuntStarted,
    "hunt-test": TestAnswered,
    "hunt-reading": ReadingTyped,
    "hunt-pattern": PatternSeen,
    "hunt-repair": RepairDone,
    "hunt-again": TriedAgain,
    "hunt-neighbours": NeighboursTried,
    "hunt-workaround": WorkaroundDone,
    "hunt-not-possible": NotPossible,
    "hunt-withdrawn": Withdrawn,
    "hunt-opened": Opened,
    "hunt-deadline": DeadlineSet,
    "hunt-power": PowerSaid,
    "hunt-short": ShortBeside,
    "hunt-caution": CautionAcknowledged,
    "hunt-note": Noted,
    "hunt-walk": WalkOpened,
    "hunt-closed": HuntClosed,
}
"""Kind of event in the record to its class."""

TIMED = (TestAnswered, RepairDone, TriedAgain, NeighboursTried, WorkaroundDone, Opened, HuntClosed)
"""Events that carry the minute at which they happened."""

_NAMES: Final = {cls: name for name, cls in KINDS.items()}


def kind_of(event: HuntEvent) -> str:
    """The kind under which the record keeps an event."""
    return _NAMES[type(event)]


def to_data(event: HuntEvent) -> dict[str, Any]:
    """The event as plain JSON values."""
    return {key: _plain(value) for key, value in asdict(event).items()}


def from_data(kind: str, data: Mapping[str, Any]) -> HuntEvent:
    """The event that `to_data` took apart. Keys that this version does not know are passed over.

    Raises:
        JobError: There is no such kind of event, or a value it needs is missing.
    """
    cls = KINDS.get(kind)
    if cls is None:
        raise JobError(f"the record holds a kind of fault-finding event that is not known here: {kind!r}")
    known = {item.name for item in fields(cls)}
    values = {key: _frozen(value) for key, value in data.items() if key in known}
    try:
        event: HuntEvent = cls(**values)
    except TypeError as error:
        raise JobError(f"a {kind!r} event of the record is incomplete", hint=str(error)) from error
    return event


def _plain(value: Any) -> Any:
    return [_plain(each) for each in value] if isinstance(value, tuple) else value


def _frozen(value: Any) -> Any:
    return tuple(_frozen(each) for each in value) if isinstance(value, list) else value
