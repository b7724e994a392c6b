"""What a test point of a healthy unit should read: a window over the parts' tolerances and the meter's own error.

Each point is worked out by its closed form at every corner of the tolerances that bear on it; the forms are monotone in
each of them, so the window is the widest the parts allow.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import product
from typing import TYPE_CHECKING, Final, Literal

from benchtui.design.model import near
from benchtui.design.parts import DIVIDERS
from benchtui.errors import DesignError
from benchtui.units import format_band, format_value

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping

    from benchtui.design.model import Control, Design
    from benchtui.design.parts import Element
    from benchtui.design.wiring import WireRun
    from benchtui.units import Amount

_SWITCHES: Final = ("button-direct", "toggle", "encoder")
_CONTACTS: Final = (*_SWITCHES, "button-matrix")
_CONTROLS: Final = (*DIVIDERS, *_CONTACTS, "lamp")


@dataclass(frozen=True, slots=True, kw_only=True)
class PointKind:
    """One kind of test point."""

    name: str
    title: str
    applies_to: tuple[str, ...]
    """Kinds of control or group it is read on; empty for the whole unit."""
    kind: str
    """Kind of quantity."""
    power: Literal["on", "off"]


def _points(*points: tuple[str, str, tuple[str, ...], str, Literal["on", "off"]]) -> dict[str, PointKind]:
    return {
        name: PointKind(name=name, title=title, applies_to=applies, kind=kind, power=power)
        for name, title, applies, kind, power in points
    }


POINTS: Final[Mapping[str, PointKind]] = _points(
    ("bank-ohms", "supply to ground of the bank", ("bank",), "resistance", "off"),
    ("element", "element, end to end", ("fader", "pot"), "resistance", "off"),
    ("ribbon-element", "ribbon, end to end", ("ribbon",), "resistance", "off"),
    ("lower-residual", "wiper to the lower end, at the lower stop", ("fader", "pot"), "resistance", "off"),
    ("upper-residual", "wiper to the upper end, at the upper stop", ("fader", "pot"), "resistance", "off"),
    ("mid-share", "share below the wiper at mid-travel", ("fader", "pot"), "ratio", "off"),
    ("signal-to-ground", "signal to ground, the whole bank at the middle", ("fader", "pot"), "resistance", "off"),
    ("contact-closed", "contact, closed", _CONTACTS, "resistance", "off"),
    ("contact-open", "contact, open", _CONTACTS, "resistance", "off"),
    ("wire-loop", "signal wire, lug to connector pin", _CONTROLS, "resistance", "off"),
    ("feed-loop", "feed, connector to its last lug", ("bus", "bank"), "resistance", "off"),
    ("supply-lug", "supply lug to ground", DIVIDERS, "voltage", "on"),
    ("ground-lug", "ground lug to ground", DIVIDERS, "voltage", "on"),
    ("signal-low", "signal lug at the lower stop", DIVIDERS, "voltage", "on"),
    ("signal-mid", "signal lug at the middle", DIVIDERS, "voltage", "on"),
    ("signal-high", "signal lug at the upper stop", DIVIDERS, "voltage", "on"),
    ("pin-low", "input at the lower stop", DIVIDERS, "voltage", "on"),
    ("pin-mid", "input at the middle", DIVIDERS, "voltage", "on"),
    ("pin-high", "input at the upper stop", DIVIDERS, "voltage", "on"),
    ("pin-idle", "input, contact open", _SWITCHES, "voltage", "on"),
    ("pin-pressed", "input, contact closed", _SWITCHES, "voltage", "on"),
    ("lamp-resistor", "series resistor of the lamp", ("lamp",), "resistance", "off"),
    ("lamp-forward", "lamp on the diode range", ("lamp",), "voltage", "off"),
    ("lamp-current", "current of the lamp", ("lamp",), "current", "on"),
    ("diode-forward", "matrix diode, forward", ("button-matrix",), "voltage", "off"),
    ("diode-reverse", "matrix diode, reverse", ("button-matrix",), "voltage", "off"),
    ("ribbon-pull-down", "pull-down, tail unplugged", ("ribbon",), "resistance", "off"),
    ("strap", "metal panel to ground", (), "resistance", "off"),
    ("vbus", "supply at the board, all lamps on", (), "voltage", "on"),
    ("vref", "reference at the far end of the last bank", (), "voltage", "on"),
    ("idle-current", "current, lamps off", (), "current", "on"),
    ("all-on-current", "current, all lamps on", (), "current", "on"),
    ("lowest-code", "lowest value sent", DIVIDERS, "count", "on"),
    ("mid-code", "value sent at the middle", DIVIDERS, "count", "on"),
    ("highest-code", "highest value sent", DIVIDERS, "count", "on"),
)
"""Every test point by name. Those with "off" are read with the USB lead out, those with "on" with the unit powered."""


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
    power: Literal["on", "off"]
    text: str
    """The limits in words."""
    working: tuple[str, ...] = ()
    sources: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class _Window:
    low: float | None
    nominal: float | None
    high: float | None
    where: str
    working: tuple[str, ...]
    sources: tuple[str, ...]


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
    if name not in POINTS:
        raise DesignError(f"there is no test point {point!r}", hint=near(point, POINTS))
    entry = POINTS[name]
    if entry.applies_to and not subject_id:
        raise DesignError(f"{name} is read on a {' or '.join(entry.applies_to)}", hint="name the subject")
    if subject_id and entry.applies_to:
        kind = design.subject(subject_id).kind
        if kind not in entry.applies_to:
            raise DesignError(
                f"{subject_id} has no test point {name!r}", hint=f"it belongs to {', '.join(entry.applies_to)}"
            )
    window = _WORK[name](design, subject_id or "")
    return Expected(
        point=name,
        title=entry.title,
        where=window.where,
        kind=entry.kind,
        low=window.low,
        nominal=window.nominal,
        high=window.high,
        power=entry.power,
        text=_limits(window, entry.kind),
        working=window.working,
        sources=window.sources,
    )


def _limits(window: _Window, kind: str) -> str:
    def show(value: float) -> str:
        return format_value(value, kind, digits=3)

    if window.low is None and window.high is None:
        return "no limits"
    if window.high is None and window.low is not None:
        return f"at least {show(window.low)}, or OL"
    if window.high is not None and window.low is None:
        return f"at most {show(window.high)}"
    assert window.low is not None and window.high is not None
    if kind == "count" and window.low == window.high:
        return show(window.low)
    return format_band(window.low, window.high, kind, digits=3)


# The meter.


def _ohms_error(design: Design, ohms: float) -> float:
    """Error of an ohms reading: a share of it, counts of the range in use, and what zeroing leaves of the leads."""
    meter = design.meter
    top = 200.0
    while top < ohms and top < 20e6:
        top *= 10
    return ohms * meter.ohms.value + meter.ohms_counts * top / meter.counts + meter.leads.value


def _volts_error(design: Design, volts: float) -> float:
    return volts * design.meter.volts.value + design.meter.volts_count.value


def _amps_error(design: Design, amps: float) -> float:
    return amps * design.meter.amps.value + design.meter.amps_count.value


def _metered(
    design: Design,
    values: Iterable[float],
    nominal: float,
    error: Callable[[Design, float], float],
) -> tuple[float, float, float]:
    """Lowest, nominal and highest reading over true values, the meter's error added on both sides."""
    all_values = [*values, nominal]
    low, high = min(all_values), max(all_values)
    return max(low - error(design, low), 0.0), nominal, high + error(design, high)


