"""The plan of a job: every step a procedure or checklist asks for on one unit, with all its texts filled in.

A plan holds plain values only. It is kept in the record as text when a job starts, so that a job shows the words,
limits and cautions it was started with, whatever happens to the files afterwards.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Final, Literal

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

Act = Literal["do", "observe", "measure", "choose", "wait", "call", "sign"]
Order = Literal["strict", "free", "any"]

BUILDS: Final = ("assembly", "rework")
"""Kinds of procedures that build a unit, or change what was built."""

SETTLING_ACTS: Final = frozenset({"observe", "measure", "choose", "sign"})
"""Acts that prove something about the unit; rework may make what they proved void."""

_NO_WORK: Final = ("papers", "nothing")
"""What a do step says that it is about where it touches nothing of the unit."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Subject:
    """What a repeated step is about: a control, bank, connector, bus, kind of wire or group of wires of the design."""

    id: str
    kind: str
    title: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Wire:
    """One wire of a step, as the wiring list gives it; every field is text ready to show."""

    id: str
    control: str = ""
    lug: str = ""
    lug_name: str = ""
    role: str = ""
    colour: str = ""
    gauge: str = ""
    start: str = ""
    end: str = ""
    pin: str = ""
    length: str = ""
    """Length to cut; only in steps that speak of cutting."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Caution:
    """A safety message of a step, with the words the builder acknowledges."""

    id: str
    signal: str
    """DANGER, WARNING, CAUTION or NOTICE."""
    hazard: str
    avoid: str = ""
    consequence: str = ""
    first_aid: str = ""
    source: str = ""
    person: bool = False
    """The hazard is to a person: it has to be acknowledged before the step opens."""
    spans: bool = False
    """The hazard can stand over several steps and is then named in the header."""

    @property
    def digest(self) -> str:
        """SHA-256 of the words, as recorded with each acknowledgement."""
        words = "\n".join((self.signal, self.hazard, self.avoid, self.consequence, self.first_aid))
        return hashlib.sha256(words.encode()).hexdigest()


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """What a measurement should read. All values are in the SI unit of `kind`; None means no limit on that side."""

    what: str
    where: str = ""
    kind: str
    low: float | None = None
    nominal: float | None = None
    high: float | None = None
    near: float | None = None
    """Width of the near-limit band inside each limit; None leaves it to the meter in use."""
    text: str = ""
    """The limits in words, in the unit a meter shows: "8.0 kΩ to 12.0 kΩ"."""
    working: tuple[str, ...] = ()
    sources: tuple[str, ...] = ()
    power: str = ""
    """"off" or "on": the state of the unit the reading is taken in."""
    point: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """One answer of a choose step, and the verdict that follows from it."""

    text: str
    verdict: Literal["pass", "fail"] = "pass"


HOLD: Final = "hold point"
"""What a step with `hold` is called."""

TEST: Final = "required test"
"""What a step with `required` is called."""

CALL: Final = "required procedure"
"""The same where the step calls a procedure that has a hold point or a required test."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanStep:
    """One step on one subject."""

    key: str
    """Step id, with "@" and the subject's id where the step repeats: "solder-lugs@F3"."""
    step_id: str
    number: int
    """Position in the plan, from 1; shown to the builder, never stored as an identity."""
    act: Act
    section: str = ""
    text: str
    subject: Subject | None = None
    brief: str = ""
    detail: tuple[str, ...] = ()
    accept: str = ""
    cautions: tuple[Caution, ...] = ()
    limits: Limits | None = None
    choices: tuple[Choice, ...] = ()
    response: str = ""
    """What a checklist item is answered with: the state or value to be found."""
    seconds: float = 0.0
    """Length of a wait."""
    hold: bool = False
    required: bool = False
    witness: bool = False
    """A witness point: whoever looks on is written down, and the work goes on without anybody."""
    critical: bool = False
    """A critical line of a checklist: what it guards against hurts or destroys, so it is answered and not left out."""
    minutes: float = 0.0
    wires: tuple[Wire, ...] = ()
    begins: str = ""
    ends: str = ""
    """Ids of hazards that stand from this step on, or up to it."""
    source: str = ""
    call: str = ""
    """Id of the procedure a call step goes to."""
    why: str = ""
    repeat: tuple[int, int] = (1, 1)
    """(n, of) among the repeats of the same step."""
    uses: tuple[str, ...] = ()
    touches: tuple[str, ...] = ()
    """Ids of what the step is about, its subject and what that runs through (plug, chip, feeds); empty: the unit."""
    twice: str = ""
    """A reading is taken twice, the second time with the first out of sight: the most they may differ by, in words."""
    apart: float = 0.0
    """The same as a share of the larger one where it is in %, or else in the SI unit of the limits."""
    tries: int = 0
    """How often the step may be tried until it passes; 0 for no limit."""
    stop: bool = False
    """Work can be left safely after this step."""
    no_break: bool = False
    """Not to be interrupted between this step and the next."""
    trace: Literal["", "lot", "serial", "firmware", "text"] = ""
    """What the record asks of the part that is fitted here, or of the firmware that is loaded; or a text in words."""
    part: str = ""
    """What that part is called, or what the text is of; empty where the subject or the text of the step tells."""
    fits: tuple[str, ...] = ()
    """Ids of where the parts of one bag go, asked for once here; empty for the subject alone."""
    voids: tuple[str, ...] = ()
    """Ids of steps, of any procedure, whose proof this step makes void."""
    loose: bool = False
    """The step tries a part before it goes in; only another part in its place makes that void."""
    about: Literal["", "power", "unit", "firmware", "papers", "bare", "nothing"] = ""
    """What a test without a subject is about, so that only work on that makes it void; empty: power.

    At a do step, what of that it works on; empty: all of it, and its subject."""
    again: tuple[str, str] = ("", "")
    """(id of a procedure, key there) of the step that this one does again; empty ids where it does none again."""
    static: bool = False
    """The step handles loose parts that static can kill, so the wrist strap must have been tested in this sitting."""

    @property
    def is_work(self) -> bool:
        """Something is done to the unit in it, and it is not only tested, or switched on and off for a test."""
        return self.act == "do" and self.touches_unit

    @property
    def touches_unit(self) -> bool:
        """It neither switches on or off for a test nor says that it is about nothing of the unit."""
        return not (self.begins or self.ends or self.about in _NO_WORK)

    @property
    def proves(self) -> bool:
        """The step settles something about the unit that rework can make void."""
        return self.act in SETTLING_ACTS

    @property
    def must(self) -> bool:
        """The step can be neither skipped nor called not applicable."""
        return bool(self.duty)

    @property
    def duty(self) -> str:
        """Why the step can be neither skipped nor called not applicable, in words; empty where it can."""
        if self.hold:
            return HOLD
        if self.critical:
            return "critical line"
        if self.required:
            return CALL if self.act == "call" else TEST
        return ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Before:
    """The preliminary page: every heading has lines, or none by the author's own word."""

    conditions: tuple[str, ...] = ()
    tools: tuple[str, ...] = ()
    parts: tuple[str, ...] = ()
    materials: tuple[str, ...] = ()

    @property
    def empty(self) -> bool:
        """Nothing stands on it, so nobody has to go through it."""
        return not (self.conditions or self.tools or self.parts or self.materials)


