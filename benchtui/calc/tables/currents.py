"""How much current a wire may carry, table by table. The tables are not interchangeable: each result names its own."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

# Rows are keyed by AWG number (1/0 is 0, 4/0 is -3) or by mm².


@dataclass(frozen=True, slots=True)
class CurrentTable:
    """A table of currents.

    Attributes:
        source: Standard, table and edition, and what is from memory.
        columns: Column name to rows of current in A.
        metric: Whether rows are keyed by mm² instead of AWG number.
        base: Ambient temperature of the table in °C.
    """

    source: str
    columns: dict[str, dict[float, float]]
    metric: bool = False
    base: float = 30.0


NEC_310_16: Final = CurrentTable(
    "NFPA 70 (NEC) Table 310.16, copper, values of 2011 and later",
    {
        "60": {14: 15, 12: 20, 10: 30, 8: 40, 6: 55, 4: 70, 3: 85, 2: 95, 1: 110, 0: 125, -1: 145, -2: 165, -3: 195},
        "75": {14: 20, 12: 25, 10: 35, 8: 50, 6: 65, 4: 85, 3: 100, 2: 115, 1: 130, 0: 150, -1: 175, -2: 200, -3: 230},
        "90": {18: 14, 16: 18, 14: 25, 12: 30, 10: 40, 8: 55, 6: 75, 4: 95, 3: 115, 2: 130, 1: 145, 0: 170, -1: 195,
               -2: 225, -3: 260},
    },
)  # fmt: skip
NEC_310_16_OLD: Final = {"60": {14: 20.0, 12: 25.0}, "90": {3: 110.0, 1: 150.0}}
"""Cells printed differently in editions before 2011."""

NEC_400_5: Final = CurrentTable(
    "NFPA 70 (NEC) Table 400.5(A)(1), flexible cords, quoted by a cord maker",
    {
        "three": {18: 7, 16: 10, 14: 15, 12: 20, 10: 25, 8: 35, 6: 45},
        "two": {18: 10, 17: 12, 16: 13, 14: 18, 12: 25, 10: 30, 8: 40, 6: 55},
        "heater": {18: 10, 16: 15, 14: 20, 12: 30, 10: 35},
    },
)

NASA: Final = CurrentTable(
    "NASA EEE-INST-002 section W1 Table 4, 70 °C, vacuum (from memory; seen quoted: 20 AWG 3.7 A, 12 AWG 25 / 11.5 A)",
    {
        "single": {30: 1.3, 28: 1.8, 26: 2.5, 24: 3.3, 22: 4.5, 20: 6.5, 18: 9.2, 16: 13, 14: 19, 12: 25, 10: 33, 8: 44,
                   6: 60, 4: 81, 2: 108, 0: 147},
        "bundle": {30: 0.7, 28: 1.0, 26: 1.4, 24: 2.0, 22: 2.5, 20: 3.7, 18: 5.0, 16: 6.5, 14: 8.5, 12: 11.5, 10: 16.5,
                   8: 23, 6: 30, 4: 40, 2: 50, 0: 75},
    },
    base=70.0,
)  # fmt: skip
NASA_INSULATION: Final = {200.0: 1.0, 150.0: 0.8, 135.0: 0.7, 105.0: 0.5}
"""Insulation temperature in °C to the share of the table's current (from memory)."""
NASA_BUNDLE: Final = 15
"""Wires from which the bundle column holds."""

IEC_60364: Final = CurrentTable(
    "IEC 60364-5-52 Table B.52.4, PVC 70 °C, three loaded copper conductors, rounded down by a machine maker's manual",
    {
        "B2": {1.5: 15, 2.5: 20, 4: 27, 6: 34, 10: 46, 16: 62, 25: 80, 35: 99},
        "C": {1.5: 17, 2.5: 24, 4: 32, 6: 41, 10: 57, 16: 76, 25: 96, 35: 119},
    },
    metric=True,
)
IEC_60204: Final = CurrentTable(
    "IEC 60204-1 Table 6, PVC, machine wiring (from memory)",
    {
        "B1": {0.75: 8.6, 1: 10.3, 1.5: 13.5, 2.5: 18.3, 4: 24, 6: 31, 10: 44, 16: 59},
        "B2": {0.75: 8.5, 1: 10.1, 1.5: 13.1, 2.5: 17.4, 4: 23, 6: 30, 10: 40, 16: 54},
        "C": {0.75: 9.8, 1: 11.7, 1.5: 15.2, 2.5: 21, 4: 28, 6: 36, 10: 50, 16: 66},
        "E": {0.75: 10.4, 1: 12.4, 1.5: 16.1, 2.5: 22, 4: 30, 6: 37, 10: 52, 16: 70},
    },
    metric=True,
    base=40.0,
)

NEC_BUNDLE: Final = ((3, 1.0), (6, 0.8), (9, 0.7), (20, 0.5), (30, 0.45), (40, 0.4))
"""Most current-carrying conductors to the share left; 0.35 above the last."""
NEC_BUNDLE_MORE: Final = 0.35
NEC_BUNDLE_SOURCE: Final = "NEC 2014 Table 310.15(B)(3)(a), now 310.15(C)(1): more than three conductors"

IEC_GROUP: Final = ((1, 1.0), (2, 0.8), (3, 0.7), (4, 0.65), (5, 0.6), (6, 0.57), (7, 0.54), (8, 0.52), (9, 0.5),
                    (12, 0.45), (16, 0.41), (20, 0.38))  # fmt: skip
IEC_GROUP_SOURCE: Final = "IEC 60364-5-52 Table B.52.17 item 1, circuits bunched (from memory)"

NEC_AMBIENT_SOURCE: Final = "ambient factor √((Tc − Ta) / (Tc − 30)), two decimals: NEC Table 310.15(B)(1), 30 °C base"
IEC_AMBIENT_SOURCE: Final = "ambient factor √((70 − Ta) / (70 − base)): IEC 60364-5-52, PVC"

OVERCURRENT: Final = {18: 7.0, 16: 10.0, 14: 15.0, 12: 20.0, 10: 30.0}
"""Largest overcurrent device in A by AWG number, copper."""
OVERCURRENT_SOURCE: Final = (
    "NEC 240.4(D) (18 and 16 AWG from a secondary page, with load limits of their own from memory)"
)

NOT_FOR_MAINS: Final = (
    "Fixed wiring is for a licensed person and the local code; "
    "inside this product the figure serves at 60 V DC or less only."
)