def _meter_words(design: Design) -> str:
    return f"widened by the meter's own error ({design.meter.source})"


# Where the probes go.


def _lug(control: Control, role: str) -> str:
    lug = control.part.lugs.get(role)
    if lug is None:
        raise DesignError(f"{control.id} has no lug for {role}")
    return f"{control.id} lug {lug.lug}" + (f" ({lug.name})" if lug.name else "")


def _wire(design: Design, control: Control, role: str) -> WireRun:
    from benchtui.design.wiring import wires

    for run in wires(design, control.id):
        if run.role == role and run.control == control.id:
            return run
    raise DesignError(f"{control.id} has no wire at its lug for {role}")


def _ground(design: Design, control: Control) -> str:
    """A place where the black probe finds ground near a control."""
    if control.bank and (bus := design.bank(control.bank).ground):
        return f"{design.bus(bus).connector} pin {design.bus(bus).pin} (ground)"
    return "ground at the board"


def _pin(design: Design, control: Control, role: str) -> str:
    """The connector pin and what it goes to: "J1 pin 5 (M1 channel 2)"."""
    pin = control.pins.get(role, "")
    if not pin:
        return control.board_pins.get(role, "the board pin")
    to = f"{control.multiplexer} channel {control.channel}" if control.multiplexer else control.board_pins.get(role, "")
    return f"{control.connector} pin {pin}" + (f" ({to})" if to else "")


