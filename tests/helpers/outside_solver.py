"""A second way to solve a circuit: full modified nodal analysis with numpy, source currents as unknowns of their own.

It shares nothing with the program's solver but the netlist: dense matrices instead of sparse elimination, ideal sources
instead of Norton's form, Newton's method on all unknowns at once for the diodes.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from benchtui.design.circuit.elements import LEAST_OHMS, Diode, Injection, Resistor, Source
from benchtui.design.circuit.readings import Direct, Highest, Quotient, Share, Supplied, Through, Total, Volts
from benchtui.design.testpoints import POINTS, spec_of
from benchtui.errors import DesignError

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping

    from benchtui.design.circuit.elements import Circuit, Values
    from benchtui.design.circuit.window import Reading
    from benchtui.design.model import Design
    from benchtui.design.points.spec import Spec

    Solver = Callable[[Circuit, Values], Mapping[str, float]]
    """Node voltages in V over the circuit's ground, for a value of each quantity."""

UNIT_POINTS = ("vref", "idle-current", "all-on-current")
"""Test points of the whole unit that are read off a circuit."""


def every_spec(design: Design, *, only: int = 1) -> Iterator[tuple[str, Spec]]:
    """Each test point that a design has, as "point subject", or one in so many that it may have."""
    ids = [control.id for control in design.controls]
    ids += [bank.id for bank in design.banks] + [bus.id for bus in design.buses]
    kinds = {id: design.subject(id).kind for id in ids}
    pairs = [(point, id) for id in ids for point, entry in POINTS.items() if kinds[id] in entry.applies_to]
    for point, id in pairs[::only]:
        try:
            yield f"{point} {id}", spec_of(design, point, id)
        except DesignError:
            continue  # the subject has no such point
    for point in UNIT_POINTS:
        if point != "vref" or design.divider_banks:  # without a control that divides the rail no lug carries it
            yield point, spec_of(design, point, None)


def every_reading(design: Design, *, only: int = 1) -> Iterator[tuple[str, Reading]]:
    """Each test point of a design that is read off a circuit, as "point subject", or one in so many."""
    return ((name, spec.reading) for name, spec in every_spec(design, only=only) if spec.reading is not None)


def read_outside(reading: Reading, values: Values, solver: Solver) -> float:
    """A reading as an outside solver has it, in the unit of the reading."""
    if isinstance(reading, Direct):
        return reading.expression.value(values)
    if isinstance(reading, Total):
        return sum(read_outside(each, values, solver) for each in reading.readings)
    if isinstance(reading, Highest):
        return max(read_outside(each, values, solver) for each in reading.readings)
    if isinstance(reading, Quotient):
        return read_outside(reading.part, values, solver) / read_outside(reading.whole, values, solver)
    assert isinstance(reading, Volts | Share | Supplied | Through)
    volts = {**solver(reading.circuit, values), reading.circuit.ground: 0.0}
    if isinstance(reading, Volts):
        return (volts[reading.a] - volts[reading.b]) * reading.scale
    if isinstance(reading, Share):
        return (volts[reading.a] - volts[reading.zero]) / (volts[reading.whole] - volts[reading.zero])
    if isinstance(reading, Through):
        element = reading.circuit.element(reading.resistor)
        assert isinstance(element, Resistor)
        return (volts[element.a] - volts[element.b]) / element.ohms.value(values)
    source = reading.circuit.element(reading.source)
    assert isinstance(source, Source)
    return (source.volts.value(values) - volts[source.a] + volts[source.b]) / source.ohms


LEAK = 1e-11
"""S from every node to ground, as in any circuit solver: a node that nothing touches has a voltage."""


def defined_nodes(circuit: Circuit, volts: Mapping[str, float], *, below: float = 1e8) -> set[str]:
    """Nodes that more than leakage ties to ground: through smaller resistors, sources and conducting diodes.

    What lies behind an open contact or a blocked diode has a voltage that picoamperes decide, and no meter reads it.
    """
    values = circuit.nominal()
    links: dict[str, set[str]] = {}
    for each in circuit.elements:
        if isinstance(each, Resistor):
            joined = each.ohms.value(values) < below
        elif isinstance(each, Diode):
            across = volts.get(each.a, 0.0) - volts.get(each.b, 0.0)
            joined = abs(each.amps(across, values)[0]) > 1e-7
        else:
            joined = isinstance(each, Source)
        if joined:
            links.setdefault(each.a, set()).add(each.b)
            links.setdefault(each.b, set()).add(each.a)
    found, waiting = {circuit.ground}, [circuit.ground]
    while waiting:
        for node in links.get(waiting.pop(), set()) - found:
            found.add(node)
            waiting.append(node)
    return found - {circuit.ground}


def solve_outside(circuit: Circuit, values: Values | None = None) -> dict[str, float]:
    """Node voltages in V over the circuit's ground."""
    values = circuit.nominal() if values is None else values
    nodes = sorted(circuit.nodes() - {circuit.ground})
    at = {node: index for index, node in enumerate(nodes)}
    sources = [each for each in circuit.elements if isinstance(each, Source)]
    diodes = [each for each in circuit.elements if isinstance(each, Diode)]
    size = len(nodes) + len(sources)
    matrix = np.zeros((size, size))
    right = np.zeros(size)
    for index in range(len(nodes)):
        matrix[index, index] += LEAK
    for each in circuit.elements:
        a, b = at.get(each.a, -1), at.get(each.b, -1)
        if isinstance(each, Resistor):
            _stamp(matrix, a, b, 1.0 / max(each.ohms.value(values), LEAST_OHMS))
        elif isinstance(each, Injection):
            amps = each.amps.value(values)
            if a >= 0:
                right[a] -= amps
            if b >= 0:
                right[b] += amps
    for number, source in enumerate(sources):
        row = len(nodes) + number
        for node, sign in ((source.a, 1.0), (source.b, -1.0)):
            if node in at:
                matrix[row, at[node]] += sign
                matrix[at[node], row] += sign
        matrix[row, row] -= source.ohms
        right[row] = source.volts.value(values)
    found = np.zeros(size)
    for _ in range(500):
        step = matrix.copy()
        currents = right.copy()
        for diode in diodes:
            a, b = at.get(diode.a, -1), at.get(diode.b, -1)
            across = (found[a] if a >= 0 else 0.0) - (found[b] if b >= 0 else 0.0)
            amps, slope, _ = diode.amps(across, values)
            _stamp(step, a, b, slope)
            rest = amps - slope * across
            if a >= 0:
                currents[a] -= rest
            if b >= 0:
                currents[b] += rest
        wanted = np.linalg.solve(step, currents)
        move = wanted - found
        # Newton's method overshoots on an exponential: no node moves by more than 0.1 V at a time.
        largest = float(np.max(np.abs(move[: len(nodes)]))) if diodes and len(nodes) else 0.0
        found = wanted if not diodes or largest < 0.1 else found + move * (0.1 / largest)
        if not diodes or largest < 1e-10:
            break
    return {node: float(found[index]) for node, index in at.items()}


def _stamp(matrix: np.ndarray, a: int, b: int, conductance: float) -> None:
    for one, other, sign in ((a, a, 1.0), (b, b, 1.0), (a, b, -1.0), (b, a, -1.0)):
        if one >= 0 and other >= 0:
            matrix[one, other] += sign * conductance
