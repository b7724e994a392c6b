"""Circuits as data: values with a spread, elements between named nodes, and faults that change them.

Every element takes its value from named quantities (`Quantity`), so that one circuit can be solved for the nominal
parts, for a corner of the tolerances, or for a random draw.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Final, Protocol

from benchtui.errors import DesignError

Values = Mapping[str, float]
"""Name of a quantity to its value in SI units."""

LEAST_OHMS: Final = 1e-3
"""No path is better than this; a resistance of nothing would leave the equations without a solution."""
THERMAL: Final = 0.025852
"""k·T/q at 300 K in V."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Quantity:
    """A value that parts spread over.

    Attributes:
        name: "F3.element"; unique in a circuit.
        low: Smallest value.
        nominal: Value of an ordinary part.
        high: Largest value.
        kind: Kind of quantity, for printing.
        what: In words: "element of F3".
        source: Where the figures are from.
        twice: It stands in two elements at once, as the two parts of a divider, so that a reading may turn within its
            range instead of moving one way.
    """

    name: str
    low: float
    nominal: float
    high: float
    kind: str
    what: str
    source: str
    twice: bool = False


class Expression(Protocol):
    """A value worked out from quantities."""

    def value(self, values: Values) -> float:
        """The value."""
        ...

    def slopes(self, values: Values) -> dict[str, float]:
        """How the value changes with each quantity it depends on."""
        ...


@dataclass(frozen=True, slots=True)
class Sum:
    """A constant plus quantities, each times a factor."""

    constant: float = 0.0
    terms: tuple[tuple[str, float], ...] = ()

    def value(self, values: Values) -> float:
        """The sum."""
        total = self.constant
        for name, factor in self.terms:  # a sum over a generator takes three times as long, and this is asked most
            total += values[name] * factor
        return total

    def slopes(self, values: Values) -> dict[str, float]:
        """The factors."""
        found: dict[str, float] = {}
        for name, factor in self.terms:
            found[name] = found.get(name, 0.0) + factor
        return found


def just(name: str) -> Sum:
    """One quantity as it is."""
    return Sum(terms=((name, 1.0),))


@dataclass(frozen=True, slots=True, kw_only=True)
class Track:
    """The part of a resistive element below its wiper, or above it.

    The element runs from one residual to the other. Its share below the wiper follows the taper: straight from nothing
    at the lower stop to `mid` at mid-travel, and straight on to all of it at the upper stop.

    Attributes:
        control: Prefix of the quantities: element, lower, upper and mid.
        position: Of the wiper, 0 at the lower stop to 1 at the upper one.
        upper: The part above the wiper.
    """

    control: str
    position: float
    upper: bool = False

    def _parts(self, values: Values) -> tuple[float, float, float]:
        """Share below the wiper, its slope with the mid share, and the length that is shared out."""
        mid = values[f"{self.control}.mid"]
        if self.position <= 0.5:
            share, slope = 2 * self.position * mid, 2 * self.position
        else:
            share, slope = mid + (2 * self.position - 1) * (1 - mid), 2 - 2 * self.position
        between = values[f"{self.control}.element"] - values[f"{self.control}.lower"] - values[f"{self.control}.upper"]
        return share, slope, between

    def value(self, values: Values) -> float:
        """Resistance in ohm."""
        share, _, between = self._parts(values)
        below = values[f"{self.control}.lower"] + share * between
        return values[f"{self.control}.element"] - below if self.upper else below

    def slopes(self, values: Values) -> dict[str, float]:
        """Slope with each quantity of the element."""
        share, slope, between = self._parts(values)
        below = {"element": share, "lower": 1 - share, "upper": -share, "mid": between * slope}
        if self.upper:
            below = {name: (1.0 if name == "element" else 0.0) - by for name, by in below.items()}
        return {f"{self.control}.{name}": by for name, by in below.items()}


@dataclass(frozen=True, slots=True)
class Resistor:
    """A resistance between two nodes."""

    id: str
    a: str
    b: str
    ohms: Expression


@dataclass(frozen=True, slots=True)
class Source:
    """A voltage behind a resistance, plus at `a`."""

    id: str
    a: str
    b: str
    volts: Expression
    ohms: float = LEAST_OHMS


@dataclass(frozen=True, slots=True)
class Injection:
    """A current that flows through the element from `a` to `b`."""

    id: str
    a: str
    b: str
    amps: Expression