@dataclass(frozen=True, slots=True, kw_only=True)
class Hidden:
    """A step of the procedure that is not for this unit, and why."""

    step_id: str
    text: str
    because: str


UNPROVEN: Final[Mapping[str, str]] = {"draft": ", DRAFT", "tried": ", ON TRIAL", "released": ""}
"""What stands after a revision whose text is not released, so that nobody takes it for one that is proven."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """All steps of one job in order, and what has to be true before and after."""

    kind: Literal["procedure", "checklist"]
    id: str
    title: str
    revision: int
    digest: str
    """SHA-256 of the procedure's file as it was."""
    proven: Literal["draft", "tried", "released"] = "released"
    """How far its text is proven, as its file says."""
    design_id: str = ""
    design_title: str = ""
    design_revision: str = ""
    design_digest: str = ""
    subject: str = ""
    """The one control, bank or connector the whole job is about, where it is about one."""
    touched: tuple[str, ...] = ()
    """Ids of what the work touches, where its procedure says so; "all" for everything."""
    put_back: str = ""
    """Id of the procedure that puts back what this one takes out; the unit does not leave before it."""
    procedure_kind: str = ""
    """assembly, rework or service; read-do or do-confirm for a checklist."""
    purpose: str = ""
    order: Order = "strict"
    minutes: float = 0.0
    before: Before = field(default_factory=Before)
    after: tuple[str, ...] = ()
    steps: tuple[PlanStep, ...] = ()
    hidden: tuple[Hidden, ...] = ()
    """Steps left out for this unit."""
    places: Mapping[str, int] = field(init=False, repr=False, compare=False, default_factory=dict)
    """Key of a step to its place in `steps`, from 0."""

    def __post_init__(self) -> None:
        # Folding a long job asks for a step at every event; a search through the steps would make it quadratic.
        object.__setattr__(self, "places", {step.key: place for place, step in enumerate(self.steps)})

    def __iter__(self) -> Iterator[PlanStep]:
        return iter(self.steps)

    def __len__(self) -> int:
        return len(self.steps)

    @property
    def edition(self) -> str:
        """Its revision in words, and how far the text is proven where it is not released: "revision 3, DRAFT"."""
        return f"revision {self.revision}{UNPROVEN[self.proven]}"

    def has(self, key: str) -> bool:
        """Whether there is a step of that key."""
        return key in self.places

    def step(self, key: str) -> PlanStep:
        """The step of that key.

        Raises:
            KeyError: There is none.
        """
        return self.steps[self.places[key]]

    def numbered(self) -> Plan:
        """The same with its steps numbered from 1 in their order, for one that some were taken out of by hand."""
        if all(step.number == number for number, step in enumerate(self.steps, start=1)):
            return self
        return replace(
            self, steps=tuple(replace(step, number=number) for number, step in enumerate(self.steps, start=1))
        )

    def repeats(self, step_id: str) -> tuple[PlanStep, ...]:
        """All repeats of one step of the procedure, in order: the cells of its grid."""
        return tuple(step for step in self.steps if step.step_id == step_id)
