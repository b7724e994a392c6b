"""A procedure as its file gives it: ordered steps, each doing one thing."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated, Final, Literal

from benchtui.content.nodes import load
from benchtui.content.reader import Heading, Scalar, Unit, read
from benchtui.errors import Place, Problem
from benchtui.units import Amount

if TYPE_CHECKING:
    from pathlib import Path

    import yaml

Act = Literal["do", "observe", "measure", "choose", "wait", "call", "sign"]
ACTS: Final[tuple[Act, ...]] = ("do", "observe", "measure", "choose", "wait", "call", "sign")


StepAbout = Literal["", "power", "unit", "firmware", "papers", "bare", "nothing"]
"""What a test is about that repeats over nothing: `power`, the supply and all that hangs on it, is what it is when
nothing is said. `bare` is the board or carrier alone, before the rest is on it.

At a do step, what of these it works on: all of them when nothing is said, and `nothing` for a photograph."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """What a measure step should read: a test point of the design, or a quantity with its own limits."""

    point: str = ""
    """Name of a test point; its limits are computed from the design."""
    subject: str = ""
    """Control, bank or bus of the point, where the step itself does not repeat over one."""
    position: str = ""
    """Position of the control, where the point has several: "low", "mid" or "high"."""
    quantity: str = ""
    """Kind of quantity for limits given here, such as "resistance"."""
    low: str = ""
    """Lowest good value with its unit."""
    high: str = ""
    """Highest good value with its unit."""
    what: str = ""
    """What is measured, for limits given here: "person to ground"."""
    where: str = ""
    """Where the probes go."""
    power: Literal["", "on", "off"] = ""
    """State of the unit while reading, for limits given here."""
    source: str = ""
    """Where limits given here are from."""
    place: Place


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """One answer of a choose step."""

    text: str
    verdict: Literal["pass", "fail"] = "pass"
    place: Place


@dataclass(frozen=True, slots=True, kw_only=True)
class Applies:
    """Which units a step is for; a rule left out lets every unit through."""

    hardware: tuple[str, ...] = ()
    """Hardware revisions."""
    options: tuple[str, ...] = ()
    """Fitted options, one of which the unit must have."""
    serials: str = ""
    """A range of unit numbers, both ends included: "4 to 9"."""
    place: Place


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One step. Exactly one of the seven acts is given, its text being the instruction."""

    id: str
    """Stable and never reused: the record refers to it."""
    section: str = ""
    """Heading carried on until the next."""
    do: str = ""
    """Do this."""
    observe: str = ""
    """Look, and see that it is so."""
    measure: str = ""
    """Take a reading; `reading` says of what and within what limits."""
    choose: str = ""
    """Answer with one of `choices`."""
    wait: str = ""
    """Let `time` pass."""
    call: str = ""
    """Id of a procedure that is gone through here; `why` tells why."""
    sign: str = ""
    """Confirm by name."""
    for_: str = ""
    """What the step repeats over: "each fader", "each control on J2", "each bank"."""
    detail: tuple[str, ...] = ()
    """Further lines under the instruction."""
    accept: str = ""
    """When the step is good."""
    uses: tuple[str, ...] = ()
    """Things used, from which hazards follow."""
    hazards: tuple[str, ...] = ()
    """Further hazards, by id of their caution."""
    reading: Reading | None = None
    choices: tuple[Annotated[Choice, Scalar("text")], ...] = ()
    time: Annotated[Amount, Unit("time")] | None = None
    """Length of a wait."""
    hold: bool = False
    """A hold point: work does not go on past it until it is done."""
    required: bool = False
    """A required test: it cannot be skipped."""
    witness: bool = False
    """A witness point: whoever looks on is written down, and the work goes on without anybody."""
    begins: str = ""
    """Id of the hazard that stands from here on."""
    ends: str = ""
    """Id of the hazard that ends here."""
    minutes: float = 0.0
    source: str = ""
    """Where a figure in the texts is from."""
    brief: str = ""
    """A short form for someone who has done it before."""
    why: str = ""
    """Reason of a call."""
    applies: Applies | None = None
    """Which units the step is for."""
    twice: str = ""
    """A reading is taken twice, the second time with the first out of sight: the most that the two may differ by, as a
    share of the larger ("2 %") or as an amount ("0.2 ohm"). More, and both are taken again."""
    tries: int = 0
    """Most times a reading may be taken before the step has failed; 0 for no limit."""
    stop: bool = False
    """Work can be left safely after this step."""
    no_break: bool = False
    """Not to be interrupted until the next step without this mark."""
    trace: Literal["", "lot", "serial", "firmware"] = ""
    """What the record asks of the part that is fitted here, or of the firmware that is loaded."""
    part: str = ""
    """What the part of a traced step is called: "fader"; empty where its subject or its text tells."""
    fits: str = ""
    """Where the parts of one bag go, asked once for all of them: a rule such as "each fader", "the
    multiplexer" for the only one or that of the control it is about, or "board"."""
    note: str = ""
    """What is written down in words before the step is done, as a noun: "weight of the unit with its lead"."""
    voids: tuple[str, ...] = ()
    """Ids of steps, of any procedure, whose proof this step makes void besides those of its subject."""
    loose: bool = False
    """The part is tried before it goes in: rework of the mounted part leaves what was found then as it is."""
    about: StepAbout = ""
    """What a test is about that repeats over nothing, and what of that a do step works on."""
    place: Place

    @property
    def act(self) -> Act:
        """What kind of step it is."""
        return next((act for act in ACTS if getattr(self, act)), "do")

    @property
    def text(self) -> str:
        """The instruction; for a call, the reason of it."""
        return self.why if self.act == "call" else str(getattr(self, self.act))

    @property
    def texts(self) -> tuple[str, ...]:
        """Every text of the step that a person reads and placeholders may stand in."""
        return tuple(text for text in (self.text, *self.detail, self.accept, self.brief, self.why, self.note) if text)