# Dividers.


def _element(control: Control) -> Element:
    element = control.part.element
    if element is None:
        raise DesignError(f"{control.part.title} has no element")
    return element


def _end_to_end(design: Design, id: str) -> _Window:
    control = design.control(id)
    ohms = _element(control).ohms
    low, nominal, high = _metered(design, (ohms.low, ohms.high), ohms.value, _ohms_error)
    return _Window(
        low,
        nominal,
        high,
        f"{_lug(control, 'ground')} to {_lug(control, 'supply')}, its supply lead off",
        (f"{ohms.text or ohms} of the part, {_meter_words(design)}",),
        (_element(control).source,),
    )


def _residual(side: str) -> Callable[[Design, str], _Window]:
    def work(design: Design, id: str) -> _Window:
        control = design.control(id)
        element = _element(control)
        most = element.residual.high + element.wiper.high
        return _Window(
            None,
            None,
            most + _ohms_error(design, most),
            f"{_lug(control, 'signal')} to {_lug(control, side)}",
            (f"residual {element.residual} and wiper contact {element.wiper} at most, {_meter_words(design)}",),
            (element.source,),
        )

    return work


def _mid_share(design: Design, id: str) -> _Window:
    control = design.control(id)
    element = _element(control)
    spread = element.mid_spread.value
    return _Window(
        element.mid.value - spread,
        element.mid.value,
        element.mid.value + spread,
        f"{_lug(control, 'ground')} to {_lug(control, 'signal')}, as a share of end to end",
        (f"mid-travel {element.mid} within {element.mid_spread} of the whole",),
        (element.source,),
    )


def _ends(amount: Amount) -> tuple[float, float]:
    return amount.low, amount.high


def _branch(control: Control) -> tuple[float, float, float]:
    """A control's load between supply and ground with its limiter: low, nominal and high ohms."""
    ohms = _element(control).ohms
    extra = control.limiter.fixed.ohms if control.limiter and control.limiter.fixed else None
    add = (extra.low, extra.value, extra.high) if extra else (0.0, 0.0, 0.0)
    return ohms.low + add[0], ohms.value + add[1], ohms.high + add[2]


def _parallel(ohms: Iterable[float]) -> float:
    total = sum(1 / each for each in ohms if each < math.inf)
    return 1 / total if total else math.inf


def _bank_ohms(design: Design, id: str) -> _Window:
    bank = design.bank(id)
    members = [control for control in design.members(id) if control.kind in DIVIDERS]
    if not members or not bank.supply:
        raise DesignError(f"bank {id} has no supply and ground to measure between")
    corners = [_parallel(_branch(control)[corner] for control in members) for corner in range(3)]
    low, nominal, high = _metered(design, (corners[0], corners[2]), corners[1], _ohms_error)
    supply, ground = design.bus(bank.supply), design.bus(bank.ground)
    return _Window(
        low,
        nominal,
        high,
        f"{supply.connector} pin {supply.pin} (supply) to {ground.connector} pin {ground.pin} (ground), plug out",
        (
            f"{len(members)} in parallel: {' ∥ '.join(control.id for control in members)}",
            f"nominal {format_value(nominal or 0, 'resistance')}, {_meter_words(design)}",
        ),
        tuple(dict.fromkeys(_element(control).source for control in members)),
    )


def _signal_to_ground(design: Design, id: str) -> _Window:
    control = design.control(id)
    element = _element(control)
    others = [other for other in design.members(control.bank) if other.kind in DIVIDERS and other.id != id]

    def ohms(mid: float, own: float, corner: int) -> float:
        rest = _parallel(_branch(other)[corner] for other in others)
        return _parallel((mid * own, (1 - mid) * own + rest))

    mids = (element.mid.value - element.mid_spread.value, element.mid.value + element.mid_spread.value)
    values = [ohms(mid, own, corner) for mid, own, corner in product(mids, _ends(element.ohms), (0, 2))]
    low, nominal, high = _metered(design, values, ohms(element.mid.value, element.ohms.value, 1), _ohms_error)
    return _Window(
        low,
        nominal,
        high + element.wiper.high,
        f"{_pin(design, control, 'signal')} to {_ground(design, control)}, plug out",
        (
            "lower half ∥ (upper half + the rest of the bank in parallel)",
            f"halves {element.mid} within {element.mid_spread}; {_meter_words(design)}",
        ),
        (element.source,),
    )


