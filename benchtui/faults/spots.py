"""Every place of a design where a fault of a known class can sit: each joint, wire, contact, part and bridge.

A spot is one fault of one class at one place ("F20@F3.2": a bad joint at lug 2 of F3), with what it does to the
circuit. Classes are those of the hand-written model, which says what no circuit can tell: how it behaves when it is
tapped, which repair it wants. Weights follow from how often such a joint or part fails.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Final

from benchtui.design.circuit.elements import Bridge, Open, Short, Worse
from benchtui.design.wiring import wires

if TYPE_CHECKING:
    from collections.abc import Iterator

    from benchtui.design.model import Design
    from benchtui.design.wiring import WireRun
    from benchtui.faults.model import FaultModel

BAD_JOINT: Final = 200.0
"""Ohms of a common joint that has gone resistive: between the 50 and 500 ohm of the trade notes' bank tables."""

BAD_RETURN: Final = 20e3
"""Ohms of a common return of switches that has gone so bad that a pull-up of 10 kohm is no longer pulled low. Less
shows nowhere but on a meter. Our own choice."""

BAD_LAMP_RETURN: Final = 1e3
"""Ohms of a common return of lamps that leaves them hardly lit beside a usual 270 ohm. Our own choice."""

WRONG_VALUE: Final = (0.1, 10.0)
"""What a wrongly fitted part is of the right one: 1 kohm or 100 kohm for 10 kohm, the usual mix-up."""

BAD_CONTACT: Final = 100e3
"""Ohms of an oxidised contact at the moments when it does not make: more than twice a usual pull-up. Our own choice."""

NEVER_CLOSES: Final = 0.25
"""Share of the open contacts of the handbook that never close; the rest makes at times. Estimate."""

LASTING: Final = 0.3
"""Share of open joints and wires that are open for good; the rest comes and goes. With half of the readings of those,
a still reading finds 0.3 + 0.7 / 2 = 0.65 of all, the 6 to 7 of 10 of the trade notes. Estimate."""

RETURN_ROLES: Final = ("common", "push-common", "cathode")
"""Roles of a lug through which a switch, encoder or lamp is fed in common with others."""

SIGNAL_ROLES: Final = ("signal", "contact", "a", "b", "push", "anode")
"""Roles of a lug whose wire carries a signal of its own."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Exchange:
    """Two leads of a control swapped at its lugs: what hangs on one role hangs on the other."""

    control: str
    one: str
    other: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Value:
    """A part of another value: the element of a control times a factor."""

    control: str
    factor: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Channels:
    """A select line that is stuck or exchanged: which channel each channel shows."""

    multiplexer: str
    reads: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Deaf:
    """A channel of a multiplexer that is cut off behind its input: it reads at random, whatever its pin shows."""

    multiplexer: str
    channel: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Detached:
    """A bad joint at a lug: the wires that meet there still meet each other, but not the part."""

    control: str
    role: str


Change = Open | Short | Worse | Bridge | Exchange | Value | Channels | Deaf | Detached


@dataclass(frozen=True, slots=True, kw_only=True)
class Spot:
    """One fault at one place.

    Attributes:
        id: class@place.
        title: What is wrong and where.
        short: The same in a few words.
        where: Both ends of the wire, the lug, the colour: what to look for; empty when the title says it.
        changes: What it does to the circuit.
        rate: How often it happens, in failures per million hours, workmanship included.
        source: Where the rate is from.
        loose: Whether it comes and goes.
        lasting: Whether it is the lasting form of what mostly comes and goes.
    """

    id: str
    title: str
    short: str
    where: str = ""
    changes: tuple[Change, ...]
    rate: float
    source: str
    loose: bool = False
    lasting: bool = False

    @property
    def class_id(self) -> str:
        """Id of the class in the hand-written model."""
        return self.id.partition("@")[0]


def both_ways(spot: Spot) -> Iterator[Spot]:
    """A joint or wire that comes and goes, and the same open for good."""
    yield replace(
        spot,
        title=f"{spot.title}: it comes and goes",
        short=f"{spot.short} that comes and goes",
        rate=(1.0 - LASTING) * spot.rate,
        loose=True,
    )
    yield replace(spot, id=f"{spot.id}.open", rate=LASTING * spot.rate, loose=False, lasting=True)


class Rates:
    """How often each sort of part or joint fails, from the rates of a model."""

    def __init__(self, model: FaultModel) -> None:
        self._rates = {rate.what: rate for rate in model.rates}
        self._workmanship = model.workmanship

    def of(self, what: str, mode: str = "") -> float:
        """Failures per million hours of one such thing, in one mode; 0 when the model has no rate for it."""
        rate = self._rates.get(what)
        if rate is None:
            return 0.0
        return rate.rate * (self._workmanship if rate.hand else 1.0) * (rate.modes.get(mode, 0.0) if mode else 1.0)

    def source(self, what: str) -> str:
        """Where that is from, workmanship named where it counts."""
        rate = self._rates.get(what)
        if rate is None:
            return "no rate in the model"
        return f"{rate.source}; times {self._workmanship:g} for work by hand" if rate.hand else rate.source


def feeds(design: Design, run: WireRun) -> tuple[str, ...]:
    """Controls that a wire of a common bus or line feeds: those further along the chain."""
    runs = wires(design, run.bus)
    at = [each.id for each in runs].index(run.id)
    chained = [each for each in runs[at + 1 :] if not each.connector and not each.end.startswith("star")]
    return (run.control, *(each.control for each in chained if not run.end.startswith("star")))


def pulls(design: Design, connector: str, pin: str) -> tuple[tuple[str, str], ...]:
    """Name and part of the resistors at a pin of a connector that hold its signal up or down."""
    entry = design.connector_pin(connector, pin)
    both = (("pull-up", entry.pull_up), ("pull-down", entry.pull_down)) if entry else ()
    return tuple((name, part) for name, part in both if part)


def neighbouring_pins(design: Design, connector: str, pin: str) -> tuple[str, ...]:
    """The pins beside a pin of a connector, in the order of the file."""
    names = list(design.connector(connector).pins)
    at = names.index(pin)
    return tuple(names[each] for each in (at - 1, at + 1) if 0 <= each < len(names))
