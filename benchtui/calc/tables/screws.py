"""Strength of screws, friction of finishes, and what the standards and handbooks say about tightening."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final


@dataclass(frozen=True, slots=True)
class Strength:
    """Minimum strengths of a class in Pa; `proof` is 0.2 % proof stress where the standard has no proof load."""

    ultimate: float
    yield_: float
    proof: float
    source: str


def _mega(ultimate: float, yield_: float, proof: float, source: str) -> Strength:
    return Strength(ultimate * 1e6, yield_ * 1e6, proof * 1e6, source)


_ISO_898: Final = "ISO 898-1 (1999/2013) Table 3, minimums (not the nominal figures of the class digits)"
_ISO_3506: Final = (
    "ISO 3506-1 (1997 Table 2, 2020): ultimate seen, 0.2 % proof stress from memory and checked indirectly"
)
_SAE: Final = "SAE J429 (from memory)"

CLASSES: Final = {
    "4.6": _mega(400, 240, 225, _ISO_898),
    "4.8": _mega(420, 340, 310, _ISO_898),
    "5.6": _mega(500, 300, 280, _ISO_898 + "; 5.6 from memory"),
    "5.8": _mega(520, 420, 380, _ISO_898),
    "6.8": _mega(600, 480, 440, _ISO_898),
    "8.8": _mega(800, 640, 580, _ISO_898),
    "9.8": _mega(900, 720, 650, _ISO_898 + "; 9.8 from memory"),
    "10.9": _mega(1040, 940, 830, _ISO_898),
    "12.9": _mega(1220, 1100, 970, _ISO_898),
    **{
        f"{steel}-{grade}": _mega(ultimate, proof, proof, _ISO_3506)
        for steel in ("A2", "A4")
        for grade, ultimate, proof in ((50, 500, 210), (70, 700, 450), (80, 800, 600))
    },
    "grade-2": _mega(510, 393, 379, _SAE),
    "grade-5": _mega(827, 634, 586, _SAE),
    "grade-8": _mega(1034, 896, 827, _SAE),
}

_LARGE: Final = {
    "8.8": (16e-3, _mega(830, 660, 600, _ISO_898)),
    "grade-2": (19.05e-3, _mega(414, 248, 228, _SAE)),
    "grade-5": (25.4e-3, _mega(724, 558, 510, _SAE)),
}
"""Classes that are weaker, or stronger, above a diameter in m: 8.8 above 16 mm; grade 2 above 3/4 in (60, 36 and
33 ksi) and grade 5 above 1 in (105, 81 and 74 ksi)."""


def strength(name: str, diameter: float) -> Strength:
    """Strength of a class for a screw of that diameter in m."""
    edge, large = _LARGE.get(name, (0.0, CLASSES[name]))
    return large if diameter > edge * (1 + 1e-9) else CLASSES[name]


FINISHES: Final = {
    "unknown": 0.20,
    "black": 0.30,
    "zinc": 0.20,
    "lubricated": 0.18,
    "cadmium": 0.16,
    "anti-seize": 0.12,
}
"""Nut factor K by finish."""
FINISH_SOURCE: Final = "nut factor by finish: Shigley 9th ed. Table 8-15; K = 0.2 where nothing is known (same text)"

SCATTER: Final = {"lubricated": 0.25, "anti-seize": 0.25, "cadmium": 0.30}
"""Spread of the preload when tightening by torque; 0.35 for everything else."""
SCATTER_OTHER: Final = 0.35
SCATTER_SOURCE: Final = "preload scatter by torque: NASA-STD-5020 / NSTS 08307 preload criteria, as quoted"

REUSABLE: Final = 0.75
OF_YIELD: Final = 0.90
"""Share of proof load for a joint that is opened again (Shigley Eq. 8-31), and of yield in published torque tables."""

# ISO 3506-1 minimum breaking torque in N·m, as repeated by suppliers, by nominal diameter in mm.
_BREAKING_50: Final[dict[float, float]] = {
    1.6: 0.15,
    2: 0.3,
    2.5: 0.6,
    3: 1.1,
    4: 2.7,
    5: 5.5,
    6: 9.3,
    8: 23,
    10: 46,
    12: 80,
    16: 210,
}
_BREAKING_70: Final[dict[float, float]] = {
    1.6: 0.2,
    2: 0.4,
    2.5: 0.9,
    3: 1.6,
    4: 3.8,
    5: 7.8,
    6: 13,
    8: 32,
    10: 65,
    12: 110,
    16: 290,
}
_BREAKING_80: Final[dict[float, float]] = {
    1.6: 0.24,
    2: 0.48,
    2.5: 0.96,
    3: 1.8,
    4: 4.3,
    5: 8.8,
    6: 15,
    8: 37,
    10: 74,
    12: 130,
    16: 330,
}
BREAKING: Final = {
    **dict.fromkeys(("A2-50", "A4-50"), _BREAKING_50),
    **dict.fromkeys(("A2-70", "A4-70"), _BREAKING_70),
    **dict.fromkeys(("A2-80", "A4-80"), _BREAKING_80),
}
BREAKING_SOURCE: Final = (
    "minimum breaking torque: ISO 3506-1, as repeated by suppliers (class 50, and M10 and up, from memory)"
)
BREAKING_SHARE: Final = 0.65
"""A suggestion stops at 60 to 70 % of the minimum breaking torque; the middle is used (common practice)."""

PANEL_NUT_LEAST: Final = 0.05
PANEL_NUT_MOST: Final = 6.0
"""N·m between which nut limits of panel parts lie; outside, a decimal point was lost (data sheets, common practice)."""
