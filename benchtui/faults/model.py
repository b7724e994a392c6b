"""A fault model: what can be wrong, how to tell, and what to do about it, as a builder writes it down.

The dataclasses mirror the file; `benchtui.faults.reading` fills them in and checks what one field cannot know of
another. A model says nothing about one particular unit: `benchtui.faults.layout` picks what bears on one symptom of
one control and turns it into numbers.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from benchtui.errors import Place
from benchtui.faults.model_moves import KindException, Outcome, Reading, Repair, Test, Workaround
from benchtui.faults.terms import FEATURES, KINDS, SCOPES, Power, Scope

__all__ = [
    "FEATURES",
    "KINDS",
    "SCOPES",
    "Access",
    "Fault",
    "FaultModel",
    "KindException",
    "Outcome",
    "PatternRule",
    "Power",
    "Rate",
    "Reading",
    "Repair",
    "Scope",
    "Sign",
    "Symptom",
    "Test",
    "Workaround",
]


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
        seen_by: Id of a test that would see it as well, so that a fault of the circuit which leaves that test healthy
            is hardly behind it, whatever its class says; empty for none.
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
    seen_by: str = ""
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