def divided(design: Design, control: Control, position: str) -> tuple[float, float, float]:
    """Share of the rail at the signal of a fader, rotary control or ribbon: lowest, nominal and highest.

    The exact form of a loaded divider: supply, limiter, upper part, tap, lower part and pull-down to ground.
    """
    element = _element(control)
    limiter = control.limiter.fixed.ohms if control.limiter and control.limiter.fixed else None
    load = _pull_down(design, control)

    def share(at: float, ohms: float, residual: float, series: float, down: float) -> float:
        lower, upper = at * ohms, (1 - at) * ohms
        if position == "low":
            lower, upper = residual, ohms - residual
        elif position == "high":
            lower, upper = ohms - residual, residual
        below = _parallel((lower, down)) if lower else 0.0
        return below / (below + upper + series)

    spread = element.mid_spread.value
    ats = (element.mid.value - spread, element.mid.value + spread)
    series = _ends(limiter) if limiter else (0.0,)
    downs = _ends(load) if load else (math.inf,)
    values = [
        share(*corner) for corner in product(ats, _ends(element.ohms), (0.0, element.residual.high), series, downs)
    ]
    middle = share(
        element.mid.value, element.ohms.value, 0.0, limiter.value if limiter else 0.0, load.value if load else math.inf
    )
    return min(values), middle, max(values)


def _pull_down(design: Design, control: Control) -> Amount | None:
    """The resistor from a control's input to ground, if it has one."""
    pin = control.pins.get("signal", "")
    entry = design.connector_pin(control.connector, pin) if control.connector and pin else None
    if entry is None or not entry.pull_down:
        return None
    fixed = design.part(entry.pull_down).fixed
    return fixed.ohms if fixed else None


def _signal(position: str, *, at_pin: bool) -> Callable[[Design, str], _Window]:
    def work(design: Design, id: str) -> _Window:
        control = design.control(id)
        low, middle, high = divided(design, control, position)
        rail = design.rail
        values = [share * volts for share, volts in product((low, high), _ends(rail))]
        bottom, nominal, top = _metered(design, values, middle * rail.value, _volts_error)
        red = _pin(design, control, "signal") if at_pin else _lug(control, "signal")
        return _Window(
            bottom,
            nominal,
            top,
            f"red on {red}, black on {_ground(design, control)}",
            (
                f"{format_value(low, 'ratio', digits=3)} to {format_value(high, 'ratio', digits=3)} of the rail "
                f"{rail.text or rail}",
                _meter_words(design),
            ),
            (_element(control).source, design.board.source),
        )

    return work


def _supply_lug(design: Design, id: str) -> _Window:
    control = design.control(id)
    low, nominal, high = _metered(design, _ends(design.rail), design.rail.value, _volts_error)
    return _Window(
        low,
        nominal,
        high,
        f"red on {_lug(control, 'supply')}, black on {_ground(design, control)}",
        (f"the rail, {design.rail.text or design.rail}, {_meter_words(design)}",),
        (design.board.source,),
    )


def _ground_lug(design: Design, id: str) -> _Window:
    control = design.control(id)
    return _Window(
        None,
        0.0,
        max(0.02, _volts_error(design, 0.0)),
        f"red on {_lug(control, 'ground')}, black on {_ground(design, control)}",
        ("0 V within 20 mV or the meter's last digit, whichever is more",),
        ("common practice",),
    )


def _code(position: str) -> Callable[[Design, str], _Window]:
    def work(design: Design, id: str) -> _Window:
        control = design.control(id)
        message = control.message
        steps = 16384 if message is not None and message.fine else 128
        low, middle, high = divided(design, control, position)
        converter = design.board.converter
        error = converter.error / 2**converter.bits
        trim = design.file.firmware.end_trim.value

        def code(share: float) -> int:
            stretched = (share - trim) / (1 - 2 * trim)
            return min(max(math.floor(stretched * steps), 0), steps - 1)

        return _Window(
            code(low - error),
            code(middle),
            code(high + error),
            f"value of {control.id} on the message monitor",
            (
                f"{format_value(low, 'ratio', digits=3)} to {format_value(high, 'ratio', digits=3)} of the rail, "
                f"{steps} steps",
                f"converter off by {converter.error:g} of {2**converter.bits} steps at most",
            ),
            (_element(control).source, converter.source),
        )

    return work


