"""Test points of faders, rotary controls, ribbons and their banks."""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchtui.design.buses import joined
from benchtui.design.circuit.build import State, build, read_node
from benchtui.design.circuit.elements import Circuit
from benchtui.design.circuit.readings import Quotient, Share, meter_volts, ohms
from benchtui.design.parts import DIVIDERS
from benchtui.design.points.places import bus_pin, ground, lug, pin, place
from benchtui.design.points.spec import Spec, unplugged
from benchtui.errors import AbsentError, DesignError

if TYPE_CHECKING:
    from collections.abc import Callable

    from benchtui.design.layout import Message
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
    red, black = bus_pin(design, bank.supply), bus_pin(design, bank.ground)
    beyond = {control.bank for control in members} - {id}
    others = f", bank {' and bank '.join(sorted(beyond))} on the same two buses included" if beyond else ""
    return Spec(
        probes=((red, black),),
        reading=ohms(circuit, red.node, black.node),
        where=f"red on {red.words}, black on {black.words}, {unplugged(design, id)}",
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
    low, high = lug(design, control, "ground"), lug(design, control, "supply")
    return Spec(
        probes=((high, low),),
        reading=ohms(_alone(design, control, 0.5), high.node, low.node),
        where=f"{low.words} to {high.words}, before it is wired or with its supply lead off",
        formula="the element of the part, with its tolerance",
    )


def residual(side: str) -> Callable[[Design, str], Spec]:
    """Wiper to an end lug, at that stop."""

    def work(design: Design, id: str) -> Spec:
        control = design.control(id)
        circuit = _alone(design, control, 0.0 if side == "ground" else 1.0)
        wiper, end = lug(design, control, "signal"), lug(design, control, side)
        return Spec(
            probes=((wiper, end),),
            reading=ohms(circuit, wiper.node, end.node),
            where=f"{wiper.words} to {end.words}",
            formula="what is left of the element at the stop, and the wiper's contact",
            sides="most",
        )

    return work


def mid_share(design: Design, id: str) -> Spec:
    """Share of the element below the wiper at mid-travel."""
    control = design.control(id)
    circuit = _alone(design, control, 0.5)
    low, wiper, high = (lug(design, control, role) for role in ("ground", "signal", "supply"))
    return Spec(
        probes=((wiper, low), (high, low)),
        reading=Quotient(ohms(circuit, wiper.node, low.node), ohms(circuit, high.node, low.node)),
        where=f"{low.words} to {wiper.words}, divided by {low.words} to {high.words}",
        formula="the taper of the part at mid-travel, with the wiper's contact",
    )


def signal_to(net: str) -> Callable[[Design, str], Spec]:
    """Signal to ground or to supply without power, the whole bank at the middle."""

    def work(design: Design, id: str) -> Spec:
        control = design.control(id)
        bank = design.bank(control.bank)
        bus = bank.ground if net == "ground" else bank.supply
        if not bus:
            raise DesignError(f"bank {bank.id} has no {net} to measure to")
        red, black = pin(design, control, "signal"), bus_pin(design, bus)
        near, far, other = ("lower", "upper", "supply") if net == "ground" else ("upper", "lower", "ground")
        return Spec(
            probes=((red, black),),
            reading=ohms(build(design, id, state=UNPLUGGED), red.node, black.node),
            where=f"{red.words} to {black.words}, {unplugged(design, bank.id)}",
            formula=f"{near} half beside ({far} half + all the others between the same supply and ground)"
            if bank.ground and bank.supply
            else f"{near} half; this bank has no {other}",
        )

    return work


def _powered(design: Design, control: Control, place: str) -> Circuit:
    return build(design, control.id, state=State(positions={control.id: _PLACES[place]}, reading=control.id))


def _lamps(design: Design, control: Control) -> str:
    """Said where lamps share a bus with a control: what they draw would lift its ground."""
    banks = joined(design, control.bank)
    return ", all lamps off" if any(each.kind == "lamp" and each.bank in banks for each in design.controls) else ""


def supply_pin(design: Design, id: str) -> Spec:
    """Volts of the supply where it leaves the board for the bank: what its lugs are held against."""
    control = design.control(id)
    bus = design.bus(design.bank(control.bank).supply)
    red, black = place(design, f"{bus.connector}.{bus.pin}.board"), ground(design, control)
    return Spec(
        probes=((red, black),),
        reading=meter_volts(build(design, id), red.node, black.node, meter_ohms=design.meter.input.value),
        where=f"red on {red.words}, black on {black.words}",
        formula="the rail as it is, before any wire",
    )


def end_lug(role: str) -> Callable[[Design, str], Spec]:
    """Volts of an end lug."""

    def work(design: Design, id: str) -> Spec:
        control = design.control(id)
        red, black = lug(design, control, role), ground(design, control)
        return Spec(
            probes=((red, black),),
            reading=meter_volts(build(design, id), red.node, black.node, meter_ohms=design.meter.input.value),
            where=f"red on {red.words}, black on {black.words}{_lamps(design, control)}",
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
        red = pin(design, control, "signal", at_board=True) if at_pin else lug(design, control, "signal")
        black, circuit = ground(design, control), _powered(design, control, place)
        return Spec(
            probes=((red, black),),
            reading=meter_volts(circuit, red.node, black.node, meter_ohms=design.meter.input.value),
            where=f"red on {red.words}, black on {black.words}, {id} {_WORDS[place]}" + _lamps(design, control),
            formula="the rail shared out by the element, loaded by what hangs on the signal",
        )

    return work


def share_of_rail(design: Design, control: Control, place: str) -> Share:
    """What the converter makes of a control at a place, as a share of full scale."""
    return Share(_powered(design, control, place), read_node(design, control), "rail")


def code(place: str) -> Callable[[Design, str], Spec]:
    """The value before its ends are taught; its steps are counted by `testpoints`."""

    def work(design: Design, id: str) -> Spec:
        control = design.control(id)
        if control.message is None:
            raise AbsentError(f"{id} sends no message")
        return Spec(
            reading=share_of_rail(design, control, place),
            where=f"raw value of {id} in the set-up program, {id} {_WORDS[place]}{_lamps(design, control)}",
            formula="value = steps × share of the rail, rounded",
            metered=False,
            sources=(design.board.converter.source,),
        )

    return work


def sent(place: str) -> Callable[[Design, str], Spec]:
    """The value sent at a stop once the board has been taught where the stops are: the end of the message's range."""

    def work(design: Design, id: str) -> Spec:
        message = design.control(id).message
        if message is None:
            raise AbsentError(f"{id} sends no message")
        low, high = message_ends(message)
        step = round((high - low) / 127)
        end = float(low if place == "low" else high)
        inner = end + step if place == "low" else end - step
        return Spec(
            where=f"value of {id} on the message monitor, {id} {_WORDS[place]}, its ends taught",
            formula=f"the {'low' if place == 'low' else 'high'} end of what it sends, {low} to {high}, "
            "and a step of 127 inwards",
            metered=False,
            least=min(end, inner),
            nominal=end,
            most=max(end, inner),
            reason="range of the message: MIDI 1.0; one step of 127: estimate",
        )

    return work


def message_ends(message: Message | None) -> tuple[int, int]:
    """Values of a message at the two ends of travel; those of 7 bits for none."""
    if message is None:
        return 0, 127
    return (0, 16383) if message.fine or message.pitch_bend else (message.low, message.high)


def ribbon_pull_down(design: Design, id: str) -> Spec:
    """The pull-down at a ribbon's input, its tail unplugged."""
    control = design.control(id)
    entry = design.connector_pin(control.connector, control.pins.get("signal", ""))
    if entry is None or not entry.pull_down:
        raise AbsentError(f"{id} has no pull-down")
    circuit = build(design, id)
    red, black = pin(design, control, "signal", at_board=True), ground(design, control)
    alone = Circuit(
        quantities=circuit.quantities,
        elements=(circuit.element(f"{control.connector}.{control.pins['signal']}.pull-down"),),
    )
    return Spec(
        probes=((red, black),),
        reading=ohms(alone, red.node, black.node),
        where=f"{red.words} to {black.words}, tail unplugged",
        formula="the pull-down resistor, with its tolerance",
    )
