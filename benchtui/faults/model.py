"""A fault model: what can be wrong, how to tell, and what to do about it, as a builder writes it down.

The dataclasses mirror the file; `benchtui.faults.reading` fills them in and checks what one field cannot know of
another. A model says nothing about one particular unit: `benchtui.faults.layout` picks what bears on one symptom of
one control and turns it into numbers.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import ClassVar, Final, Literal

from benchtui.content.procedure import Extent
from benchtui.errors import Place

Scope = Literal["unit", "bank", "control", "kind"]
Power = Literal["on", "off", "either"]
Reading = Literal[
    "", "inside", "below", "above", "outside", "first", "last", "same", "same low", "same high", "swapped"
]
"""What typed readings come to: all inside the limits; one below, above or outside them; the first or the last of
several outside; all the same although they should differ, in between, at the low or at the high end; or each where
another should be."""

SCOPES: Final = ("unit", "bank", "control", "kind")
KINDS: Final = ("pot", "fader", "ribbon", "button-direct", "button-matrix", "toggle", "encoder", "lamp")
FEATURES: Final = ("multiplexer", "matrix", "hold-mode", "lamps")
"""What a design may have or lack that decides whether a fault or a test makes sense."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Access:
    """Something that must be opened before moves behind it can be made.

    Attributes:
        id: Name that tests and repairs use.
        title: What it is, for "opens the lid".
        do: How to open it.
        minutes: Time it takes, once.
        shut: How to shut it again.
        close: Minutes that shutting it takes; they are kept back before curtain.
        inside: Id of the access that lies around it; empty for none.
        not_within: Minutes to curtain below which it stays shut.
        uses: Things used, from which cautions follow.
        hazards: Further cautions by id.
    """

    id: str
    title: str
    do: str
    minutes: float
    shut: str = ""
    close: float = 0.0
    inside: str = ""
    not_within: float = 0.0
    uses: tuple[str, ...] = ()
    hazards: tuple[str, ...] = ()
    place: Place


@dataclass(frozen=True, slots=True, kw_only=True)
class Sign:
    """Something noticed at once that puts tests before all others, because the next power-on could do harm.

    Attributes:
        id: Name.
        text: What was noticed.
        first: Ids of the tests that come first, in this order, those that fit the subject; nothing that powers the unit
            is proposed before all of them came out healthy.
        why: The reason, said with the proposal.
        likely: How likely the sign is under a fault (word or number). Faults left out: `otherwise`.
        otherwise: For the faults left out; with nothing in `likely` the sign says nothing of the faults.
        source: Where the likelihoods are from; empty for the model's own source.
    """

    id: str
    text: str
    first: tuple[str, ...]
    why: str
    likely: Mapping[str, str] = field(default_factory=dict)
    otherwise: str = "never"
    source: str = ""
    place: Place


@dataclass(frozen=True, slots=True, kw_only=True)
class Symptom:
    """What the player reports.

    Attributes:
        id: Name.
        title: In the player's words.
        scopes: Extents it can be chosen for.
        kinds: Kinds of control it can befall; empty for all.
        again: How to try for it again after a repair.
        minutes: Of one such try; 0 for the model's `try-again`.
        tries: Clean tries that are asked for when it shows every time; more are computed when it comes and goes.
        shows: Fraction of tries in which it shows, from 0 to 1; 1 for a symptom that is simply there.
        same_as: Id of a test whose finding this is, so that the test need not be made again; empty for none.
        finding: Outcome of that test that it equals; empty for any finding.
        likely: How likely the report is under a fault (word or number). Faults left out: `otherwise`.
        otherwise: For the faults left out, when there is no `same_as`.
        passing: Whether it comes and goes, so that a lead that is open for good cannot make it.
    """

    id: str
    title: str
    scopes: tuple[Scope, ...]
    kinds: tuple[str, ...] = ()
    again: str
    minutes: float = 0.0
    tries: int = 1
    shows: float = 1.0
    same_as: str = ""
    finding: str = ""
    likely: Mapping[str, str] = field(default_factory=dict)
    otherwise: str = "seldom"
    passing: bool = False
    place: Place


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """One thing that can be wrong.

    Attributes:
        id: Name, never reused.
        title: What is wrong.
        short: The same in a few words, for the middle of a sentence.
        reported: What the player says.
        scopes: Extents of trouble it explains.
        kinds: Kinds of control it can befall; empty for all.
        needs: Features the design must have.
        weight: Share among all faults of the model, in any unit; only ratios count.
        source: Where the weight is from; empty for the model's own source.
        spot: Where in the design it sits, in words with placeholders; empty when it has no spot.
    """

    id: str
    title: str
    short: str
    reported: str
    scopes: tuple[Scope, ...]
    kinds: tuple[str, ...] = ()
    needs: tuple[str, ...] = ()
    weight: float
    source: str = ""
    spot: str = ""
    place: Place


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """One answer to a test.

    Attributes:
        id: Name.
        text: The answer as the person would give it.
        finding: Whether this answer is a finding (something is not right).
        reading: Which typed readings mean this answer, see `Reading`; empty when none do.
        share: Its usual part among the answers of the same finding, in any unit.
        shares: The part under particular faults, where it differs.
        settles: Ids of tests that this answer makes needless: they would say the same again, or cannot be made.
        locks: Ids of tests that have to come out healthy before the unit is powered again, because this answer may mean
            a short; those that fit the subject.
        mended: Id of the repair that this answer says is in place, because test and repair are one act ("another
            lead"): the symptom is tried next. The healthy answer to such a test says that this repair does not help.
    """

    id: str
    text: str
    finding: bool
    reading: Reading = ""
    share: float = 1.0
    shares: Mapping[str, float] = field(default_factory=dict)
    settles: tuple[str, ...] = ()
    locks: tuple[str, ...] = ()
    mended: str = ""
    place: Place


