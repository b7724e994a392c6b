"""Nodal analysis in plain Python: sparse, symmetric, with diodes by iteration.

Each unknown is a node's voltage, each equation says that the currents into a node add up to nothing. Resistances are
conductances between nodes and voltage sources are current sources beside their own resistance (Norton's form), so the
matrix is symmetric and its factors also answer what the result depends on (the adjoint, see `sensitivities`).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from benchtui.design.circuit.elements import LEAST_OHMS, THERMAL, Diode, Injection, Resistor, Source
from benchtui.errors import DesignError

if TYPE_CHECKING:
    from collections.abc import Mapping

    from benchtui.design.circuit.elements import Circuit, Values

_LEAK: Final = 1e-11
"""Conductance from every node to ground, in S: 100 GΩ, so that a node which nothing touches has a voltage."""
_ROUNDS: Final = 200
_CLOSE: Final = 1e-9
_FAINT: Final = 1e-11
"""V or A between two rounds of the iteration, below which a diode has settled; a blocked one is judged by its current,
for across so many megohms its voltage is a matter of rounding."""

Weights = dict[str, float]
"""A linear combination of node voltages: node to factor."""


@dataclass(frozen=True, slots=True)
class Solution:
    """Node voltages in V, counted from the circuit's ground."""

    volts: Mapping[str, float]
    _factors: _Factors
    _at: Mapping[str, int]
    circuit: Circuit
    values: Values

    def between(self, a: str, b: str) -> float:
        """Voltage of `a` over `b`.

        Raises:
            DesignError: The circuit has no such node.
        """
        return self._volts(a) - self._volts(b)

    def amps(self, id: str) -> float:
        """Current through a resistor, from its first node to its second."""
        element = self.circuit.element(id)
        assert isinstance(element, Resistor)
        ohms = max(element.ohms.value(self.values), LEAST_OHMS)
        return self.between(element.a, element.b) / ohms

    def _volts(self, node: str) -> float:
        if node == self.circuit.ground:
            return 0.0
        if node not in self.volts:
            raise DesignError(f"the circuit has no node {node!r}")
        return self.volts[node]

    def sensitivities(self, weights: Weights) -> dict[str, float]:
        """Slope of a combination of node voltages with each quantity.

        Args:
            weights: The combination.
        """
        # Adjoint: one more solution with the combination as currents gives the weight of a current into each node.
        currents = [0.0] * len(self._at)
        for node, weight in weights.items():
            if node != self.circuit.ground:
                currents[self._at[node]] += weight
        solved = self._factors.solve(currents)
        weight_of = {node: solved[place] for node, place in self._at.items()}
        weight_of[self.circuit.ground] = 0.0
        slopes: dict[str, float] = {}
        for element in self.circuit.elements:
            lever = weight_of[element.a] - weight_of[element.b]
            if lever == 0.0:
                continue
            across = self.between(element.a, element.b)
            if isinstance(element, Resistor):
                ohms = max(element.ohms.value(self.values), LEAST_OHMS)
                by, expression = lever * across / ohms**2, element.ohms
            elif isinstance(element, Source):
                by, expression = lever / element.ohms, element.volts
            elif isinstance(element, Injection):
                by, expression = -lever, element.amps
            else:
                by, expression = -lever * element.amps(across, self.values)[2], element.forward
            for name, slope in expression.slopes(self.values).items():
                slopes[name] = slopes.get(name, 0.0) + by * slope
        return slopes


