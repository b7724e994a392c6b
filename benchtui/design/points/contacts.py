"""Test points of buttons, toggles, encoders, matrix diodes, lamps and wires."""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchtui.design.buses import reach
from benchtui.design.circuit.build import State, build
from benchtui.design.circuit.elements import Circuit, Resistor, Sum
from benchtui.design.circuit.readings import Through, Volts, diode_range, meter_volts, ohms
from benchtui.design.points.meter import TOP
from benchtui.design.points.spec import Spec, bus_pin, ground_words, lug, pin_words, wire_of
from benchtui.design.wiring import wires
from benchtui.errors import DesignError
from benchtui.units import format_value

if TYPE_CHECKING:
    from collections.abc import Callable

    from benchtui.design.model import Control, Design
    from benchtui.design.parts import Junction

INTERNAL = 1.0
"""Ohm that no wire inside the unit reaches; common practice."""
INTERNAL_SOURCE = "under 1 Ω for any run inside, common practice"
INSULATION = 10e6
"""Ohm an open contact shows at least; common practice."""


def contact_closed(design: Design, id: str) -> Spec:
    """A closed contact."""
    control = design.control(id)
    contact = control.part.contact
    if contact is None:
        raise DesignError(f"{id} has no contact")
    circuit = build(design, id, state=State(powered=False, pressed=frozenset({id})))
    first = next(role for role in ("contact", "a") if role in control.part.lugs)
    alone = Circuit(quantities=circuit.quantities, elements=(circuit.element(_contact_id(control)),))
    worn = (contact.worn or contact.closed).value
    return Spec(
        reading=ohms(alone, f"{id}.{first}", f"{id}.common"),
        where=f"{lug(control, first)} to {lug(control, 'common')}, loose or {control.connector} unplugged, closed",
        formula=f"the contact: {contact.closed} at most when new, {format_value(worn, 'resistance')} when worn",
        sides="most",
        most=max(INTERNAL, worn),
        reason="1 Ω with probes and leads (common practice), or the part's own limit",
    )


def _contact_id(control: Control) -> str:
    return f"{control.id}.{'contact' if 'contact' in control.part.lugs else 'a'}"


def contact_open(design: Design, id: str) -> Spec:
    """An open contact."""
    control = design.control(id)
    contact = control.part.contact
    if contact is None:
        raise DesignError(f"{id} has no contact")
    first = next(role for role in ("contact", "a") if role in control.part.lugs)
    return Spec(
        where=f"{lug(control, first)} to {lug(control, 'common')}, loose or {control.connector} unplugged, open",
        formula=f"{contact.open} at least; a common meter shows no more than {format_value(TOP, 'resistance')}",
        metered=False,
        sides="least",
        least=min(contact.open.value, INSULATION),
        reason="10 MΩ, common practice",
        sources=(contact.source,),
    )