@dataclass(frozen=True, slots=True, kw_only=True)
class KindException:
    """Likelihoods of a finding that differ for some kinds of control."""

    kinds: tuple[str, ...]
    finds: Mapping[str, str]
    place: Place


@dataclass(frozen=True, slots=True, kw_only=True)
class Test:
    """One test.

    Attributes:
        id: Name, never reused.
        title: Short name.
        do: What to do, as one instruction.
        detail: Further lines: conditions, limits to the force, what to note.
        undo: What has to be put back after it, as one instruction, such as a lead that was lifted for it; it is said
            before the next test, before power and at the close. Empty when it leaves everything as it was.
        minutes: Time it takes, opening not included.
        source: Where minutes and likelihoods are from; empty for the model's own source.
        access: Id of what must be open; empty when nothing.
        power: State of the power while reading.
        flexes: Whether it moves or warms what may be loose, so that what is open for good seldom answers to it.
        plugs: Whether its own words say when to unplug and when to plug in.
        disturbs: Whether it can change the fault, the wiring or the evidence.
        needs: Features the design must have.
        tools: What must be at hand.
        scopes: Extents it makes sense for; empty for all.
        after: Ids of tests that come before it; it is not proposed until they are answered, where they fit.
        kinds: Kinds of control it fits; empty for all.
        hold: Kinds it fits only with a firmware hold mode.
        points: Kind of control to the design's test points to be read, in order.
        measures: What it measures, where the circuit of a design can answer it; see `benchtui.faults.dictionary`.
        uses: Things used, from which cautions follow.
        hazards: Further cautions by id.
        outcomes: The answers. "Cannot tell" is always one more.
        finds: Probability of a finding under a fault (word or number). Faults left out: the model's `rare`.
        exceptions: Where that differs by kind.
        repeat: Whether a second look is a fresh one, or says again what the first one said.
        one_by_one: Whether it is made at one place at a time, so that a hunt has one for each control suspected.
        at: Id of the control that it is made on, where that is not the one hunted on. Worked out from the design and
            never written in a file.
    """

    id: str
    title: str
    do: str
    detail: tuple[str, ...] = ()
    undo: str = ""
    minutes: float
    source: str = ""
    access: str = ""
    power: Power = "on"
    flexes: bool = False
    plugs: bool = False
    disturbs: bool
    needs: tuple[str, ...] = ()
    tools: tuple[str, ...] = ()
    scopes: tuple[Scope, ...] = ()
    after: tuple[str, ...] = ()
    kinds: tuple[str, ...] = ()
    hold: tuple[str, ...] = ()
    points: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    measures: str = ""
    uses: tuple[str, ...] = ()
    hazards: tuple[str, ...] = ()
    outcomes: tuple[Outcome, ...]
    finds: Mapping[str, str]
    exceptions: tuple[KindException, ...] = ()
    repeat: Literal["once", "fresh"] = "once"
    one_by_one: bool = False
    at: str = ""
    place: Place
    __test__: ClassVar[bool] = False  # keeps pytest from taking it for a class of tests


@dataclass(frozen=True, slots=True, kw_only=True)
class Repair:
    """One thing to put right.

    Attributes:
        id: Name.
        title: Short name.
        do: What to do.
        detail: Further lines.
        minutes: Time it takes, opening not included.
        source: Where the minutes are from; empty for the model's own source.
        access: Id of what must be open; empty when nothing.
        power: State of the power while working; "on" also for what can only be done with the unit plugged in.
        plugs: Whether its own words say when to unplug and when to plug in.
        tools: What must be at hand.
        parts: What is used up.
        uses: Things used, from which cautions follow.
        hazards: Further cautions by id.
        cures: How surely it cures a fault (word or number). Only the faults it can cure.
        kinds: Kinds of control it fits; empty for all.
        scopes: Extents it fits; empty for all.
        prove: What to test after it besides the symptom, by test id.
        procedure: Id of the rework procedure that walks through it; empty for none.
        touches: What of the unit it touches, so that the tests of that are void; the whole unit when it is left out.
        one_by_one: Whether it mends one place at a time, so that a hunt has one for each control suspected.
        at: Id of the control that it is made on, where that is not the one hunted on. Worked out from the design and
            never written in a file.
    """

    id: str
    title: str
    do: str
    detail: tuple[str, ...] = ()
    minutes: float
    source: str = ""
    access: str = ""
    power: Power = "off"
    plugs: bool = False
    tools: tuple[str, ...] = ()
    parts: tuple[str, ...] = ()
    uses: tuple[str, ...] = ()
    hazards: tuple[str, ...] = ()
    cures: Mapping[str, str]
    kinds: tuple[str, ...] = ()
    scopes: tuple[Scope, ...] = ()
    prove: tuple[str, ...] = ()
    procedure: str = ""
    touches: tuple[Extent, ...] = ("unit",)
    one_by_one: bool = False
    at: str = ""
    place: Place


