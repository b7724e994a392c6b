"""USB power figures: what a port gives, what a cable may lose, and what a Type-C source says it can give."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

SOURCE: Final = "USB 2.0 and 3.x specifications as quoted; Type-C figures as quoted in makers' data sheets"


@dataclass(frozen=True, slots=True)
class Port:
    """A port: current it gives in A, lowest voltage it may have in V, and words."""

    current: float
    lowest: float
    words: str


PORTS: Final = {
    "bus-hub": Port(0.1, 4.40, "a bus-powered hub"),
    "100-mA": Port(0.1, 4.75, "a port that has granted nothing yet"),
    "500-mA": Port(0.5, 4.75, "a USB 2.0 port that has granted it"),
    "900-mA": Port(0.9, 4.45, "a USB 3 port that has granted it"),
    "C-1.5-A": Port(1.5, 4.75, "a Type-C source that offers it"),
    "C-3-A": Port(3.0, 4.75, "a Type-C source that offers it"),
}

INRUSH_CAPACITANCE: Final = 10e-6
"""Most capacitance seen at attach, in F (USB 2.0 section 7.2.4.1)."""
INRUSH_VOLTAGE: Final = 5.0
INRUSH_SOURCE: Final = "attach limit 10 µF: USB 2.0 section 7.2.4.1; the test limit is given as 50 µC or as 51.4 µC"

SUSPEND: Final = "suspended it may draw 0.5 mA (USB 2.0 as first printed) or 2.5 mA (after its ECN)"

CABLE: Final = {28: 0.232, 26: 0.145, 24: 0.0909, 22: 0.0574, 20: 0.0358}
"""Ω/m of a power pair's conductor by AWG number (USB 2.0 Table 6-6, from memory)."""
CABLE_BUDGET: Final = 0.190
"""Ω of wire in each conductor: 0.250 Ω less two contacts of 0.030 Ω (from memory)."""
CABLE_LONGEST: Final = 5.0
"""m; longer cables break the delay limit of USB 2.0."""
CABLE_SOURCE: Final = (
    "power pair: USB 2.0 Table 6-6 and 0.190 Ω per conductor (from memory), lengths as in a published table"
)

SENSE: Final = ((0.2, "none"), (0.66, "default"), (1.23, "1.5 A"), (2.04, "3 A"))
"""Upper edge in V at the sink's pin, and what the source says (2.04 V from memory)."""
SENSE_SOURCE: Final = "sink thresholds 0.20, 0.66 and 1.23 V: USB Type-C specification as quoted (2.04 V from memory)"
