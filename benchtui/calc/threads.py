"""Screw threads: how they are written, and the diameters and areas that follow from diameter and pitch."""

from __future__ import annotations

import re
from dataclasses import dataclass
from math import cos, pi, radians, tan
from typing import Final

from benchtui.errors import CalcError, UnitError
from benchtui.units import parse

INCH: Final = 0.0254

COARSE: Final = {
    1.0: 0.25, 1.2: 0.25, 1.4: 0.3, 1.6: 0.35, 1.8: 0.35, 2.0: 0.4, 2.2: 0.45, 2.5: 0.45, 3.0: 0.5, 3.5: 0.6, 4.0: 0.7,
    4.5: 0.75, 5.0: 0.8, 6.0: 1.0, 8.0: 1.25, 10.0: 1.5, 12.0: 1.75, 14.0: 2.0, 16.0: 2.0, 18.0: 2.5, 20.0: 2.5,
    22.0: 2.5, 24.0: 3.0, 27.0: 3.0, 30.0: 3.5, 33.0: 3.5, 36.0: 4.0,
}  # fmt: skip
"""Coarse pitch in mm by nominal diameter in mm, ISO 261."""

_BUSHINGS: Final = {
    (6.0, 0.75), (7.0, 0.75), (8.0, 0.75), (9.0, 0.75), (9.0, 1.0), (10.0, 0.75), (12.0, 0.75), (12.0, 1.0),
    (16.0, 1.0), (19.0, 1.0), (22.0, 1.0),
}  # fmt: skip
_INCH_BUSHINGS: Final = {(0.19, 48), (0.25, 32), (0.25, 40), (0.375, 32), (0.46875, 32)}
"""Threads that panel controls are mounted by; none is a screw of a property class."""

STRESS_SOURCE: Final = "stress area: ISO 898-1 (metric, π/4 ((d2 + d3)/2)²); FED-STD-H28 / ASME B1.1 (unified)"

_METRIC: Final = re.compile(r"M\s*(\d{1,2}(?:\.\d+)?)(?:\s*[x×*-]\s*(\d(?:\.\d+)?))?", re.I)
_UNIFIED: Final = re.compile(
    r"(?:UN[CFSEJ]{0,2}\s+)?(?:#|No\.?\s*)?(?:(?P<top>\d{1,2})/(?P<bottom>\d{1,2})|(?P<number>\d{1,2}))\s*-\s*(?P<tpi>\d{1,3})"
    r"(?:\s*UN[CFSEJ]{0,2})?(?:\s*-?\s*[123][AB])?", re.I
)  # fmt: skip
_HINT: Final = "type a thread like M3, M7x0.75, 4-40 or 1/4-20"


@dataclass(frozen=True, slots=True)
class Thread:
    """A 60° thread.

    Attributes:
        name: As it is written.
        diameter: Nominal (major) diameter in m.
        pitch: In m; 0 when only the diameter is known.
        metric: Whether it is an ISO thread; otherwise unified.
        bushing: Whether panel controls are mounted by it.
    """

    name: str
    diameter: float
    pitch: float
    metric: bool
    bushing: bool

    @property
    def pitch_diameter(self) -> float:
        """d2 in m."""
        return self.diameter - 0.649519 * self.pitch

    @property
    def root_diameter(self) -> float:
        """d3 in m: the minor diameter of the screw, 1.226869 P below the major (ISO), 1.299038 P (unified)."""
        return self.diameter - (1.226869 if self.metric else 1.299038) * self.pitch

    @property
    def stress_area(self) -> float:
        """Tensile stress area in m²."""
        if self.metric:
            return pi / 4 * ((self.pitch_diameter + self.root_diameter) / 2) ** 2
        return 0.7854 * (self.diameter - 0.9743 * self.pitch) ** 2

    def nut_factor(self, thread_friction: float, head_friction: float, bearing: float | None) -> float:
        """K in T = K d F.

        Args:
            thread_friction: Coefficient between the threads.
            head_friction: Coefficient under the head or nut.
            bearing: Mean diameter of the bearing face in m. With it the three-term form is used (VDI 2230, ISO 16047);
                without it Shigley Eq. 8-26, whose 0.625 stands for a bearing face of 1.25 d.
        """
        if bearing is not None:
            lever = self.pitch / (2 * pi) + thread_friction * self.pitch_diameter / (2 * cos(radians(30)))
            return (lever + head_friction * bearing / 2) / self.diameter
        # Shigley's mean diameter lies halfway between the major and the full 60° minor diameter.
        mean = self.diameter - 1.299038 * self.pitch / 2
        lead = self.pitch / (pi * mean)
        secant = 1 / cos(radians(30))
        grip = 1 - thread_friction * lead * secant
        if grip <= 0:
            raise CalcError("is so large that the thread cannot be turned", key="thread-friction")
        return mean / (2 * self.diameter) * (lead + thread_friction * secant) / grip + 0.625 * head_friction

    def preload_at_yield(self, stress: float, thread_friction: float, *, plastic: bool) -> float:
        """Preload in N at which tension and torsion together reach a stress in Pa (VDI 2230 type).

        Args:
            stress: Share of yield times yield.
            thread_friction: Coefficient between the threads.
            plastic: Torsion with the plastic reserve of the editions from 2001 on; elastic as before otherwise.
        """
        d2, d0 = self.pitch_diameter, (self.pitch_diameter + self.root_diameter) / 2
        c = 1.5 if plastic else 2.0
        lever = self.pitch / (pi * d2) + thread_friction / cos(radians(30))
        return float(stress * self.stress_area / (1 + 3 * (c * d2 / d0 * lever) ** 2) ** 0.5)


