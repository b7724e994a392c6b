"""What is known of one step of a running job: its mark, its readings, and what was said about it."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Mapping


class Status(StrEnum):
    """The mark of a step; the value is the word shown."""

    OPEN = "open"
    BEGUN = "begun"
    DONE = "done"
    SKIPPED = "skipped"
    NOT_APPLICABLE = "not applicable"
    FAILED = "failed"
    HELD = "held"
    REOPENED = "reopened"


SHAPES: Final[Mapping[Status, tuple[str, str]]] = {
    Status.OPEN: ("○", "( )"),
    Status.BEGUN: ("◐", "(/)"),
    Status.DONE: ("●", "(x)"),
    Status.SKIPPED: ("»", "(>)"),
    Status.NOT_APPLICABLE: ("–", "(-)"),
    Status.FAILED: ("✗", "(!)"),
    Status.HELD: ("‖", "(=)"),
    Status.REOPENED: ("↺", "(o)"),
}
"""A shape for each mark, and the same in ASCII: begun is half of done, as a circle and a slash are on paper."""

SETTLED: Final = frozenset({Status.DONE, Status.SKIPPED, Status.NOT_APPLICABLE})
"""Marks that let the work go on to the next step."""

TO_DO: Final = frozenset({Status.OPEN, Status.BEGUN, Status.REOPENED})
"""Marks of a step that is waiting for the builder's hands."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """One reading of a step, as kept; `value` is None when the meter showed over-range."""

    typed: str
    value: float | None
    verdict: str
    quantity: str = ""
    meter: str = ""
    due: str = ""
    """Date the calibration of the meter runs out; empty when it has none."""
    override: str = ""
    """Why a meter past that date was used."""
    reason: str = ""
    asked: str = ""
    time: str = ""
    blind: bool = False
    """The second of two, taken with the first out of sight."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Note:
    """A note as written, with its time."""

    text: str
    time: str = ""
    urgent: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Timer:
    """A wait that has begun; see `jobs.timers` for how much of it is left."""

    seconds: float
    started: str
    boot: str = ""
    boot_seconds: float = 0.0
    ended: str = ""
    """Time it was ended; empty while it runs."""
    reason: str = ""
    """Why it was cut short."""
    known_by: str = ""
    """How it is known that its time has passed, where the machine could not tell by itself."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Earlier:
    """What a step had been proven by before it was opened again; kept for the record, and proof of nothing now."""

    timer: Timer | None = None
    signed: tuple[tuple[str, str], ...] = ()
    called: str = ""
    returned: str = ""
    fitted: tuple[str, ...] = ()
    witnessed: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class StepState:
    """The state of one step."""

    status: Status = Status.OPEN
    begun: str = ""
    done: str = ""
    readings: tuple[Reading, ...] = ()
    first: Reading | None = None
    """The first of two readings. It is among the readings once the second is there, so that nothing shows it before."""
    differ: bool = False
    """The last two readings are further apart than the step allows, so that both are taken again."""
    choice: str = ""
    reason: str = ""
    """Why it was skipped, failed, held or reopened."""
    notes: tuple[Note, ...] = ()
    files: tuple[tuple[str, str], ...] = ()
    """(name, SHA-256) of each file attached."""
    timer: Timer | None = None
    signed: tuple[tuple[str, str], ...] = ()
    """(name, meaning) of each signature."""
    witnessed: tuple[str, ...] = ()
    """Who looked on, at a witness point."""
    failed: str = ""
    """How it failed last, until it passes: a mark over it, such as skipped, does not make that go away."""
    called: str = ""
    """Job of the called procedure while it is open."""
    returned: str = ""
    """How the called procedure was closed."""
    redline: str = ""
    """The text in force for this job, where it was changed by hand."""
    redlined: str = ""
    """Why it was changed."""
    until: str = ""
    """A date or a serial number after which the text as written is in force again; empty: it holds for this job."""
    fitted: tuple[str, ...] = ()
    """Parts fitted at this step: lot or serial number, and what and where it is where the step does not say it.

    At a step that asks for a text in words, that text."""
    fresh: bool = False
    """Reopened since the last reading or answer, which no longer counts: it has to be given again."""
    excused: bool = False
    """What it proved was made void by other work, or its text changed: the next reading or answer is a first one."""
    since: int = 0
    """Readings taken before that happened the last time; how often it was tried is counted from there."""
    earlier: tuple[Earlier, ...] = ()
    """What it was proven by before it was opened again, oldest first."""

    @property
    def given(self) -> bool:
        """Something was done at it, so that it has something to lose when other work makes that void."""
        return bool(
            self.begun or self.readings or self.first or self.choice or self.timer or self.signed or self.fitted
        )

    @property
    def settled(self) -> bool:
        """The work may go on past this step."""
        return self.status in SETTLED

    @property
    def left_out(self) -> str:
        """That it was left out, and why; empty where it was not."""
        return f"{self.status}: {self.reason}" if self.status in (Status.SKIPPED, Status.NOT_APPLICABLE) else ""

    @property
    def asks_why(self) -> bool:
        """A reading taken now is a second one and needs a reason; so does another answer."""
        if self.first is not None or self.differ:
            return False
        return (bool(self.readings) or bool(self.choice)) and not self.excused

    @property
    def to_read(self) -> bool:
        """A reading has still to be taken: none is there that counts, or the second of two is missing."""
        return self.reading is None or self.fresh or self.first is not None or self.differ

    @property
    def tried(self) -> int:
        """How often the step was measured since other work last made it void; both of two readings are one try."""
        return sum(not reading.blind for reading in self.readings[self.since :])

    @property
    def in_sight(self) -> tuple[Reading, ...]:
        """Every reading there is, also a first one whose second will not be taken any more."""
        return self.readings if self.first is None else (*self.readings, self.first)

    @property
    def reading(self) -> Reading | None:
        """The reading that counts: the last one."""
        return self.readings[-1] if self.readings else None

    @property
    def verdict_text(self) -> str:
        """The verdict in words, naming a pass that was not the first try: "pass on reading 2"."""
        if not self.readings:
            return ""
        verdict = self.readings[-1].verdict
        again = len(self.readings) > 1 and any(reading.verdict == "fail" for reading in self.readings[:-1])
        return f"{verdict} on reading {len(self.readings)}" if again and verdict != "fail" else verdict
