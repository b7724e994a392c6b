"""Sums done once by hand, and the rules of thumb of the trade that they have to agree with (common practice)."""

from __future__ import annotations

from typing import Any

import pytest
from helpers.calculate import outputs

BY_HAND = [
    # 5 V over 10 kΩ and 4.7 kΩ: 5 × 4.7 / 14.7 V
    ("divider", {"supply": "5 V", "top": "10k", "bottom": "4k7"}, "output", 1.598639),
    # 16 pots of 10 kΩ are 625 Ω; 50 / 675 × 127. Trade notes: 10 Ω gives 2, 50 Ω 9, 100 Ω 18, 500 Ω 56 of 127.
    ("shared-ground", {"controls": 16, "element": "10k", "joint": "10 ohm"}, "lowest-code", 2.0),
    ("shared-ground", {"controls": 16, "element": "10k", "joint": "50 ohm"}, "lowest-code", 9.407),
    ("shared-ground", {"controls": 16, "element": "10k", "joint": "100 ohm"}, "lowest-code", 17.517),
    ("shared-ground", {"controls": 16, "element": "10k", "joint": "500 ohm"}, "lowest-code", 56.444),
    # 300 Ω of 10 kΩ: 0.03 × 127. Trade notes: a 9 mm pot stops at 3.8, a 60 mm fader (30 Ω) at 0.4 of 127.
    ("pot", {"element": "10k", "residual": "300 ohm"}, "lowest-code", 3.81),
    ("pot", {"element": "10k", "residual": "30 ohm"}, "lowest-code", 0.381),
    # 0.1 × 0.669² × 0.331 / (1 + 0.1 × 0.669 × 0.331); trade notes: 100 k bends a 10 k ribbon by 1.5 % at worst.
    ("pot", {"element": "10k", "load": "100k"}, "worst-error", 0.014493),
    # (3.3 − 2.0) / 5 mA; trade notes: red at 3.3 V 5 mA 260 Ω; blue (3.2 V) at 5 V 5 mA 360 Ω.
    ("led", {"supply": "3.3 V", "forward_voltage": "2 V", "current": "5 mA"}, "resistor", 260),
    ("led", {"supply": "5 V", "forward_voltage": "3.2 V", "current": "5 mA"}, "resistor", 360),
    # (0.5 A)² × 2 × 3 m × 84.21 mΩ/m
    ("wire", {"gauge": "24 AWG", "length": "3 m", "current": "0.5 A", "supply": "5 V"}, "loss", 0.12632),
    # 10 AWG at 90 °C: 40 A × 0.80 for four conductors
    ("ampacity", {"gauge": "10 AWG", "rule": "nec-310.16", "insulation": 90, "conductors": 4}, "current", 32),
    # 0.2 × 3 mm × 0.75 × 580 MPa × 5.031 mm²
    ("torque", {"thread": "M3", "class_": "8.8"}, "torque", 1.3130),
    # √(4 × 1.380649e-23 × 298.15 × 10⁴ × 2 × 10⁴)
    ("thermal-noise", {"resistance": "10k", "bandwidth": "20 kHz", "temperature": "25 degC"}, "rms", 1.8147e-6),
    # 40 + 16 × 5 + 3 mA of 500 mA
    ("usb-budget", {"port": "500 mA", "loads": "40 mA + 16 x 5 mA, 3mA"}, "left", 0.377),
    # (4.75 − 4.5) V / (2 × 0.3 A) / 0.232 Ω/m
    ("usb-cable", {"resistance_per_length": "0.232 ohm/m", "current": "300 mA", "min_voltage": "4.5 V"},
     "length", 1.796),
    # 3.7 V × 2.2 A h / 1.5 W = 5.4267 h
    ("battery", {"voltage": "3.7 V", "capacity": "2200 mAh", "load": "1.5 W"}, "runtime", 19536),
    # 2.2 A h / 0.3 A = 7.333 h
    ("battery", {"voltage": "3.7 V", "capacity": "2200 mAh", "load": "300 mA"}, "runtime", 26400),
    # 8 h / 2³
    ("sound-exposure", {"level": "94 dB"}, "allowed-time", 3600),
    # 7 − 3 − (0.5 + 0.7) − 2 mm
    ("tolerance-fit", {"panel": "3 mm", "washers": "0.5 mm + 0.7 mm", "nut": "2 mm", "bushing_length": "7 mm"},
     "thread-left", 0.0008),
    # e⁻¹ (1 + 1 + 1/2)
    ("spares", {"rate": "0.001/h", "time": "500 h", "quantity": 2, "spares": 2}, "confidence", 0.91970),
    # ⌈ln 0.05 / ln 0.9⌉ = ⌈28.4⌉; fault-finding notes: 29
    ("soak", {"failure_share": 0.1, "risk": "5 %"}, "runs", 29),
    # ⌈ln 0.01 / ln 0.5⌉ = ⌈6.6⌉; fault-finding notes: 7
    ("soak", {"failure_share": 0.5, "risk": "1 %"}, "runs", 7),
    # exp(−2.0357 µs / (11 kΩ × 8 pF))
    ("adc", {"bits": 12, "clock": "14 MHz", "cycles": 28.5, "sample_capacitance": "8 pF", "switch_resistance": "1k",
             "source_resistance": "10k"}, "settling-error", 9.007e-11),
    # 12 lbf in × 0.112985
    ("convert", {"value": "12 lbf in", "to": "N m"}, "value", 1.35582),
]  # fmt: skip


@pytest.mark.parametrize(("name", "texts", "output", "value"), BY_HAND, ids=lambda value: str(value)[:50])
def test_as_done_by_hand(name: str, texts: dict[str, Any], output: str, value: float) -> None:
    assert outputs(name, **texts)[output] == pytest.approx(value, rel=2e-4)
