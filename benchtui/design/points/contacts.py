"""Test points of buttons, toggles, encoders, matrix diodes and lamps."""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchtui.design.circuit.build import State, build
from benchtui.design.circuit.elements import Circuit, Resistor
from benchtui.design.circuit.readings import Through, Volts, diode_range, meter_volts, ohms
from benchtui.design.points.meter import TOP
from benchtui.design.points.places import ground, lug, pin, place
from benchtui.design.points.spec import Spec
from benchtui.errors import AbsentError, DesignError
from benchtui.units import format_value

if TYPE_CHECKING:
    from collections.abc import Callable

    from benchtui.design.model import Control, Design
    from benchtui.design.parts import Junction

INTERNAL = 1.0
"""Ohm that no closed contact reaches with probes and leads; common practice."""
NEW = 0.2
"""Ohm that a new contact stays under, leads zeroed; common practice."""
NEW_SOURCE = "0.2 Ω when new, leads zeroed (common practice), or the part's own limit where that is more"
INSULATION = 10e6
"""Ohm an open contact shows at least; common practice."""


def contact(*, new: bool) -> Callable[[Design, str], Spec]:
    """A closed contact, of a part that is new or of one that has been used."""

    def work(design: Design, id: str) -> Spec:
        control = design.control(id)
        sheet = control.part.contact
        if sheet is None:
            raise DesignError(f"{id} has no contact")
        circuit = build(design, id, state=State(powered=False, pressed=frozenset({id})))
        alone = Circuit(quantities=circuit.quantities, elements=(circuit.element(_contact_id(control)),))
        first, common = lug(design, control, _first(control)), lug(design, control, "common")
        worn = (sheet.worn or sheet.closed).value
        about = "loose and new" if new else f"loose or {control.connector} unplugged"
        return Spec(
            probes=((first, common),),
            reading=ohms(alone, first.node, common.node),
            where=f"{first.words} to {common.words}, {about}, closed",
            formula=f"the contact: {sheet.closed} at most when new, {format_value(worn, 'resistance')} when worn",
            sides="most",
            kept=new,
            most=max(NEW, sheet.closed.value) if new else max(INTERNAL, worn),
            reason=NEW_SOURCE if new else "1 Ω with probes and leads (common practice), or the part's own limit",
            sources=(sheet.source,),
        )

    return work


def _first(control: Control) -> str:
    """Role of the lug that a contact is read at, to its common."""
    return next(role for role in ("contact", "a") if role in control.part.lugs)


def _contact_id(control: Control) -> str:
    return f"{control.id}.{_first(control)}"


def contact_open(design: Design, id: str) -> Spec:
    """An open contact."""
    control = design.control(id)
    sheet = control.part.contact
    if sheet is None:
        raise DesignError(f"{id} has no contact")
    first, common = lug(design, control, _first(control)), lug(design, control, "common")
    return Spec(
        probes=((first, common),),
        where=f"{first.words} to {common.words}, loose or {control.connector} unplugged, open",
        formula=f"{sheet.open} at least; a common meter shows no more than {format_value(TOP, 'resistance')}",
        metered=False,
        sides="least",
        least=min(sheet.open.value, INSULATION),
        reason="10 MΩ, common practice",
        sources=(sheet.source,),
    )


def input_pin(*, pressed: bool) -> Callable[[Design, str], Spec]:
    """Volts at the input of a button, toggle or encoder."""

    def work(design: Design, id: str) -> Spec:
        control = design.control(id)
        role = "row" if control.row else next(r for r in ("contact", "a") if r in control.pins)
        state = State(pressed=frozenset({id} if pressed else ()), reading=id)
        red, black = pin(design, control, role, at_board=True), ground(design, control)
        held = f", the firmware holding column {control.column}" if control.row else ""
        logic = design.board.logic
        limit = logic.low if pressed else logic.high
        circuit = build(design, id, state=state)
        return Spec(
            probes=((red, black),),
            reading=meter_volts(circuit, red.node, black.node, meter_ohms=design.meter.input.value),
            where=f"red on {red.words}, black on {black.words}, {id} {'closed' if pressed else 'open'}{held}",
            formula=f"the pull-up against the contact; the board reads {'low below' if pressed else 'high above'} "
            f"{limit} of the rail",
            sources=(logic.source,),
        )

    return work


