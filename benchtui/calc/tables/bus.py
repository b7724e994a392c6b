"""Limits of the two-wire bus, per mode."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

SOURCE: Final = "NXP UM10204 rev 6 (2014), section 7.1 and Tables 9 to 11"

RISE: Final = 0.8473
"""Time of an RC from 0.3 to 0.7 of the supply, in RC: ln(0.7/0.3) (UM10204 section 7.1; one data sheet prints 0.4873,
its digits transposed)."""

LOW_SUPPLY: Final = 2.0
LOW_SHARE: Final = 0.2
LOW_SINK: Final = 2e-3
"""At a supply of at most so many V, the low level is this share of it at this sink current in A (UM10204 Table 9)."""


@dataclass(frozen=True, slots=True)
class Mode:
    """Rise time in s, bus capacitance in F, sink current in A, low level in V."""

    rise: float
    capacitance: float
    sink: float
    low: float


MODES: Final = {
    "standard": Mode(1000e-9, 400e-12, 3e-3, 0.4),
    "fast": Mode(300e-9, 400e-12, 3e-3, 0.4),
    "fast-plus": Mode(120e-9, 550e-12, 20e-3, 0.4),
}