Proven = Literal["draft", "tried", "released"]
"""How far a text is proven: `draft`, written and gone through by nobody; `tried`, gone through, and what was found is
still being put in; `released`, to be relied on."""

Extent = Literal["control", "bank", "connector", "bus", "multiplexer", "unit", "nothing"]
"""What some work touches: the control it is about, or all that runs through the bank, plug, feed or chip of that one.
`nothing` is outside the unit, such as a lead."""

ControlKind = Literal["fader", "pot", "ribbon", "button-direct", "button-matrix", "toggle", "encoder", "lamp"]
"""Kinds of control, as a design names them."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Before:
    """What has to be there before the first step. Every heading is answered; `none` is an answer."""

    conditions: Annotated[tuple[str, ...], Heading()]
    tools: Annotated[tuple[str, ...], Heading()]
    parts: Annotated[tuple[str, ...], Heading()]
    materials: Annotated[tuple[str, ...], Heading()]
    place: Place


@dataclass(frozen=True, slots=True, kw_only=True)
class Procedure:
    """A whole procedure."""

    procedure: str
    """Id, stable and never reused."""
    title: str
    kind: Literal["assembly", "rework", "service"]
    revision: int
    """A whole number, raised at each change."""
    design: str
    """Id of the design it is for, or `any`."""
    purpose: str
    before: Before
    minutes: float
    after: Annotated[tuple[str, ...], Heading()]
    order: Literal["strict", "free", "any"] = "strict"
    """strict: one step after another; free: any open step, hold points keep their place; any: a plain list."""
    once: Literal["", "sitting"] = ""
    """`sitting`: it is about the bench and not about the unit, so one run of it serves every unit of a batch."""
    proven: Proven = "released"
    """How far its text is proven; what was done by one that is not released is marked so for life."""
    about: tuple[ControlKind, ...] = ()
    """Kinds of control that the one it is about may be ("fader", "lamp"); empty when its steps tell, or for any."""
    touches: tuple[Extent, ...] = ()
    """What its work touches, where that is not just the control it is about: its tests are void then."""
    put_back: str = ""
    """Id of the procedure that puts back what this one takes out of the unit, which does not leave before."""
    retired: tuple[str, ...] = ()
    """Ids of steps that were taken out. Records still refer to them, so no other step may ever bear one of them."""
    steps: tuple[Step, ...]
    place: Place

    @property
    def id(self) -> str:
        """The procedure's id."""
        return self.procedure


def load_procedure(path: Path) -> Procedure:
    """Read a procedure.

    Raises:
        ContentError: The file has problems; the error carries all of them.
    """
    return load(path, read_procedure)


def read_procedure(node: yaml.Node, *, file: str) -> tuple[Procedure | None, list[Problem]]:
    """A procedure from a node, with every problem its own file shows."""
    from benchtui.content.rules import own_problems

    value, problems = read(Procedure, node, file=file)
    if value is not None:
        problems.extend(own_problems(value))
    return value, sorted(problems)
