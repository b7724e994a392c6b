"""The spots of one control: its leads, what it is made of, bridges and shorts of its signal."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from benchtui.design.circuit.elements import Bridge, Open, Short, Worse
from benchtui.design.parts import DIVIDERS
from benchtui.design.wiring import wires
from benchtui.faults.spots import (
    BAD_CONTACT,
    NEVER_CLOSES,
    RETURN_ROLES,
    SIGNAL_ROLES,
    WRONG_VALUE,
    Deaf,
    Detached,
    Exchange,
    Rates,
    Spot,
    Value,
    both_ways,
    feeds,
    neighbouring_pins,
    pulls,
)

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from benchtui.design.model import Control, Design
    from benchtui.design.wiring import WireRun
    from benchtui.faults.spots import Change


def of_control(design: Design, control: Control, rates: Rates) -> Iterator[Spot]:
    """Every spot of one control."""
    for role, run in runs_of(design, control).items():
        if role in SIGNAL_ROLES and run.connector:
            for spot in _of_lead(control, run, rates):
                yield from both_ways(spot)
        elif run.bus and feeds(design, run) == (control.id,):
            link = _last_link(control, run, rates)
            yield from (link,) if control.kind in DIVIDERS else both_ways(link)
        if role in RETURN_ROLES:
            yield from both_ways(_joint_at(control, role, rates))
    if control.kind in DIVIDERS:
        yield from _of_divider(control, rates)
    if control.kind == "button-matrix":
        yield from _of_matrix_button(control, rates)
        yield from _diodes_of_others(design, control, rates)
    if control.kind == "lamp":
        yield from _of_lamp(design, control, rates)
    if control.part.contact is not None:
        yield from _of_contact(control, rates)
    if control.kind in ("button-direct", "toggle"):
        yield _part(
            control, "F46", "stuck", "contact stuck closed", (Short(f"{control.id}.contact"),), rates, "sticking"
        )
    if control.multiplexer:
        yield _deaf_channel(design, control, rates)
    yield from _pulls(design, control, rates)
    yield from _bridges(design, control, rates)
    yield from _shorts(design, control, rates)


def _deaf_channel(design: Design, control: Control, rates: Rates) -> Spot:
    """The channel of its multiplexer open behind the pin: a joint of the chip, or the chip itself."""
    chip = design.multiplexer(control.multiplexer)
    return Spot(
        id=f"F40@{chip.id}.{control.channel}",
        title=f"Channel {control.channel} of multiplexer {chip.id} open behind its input",
        short=f"open channel {control.channel} of {chip.id}",
        where=f"{chip.id} channel {control.channel}, from {control.connector} pin {control.pins[control.signal_role]}",
        changes=(Deaf(multiplexer=chip.id, channel=control.channel),),
        rate=rates.of("multiplexer", "input") / chip.channels + rates.of("pin"),
        source=rates.source("multiplexer"),
    )


def _pulls(design: Design, control: Control, rates: Rates) -> Iterator[Spot]:
    """The resistors at the connector that hold a signal up or down, open or never fitted."""
    for pin in (pin for role, pin in control.pins.items() if role in SIGNAL_ROLES):
        for name, part in pulls(design, control.connector, pin):
            yield Spot(
                id=f"F37@{control.connector}.{pin}",
                title=f"{name.capitalize()} of {control.connector} pin {pin} open or missing",
                short=f"open {name} at {control.connector} pin {pin}",
                where=f"{part} from {control.connector} pin {pin} to {'V+' if name == 'pull-up' else 'GND'},"
                " on the board's side",
                changes=(Open(f"{control.connector}.{pin}.{name}"),),
                rate=rates.of("resistor", "open") + 2.0 * rates.of("joint"),
                source=rates.source("joint"),
            )


def _of_contact(control: Control, rates: Rates) -> Iterator[Spot]:
    """A contact that makes badly, and one that never closes."""
    element = f"{control.id}.{'a' if control.kind == 'encoder' else 'contact'}"
    dirty = _part(
        control,
        "F31",
        "dirty",
        "contact dirty or oxidised",
        (Worse(element, BAD_CONTACT),),
        rates,
        "open",
        1.0 - NEVER_CLOSES,
    )
    yield replace(dirty, loose=True)
    yield _part(control, "F31", "open", "contact never closes", (Open(element),), rates, "open", NEVER_CLOSES)


def _joint_at(control: Control, role: str, rates: Rates) -> Spot:
    """A bad joint at a lug that is not the signal's."""
    lug = _lug(control, role)
    return Spot(
        id=f"{'F35' if role == 'common' and control.kind == 'encoder' else 'F20'}@{control.id}.{role}",
        title=f"Bad joint at {lug} ({control.part.lugs[role].name or role})",
        short=f"bad joint at {lug}",
        where=f"{lug}, the wires that meet there",
        changes=(Detached(control=control.id, role=role),),
        rate=rates.of("joint"),
        source=rates.source("joint"),
    )


