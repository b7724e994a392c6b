"""What can be read off a circuit: volts, a share of the rail, a supply's current, and sums of such readings."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from benchtui.design.circuit.elements import Injection, Resistor, Source, Sum
from benchtui.design.circuit.solve import solve

if TYPE_CHECKING:
    from collections.abc import Mapping

    from benchtui.design.circuit.elements import Circuit, Expression, Quantity, Values
    from benchtui.design.circuit.solve import Solution, Weights
    from benchtui.design.circuit.window import Reading

_REMEMBERED = 3
"""Answers of each part of a sum that are kept: those of both ends of a quantity, and of the corner before."""
TEST_CURRENT = 1e-3
"""A of the meter's ohms range; a linear circuit gives the same ohms at any."""


def ohms(circuit: Circuit, red: str, black: str) -> Volts:
    """Resistance between two nodes of a circuit without power, as a meter finds it: a known current, and the volts."""
    meter = Injection("meter", black, red, Sum(TEST_CURRENT))
    return Volts(circuit.adding(meter, ground=black), red, black, 1 / TEST_CURRENT)


def meter_volts(circuit: Circuit, red: str, black: str, *, meter_ohms: float) -> Volts:
    """Volts between two nodes of a powered circuit, the meter's own resistance across them."""
    return Volts(circuit.adding(Resistor("meter", red, black, Sum(meter_ohms))), red, black)


def diode_range(circuit: Circuit, red: str, black: str, *, amps: float) -> Volts:
    """Volts that a meter's diode range shows."""
    return Volts(circuit.adding(Injection("meter", black, red, Sum(amps)), ground=black), red, black)


@dataclass(frozen=True, slots=True)
class Volts:
    """The voltage of one node over another; times `scale`, for a meter that shows it as something else."""

    circuit: Circuit
    a: str
    b: str
    scale: float = 1.0

    @property
    def quantities(self) -> Mapping[str, Quantity]:
        """Those of the circuit."""
        return self.circuit.quantities

    def at(self, values: Values) -> tuple[float, Mapping[str, float]]:
        """The reading and its slopes."""
        solution = solve(self.circuit, values)
        weights = _weights((self.a, self.scale), (self.b, -self.scale))
        return solution.between(self.a, self.b) * self.scale, solution.sensitivities(weights)


@dataclass(frozen=True, slots=True)
class Share:
    """The voltage of a node as a share of another's: what a converter makes of it, before rounding."""

    circuit: Circuit
    a: str
    whole: str
    zero: str = "ground"

    @property
    def quantities(self) -> Mapping[str, Quantity]:
        """Those of the circuit."""
        return self.circuit.quantities

    def at(self, values: Values) -> tuple[float, Mapping[str, float]]:
        """The share and its slopes."""
        solution: Solution = solve(self.circuit, values)
        whole = solution.between(self.whole, self.zero)
        share = solution.between(self.a, self.zero) / whole
        weights = _weights((self.a, 1 / whole), (self.whole, -share / whole), (self.zero, (share - 1) / whole))
        return share, solution.sensitivities(weights)


def _weights(*pairs: tuple[str, float]) -> Weights:
    found: Weights = {}
    for node, weight in pairs:
        found[node] = found.get(node, 0.0) + weight
    return found


@dataclass(frozen=True, slots=True)
class Supplied:
    """The current that a source gives, in A."""

    circuit: Circuit
    source: str

    @property
    def quantities(self) -> Mapping[str, Quantity]:
        """Those of the circuit."""
        return self.circuit.quantities

    def at(self, values: Values) -> tuple[float, Mapping[str, float]]:
        """The reading and its slopes."""
        source = self.circuit.element(self.source)
        assert isinstance(source, Source)
        solution = solve(self.circuit, values)
        amps = (source.volts.value(values) - solution.between(source.a, source.b)) / source.ohms
        slopes = solution.sensitivities(_weights((source.a, -1 / source.ohms), (source.b, 1 / source.ohms)))
        for name, slope in source.volts.slopes(values).items():
            slopes[name] = slopes.get(name, 0.0) + slope / source.ohms
        return amps, slopes


