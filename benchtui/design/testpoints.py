"""What every test point of a design should read, as a window over the parts' tolerances and the meter's error.

A step or a fault model names a point ("bank-ohms", "pin-mid"); this module finds out how it is read on the subject,
solves the circuit at its corners, adds the meter, and says it in words with the working.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, Literal

from benchtui.design.circuit.window import window
from benchtui.design.model import near
from benchtui.design.parts import DIVIDERS
from benchtui.design.points import contacts, dividers, feeds, harness, unit
from benchtui.design.points.meter import error, near_band, outward, words
from benchtui.errors import DesignError
from benchtui.units import format_band, format_value

if TYPE_CHECKING:
    from benchtui.design.circuit.window import Reading, Window
    from benchtui.design.model import Control, Design
    from benchtui.design.points.spec import Spec

_SWITCHES: Final = ("button-direct", "button-matrix", "toggle", "encoder")
_CONTROLS: Final = (*DIVIDERS, *_SWITCHES, "lamp")

Power = Literal["on", "off"]


@dataclass(frozen=True, slots=True, kw_only=True)
class PointKind:
    """One kind of test point."""

    name: str
    title: str
    applies_to: tuple[str, ...]
    """Kinds of subject it is read on; empty for the whole unit."""
    kind: str
    """Kind of quantity."""
    power: Power
    """State of the unit while it is read."""
    optional: bool = False
    """A subject may be named, and need not be."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Expected:
    """What a test point should read. Values are in the unit of `kind`; None means no limit on that side."""

    point: str
    title: str
    where: str
    """Where both probes go, in words."""
    kind: str
    low: float | None = None
    nominal: float | None = None
    high: float | None = None
    near: float | None = None
    """Width inside each limit where a reading is near it; None leaves it to the meter in use."""
    power: Power
    text: str
    """The limits in words."""
    working: tuple[str, ...] = ()
    sources: tuple[str, ...] = ()


_Work = Callable[["Design", str], "Spec"]

_TABLE: Final[tuple[tuple[str, str, tuple[str, ...], str, Power, _Work], ...]] = (
    ("bank-ohms", "supply to ground of the bank", ("bank",), "resistance", "off", dividers.bank_ohms),
    ("element", "element, end to end", DIVIDERS, "resistance", "off", dividers.element),
    ("ribbon-element", "ribbon, end to end", ("ribbon",), "resistance", "off", dividers.element),
    ("lower-residual", "wiper to the lower end, at the lower stop", DIVIDERS, "resistance", "off",
     dividers.residual("ground")),
    ("upper-residual", "wiper to the upper end, at the upper stop", DIVIDERS, "resistance", "off",
     dividers.residual("supply")),
    ("mid-share", "share below the wiper at mid-travel", DIVIDERS, "ratio", "off", dividers.mid_share),
    ("signal-to-ground", "signal to ground, the whole bank at the middle", DIVIDERS, "resistance", "off",
     dividers.signal_to("ground")),
    ("signal-to-supply", "signal to supply, the whole bank at the middle", DIVIDERS, "resistance", "off",
     dividers.signal_to("supply")),
    ("contact-new", "contact of a new part, closed", _SWITCHES, "resistance", "off", contacts.contact(new=True)),
    ("contact-closed", "contact, closed", _SWITCHES, "resistance", "off", contacts.contact(new=False)),
    ("contact-open", "contact, open", _SWITCHES, "resistance", "off", contacts.contact_open),
    ("wire-loop", "signal wire, lug to connector pin", _CONTROLS, "resistance", "off", feeds.wire_loop),
    ("feed-loop", "feed, connector to furthest lug", ("bus", "bank"), "resistance", "off", feeds.feed_loop),
    ("supply-pin", "supply at the board to ground", DIVIDERS, "voltage", "on", dividers.supply_pin),
    ("supply-lug", "supply lug to ground", DIVIDERS, "voltage", "on", dividers.end_lug("supply")),
    ("ground-lug", "ground lug to ground", DIVIDERS, "voltage", "on", dividers.end_lug("ground")),
    ("signal-low", "signal lug at the lower stop", DIVIDERS, "voltage", "on", dividers.signal("low", at_pin=False)),
    ("signal-mid", "signal lug at the middle", DIVIDERS, "voltage", "on", dividers.signal("mid", at_pin=False)),
    ("signal-high", "signal lug at the upper stop", DIVIDERS, "voltage", "on", dividers.signal("high", at_pin=False)),
    ("pin-low", "input at the lower stop", DIVIDERS, "voltage", "on", dividers.signal("low", at_pin=True)),
    ("pin-mid", "input at the middle", DIVIDERS, "voltage", "on", dividers.signal("mid", at_pin=True)),
    ("pin-high", "input at the upper stop", DIVIDERS, "voltage", "on", dividers.signal("high", at_pin=True)),
    ("pin-idle", "input, contact open", _SWITCHES, "voltage", "on", contacts.input_pin(pressed=False)),
    ("pin-pressed", "input, contact closed", _SWITCHES, "voltage", "on", contacts.input_pin(pressed=True)),
    ("lamp-resistor", "series resistor of the lamp", ("lamp",), "resistance", "off", contacts.lamp_resistor),
    ("lamp-forward", "lamp on the diode range", ("lamp",), "voltage", "off", contacts.lamp_forward),
    ("lamp-current", "current of the lamp", ("lamp",), "current", "on", contacts.lamp_current),
    ("diode-forward", "matrix diode, forward", ("button-matrix",), "voltage", "off", contacts.diode(forward=True)),
    ("diode-reverse", "matrix diode, reverse", ("button-matrix",), "voltage", "off", contacts.diode(forward=False)),
    ("ribbon-pull-down", "pull-down, tail unplugged", ("ribbon",), "resistance", "off", dividers.ribbon_pull_down),
    ("rail-ohms", "V+ to ground at the board, everything plugged in", (), "resistance", "off", unit.rail_ohms),
    ("crimp-pull", "pull on a sample crimp", ("wire",), "force", "off", harness.crimp_pull),
    ("strap", "metal panel to ground", (), "resistance", "off", unit.strap),
    ("panel-thickness", "thickness of the panel", (), "length", "off", unit.panel_thickness),
    ("soak-temperature", "air beside the controls during a soak", (), "temperature", "on", unit.soak_temperature),
    ("vbus", "supply at the board, all lamps on", (), "voltage", "on", unit.vbus),
    ("vref", "reference at the far end of the bank", (), "voltage", "on", unit.vref),
    ("board-current", "current of the bare board", (), "current", "on", unit.board_current),
    ("idle-current", "current, lamps off", (), "current", "on", unit.current(lamps=False)),
    ("all-on-current", "current, all lamps on", (), "current", "on", unit.current(lamps=True)),
    ("lowest-code", "lowest value, ends not taught", DIVIDERS, "count", "on", dividers.code("low")),
    ("mid-code", "value at the middle, ends not taught", DIVIDERS, "count", "on", dividers.code("mid")),
    ("highest-code", "highest value, ends not taught", DIVIDERS, "count", "on", dividers.code("high")),
    ("sent-lowest", "lowest value sent", DIVIDERS, "count", "on", dividers.sent("low")),
    ("sent-highest", "highest value sent", DIVIDERS, "count", "on", dividers.sent("high")),
)  # fmt: skip