@dataclass(frozen=True, slots=True, kw_only=True)
class Diode:
    """A diode: forward voltage at a test current, an exponential curve through that point, and its own resistance.

    V = Vf + n·(k·T/q)·ln(I / If) + R·(I − If), the ideal diode equation through the point its sheet gives. The series
    resistance stands in the netlist as a resistor of its own; here it only moves the point.
    """

    id: str
    a: str
    b: str
    forward: Expression
    current: float
    slope: float
    series: float = 0.0

    def amps(self, volts: float, values: Values) -> tuple[float, float, float]:
        """Current at a junction voltage, its slope with that voltage, and with the forward voltage."""
        scale = self.slope * THERMAL
        bend = (volts - (self.forward.value(values) - self.series * self.current)) / scale
        # Beyond an e-fold far above any real current the curve goes on straight, which keeps the iteration in bounds.
        if bend > _STRAIGHT:
            top = math.exp(_STRAIGHT)
            amps, slope = self.current * top * (1 + bend - _STRAIGHT), self.current * top / scale
        else:
            amps = self.current * math.exp(max(bend, -700.0))
            slope = amps / scale
        return amps, slope, -slope


_STRAIGHT: Final = 6.0

Element = Resistor | Source | Injection | Diode


@dataclass(frozen=True, slots=True)
class Open:
    """Fault: an element no longer conducts."""

    element: str


@dataclass(frozen=True, slots=True)
class Short:
    """Fault: an element is bridged by a good wire."""

    element: str


@dataclass(frozen=True, slots=True)
class Worse:
    """Fault: a resistance in series with an element, in ohm."""

    element: str
    ohms: float


@dataclass(frozen=True, slots=True)
class Bridge:
    """Fault: a resistance between two nodes that should not meet, in ohm."""

    a: str
    b: str
    ohms: float = 0.1


Fault = Open | Short | Worse | Bridge


@dataclass(frozen=True, slots=True, kw_only=True)
class Circuit:
    """Elements between nodes, and the quantities they depend on; voltages are counted from the node `ground`."""

    quantities: Mapping[str, Quantity] = field(default_factory=dict)
    elements: tuple[Element, ...] = ()
    ground: str = "ground"
    order: list[int] = field(init=False, repr=False, compare=False, default_factory=list)
    """Order in which the solver takes the nodes, found the first time: it follows from the shape alone."""
    places: dict[str, int] = field(init=False, repr=False, compare=False, default_factory=dict)
    """Number of each node but the ground among the unknowns, found the first time likewise."""

    def nominal(self) -> dict[str, float]:
        """Ordinary parts."""
        return {name: quantity.nominal for name, quantity in self.quantities.items()}

    def element(self, id: str) -> Element:
        """The element of that id.

        Raises:
            DesignError: There is none.
        """
        for each in self.elements:
            if each.id == id:
                return each
        raise DesignError(f"the circuit has no element {id!r}")

    def nodes(self) -> set[str]:
        """Every node an element touches."""
        return {node for each in self.elements for node in (each.a, each.b)}

    def adding(self, *elements: Element, ground: str = "") -> Circuit:
        """The circuit with more elements, and perhaps another node to count from."""
        return replace(self, elements=(*self.elements, *elements), ground=ground or self.ground)

    def with_faults(self, *faults: Fault) -> Circuit:
        """The circuit as it is with these faults.

        Raises:
            DesignError: A fault names an element the circuit has not.
        """
        found = self
        for fault in faults:
            found = _faulty(found, fault)
        return found


def _faulty(circuit: Circuit, fault: Fault) -> Circuit:
    if isinstance(fault, Bridge):
        return circuit.adding(Resistor(f"bridge {fault.a} {fault.b}", fault.a, fault.b, Sum(fault.ohms)))
    victim = circuit.element(fault.element)
    if isinstance(fault, Short):
        return circuit.adding(Resistor(f"short {victim.id}", victim.a, victim.b, Sum(LEAST_OHMS)))
    others = tuple(each for each in circuit.elements if each.id != victim.id)
    if isinstance(fault, Open):
        return replace(circuit, elements=others)
    middle = f"{victim.id}.broken"
    joint = Resistor(f"worse {victim.id}", middle, victim.b, Sum(fault.ohms))
    return replace(circuit, elements=(*others, replace(victim, b=middle), joint))