@dataclass(frozen=True, slots=True)
class Through:
    """The current through a resistor of a circuit, from its first node to its second, in A."""

    circuit: Circuit
    resistor: str

    @property
    def quantities(self) -> Mapping[str, Quantity]:
        """Those of the circuit."""
        return self.circuit.quantities

    def at(self, values: Values) -> tuple[float, Mapping[str, float]]:
        """The reading and its slopes."""
        element = self.circuit.element(self.resistor)
        assert isinstance(element, Resistor)
        solution = solve(self.circuit, values)
        ohms_here = element.ohms.value(values)
        amps = solution.between(element.a, element.b) / ohms_here
        slopes = solution.sensitivities(_weights((element.a, 1 / ohms_here), (element.b, -1 / ohms_here)))
        for name, slope in element.ohms.slopes(values).items():
            slopes[name] = slopes.get(name, 0.0) - amps / ohms_here * slope
        return amps, slopes


@dataclass(frozen=True, slots=True)
class Direct:
    """A value worked out from quantities without a circuit."""

    quantities: Mapping[str, Quantity]
    expression: Expression

    def at(self, values: Values) -> tuple[float, Mapping[str, float]]:
        """The value and its slopes."""
        return self.expression.value(values), self.expression.slopes(values)


@dataclass(frozen=True, slots=True)
class Total:
    """The sum of some readings, which may share quantities.

    A search for the extremes changes few values at a time; what the others add is remembered from the last few times.
    """

    readings: tuple[Reading, ...]
    _known: list[dict[tuple[float, ...], tuple[float, Mapping[str, float]]]] = field(
        init=False, repr=False, compare=False, default_factory=list
    )

    @property
    def quantities(self) -> Mapping[str, Quantity]:
        """Those of all of them."""
        return {name: each for reading in self.readings for name, each in reading.quantities.items()}

    def at(self, values: Values) -> tuple[float, Mapping[str, float]]:
        """The sum and its slopes."""
        total, slopes = 0.0, dict[str, float]()
        if not self._known:
            self._known.extend({} for _ in self.readings)
        for reading, known in zip(self.readings, self._known, strict=True):
            key = tuple(values[name] for name in reading.quantities)
            if key not in known:
                while len(known) >= _REMEMBERED:
                    del known[next(iter(known))]
                known[key] = reading.at(values)
            value, by = known[key]
            total += value
            for name, slope in by.items():
                slopes[name] = slopes.get(name, 0.0) + slope
        return total, slopes


@dataclass(frozen=True, slots=True)
class Quotient:
    """One reading as a share of another: two measurements of the same part."""

    part: Reading
    whole: Reading

    @property
    def quantities(self) -> Mapping[str, Quantity]:
        """Those of both."""
        return {**self.part.quantities, **self.whole.quantities}

    def at(self, values: Values) -> tuple[float, Mapping[str, float]]:
        """The share and its slopes."""
        part, by_part = self.part.at(values)
        whole, by_whole = self.whole.at(values)
        names = {*by_part, *by_whole}
        share = part / whole
        return share, {name: (by_part.get(name, 0.0) - share * by_whole.get(name, 0.0)) / whole for name in names}


@dataclass(frozen=True, slots=True)
class Highest:
    """The highest of some readings, where each is taken by itself and the worst is written down."""

    readings: tuple[Reading, ...]

    @property
    def quantities(self) -> Mapping[str, Quantity]:
        """Those of all."""
        return {name: quantity for reading in self.readings for name, quantity in reading.quantities.items()}

    def at(self, values: Values) -> tuple[float, Mapping[str, float]]:
        """The highest, and its slopes."""
        return max((reading.at(values) for reading in self.readings), key=lambda found: found[0])