# Contacts.


def _contact_closed(design: Design, id: str) -> _Window:
    control = design.control(id)
    contact = control.part.contact
    assert contact is not None
    worn = (contact.worn or contact.closed).high
    return _Window(
        None,
        contact.closed.value,
        max(1.0, worn + _ohms_error(design, worn)),
        "across the contact, a lead lifted",
        (f"contact {format_value(worn, 'resistance')} at most; 1 Ω with probes and leads",),
        (contact.source, "1 Ω: common practice"),
    )


def _contact_open(design: Design, id: str) -> _Window:
    contact = design.control(id).part.contact
    assert contact is not None
    return _Window(
        min(contact.open.low, 10e6),
        None,
        None,
        "across the contact, a lead lifted",
        (f"contact {contact.open} at least; a common meter shows no more than 20 MΩ",),
        (contact.source, "10 MΩ: common practice"),
    )


def _first_role(control: Control) -> str:
    return next(iter(control.pins), control.signal_role)


def _pin_idle(design: Design, id: str) -> _Window:
    control = design.control(id)
    logic = design.board.logic
    low = logic.high.value * design.rail.high
    return _Window(
        low,
        design.rail.value,
        design.rail.high + _volts_error(design, design.rail.high),
        f"red on {_pin(design, control, _first_role(control))}, black on {_ground(design, control)}",
        (f"above {logic.high} of the rail to read high",),
        (logic.source,),
    )


def _pin_pressed(design: Design, id: str) -> _Window:
    control = design.control(id)
    logic = design.board.logic
    return _Window(
        None,
        0.0,
        logic.low.value * design.rail.low,
        f"red on {_pin(design, control, _first_role(control))}, black on {_ground(design, control)}",
        (f"below {logic.low} of the rail to read low",),
        (logic.source,),
    )


# Wires.


def _run_ohms(design: Design, run: WireRun) -> float:
    """Most that a wire with its joint and, where it ends in one, its contact adds."""
    conductor = design.part(run.part).conductor
    ohms = run.length * conductor.ohms.high if conductor else 0.0
    if run.connector:
        ways = design.part(design.connector(run.connector).part).ways
        ohms += ways.contact.high if ways else 0.0
    return ohms + design.file.harness.joint.high


def _wire_loop(design: Design, id: str) -> _Window:
    control = design.control(id)
    run = _wire(design, control, "row" if control.row else control.signal_role)
    ohms = _run_ohms(design, run)
    words = f"{format_value(run.length, 'length')} of {run.gauge} with joint and crimp"
    return _Window(
        None,
        ohms,
        1.0,
        f"{run.start} to {run.end}, plug out",
        (f"{words}: {format_value(ohms, 'resistance')}",),
        ("1 Ω for any wire inside: common practice",),
    )


def _feed_loop(design: Design, id: str) -> _Window:
    """Of a bus its feed, connector to last lug; of a bank its ground and supply feed, with the wider limit."""
    from benchtui.design.wiring import wires

    banks = [bank for bank in design.banks if bank.id == id]
    ids = [bus for bank in banks for bus in (bank.ground, bank.supply) if bus] or [id]
    feeds = [(bus, runs) for bus in map(design.bus, ids) if (runs := wires(design, bus.id))]
    if not feeds:
        raise DesignError(f"{id} has no feed")
    ohms = max(sum(_run_ohms(design, run) for run in runs) for _, runs in feeds)
    places = "; ".join(f"{bus.connector} pin {bus.pin} to {runs[-1].start}" for bus, runs in feeds)
    lengths = ", ".join(
        f"{format_value(sum(run.length for run in runs), 'length')} of {runs[0].gauge}" for _, runs in feeds
    )
    return _Window(
        None,
        ohms,
        ohms + _ohms_error(design, ohms),
        f"{places}, plug out" if len(feeds) == 1 else f"each by itself, plug out: {places}",
        (f"{lengths}, with joints and crimp, {_meter_words(design)}",),
        ("computed from the wire's own resistance",),
    )


