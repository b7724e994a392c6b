"""Independent libraries agree: preferred series (eseries), wire gauge (fluids), circuits solved by numpy and scipy."""

from __future__ import annotations

from itertools import product
from math import exp, log

import eseries
import numpy as np
import pytest
from fluids.piping import t_from_gauge
from helpers.calculate import ask, outputs
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq

THERMAL = 0.025852
"""V, kT/q at 300 K."""

OHMS = st.floats(min_value=0.1, max_value=9e6)


@settings(max_examples=150, deadline=None, derandomize=True)
@given(value=OHMS, name=st.sampled_from(["E3", "E6", "E12", "E24", "E48", "E96", "E192"]))
def test_the_preferred_series_agree_with_a_library(value: float, name: str) -> None:
    key = eseries.ESeries[name]
    value = float(f"{value:.6g}")
    found = outputs("preferred", value=f"{value!r} ohm", series=name)
    assert found["next-up"] == pytest.approx(eseries.find_greater_than_or_equal(key, value), rel=1e-9)
    assert found["next-down"] == pytest.approx(eseries.find_less_than_or_equal(key, value), rel=1e-9)
    # That library takes the nearest by difference, ours by ratio: they may differ only between the two neighbours.
    assert found["nearest"] in (
        pytest.approx(found["next-up"], rel=1e-12),
        pytest.approx(found["next-down"], rel=1e-12),
    )
    assert abs(log(found["nearest"] / value)) <= abs(log(eseries.find_nearest(key, value) / value)) + 1e-9


@pytest.mark.parametrize("gauge", range(41))
def test_wire_diameters_agree_with_a_library(gauge: int) -> None:
    """fluids' AWG table is rounded to thousandths or hundredths of an inch, so 1 % and half of its last figure."""
    theirs = t_from_gauge(gauge, True, "AWG")
    assert outputs("wire", gauge=f"{gauge} AWG")["diameter"] == pytest.approx(theirs, rel=0.01, abs=0.0003 * 0.0254)


def _node(supply: float, top: float, bottom: float, load: float) -> float:
    """The output by nodal analysis: conductances at the supply node and the output node."""
    stiff = 1e12
    conductance = np.array([[stiff + 1 / top, -1 / top], [-1 / top, 1 / top + 1 / bottom + 1 / load]])
    return float(np.linalg.solve(conductance, np.array([stiff * supply, 0.0]))[1])


@settings(max_examples=40, deadline=None, derandomize=True)
@given(
    supply=st.floats(1, 50), top=st.floats(100, 1e5), bottom=st.floats(100, 1e5), load=st.floats(1e3, 1e6),
    share=st.floats(0.001, 0.2),
)  # fmt: skip
def test_divider_corners_agree_with_nodal_analysis(
    supply: float, top: float, bottom: float, load: float, share: float
) -> None:
    spread = f" ±{share * 100!r} %"
    answer = ask(
        "divider", supply=f"{supply!r} V{spread}", top=f"{top!r} ohm{spread}", bottom=f"{bottom!r} ohm{spread}",
        load=f"{load!r} ohm{spread}",
    )["outputs"]["output"]  # fmt: skip
    corners = [
        _node(*(value * factor for value, factor in zip((supply, top, bottom, load), factors, strict=True)))
        for factors in product((1 - share, 1 + share), repeat=4)
    ]
    assert answer["value"] == pytest.approx(_node(supply, top, bottom, load), rel=1e-6)
    assert answer["min"] == pytest.approx(min(corners), rel=1e-6)
    assert answer["max"] == pytest.approx(max(corners), rel=1e-6)


def _diode(current: float, saturation: float, ideality: float, ohms: float) -> float:
    """Forward voltage of an LED by the diode law with its own resistance."""
    return ideality * THERMAL * log(current / saturation + 1) + ohms * current


@settings(max_examples=60, deadline=None, derandomize=True)
@given(
    supply=st.floats(4.5, 15), wanted=st.floats(1e-3, 25e-3), exponent=st.floats(-24, -14),
    ideality=st.floats(1.5, 2.5), ohms=st.floats(1, 12),
)  # fmt: skip
def test_an_led_by_its_diode_law(supply: float, wanted: float, exponent: float, ideality: float, ohms: float) -> None:
    """With the forward voltage at the wanted current, the exact resistor gives that current in the solved circuit; with
    the preferred one the solved current lies between the sums for the forward voltages at both currents."""
    saturation = exp(exponent * log(10))
    forward = _diode(wanted, saturation, ideality, ohms)
    if forward > supply - 0.5:
        return
    found = outputs("led", supply=f"{supply!r} V", forward_voltage=f"{forward!r} V", current=f"{wanted!r} A")

    def solved(resistor: float) -> float:
        return float(
            brentq(lambda amps: supply - amps * resistor - _diode(amps, saturation, ideality, ohms), 1e-12, 1.0,
                   xtol=1e-15, rtol=1e-12)
        )  # fmt: skip

    assert solved(found["resistor"]) == pytest.approx(wanted, rel=1e-6)
    real = solved(found["preferred"])
    lower = _diode(real, saturation, ideality, ohms)
    fitted = found["preferred"]
    ends = sorted(((supply - forward) / fitted, (supply - lower) / fitted))
    assert ends[0] * (1 - 1e-6) <= real <= ends[1] * (1 + 1e-6)
