"""Test points of faders, rotary controls, ribbons and their banks."""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchtui.design.buses import joined
from benchtui.design.circuit.build import State, build, pin_node, read_node
from benchtui.design.circuit.elements import Circuit
from benchtui.design.circuit.readings import Quotient, Share, meter_volts, ohms
from benchtui.design.parts import DIVIDERS
from benchtui.design.points.spec import Spec, bus_pin, ground_words, lug, pin_words, unplugged
from benchtui.errors import DesignError

if TYPE_CHECKING:
    from collections.abc import Callable

    from benchtui.design.model import Control, Design

UNPLUGGED = State(powered=False, plugged=False)
_PLACES = {"low": 0.0, "mid": 0.5, "high": 1.0}
_WORDS = {"low": "at the lower stop", "mid": "at the middle", "high": "at the upper stop"}


def bank_ohms(design: Design, id: str) -> Spec:
    """Supply to ground of a bank, its plug out; elements of other banks on the same two buses lie beside its own."""
    bank = design.bank(id)
    if not bank.supply or not bank.ground or not any(each.kind in DIVIDERS for each in design.members(id)):
        raise DesignError(f"bank {id} has no supply and ground to measure between")
    members = beside(design, id)
    circuit = build(design, id, state=UNPLUGGED)
    supply, ground = design.bus(bank.supply), design.bus(bank.ground)
    beyond = {control.bank for control in members} - {id}
    others = f", bank {' and bank '.join(sorted(beyond))} on the same two buses included" if beyond else ""
    return Spec(
        reading=ohms(circuit, f"{supply.connector}.{supply.pin}", f"{ground.connector}.{ground.pin}"),
        where=f"red on {bus_pin(design, bank.supply, 'supply')}, black on {bus_pin(design, bank.ground, 'ground')}, "
        f"{unplugged(design, id)}",
        formula=f"{len(members)} elements side by side ({members[0].id} to {members[-1].id}) with the wires to them"
        + others,
    )


def beside(design: Design, bank_id: str) -> tuple[Control, ...]:
    """Controls whose elements lie between the supply and the ground of a bank: its own and those of its twins."""
    bank = design.bank(bank_id)
    twins = {each.id for each in design.banks if (each.supply, each.ground) == (bank.supply, bank.ground)}
    return tuple(control for control in design.controls if control.kind in DIVIDERS and control.bank in twins)


def _alone(design: Design, control: Control, position: float) -> Circuit:
    """A control's own circuit with its wires off: what is read before it is wired, or with one lead lifted."""
    circuit = build(design, control.id, state=State(powered=False, positions={control.id: position}))
    own = tuple(circuit.element(f"{control.id}.{name}") for name in ("below", "above", "wiper"))
    return Circuit(quantities=circuit.quantities, elements=own)


def element(design: Design, id: str) -> Spec:
    """End to end of a control with a lead off."""
    control = design.control(id)
    return Spec(
        reading=ohms(_alone(design, control, 0.5), f"{id}.supply", f"{id}.ground"),
        where=f"{lug(control, 'ground')} to {lug(control, 'supply')}, before it is wired or with its supply lead off",
        formula="the element of the part, with its tolerance",
    )


def residual(side: str) -> Callable[[Design, str], Spec]:
    """Wiper to an end lug, at that stop."""

    def work(design: Design, id: str) -> Spec:
        control = design.control(id)
        circuit = _alone(design, control, 0.0 if side == "ground" else 1.0)
        return Spec(
            reading=ohms(circuit, f"{id}.signal", f"{id}.{side}"),
            where=f"{lug(control, 'signal')} to {lug(control, side)}",
            formula="what is left of the element at the stop, and the wiper's contact",
            sides="most",
        )

    return work


def mid_share(design: Design, id: str) -> Spec:
    """Share of the element below the wiper at mid-travel."""
    control = design.control(id)
    circuit = _alone(design, control, 0.5)
    return Spec(
        reading=Quotient(ohms(circuit, f"{id}.signal", f"{id}.ground"), ohms(circuit, f"{id}.supply", f"{id}.ground")),
        where=f"{lug(control, 'ground')} to {lug(control, 'signal')}, divided by {lug(control, 'ground')} to "
        f"{lug(control, 'supply')}",
        formula="the taper of the part at mid-travel, with the wiper's contact",
    )


