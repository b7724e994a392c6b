"""What a person can do in a hunt, as a fault model writes it down: tests with their answers, repairs, work-arounds."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import ClassVar, Literal

from benchtui.content.procedure import Extent
from benchtui.errors import Place
from benchtui.faults.terms import Power, Scope

Reading = Literal[
    "", "inside", "below", "above", "outside", "all below", "first", "last", "same", "same low", "same high", "swapped"
]
"""What typed readings come to: all inside the limits; one below, above or outside them; all below; a travel that stops
short of its first or its last end; all the same although they should differ, in between, at the low or at the high
end; or each where another should be."""


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
        stop: What is said at once of such an answer, where a short is not the reason; sentences with their full stops.
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
    stop: str = ""
    mended: str = ""
    place: Place


@dataclass(frozen=True, slots=True, kw_only=True)
class KindException:
    """Likelihoods that differ for some kinds of control.

    Attributes:
        kinds: The kinds.
        finds: Probability of a finding under a fault, in place of the test's own.
        shares: Outcome to its part under particular faults, in place of its own `shares`.
    """

    kinds: tuple[str, ...]
    finds: Mapping[str, str] = field(default_factory=dict)
    shares: Mapping[str, Mapping[str, float]] = field(default_factory=dict)
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
        minutes_again: Time it takes to prove a repair, with the meter in hand and its places known; 0 for `minutes`.
        source: Where minutes and likelihoods are from; empty for the model's own source.
        access: Id of what must be open; empty when nothing.
        power: State of the power while reading.
        flexes: Whether it moves or warms what may be loose, so that what is open for good seldom answers to it.
        plugs: Whether its own words say when to unplug and when to plug in.
        disturbs: Whether it can change the fault, the wiring or the evidence.
        needs: Features the design must have.
        tools: What must be at hand.
        borrowed: Whether not every bench has those tools, so that "not at hand" is one more answer.
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
    minutes_again: float = 0.0
    source: str = ""
    access: str = ""
    power: Power = "on"
    flexes: bool = False
    plugs: bool = False
    disturbs: bool
    needs: tuple[str, ...] = ()
    tools: tuple[str, ...] = ()
    borrowed: bool = False
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
        voids: Ids of tests, of any procedure, that it makes void besides those of what it touches.
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
    voids: tuple[str, ...] = ()
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
        tools: What must be at hand.
        power: "on" when this unit plays on, so that it is never offered while a short may be inside; "off" when this
            unit stays unplugged, offered only then; "either" when another one takes its place, offered always.
        loses: What is lost by it.
        worth: Minutes of work one would give to avoid that loss.
        source: Where the minutes are from; empty for the model's own source.
        scopes: Extents it fits.
        kinds: Kinds it fits; empty for all.
        hazards: Cautions by id.
        again: How to try what stands in, with the show program open; empty for words that fit any.
        touches: What of the unit it touches, as for a repair; what is hunted on when it is left out.
        voids: Ids of tests that are void once it is undone, besides those of what it touches.
        takes: "bank" when it takes as many controls of another bank, not behind the same multiplexer; else nothing.
    """

    id: str
    title: str
    do: str
    detail: tuple[str, ...] = ()
    minutes: float
    tools: tuple[str, ...] = ()
    power: Power = "on"
    loses: str
    worth: float
    source: str = ""
    scopes: tuple[Scope, ...]
    kinds: tuple[str, ...] = ()
    hazards: tuple[str, ...] = ()
    again: str = ""
    touches: tuple[Extent, ...] = ()
    voids: tuple[str, ...] = ()
    takes: Literal["", "bank"] = ""
    place: Place
