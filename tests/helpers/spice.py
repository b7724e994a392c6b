"""The same circuits in an outside circuit simulator, where one is installed (ngspice)."""

from __future__ import annotations

import math
import re
import shutil
import subprocess
from typing import TYPE_CHECKING

from benchtui.design.circuit.elements import LEAST_OHMS, THERMAL, Diode, Injection, Resistor, Source

if TYPE_CHECKING:
    from pathlib import Path

    from benchtui.design.circuit.elements import Circuit, Values

SIMULATOR = shutil.which("ngspice")
LEAKS = ("gmin=1e-13 rshunt=1e11", "gmin=1e-11 rshunt=1e10", "gmin=1e-10 rshunt=1e9")
"""Conductance beside each diode in S, and from each node to ground in ohm; more of it where the iteration does not
settle, as with a matrix of blocked diodes that hangs on nothing. A gigaohm takes a millionth of a meter's 1 mA."""


def simulate(circuit: Circuit, folder: Path, values: Values | None = None) -> dict[str, float]:
    """Node voltages in V over the circuit's ground, with ordinary parts when no values are given."""
    values = circuit.nominal() if values is None else values
    for leak in LEAKS:
        found = _operating_point(circuit, folder, values, leak)
        if found:
            return found
    raise AssertionError("the simulator finds no operating point")


def _operating_point(circuit: Circuit, folder: Path, values: Values, leak: str) -> dict[str, float]:
    """Node voltages in V; nothing where the simulator's iteration does not settle."""
    nodes = sorted(circuit.nodes() - {circuit.ground})
    name = {node: f"n{index}" for index, node in enumerate(nodes, 1)} | {circuit.ground: "0"}
    lines = ["* one circuit", f".options {leak} reltol=1e-6 abstol=1e-13 vntol=1e-9 itl1=1000"]
    for index, each in enumerate(circuit.elements):
        a, b = name[each.a], name[each.b]
        if isinstance(each, Resistor):
            lines.append(f"R{index} {a} {b} {max(each.ohms.value(values), LEAST_OHMS):.15g}")
        elif isinstance(each, Injection):
            lines.append(f"I{index} {a} {b} {each.amps.value(values):.15g}")
        elif isinstance(each, Source):
            lines += [
                f"V{index} s{index} {b} {each.volts.value(values):.15g}",
                f"R{index}s s{index} {a} {each.ohms:.15g}",
            ]
        else:
            assert isinstance(each, Diode)
            knee = each.forward.value(values) - each.series * each.current
            saturation = each.current * math.exp(-knee / (each.slope * THERMAL))
            lines += [
                f"D{index} {a} {b} m{index}",
                f".model m{index} D(is={saturation:.15g} n={each.slope:.15g} rs=0 bv=1000)",
            ]
    prints = [f"print v({name[node]})" for node in nodes]
    lines += [".temp 26.85", ".control", "set numdgt=12", "op", *prints, ".endc", ".end", ""]
    netlist = folder / "circuit.cir"
    netlist.write_text("\n".join(lines), encoding="utf-8")
    assert SIMULATOR is not None
    done = subprocess.run([SIMULATOR, "-b", str(netlist)], capture_output=True, text=True, check=False)
    found = dict(re.findall(r"v\((n\d+)\) = ([-+.\deE]+)", done.stdout))
    return {node: float(found[name[node]]) for node in nodes} if found else {}