def _diodes_of_others(design: Design, control: Control, rates: Rates) -> Iterator[Spot]:
    """The shorted diodes that let a press of another button, or of this one, come through while others are held.

    That of the opposite corner makes this one report itself; one of its own row or column, as its own does, another one
    while this one is held.
    """
    for other in design.members(control.bank):
        if other.row and other is not control:
            yield shorted_diode(other, rates)


def shorted_diode(button: Control, rates: Rates) -> Spot:
    """The diode of a button of a matrix shorted."""
    return Spot(
        id=f"F34@{button.id}.diode",
        title=f"Diode of {button.id} shorted, or a wire in its place",
        short=f"shorted diode at {button.id}",
        where=f"{_lug(button, 'common')} to column {button.column}",
        changes=(Short(f"{button.id}.diode"),),
        rate=rates.of("diode", "short"),
        source=rates.source("diode"),
    )


def _last_link(control: Control, run: WireRun, rates: Rates) -> Spot:
    """The link of a chain that feeds this control alone."""
    divides = control.kind in DIVIDERS
    return Spot(
        id=f"{'F25' if divides else 'F20'}@{run.id}.link",
        title=f"Open from {run.end} to {run.start}",
        short=f"open link at {run.start}",
        where=f"{run.colour} {run.gauge}, {run.end} to {run.start}",
        changes=(Open(f"{run.id}.wire"),),
        rate=rates.of("joint") + rates.of("wire"),
        source=rates.source("joint"),
    )


def _of_lead(control: Control, run: WireRun, rates: Rates) -> Iterator[Spot]:
    """The three places where a lead of its own can be open: joint, wire, contact."""
    wire, contact = f"{run.id}.wire", f"{run.connector}.{run.pin}.contact"
    what = f"{run.colour} {run.gauge} from {run.start} to {run.end}"
    encoder = control.kind == "encoder" and run.role in ("a", "b")
    joint, broken, crimp = ("F35", "F35", "F35") if encoder else ("F20", "F21", "F22")
    yield Spot(
        id=f"{joint}@{run.start.replace(' lug ', '.')}",
        title=f"Bad joint at {run.start}{_named(run)}",
        short=f"bad joint at {run.start}",
        where=what,
        changes=(Detached(control=control.id, role=run.role),),
        rate=rates.of("joint"),
        source=rates.source("joint"),
    )
    yield Spot(
        id=f"{broken}@{run.id}",
        title=f"Broken wire from {run.start} to {run.end}",
        short=f"broken wire at {run.start}",
        where=what,
        changes=(Open(wire),),
        rate=rates.of("wire"),
        source=rates.source("wire"),
    )
    yield Spot(
        id=f"{crimp}@{run.connector}.{run.pin}",
        title=f"Bad crimp or contact at {run.end}",
        short=f"bad contact at {run.end}",
        where=what,
        changes=(Open(contact),),
        rate=rates.of("crimp") + rates.of("connector", "open") / 10.0,
        source=rates.source("crimp"),
    )


def _named(run: WireRun) -> str:
    return f" ({run.lug_name})" if run.lug_name else ""


def _of_divider(control: Control, rates: Rates) -> Iterator[Spot]:
    id, kind = control.id, control.kind
    lower, upper = _lug(control, "ground"), _lug(control, "supply")
    if kind != "ribbon":
        yield _part(control, "F24", "wiper", "wiper open", (Open(f"{id}.wiper"),), rates, "open", 0.5)
    for role, element, lug in (("ground", "below", lower), ("supply", "above", upper)):
        yield Spot(
            id=f"F25@{id}.{role}",
            title=f"Bad joint at {lug}",
            short=f"bad joint at {lug}",
            where=f"{lug}, the wires that meet there",
            changes=(Detached(control=id, role=role),),
            rate=rates.of("joint"),
            source=rates.source("joint"),
        )
        yield _part(
            control,
            "F25",
            f"{element}-track",
            f"track open towards {lug}",
            (Open(f"{id}.{element}"),),
            rates,
            "open",
            0.25,
        )
    yield Spot(
        id=f"F26@{id}",
        title=f"{id}: ends swapped, {lower} and {upper}",
        short=f"ends of {id} swapped",
        changes=(Exchange(control=id, one="ground", other="supply"),),
        rate=rates.of("joint") / 4.0,
        source="estimate: a quarter of a bad joint",
    )
    for role, lug in (("ground", lower), ("supply", upper)):
        yield Spot(
            id=f"F27@{id}.{role}",
            title=f"{id}: wiper and {lug} swapped",
            short=f"wiper and {lug} swapped",
            changes=(Exchange(control=id, one="signal", other=role),),
            rate=rates.of("joint") / 16.0,
            source="estimate: a sixteenth of a bad joint",
        )
    for factor in WRONG_VALUE:
        yield Spot(
            id=f"F49@{id}.{'low' if factor < 1 else 'high'}",
            title=f"{id}: part of {'a tenth' if factor < 1 else 'ten times'} the value fitted",
            short=f"wrong value at {id}",
            changes=(Value(control=id, factor=factor),),
            rate=rates.of("joint") / 8.0,
            source="estimate: an eighth of a bad joint",
        )