def read_thread(text: str) -> Thread:
    """Read "M3", "M7x0.75", "4-40", "#10-32 UNF", "1/4-20", or a bare diameter such as "0.19 in".

    Raises:
        CalcError: It is no thread.
    """
    typed = re.sub(r"\s+x\s+\.", " x 0.", text.strip().replace('"-', "-"))
    if match := _METRIC.fullmatch(typed):
        return _metric(float(match[1]), float(match[2]) if match[2] else None)
    if match := _UNIFIED.fullmatch(typed):
        return _unified(match)
    try:
        amount = parse(typed, "length")
    except UnitError:
        raise CalcError(f"{typed[:20]!r} is not a thread", key="thread", hint=_HINT) from None
    if amount.low <= 0:
        raise CalcError("must be above 0", key="thread", hint=_HINT)
    return Thread(typed, amount.value, 0.0, metric=True, bushing=False)


def _metric(diameter: float, pitch: float | None) -> Thread:
    if pitch is None:
        if diameter == 7.0:
            raise CalcError(
                "M7 is 0.75 on controls and 1 as a screw", key="thread", hint="type the pitch: M7x0.75 or M7x1"
            )
        pitch = COARSE.get(diameter)
        if pitch is None:
            raise CalcError(
                f"M{diameter:g} has no coarse pitch in the list",
                key="thread",
                hint=f"type its pitch from the screw's own sheet, M{diameter:g}x and the millimetres",
            )
    if not 0 < pitch < diameter / 2:
        raise CalcError(f"a pitch of {pitch:g} does not go with M{diameter:g}", key="thread", hint=_HINT)
    name = f"M{diameter:g}" if COARSE.get(diameter) == pitch else f"M{diameter:g}x{pitch:g}"
    return Thread(name, diameter * 1e-3, pitch * 1e-3, metric=True, bushing=(diameter, pitch) in _BUSHINGS)


def _unified(match: re.Match[str]) -> Thread:
    per_inch = int(match["tpi"])
    if match["top"]:
        if int(match["bottom"]) == 0 or int(match["top"]) == 0:
            raise CalcError("that fraction is no diameter", key="thread", hint=_HINT)
        diameter = int(match["top"]) / int(match["bottom"])
        name = f"{match['top']}/{match['bottom']}-{per_inch}"
    else:
        # Number sizes: 0.060 in and 0.013 in more for each number.
        diameter = 0.060 + 0.013 * int(match["number"])
        name = f"#{match['number']}-{per_inch}"
    if per_inch < 4 or 1 / per_inch >= diameter / 2:
        raise CalcError(f"{name} is not a thread", key="thread", hint=_HINT)
    bushing = (diameter, per_inch) in _INCH_BUSHINGS
    return Thread(name, diameter * INCH, INCH / per_inch, metric=False, bushing=bushing)