def signal_to_ground(design: Design, id: str) -> Spec:
    """Signal to ground without power, the whole bank at the middle."""
    control = design.control(id)
    bank = design.bank(control.bank)
    if not bank.ground:
        raise DesignError(f"bank {bank.id} has no ground to measure to")
    ground = design.bus(bank.ground)
    circuit = build(design, id, state=UNPLUGGED)
    return Spec(
        reading=ohms(circuit, f"{control.connector}.{control.pins['signal']}", f"{ground.connector}.{ground.pin}"),
        where=f"{pin_words(design, control, 'signal')} to {bus_pin(design, bank.ground, 'ground')}, "
        f"{unplugged(design, bank.id)}",
        formula="lower half beside (upper half + all the others between the same supply and ground)",
    )


def _powered(design: Design, control: Control, place: str) -> Circuit:
    return build(design, control.id, state=State(positions={control.id: _PLACES[place]}, reading=control.id))


def _lamps(design: Design, control: Control) -> str:
    """Said where lamps share a bus with a control: what they draw would lift its ground."""
    banks = joined(design, control.bank)
    return ", all lamps off" if any(each.kind == "lamp" and each.bank in banks for each in design.controls) else ""


def end_lug(role: str) -> Callable[[Design, str], Spec]:
    """Volts of an end lug."""

    def work(design: Design, id: str) -> Spec:
        control = design.control(id)
        circuit = build(design, id)
        return Spec(
            reading=meter_volts(circuit, f"{id}.{role}", "ground", meter_ohms=design.meter.input.value),
            where=f"red on {lug(control, role)}, black on {ground_words(design, control)}{_lamps(design, control)}",
            formula="the rail, less what wires and contacts drop" if role == "supply" else "what the ground wires drop",
            sides="both" if role == "supply" else "most",
            most=0.02 if role == "ground" else None,
            reason="20 mV at least, common practice" if role == "ground" else "",
        )

    return work


def signal(place: str, *, at_pin: bool) -> Callable[[Design, str], Spec]:
    """Volts of the signal, at the lug or at the input it goes to."""

    def work(design: Design, id: str) -> Spec:
        control = design.control(id)
        node = pin_node(control) if at_pin else f"{id}.signal"
        red = pin_words(design, control, "signal") if at_pin else lug(control, "signal")
        return Spec(
            reading=meter_volts(_powered(design, control, place), node, "ground", meter_ohms=design.meter.input.value),
            where=f"red on {red}, black on {ground_words(design, control)}, {id} {_WORDS[place]}"
            + _lamps(design, control),
            formula="the rail shared out by the element, loaded by what hangs on the signal",
        )

    return work


def share_of_rail(design: Design, control: Control, place: str) -> Share:
    """What the converter makes of a control at a place, as a share of full scale."""
    return Share(_powered(design, control, place), read_node(design, control), "rail")


def code(place: str) -> Callable[[Design, str], Spec]:
    """The value sent; its steps are counted by `testpoints`."""

    def work(design: Design, id: str) -> Spec:
        control = design.control(id)
        if control.message is None:
            raise DesignError(f"{id} sends no message")
        return Spec(
            reading=share_of_rail(design, control, place),
            where=f"value of {id} on the message monitor, {id} {_WORDS[place]}{_lamps(design, control)}",
            formula="value = steps × share of the rail, rounded",
            metered=False,
            sources=(design.board.converter.source,),
        )

    return work


def ribbon_pull_down(design: Design, id: str) -> Spec:
    """The pull-down at a ribbon's input, its tail unplugged."""
    control = design.control(id)
    pin = design.connector_pin(control.connector, control.pins.get("signal", ""))
    if pin is None or not pin.pull_down:
        raise DesignError(f"{id} has no pull-down")
    circuit = build(design, id)
    node = pin_node(control)
    alone = Circuit(
        quantities=circuit.quantities,
        elements=(circuit.element(f"{control.connector}.{control.pins['signal']}.pull-down"),),
    )
    return Spec(
        reading=ohms(alone, node, "ground"),
        where=f"{pin_words(design, control, 'signal')} to {ground_words(design, control)}, tail unplugged",
        formula="the pull-down resistor, with its tolerance",
    )