# Lamps and diodes.


def _forward(design: Design, part_id: str) -> tuple[float, float, float]:
    """Forward voltage at the meter's test current: the sheet's, moved along the diode law by n·(kT/q)·ln(I/I0)."""
    junction = design.part(part_id).junction
    assert junction is not None
    test = design.meter.diode.value
    shift = junction.slope * 0.02569 * math.log(test / junction.current.value)  # kT/q at 25 °C
    shift += junction.series.value * (test - junction.current.value)
    forward = junction.forward
    return forward.low + shift, forward.value + shift, forward.high + shift


def _diode_window(design: Design, part_id: str, where: str) -> _Window:
    low, nominal, high = _forward(design, part_id)
    bottom, middle, top = _metered(
        design, (low, high), nominal, lambda each, volts: volts * each.meter.volts.value + 0.001
    )
    junction = design.part(part_id).junction
    assert junction is not None
    beyond = top > design.meter.diode_top.value
    words = (
        f"{junction.forward.text or junction.forward} at {junction.current}, moved to {design.meter.diode} of the meter"
    )
    note = (f"a meter that stops at {design.meter.diode_top} shows OL, and that is no fault",) if beyond else ()
    return _Window(bottom, middle, None if beyond else top, where, (words, *note), (junction.source,))


def _lamp_forward(design: Design, id: str) -> _Window:
    control = design.control(id)
    where = f"red on {_lug(control, 'anode')}, black on {_lug(control, 'cathode')}, diode range"
    return _diode_window(design, control.part.id, where)


def _lamp_series(design: Design, control: Control) -> Amount:
    pin = design.connector_pin(control.connector, control.pins.get("anode", ""))
    fixed = design.part(pin.through).fixed if pin and pin.through else None
    if fixed is None or fixed.ohms is None:
        raise DesignError(f"{control.id} has no series resistor")
    return fixed.ohms


def _lamp_resistor(design: Design, id: str) -> _Window:
    control = design.control(id)
    ohms = _lamp_series(design, control)
    low, nominal, high = _metered(design, _ends(ohms), ohms.value, _ohms_error)
    return _Window(
        low,
        nominal,
        high,
        f"across the resistor at {_pin(design, control, 'anode')}",
        (f"{ohms.text or ohms}, {_meter_words(design)}",),
        ("the part's own tolerance",),
    )


def lamp_current(design: Design, control: Control) -> tuple[float, float, float]:
    """Current of a lamp in A, lowest, nominal and highest: (rail - forward voltage) / (resistor + pin)."""
    junction = control.part.junction
    assert junction is not None
    series, pin = _lamp_series(design, control), design.board.logic.output
    values = [
        max(rail - forward, 0.0) / (ohms + out)
        for rail, forward, ohms, out in product(_ends(design.rail), _ends(junction.forward), _ends(series), _ends(pin))
    ]
    return min(values), (design.rail.value - junction.forward.value) / (series.value + pin.value), max(values)


def _lamp_current(design: Design, id: str) -> _Window:
    control = design.control(id)
    low, middle, high = lamp_current(design, control)
    bottom, nominal, top = _metered(design, (low, high), middle, _amps_error)
    return _Window(
        bottom,
        nominal,
        top,
        f"in the lead of {control.id}",
        ("(rail - forward voltage) / (resistor + pin), over all their tolerances",),
        (control.part.junction.source if control.part.junction else "",),
    )


def _matrix_diode(design: Design, id: str) -> str:
    matrix = design.matrix_of(design.control(id).row)
    if matrix is None or not matrix.diode:
        raise DesignError(f"{id} has no diode")
    return matrix.diode


def _diode_forward(design: Design, id: str) -> _Window:
    control = design.control(id)
    where = f"red on the row side (row {control.row}), black on {_lug(control, 'contact')}, diode range"
    return _diode_window(design, _matrix_diode(design, id), where)


def _diode_reverse(design: Design, id: str) -> _Window:
    _matrix_diode(design, id)
    control = design.control(id)
    return _Window(
        design.meter.diode_top.value,
        None,
        None,
        f"black on the row side (row {control.row}), red on {_lug(control, 'contact')}, diode range",
        ("a good diode blocks: the meter shows OL",),
        ("common practice",),
    )