@dataclass(frozen=True, slots=True)
class Limits:
    """Limits of size in m: smallest major and pitch diameter of the screw, largest pitch and minor of the hole."""

    major_min: float
    screw_pitch_min: float
    hole_pitch_max: float
    hole_minor_max: float


def limits_of(thread: Thread) -> Limits:
    """Limits of a usual fit: 6g/6H (ISO 965-1) or 2A/2B (ASME B1.1), from the standards' own tolerance formulas.

    The formulas are from memory and reproduce the published limits and stripping areas that the tests name.
    """
    return _iso_limits(thread) if thread.metric else _unified_limits(thread)


_RANGES: Final = (0.99, 1.4, 2.8, 5.6, 11.2, 22.4, 45.0, 90.0)
_R40: Final = (
    1.0, 1.06, 1.12, 1.18, 1.25, 1.32, 1.4, 1.5, 1.6, 1.7, 1.8, 1.9, 2.0, 2.12, 2.24, 2.36, 2.5, 2.65, 2.8, 3.0, 3.15,
    3.35, 3.55, 3.75, 4.0, 4.25, 4.5, 4.75, 5.0, 5.3, 5.6, 6.0, 6.3, 6.7, 7.1, 7.5, 8.0, 8.5, 9.0, 9.5, 10.0,
)  # fmt: skip


def _r40(microns: float) -> float:
    """Rounded to the R40 series, as ISO 965-1 rounds its tolerances."""
    decade = 1.0
    while microns / decade >= 10:
        decade *= 10
    return min(_R40, key=lambda step: abs(step - microns / decade)) * decade


def _iso_limits(thread: Thread) -> Limits:
    d, pitch = thread.diameter * 1e3, thread.pitch * 1e3
    above = next((i for i, edge in enumerate(_RANGES) if d <= edge), len(_RANGES) - 1)
    middle = (_RANGES[max(above - 1, 0)] * _RANGES[above]) ** 0.5
    gap = round(15 + 11 * pitch)
    major = _r40(180 * pitch ** (2 / 3) - 3.15 / pitch**0.5)
    pitch_6 = 90 * pitch**0.4 * middle**0.1
    minor = _r40(433 * pitch - 190 * pitch**1.22 if pitch < 1 else 230 * pitch**0.7)
    d2, d1 = d - 0.649519 * pitch, d - 1.082532 * pitch
    return Limits(
        (d - (gap + major) * 1e-3) * 1e-3,
        (d2 - (gap + _r40(pitch_6)) * 1e-3) * 1e-3,
        (d2 + _r40(1.32 * pitch_6) * 1e-3) * 1e-3,
        (d1 + minor * 1e-3) * 1e-3,
    )


def _unified_limits(thread: Thread) -> Limits:
    d, pitch = thread.diameter / INCH, thread.pitch / INCH
    pitch_2a = 0.0015 * d ** (1 / 3) + 0.0015 * d**0.5 + 0.015 * pitch ** (2 / 3)
    gap = 0.3 * pitch_2a
    minor = (
        0.25 * pitch - 0.4 * pitch**2
        if d >= 0.25
        else max(0.05 * pitch ** (2 / 3) + 0.03 * pitch / d - 0.002, 0.25 * pitch - 0.4 * pitch**2)
    )
    d2, d1 = d - 0.649519 * pitch, d - 1.082532 * pitch
    return Limits(
        (d - gap - 0.06 * pitch ** (2 / 3)) * INCH,
        (d2 - gap - pitch_2a) * INCH,
        (d2 + 1.3 * pitch_2a) * INCH,
        (d1 + minor) * INCH,
    )


def internal_area(limits: Limits, pitch: float, engagement: float) -> float:
    """Shear area of the hole's thread in m², lengths in m (FED-STD-H28)."""
    gap = limits.major_min - limits.hole_pitch_max
    return pi * engagement / pitch * limits.major_min * (pitch / 2 + tan(radians(30)) * gap)


def external_area(limits: Limits, pitch: float, engagement: float) -> float:
    """Shear area of the screw's thread in m², lengths in m (FED-STD-H28)."""
    gap = limits.screw_pitch_min - limits.hole_minor_max
    return pi * engagement / pitch * limits.hole_minor_max * (pitch / 2 + tan(radians(30)) * gap)