def pin(*, pressed: bool) -> Callable[[Design, str], Spec]:
    """Volts at the input of a button, toggle or encoder."""

    def work(design: Design, id: str) -> Spec:
        control = design.control(id)
        role = "row" if control.row else next(r for r in ("contact", "a") if r in control.pins)
        state = State(pressed=frozenset({id} if pressed else ()), reading=id)
        node = f"{control.connector}.{control.pins[role]}.board"
        held = f", the firmware holding column {control.column}" if control.row else ""
        logic = design.board.logic
        limit = logic.low if pressed else logic.high
        return Spec(
            reading=meter_volts(build(design, id, state=state), node, "ground", meter_ohms=design.meter.input.value),
            where=f"red on {pin_words(design, control, role)}, black on {ground_words(design, control)}, "
            f"{id} {'closed' if pressed else 'open'}{held}",
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
            raise DesignError(f"{id} has no diode")
        anode, cathode = lug(control, "common"), f"the other leg of its diode (column {control.column})"
        red, black = (anode, cathode) if forward else (cathode, anode)
        where = f"red on {red}, black on {black}, diode range, {control.connector} unplugged, no button pressed"
        junction = design.part(matrix.diode).junction
        assert junction is not None
        if not forward:
            return Spec(
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
            reading=diode_range(circuit, f"{id}.common", f"{id}.column.inline", amps=design.meter.diode.value),
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
    where = f"red on {lug(control, 'anode')}, black on {lug(control, 'cathode')}, diode range, unplugged"
    formula = _at_test_current(design, junction)
    reading: Volts = diode_range(circuit, f"{id}.anode", f"{id}.cathode", amps=design.meter.diode.value)
    ordinary = reading.at({name: each.nominal for name, each in reading.quantities.items()})[0]
    if ordinary >= top:
        return Spec(
            where=where,
            formula=f"{formula}: this meter shows OL, and that is no fault",
            metered=False,
            sides="least",
            least=top,
            reason="top of the meter's diode range",
            sources=(junction.source,),
        )
    return Spec(reading=reading, where=where, formula=formula)


def lamp_resistor(design: Design, id: str) -> Spec:
    """The resistor in series with a lamp."""
    control = design.control(id)
    circuit = build(design, id)
    name = f"{control.connector}.{control.pins['anode']}.through"
    resistor = circuit.element(name)
    assert isinstance(resistor, Resistor)
    alone = Circuit(quantities=circuit.quantities, elements=(resistor,))
    return Spec(
        reading=ohms(alone, resistor.a, resistor.b),
        where=f"across the resistor at {pin_words(design, control, 'anode')}, {control.connector} unplugged",
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


def wire_loop(design: Design, id: str) -> Spec:
    """The signal wire of a control, lug to connector pin, along its chain if it hangs on one."""
    control = design.control(id)
    role = "row" if control.row else control.signal_role
    run = wire_of(design, control, role)
    members = wires(design, run.bus) if run.bus else (run,)
    here = [each.control for each in members].index(id) if run.bus else 0
    chain = members[: here + 1]
    last = chain[0]
    circuit = build(design, id, state=State(powered=False))
    path = Circuit(quantities=circuit.quantities, elements=tuple(circuit.element(f"{each.id}.wire") for each in chain))
    start = f"{id}.contact" if role == "row" else f"{id}.{role}"
    metres = sum(each.length for each in chain)
    return Spec(
        reading=ohms(path, start, f"{last.connector}.{last.pin}"),
        where=f"{run.start} to {last.end}, unplugged",
        formula=f"{format_value(metres, 'length')} of {run.gauge} with its joints",
        sides="most",
        most=INTERNAL,
        reason=INTERNAL_SOURCE,
    )


def feed_loop(design: Design, id: str) -> Spec:
    """A bus from its connector to the lug that the most wire feeds; of a bank the longer of its two.

    A ring reads right with a leg broken while its plug is in; out, the board no longer joins its two feeds.
    """
    banks = [bank for bank in design.banks if bank.id == id]
    ids = [bus for bank in banks for bus in (bank.ground, bank.supply) if bus] or [id]
    found: list[tuple[float, str, Circuit, str, str]] = []
    for bus_id in ids:
        bus, (metres, last) = design.bus(bus_id), reach(design, bus_id)
        if last is None:
            continue
        circuit = build(design, last.control.id, state=State(powered=False))
        lifted = [run for run in wires(design, bus_id) if not run.id.endswith(".back")]
        path = Circuit(
            quantities=circuit.quantities,
            elements=tuple(
                Resistor(f"{run.id}.wire", *_ends(circuit, run.id), _ohms_of(circuit, run.id)) for run in lifted
            ),
        )
        start, end = f"{bus.connector}.{bus.pin}", _ends(circuit, f"{last.control.id}.{last.role}")[0]
        where = f"{bus_pin(design, bus_id, bus.net)} to {last.control.id} lug {last.lug}"
        found.append((metres, where, path, start, end))
    if not found:
        raise DesignError(f"{id} has no feed")
    metres, _, path, start, end = max(found, key=lambda each: each[0])
    places = "; ".join(each[1] for each in found)
    return Spec(
        reading=ohms(path, start, end),
        where=f"{places}, unplugged" + (", each by itself" if len(found) > 1 else ""),
        formula=f"{format_value(metres, 'length')} of wire in a row, with the joints",
        sides="most",
        most=INTERNAL,
        reason=INTERNAL_SOURCE,
    )


def _ends(circuit: Circuit, run: str) -> tuple[str, str]:
    element = circuit.element(f"{run}.wire")
    return element.a, element.b


def _ohms_of(circuit: Circuit, run: str) -> Sum:
    element = circuit.element(f"{run}.wire")
    assert isinstance(element, Resistor) and isinstance(element.ohms, Sum)
    return element.ohms