def solve(circuit: Circuit, values: Values | None = None) -> Solution:
    """Solve a circuit.

    Args:
        circuit: The circuit.
        values: Value of each quantity; ordinary parts when left out.

    Raises:
        DesignError: The diodes do not settle.
    """
    values = circuit.nominal() if values is None else values
    at = circuit.places
    if not at:
        at.update((node, place) for place, node in enumerate(sorted(circuit.nodes() - {circuit.ground})))
    diodes = [each for each in circuit.elements if isinstance(each, Diode)]
    across = {each.id: 0.0 for each in diodes}
    for _ in range(_ROUNDS):
        factors, currents = _equations(circuit, values, at, across)
        solved = factors.solve(currents)
        volts = {node: solved[place] for node, place in at.items()}
        volts[circuit.ground] = 0.0
        settled = True
        for each in diodes:
            last, wanted = across[each.id], volts[each.a] - volts[each.b]
            if abs(wanted - last) > _CLOSE:
                flows = (each.amps(last, values)[0], each.amps(wanted, values)[0])
                settled = settled and abs(flows[0] - flows[1]) < _FAINT
            across[each.id] = _limited(wanted, last, each, values)
        if settled:
            del volts[circuit.ground]
            return Solution(volts, factors, at, circuit, values)
    raise DesignError("the diodes of this circuit do not settle")


def _limited(wanted: float, last: float, diode: Diode, values: Values) -> float:
    """A step of the iteration, kept short where the curve is steep, or it would overshoot for ever."""
    knee = diode.forward.value(values)
    step = 2.0 * diode.slope * THERMAL
    if wanted > knee - 4 * step and wanted - last > step:
        return max(last + step, min(wanted, knee - 4 * step))
    return wanted


def _equations(
    circuit: Circuit, values: Values, at: Mapping[str, int], across: Mapping[str, float]
) -> tuple[_Factors, list[float]]:
    size = len(at)
    rows: list[dict[int, float]] = [{place: _LEAK} for place in range(size)]
    currents = [0.0] * size
    for element in circuit.elements:
        a, b = at.get(element.a, -1), at.get(element.b, -1)  # the ground alone has no place
        if isinstance(element, Resistor):
            conductance, amps = 1.0 / max(element.ohms.value(values), LEAST_OHMS), 0.0
        elif isinstance(element, Source):
            conductance = 1.0 / element.ohms
            amps = -element.volts.value(values) * conductance
        elif isinstance(element, Injection):
            conductance, amps = 0.0, element.amps.value(values)
        else:
            flow, conductance, _ = element.amps(across[element.id], values)
            amps = flow - conductance * across[element.id]
        # `amps` leaves `a` through the element besides what the conductance carries.
        if a >= 0:
            currents[a] -= amps
        if b >= 0:
            currents[b] += amps
        if conductance and a != b:
            if a >= 0:
                rows[a][a] += conductance
            if b >= 0:
                rows[b][b] += conductance
            if a >= 0 and b >= 0:
                rows[a][b] = rows[a].get(b, 0.0) - conductance
                rows[b][a] = rows[b].get(a, 0.0) - conductance
    return _Factors(rows, circuit.order), currents


class _Factors:
    """A symmetric positive matrix taken apart, the row with fewest entries first so that few new ones arise.

    Args:
        rows: The matrix; used up.
        order: The order of the rows, filled in when it is empty.
    """

    __slots__ = ("_size", "_steps")

    def __init__(self, rows: list[dict[int, float]], order: list[int]) -> None:
        self._size = len(rows)
        self._steps: list[tuple[int, float, list[tuple[int, float]]]] = []
        known = len(order) == self._size
        left = set(range(self._size))
        for number in range(self._size):
            if known:
                place = order[number]
            else:
                place = min(left, key=lambda each: len(rows[each]))
                left.discard(place)
                order.append(place)
            row = rows[place]
            pivot = row.pop(place)
            others = list(row.items())
            for other, entry in others:
                share = entry / pivot
                target = rows[other]
                del target[place]
                for third, value in others:
                    target[third] = target.get(third, 0.0) - share * value
            self._steps.append((place, pivot, others))

    def solve(self, currents: list[float]) -> list[float]:
        """Node voltages for the currents into the nodes."""
        left = list(currents)
        for place, pivot, others in self._steps:
            part = left[place] / pivot
            if part:
                for other, entry in others:
                    left[other] -= entry * part
        found = [0.0] * self._size
        for place, pivot, others in reversed(self._steps):
            total = left[place]
            for other, entry in others:
                total -= entry * found[other]
            found[place] = total / pivot
        return found