def _lug(control: Control, role: str) -> str:
    lug = control.part.lugs.get(role)
    return f"{control.id} lug {lug.lug}" if lug else f"{control.id} {role}"


def _part(
    control: Control,
    class_id: str,
    place: str,
    what: str,
    changes: tuple[Change, ...],
    rates: Rates,
    mode: str,
    share: float = 1.0,
) -> Spot:
    """A fault inside the part itself."""
    sort = {"button-direct": "button", "button-matrix": "button"}.get(control.kind, control.kind)
    return Spot(
        id=f"{class_id}@{control.id}.{place}",
        title=f"{control.id}: {what}",
        short=f"{what} in {control.id}",
        changes=changes,
        rate=rates.of(sort, mode) * share,
        source=rates.source(sort),
    )


def _of_matrix_button(control: Control, rates: Rates) -> Iterator[Spot]:
    id = control.id
    joint = Spot(
        id=f"F20@{id}.contact",
        title=f"Bad joint at {_lug(control, 'contact')}",
        short=f"bad joint at {_lug(control, 'contact')}",
        where=f"row {control.row}",
        changes=(Detached(control=id, role="contact"),),
        rate=rates.of("joint"),
        source=rates.source("joint"),
    )
    yield from both_ways(joint)
    yield Spot(
        id=f"F33@{id}.diode",
        title=f"Diode of {id} open, missing or reversed",
        short=f"open diode at {id}",
        where=f"{_lug(control, 'common')} to column {control.column}",
        changes=(Open(f"{id}.diode"),),
        rate=rates.of("diode", "open") + rates.of("joint"),
        source=rates.source("diode"),
    )
    yield shorted_diode(control, rates)
    yield _part(control, "F46", "stuck", "contact stuck closed", (Short(f"{id}.contact"),), rates, "sticking")


def _of_lamp(design: Design, control: Control, rates: Rates) -> Iterator[Spot]:
    id = control.id
    for mode, change in (("open", Open(f"{id}.junction")), ("short", Short(f"{id}.junction"))):
        yield _part(control, "F39", mode, f"lamp {mode}", (change,), rates, mode)
    yield Spot(
        id=f"F39@{id}.reversed",
        title=f"{id}: lamp the wrong way round",
        short=f"{id} reversed",
        where=f"{_lug(control, 'anode')} and {_lug(control, 'cathode')}",
        changes=(Exchange(control=id, one="anode", other="cathode"),),
        rate=rates.of("joint") / 4.0,
        source="estimate: a quarter of a bad joint",
    )
    pin = design.connector_pin(control.connector, control.pins.get("anode", ""))
    if pin is not None and pin.through:
        yield Spot(
            id=f"F39@{id}.resistor",
            title=f"{id}: series resistor open",
            short=f"open resistor of {id}",
            where=f"{control.connector} pin {control.pins['anode']}, on the board's side",
            changes=(Open(f"{control.connector}.{control.pins['anode']}.through"),),
            rate=rates.of("resistor", "open"),
            source=rates.source("resistor"),
        )


def _bridges(design: Design, control: Control, rates: Rates) -> Iterator[Spot]:
    """Bridges from a signal pin to its neighbours on the connector; one between two of its own is there once."""
    own = [pin for role, pin in control.pins.items() if role in SIGNAL_ROLES]
    for number, pin in enumerate(own):
        for beside in neighbouring_pins(design, control.connector, pin):
            to = design.connector(control.connector).pins[beside].to
            if to in ("ground", "supply", "spare") or beside in own[:number]:
                continue
            yield Spot(
                id=f"F30@{control.connector}.{pin}-{beside}",
                title=f"Bridge between {control.connector} pins {pin} and {beside}",
                short=f"bridge {control.connector} {pin} to {beside}",
                changes=(Bridge(f"{control.connector}.{pin}", f"{control.connector}.{beside}"),),
                rate=rates.of("bridge"),
                source=rates.source("bridge"),
            )


def _shorts(design: Design, control: Control, rates: Rates) -> Iterator[Spot]:
    """The signal lead shorted to ground or supply: a pinched wire, a lug on the panel, a bridge to an end lug."""
    bank = design.bank(control.bank) if control.bank else None
    role = control.signal_role
    if bank is None or control.kind in ("lamp", "button-matrix"):
        return
    ends = [("ground", bank.ground), ("supply", bank.supply)]
    for end, bus in ends:
        if not bus:
            continue
        far = f"{design.bus(bus).connector}.{design.bus(bus).pin}"
        yield Spot(
            id=f"F45@{control.id}.{end}",
            title=f"Signal lead of {control.id} shorted to {'GND' if end == 'ground' else 'V+'}",
            short=f"{control.id} shorted to {'GND' if end == 'ground' else 'V+'}",
            where=f"from {_lug(control, role)} to {control.connector} pin {control.pins.get(role, '')}",
            changes=(Bridge(f"{control.id}.{role}", far),),
            rate=2.0 * rates.of("bridge"),
            source=rates.source("bridge"),
        )


def runs_of(design: Design, control: Control) -> Mapping[str, WireRun]:
    """The wires of a control by role."""
    return {run.role: run for run in wires(design, control.id)}