@dataclass(frozen=True, slots=True, kw_only=True)
class Workaround:
    """A way to get through the show without curing anything.

    Attributes:
        id: Name.
        title: Short name.
        do: What to do.
        detail: Further lines.
        minutes: Time it takes.
        power: "on" when this unit plays on, so that it is never offered while a short may be inside; "off" when this
            unit stays unplugged, offered only then; "either" when another one takes its place, offered always.
        loses: What is lost by it.
        worth: Minutes of work one would give to avoid that loss.
        source: Where the minutes are from; empty for the model's own source.
        scopes: Extents it fits.
        kinds: Kinds it fits; empty for all.
        hazards: Cautions by id.
        again: How to try what stands in, with the show program open; empty for words that fit any.
        takes: "bank" when it takes as many controls of another bank, not behind the same multiplexer; else nothing.
    """

    id: str
    title: str
    do: str
    detail: tuple[str, ...] = ()
    minutes: float
    power: Power = "on"
    loses: str
    worth: float
    source: str = ""
    scopes: tuple[Scope, ...]
    kinds: tuple[str, ...] = ()
    hazards: tuple[str, ...] = ()
    again: str = ""
    takes: Literal["", "bank"] = ""
    place: Place


@dataclass(frozen=True, slots=True, kw_only=True)
class PatternRule:
    """What a line about many controls ("none of them reaches zero") says in terms of a test.

    Attributes:
        shape: Sort of line, see `benchtui.faults.patterns`; "copies" and "own" for readings with and without equals,
            "held-own" and "held-other" for a press of the control hunted on, or of another one, while others are held.
        test: Id of the test that it answers.
        outcome: Id of the outcome.
    """

    shape: Literal[
        "copies",
        "own",
        "short-low",
        "short-high",
        "moves",
        "stays-low",
        "stays-high",
        "wanders",
        "dead",
        "held-own",
        "held-other",
    ]
    test: str
    outcome: str
    place: Place


@dataclass(frozen=True, slots=True, kw_only=True)
class Rate:
    """How often one sort of part or joint fails, for faults that are worked out from a design and for spares.

    Attributes:
        what: Sort of part: joint, wire, crimp, connector, fader, pot, ribbon, button, toggle, encoder, diode, lamp,
            resistor, multiplexer, pin, bridge, board or lead.
        rate: Failures per million hours, on tour.
        hand: Whether it is made by hand, so that the workmanship factor applies.
        modes: Share of each way to fail.
        source: Where rate and shares are from.
    """

    what: str
    rate: float
    hand: bool = False
    modes: Mapping[str, float] = field(default_factory=dict)
    source: str
    place: Place


@dataclass(frozen=True, slots=True, kw_only=True)
class FaultModel:
    """A whole model.

    Attributes:
        fault_model: Id.
        title: What it is for.
        revision: A whole number, raised at each change.
        design: Id of the design it is for, or "any".
        purpose: What it covers and what not.
        source: Where its numbers are from, for the reader.
        unknown: Share of the unknown cause.
        rare: Probability of a finding where a test says nothing about a fault.
        try_again: Minutes to try the input again after a repair.
        conditions: What must hold before the hunt begins.
        workmanship: How much oftener a joint made by hand fails than an inspected one.
        rates: How often parts and joints fail.
    """

    fault_model: str
    title: str
    revision: int
    design: str
    purpose: str
    source: str
    unknown: float
    rare: float
    try_again: float
    conditions: tuple[str, ...]
    access: tuple[Access, ...]
    signs: tuple[Sign, ...]
    symptoms: tuple[Symptom, ...]
    faults: tuple[Fault, ...]
    tests: tuple[Test, ...]
    repairs: tuple[Repair, ...]
    workarounds: tuple[Workaround, ...]
    patterns: tuple[PatternRule, ...] = ()
    workmanship: float = 1.0
    rates: tuple[Rate, ...] = ()
    place: Place

    def fault(self, id: str) -> Fault:
        """The fault of that id. Raises KeyError when there is none."""
        return next(fault for fault in self.faults if fault.id == id)