POINTS: Final[Mapping[str, PointKind]] = {
    name: PointKind(name=name, title=title, applies_to=applies, kind=kind, power=power, optional=name == "vref")
    for name, title, applies, kind, power, _ in _TABLE
}
"""Every test point by name. Those with "off" are read with the USB lead out, those with "on" with the unit powered."""

_WORK: Final[Mapping[str, _Work]] = {row[0]: row[-1] for row in _TABLE}


def expected(design: Design, point: str, subject_id: str | None = None, *, position: str | None = None) -> Expected:
    """What a test point should read on a healthy unit.

    Args:
        design: The design.
        point: A key of `POINTS`, or with `position` the part of one before "-low", "-mid" or "-high".
        subject_id: Control, bank or bus it is read on; None for points of the whole unit.
        position: "low", "mid" or "high".

    Raises:
        DesignError: There is no such point, or the subject has none.
    """
    name = f"{point}-{position}" if position and f"{point}-{position}" in POINTS else point
    known = design.answers.get((name, subject_id or ""))
    if isinstance(known, Expected):
        return known
    found = _expected(design, name, subject_id)
    design.answers[name, subject_id or ""] = found
    return found


def _expected(design: Design, name: str, subject_id: str | None) -> Expected:
    spec = spec_of(design, name, subject_id)
    entry = POINTS[name]
    found = window(spec.reading) if spec.reading is not None else None
    low: float | None
    nominal: float | None
    high: float | None
    if entry.kind == "count" and found is not None:
        assert subject_id
        low, nominal, high = _codes(design, design.control(subject_id), found)
    else:
        low, nominal, high = _limits(design, spec, entry.kind, found)
    return Expected(
        point=name,
        title=entry.title,
        where=spec.where,
        kind=entry.kind,
        low=low,
        nominal=nominal,
        high=high,
        near=near_band(design.meter, entry.kind, high) if spec.kept and high is not None else None,
        power=entry.power,
        text=_text(low, high, entry.kind),
        working=tuple(_working(design, spec, entry.kind, found)),
        sources=_sources(spec, found),
    )


def spec_of(design: Design, point: str, subject_id: str | None) -> Spec:
    """How a test point is worked out on a subject. Raises DesignError as `expected` does."""
    if point not in POINTS:
        raise DesignError(f"there is no test point {point!r}", hint=near(point, POINTS))
    entry = POINTS[point]
    if entry.applies_to:
        if not subject_id:
            raise DesignError(f"{point} is read on a {' or '.join(entry.applies_to)}", hint="name the subject")
        if design.subject(subject_id).kind not in entry.applies_to:
            raise DesignError(
                f"{subject_id} has no test point {point!r}", hint=f"it belongs to {', '.join(entry.applies_to)}"
            )
    return _WORK[point](design, (subject_id or "") if entry.applies_to or entry.optional else "")