def _ribbon_pull_down(design: Design, id: str) -> _Window:
    control = design.control(id)
    ohms = _pull_down(design, control)
    if ohms is None:
        raise DesignError(f"{id} has no pull-down")
    low, nominal, high = _metered(design, _ends(ohms), ohms.value, _ohms_error)
    return _Window(
        low,
        nominal,
        high,
        f"{_pin(design, control, 'signal')} to {_ground(design, control)}, tail unplugged",
        (f"{ohms.text or ohms}, {_meter_words(design)}",),
        ("the part's own tolerance",),
    )


# The whole unit.


def _strap(design: Design, _: str) -> _Window:
    return _Window(
        None,
        0.0,
        0.5 + design.meter.leads.value,
        "bare metal of the panel, at several places, to ground at the board",
        ("0.5 Ω at most, and what the leads add",),
        ("common practice",),
    )


def _vbus(design: Design, _: str) -> _Window:
    power = design.file.power
    return _Window(
        power.least.value,
        5.0,
        power.most.value,
        "red on the board's 5 V pin, black on its ground, all lamps on",
        (f"{power.least} to {power.most} at the board",),
        (power.source,),
    )


def _vref(design: Design, _: str) -> _Window:
    low, nominal, high = _metered(design, _ends(design.rail), design.rail.value, _volts_error)
    return _Window(
        low,
        nominal,
        high,
        "supply lug to ground lug of the last control of the bank",
        (f"the rail, {design.rail.text or design.rail}, {_meter_words(design)}",),
        (design.board.source,),
    )


def unit_current(design: Design, *, lamps: bool) -> tuple[float, float, float]:
    """Current of the whole unit in A, lowest, nominal and highest: board, dividers, and the lamps if they are on."""
    board, rail = design.board.current, design.rail
    total = [board.low, board.value, board.high]
    for control in design.controls:
        if control.kind in DIVIDERS:
            low, middle, high = _branch(control)
            load = (rail.low / high, rail.value / middle, rail.high / low)
        elif control.kind == "lamp" and lamps:
            load = lamp_current(design, control)
        else:
            continue
        total = [sum_ + each for sum_, each in zip(total, load, strict=True)]
    return total[0], total[1], total[2]


def _unit_current(*, lamps: bool) -> Callable[[Design, str], _Window]:
    def work(design: Design, _: str) -> _Window:
        low, middle, high = unit_current(design, lamps=lamps)
        bottom, nominal, top = _metered(design, (low, high), middle, _amps_error)
        parts = "board, faders, rotary controls and ribbons" + (", and every lamp" if lamps else "")
        return _Window(
            bottom,
            nominal,
            top,
            "USB meter between the port and the lead",
            (f"{parts}, over their tolerances", _meter_words(design)),
            (design.board.source,),
        )

    return work


_WORK: Final[Mapping[str, Callable[[Design, str], _Window]]] = {
    "bank-ohms": _bank_ohms,
    "element": _end_to_end,
    "ribbon-element": _end_to_end,
    "lower-residual": _residual("ground"),
    "upper-residual": _residual("supply"),
    "mid-share": _mid_share,
    "signal-to-ground": _signal_to_ground,
    "contact-closed": _contact_closed,
    "contact-open": _contact_open,
    "wire-loop": _wire_loop,
    "feed-loop": _feed_loop,
    "supply-lug": _supply_lug,
    "ground-lug": _ground_lug,
    "signal-low": _signal("low", at_pin=False),
    "signal-mid": _signal("mid", at_pin=False),
    "signal-high": _signal("high", at_pin=False),
    "pin-low": _signal("low", at_pin=True),
    "pin-mid": _signal("mid", at_pin=True),
    "pin-high": _signal("high", at_pin=True),
    "pin-idle": _pin_idle,
    "pin-pressed": _pin_pressed,
    "lamp-resistor": _lamp_resistor,
    "lamp-forward": _lamp_forward,
    "lamp-current": _lamp_current,
    "diode-forward": _diode_forward,
    "diode-reverse": _diode_reverse,
    "ribbon-pull-down": _ribbon_pull_down,
    "strap": _strap,
    "vbus": _vbus,
    "vref": _vref,
    "idle-current": _unit_current(lamps=False),
    "all-on-current": _unit_current(lamps=True),
    "lowest-code": _code("low"),
    "mid-code": _code("mid"),
    "highest-code": _code("high"),
}
