"""Ten thousand units at once: a circuit solved for arrays of values, one entry for each unit whose parts were drawn.

Each entry of the matrix is an array over the units, and the elimination is worked through once for all of them. Diodes
go round by Newton's method until every unit has settled. Currents that sources give are taken from the solution.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from benchtui.design.circuit.elements import LEAST_OHMS, THERMAL, Diode, Injection, Resistor, Source
from benchtui.design.circuit.readings import Direct, Highest, Quotient, Share, Supplied, Through, Total, Volts

if TYPE_CHECKING:
    from collections.abc import Mapping

    from benchtui.design.circuit.elements import Circuit
    from benchtui.design.circuit.window import Reading

    Draws = Mapping[str, np.ndarray]
    """Name of a quantity to its value in each unit, in SI units."""

LEAK = 1e-11
"""S from every node to ground: a node that nothing touches has a voltage."""
STRAIGHT = 6.0
"""e-folds above its test current where a diode's curve goes on straight, as the program's does."""


def draw(reading: Reading, units: int, chance: np.random.Generator) -> dict[str, np.ndarray]:
    """Parts for so many units, each anywhere in its tolerance, all as likely."""
    return {name: chance.uniform(each.low, each.high, units) for name, each in reading.quantities.items()}


def read_many(reading: Reading, draws: Draws) -> np.ndarray:
    """A reading on each of the units, in the unit of the reading."""
    if isinstance(reading, Direct):
        return np.asarray(reading.expression.value(draws))  # type: ignore[arg-type]
    if isinstance(reading, Total):
        return np.sum([read_many(each, draws) for each in reading.readings], axis=0)
    if isinstance(reading, Highest):
        return np.max([read_many(each, draws) for each in reading.readings], axis=0)
    if isinstance(reading, Quotient):
        return read_many(reading.part, draws) / read_many(reading.whole, draws)
    assert isinstance(reading, Volts | Share | Supplied | Through)
    volts = solve_many(reading.circuit, draws)
    if isinstance(reading, Volts):
        return (volts[reading.a] - volts[reading.b]) * reading.scale
    if isinstance(reading, Share):
        return (volts[reading.a] - volts[reading.zero]) / (volts[reading.whole] - volts[reading.zero])
    if isinstance(reading, Through):
        element = reading.circuit.element(reading.resistor)
        assert isinstance(element, Resistor)
        return (volts[element.a] - volts[element.b]) / element.ohms.value(draws)  # type: ignore[arg-type]
    source = reading.circuit.element(reading.source)
    assert isinstance(source, Source)
    held = source.volts.value(draws)  # type: ignore[arg-type]
    return (held - volts[source.a] + volts[source.b]) / source.ohms


def solve_many(circuit: Circuit, draws: Draws) -> dict[str, np.ndarray]:
    """Node voltages in V over the circuit's ground, on each of the units."""
    units = len(next(iter(draws.values())))
    at = {node: place for place, node in enumerate(sorted(circuit.nodes() - {circuit.ground}))}
    diodes = [each for each in circuit.elements if isinstance(each, Diode)]
    across = {each.id: np.zeros(units) for each in diodes}
    knees = {each.id: each.forward.value(draws) for each in diodes}  # type: ignore[arg-type]
    for _ in range(300):
        rows, currents = _equations(circuit, draws, at, units, across, knees)
        found = _eliminate(rows, currents)
        volts = {node: found[place] for node, place in at.items()} | {circuit.ground: np.zeros(units)}
        settled = True
        for each in diodes:
            last, wanted = across[each.id], volts[each.a] - volts[each.b]
            before, after = _diode(each, last, knees[each.id])[0], _diode(each, wanted, knees[each.id])[0]
            settled &= bool(np.all((np.abs(wanted - last) <= 1e-9) | (np.abs(after - before) < 1e-11)))
            # Newton's method overshoots on an exponential: no step up of more than two e-folds beyond the knee.
            step, foot = 2 * each.slope * THERMAL, knees[each.id] - 8 * each.slope * THERMAL
            steep = (wanted > foot) & (wanted - last > step)
            across[each.id] = np.where(steep, np.maximum(last + step, np.minimum(wanted, foot)), wanted)
        if settled:
            return volts
    raise AssertionError("the diodes do not settle")


def _diode(diode: Diode, volts: np.ndarray, knee: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Current of a junction and its slope: exponential through the point of its sheet, straight far above it."""
    scale = diode.slope * THERMAL
    bend = (volts - (knee - diode.series * diode.current)) / scale
    amps = diode.current * np.exp(np.clip(bend, -700, STRAIGHT))
    return np.where(bend > STRAIGHT, amps * (1 + bend - STRAIGHT), amps), amps / scale


def _equations(
    circuit: Circuit,
    draws: Draws,
    at: Mapping[str, int],
    units: int,
    across: Draws,
    knees: Draws,
) -> tuple[list[dict[int, np.ndarray]], list[np.ndarray]]:
    rows = [{place: np.full(units, LEAK)} for place in range(len(at))]
    currents = [np.zeros(units) for _ in at]
    for each in circuit.elements:
        a, b = at.get(each.a, -1), at.get(each.b, -1)
        leaving: np.ndarray | float = 0.0
        conductance: np.ndarray | float = 0.0
        if isinstance(each, Resistor):
            conductance = 1 / np.maximum(each.ohms.value(draws), LEAST_OHMS)  # type: ignore[arg-type]
        elif isinstance(each, Source):
            conductance = 1 / each.ohms
            leaving = -each.volts.value(draws) * conductance  # type: ignore[arg-type]
        elif isinstance(each, Injection):
            leaving = each.amps.value(draws)  # type: ignore[arg-type]
        else:
            amps, conductance = _diode(each, across[each.id], knees[each.id])
            leaving = amps - conductance * across[each.id]
        if a >= 0:
            currents[a] = currents[a] - leaving
        if b >= 0:
            currents[b] = currents[b] + leaving
        if isinstance(each, Injection) or a == b:
            continue
        for one, other in ((a, b), (b, a)):
            if one >= 0:
                rows[one][one] = rows[one][one] + conductance
                if other >= 0:
                    rows[one][other] = rows[one].get(other, 0.0) - conductance
    return rows, currents


def _eliminate(rows: list[dict[int, np.ndarray]], currents: list[np.ndarray]) -> list[np.ndarray]:
    """Gauss's elimination of a symmetric matrix, the node with the fewest neighbours first."""
    left = set(range(len(rows)))
    taken: list[tuple[int, np.ndarray, dict[int, np.ndarray]]] = []
    while left:
        place = min(left, key=lambda each: len(rows[each]))
        left.discard(place)
        row = rows[place]
        pivot = row.pop(place)
        for other, entry in row.items():
            share = entry / pivot
            del rows[other][place]
            for third, value in row.items():
                rows[other][third] = rows[other].get(third, 0.0) - share * value
            currents[other] = currents[other] - share * currents[place]
        taken.append((place, pivot, row))
    found: list[np.ndarray] = [np.empty(0)] * len(rows)
    for place, pivot, row in reversed(taken):
        found[place] = (currents[place] - sum(entry * found[other] for other, entry in row.items())) / pivot
    return found