def diode(*, forward: bool) -> Callable[[Design, str], Spec]:
    """The diode of a matrix button on the meter's diode range."""

    def work(design: Design, id: str) -> Spec:
        control = design.control(id)
        matrix = design.matrix_of(control.column) if control.column else None
        if matrix is None or not matrix.diode:
            raise AbsentError(f"{id} has no diode")
        anode, cathode = lug(design, control, "common"), place(design, f"{id}.column.inline")
        red, black = (anode, cathode) if forward else (cathode, anode)
        where = f"red on {red.words}, black on {black.words}, diode range, {control.connector} unplugged, "
        where += "no button pressed"
        junction = design.part(matrix.diode).junction
        assert junction is not None
        if not forward:
            return Spec(
                probes=((red, black),),
                where=where,
                formula="a good diode blocks: the meter shows OL",
                metered=False,
                sides="least",
                least=design.meter.diode_top.value,
                reason="top of the meter's diode range",
                sources=(junction.source,),
            )
        circuit = build(design, id, state=State(powered=False))
        return Spec(
            probes=((red, black),),
            reading=diode_range(circuit, red.node, black.node, amps=design.meter.diode.value),
            where=where,
            formula=_at_test_current(design, junction),
        )

    return work


def _at_test_current(design: Design, junction: Junction) -> str:
    given = f"{junction.forward} at {junction.current}"
    if junction.current.value == design.meter.diode.value:
        return f"{given}, which is the meter's test current"
    return f"{given}, moved along the diode law to the {design.meter.diode} of the meter"


def lamp_forward(design: Design, id: str) -> Spec:
    """A lamp on the meter's diode range."""
    control = design.control(id)
    junction = control.part.junction
    assert junction is not None
    circuit = build(design, id, state=State(powered=False))
    top = design.meter.diode_top.value
    red, black = lug(design, control, "anode"), lug(design, control, "cathode")
    where = f"red on {red.words}, black on {black.words}, diode range, {control.connector} unplugged"
    formula = _at_test_current(design, junction)
    reading: Volts = diode_range(circuit, red.node, black.node, amps=design.meter.diode.value)
    ordinary = reading.at({name: each.nominal for name, each in reading.quantities.items()})[0]
    if ordinary >= top:
        return Spec(
            probes=((red, black),),
            where=where,
            formula=f"{formula}: this meter shows OL, and that is no fault",
            metered=False,
            sides="least",
            least=top,
            reason="top of the meter's diode range",
            sources=(junction.source,),
        )
    return Spec(probes=((red, black),), reading=reading, where=where, formula=formula)


def lamp_resistor(design: Design, id: str) -> Spec:
    """The resistor in series with a lamp."""
    control = design.control(id)
    circuit = build(design, id)
    name = f"{control.connector}.{control.pins['anode']}.through"
    if all(each.id != name for each in circuit.elements):
        raise AbsentError(f"{id} has no resistor in series")
    resistor = circuit.element(name)
    assert isinstance(resistor, Resistor)
    alone = Circuit(quantities=circuit.quantities, elements=(resistor,))
    return Spec(
        reading=ohms(alone, resistor.a, resistor.b),
        where=f"across the resistor behind {pin(design, control, 'anode', at_board=True).words}, "
        f"{control.connector} unplugged",
        formula="the resistor, with its tolerance",
    )


def lamp_current(design: Design, id: str) -> Spec:
    """The current of a lamp that is on."""
    control = design.control(id)
    circuit = build(design, id, state=State(lamps=frozenset({id})))
    return Spec(
        reading=Through(circuit, f"{control.board_pins['anode']}.output"),
        where=f"in the lead of {id}, or the volts across its resistor divided by its ohms",
        formula="(rail - forward voltage) / (resistor + output of the pin)",
    )