def points_of(design: Design, subject_id: str) -> tuple[str, ...]:
    """Names of the test points that a subject has, in the order of `POINTS`."""
    known = design.answers.get(("points of", subject_id))
    if isinstance(known, tuple):
        return known
    kind = design.subject(subject_id).kind
    found = []
    for name, entry in POINTS.items():
        if kind in entry.applies_to:
            try:
                spec_of(design, name, subject_id)
            except DesignError:
                continue
            found.append(name)
    design.answers["points of", subject_id] = tuple(found)
    return tuple(found)


def reading_of(design: Design, point: str, subject_id: str | None) -> Reading | None:
    """What the circuit gives at a test point, before the meter; None where limits are given outright."""
    return spec_of(design, point, subject_id).reading


# Limits.


def _limits(
    design: Design, spec: Spec, kind: str, found: Window | None
) -> tuple[float | None, float | None, float | None]:
    low, nominal, high = spec.least, spec.nominal, spec.most
    widened = spec.metered and not spec.kept
    if kind == "count":
        return low, nominal, high
    if found is not None:
        nominal = found.nominal
        worst = found.high if spec.cap is None else min(found.high, spec.cap)
        by_low, by_high = (error(design.meter, kind, each) if widened else 0.0 for each in (found.low, worst))
        bottom, top = found.low - by_low, worst + by_high
        low = bottom if low is None else min(low, bottom)
        high = top if high is None else max(high, top)
    elif widened:
        low = None if low is None else low - error(design.meter, kind, low)
        high = None if high is None else high + error(design.meter, kind, high)
    if spec.sides == "most":
        low = None
    elif spec.sides == "least":
        high = None
    low = None if low is None else max(outward(low, up=False), 0.0)
    return low, nominal, None if high is None else outward(high, up=True)


def _codes(design: Design, control: Control, found: Window) -> tuple[float, float, float]:
    """Values sent for shares of the rail: lowest, ordinary and highest."""
    converter = design.board.converter
    by = converter.error / 2**converter.bits
    values = [code_of(design, control, share) for share in (found.low - by, found.nominal, found.high + by)]
    return min(values), values[1], max(values)


def code_of(design: Design, control: Control, share: float) -> int:
    """The value a control sends for a share of the rail.

    The share is stretched by the end trim, kept within the ends, and scaled to the range of the message:
    value = low + (high - low) × share, rounded half up.
    """
    message = control.message
    low, high = dividers.message_ends(message)
    trim = design.file.firmware.end_trim.value
    stretched = min(max((share - trim) / (1 - 2 * trim), 0.0), 1.0)
    return math.floor(low + (high - low) * stretched + 0.5)


# Words.


def _text(low: float | None, high: float | None, kind: str) -> str:
    def show(value: float) -> str:
        return format_value(value, kind)

    if high is None:
        beyond = ", or OL" if kind in ("resistance", "voltage") else ""
        return "no limits" if low is None else f"{show(low)} or more{beyond}"
    if low is None:
        return f"{show(high)} or less"
    return show(low) if low == high else format_band(low, high, kind)


def _working(design: Design, spec: Spec, kind: str, found: Window | None) -> list[str]:
    shown = "ratio" if kind == "count" else kind
    lines = [spec.formula]
    if found is not None and spec.reading is not None:
        band = format_band(found.low, found.high, shown)
        lines.append(f"ordinary parts {format_value(found.nominal, shown)}; every part at its worst {band}")
        quantities = spec.reading.quantities
        whole = sum(width for _, width in found.shares)
        for name, width in found.shares[:3]:
            if width > 0.02 * whole:
                each = quantities[name]
                lines.append(f"{each.what} {format_band(each.low, each.high, each.kind)} ({each.source})")
        worst = found.high if spec.cap is None else min(found.high, spec.cap)
        if spec.metered and not spec.kept and (by := words(design.meter, kind, worst)):
            lines.append(by)
    if kind == "count" and found is not None:
        converter = design.board.converter
        lines.append(f"the converter may be off by {converter.error:g} of its {2**converter.bits} steps")
    if spec.reason:
        lines.append(spec.reason)
    if spec.kept and spec.most is not None:
        by = format_value(near_band(design.meter, kind, spec.most), kind, digits=2)
        lines.append(
            f"the limit stands as it is; within {by} of it a reading is near the limit, for the meter may be off"
        )
    return lines


def _sources(spec: Spec, found: Window | None) -> tuple[str, ...]:
    named: list[str] = []
    if found is not None and spec.reading is not None:
        named = [spec.reading.quantities[name].source for name, width in found.shares[:4] if width]
    return tuple(dict.fromkeys([*named, *spec.sources, *([spec.reason] if spec.reason else [])]))
