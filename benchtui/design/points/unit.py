"""Test points of the whole unit: its supply, its reference, what it draws, and its metal."""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchtui.design.buses import circuits, feeds
from benchtui.design.circuit.build import State, build
from benchtui.design.circuit.elements import Quantity, just
from benchtui.design.circuit.readings import Direct, Supplied, Total, meter_volts
from benchtui.design.circuit.window import window
from benchtui.design.points.places import bus_pin, lug, place
from benchtui.design.points.spec import Spec
from benchtui.errors import DesignError
from benchtui.units import format_value

if TYPE_CHECKING:
    from collections.abc import Callable

    from benchtui.design.model import Design


def strap(design: Design, _: str) -> Spec:
    """The metal panel against ground."""
    if design.panel.material not in ("aluminium", "steel"):
        raise DesignError(f"a panel of {design.panel.material} is not bonded")
    return Spec(
        where="bare metal of the panel at several places, to ground at the board",
        formula="a good bond, the leads of the meter zeroed",
        kept=True,
        sides="most",
        most=0.5,
        nominal=0.0,
        reason="0.5 Ω at most, common practice",
    )


def panel_thickness(design: Design, _: str) -> Spec:
    """The sheet of the panel."""
    thickness = design.panel.thickness
    return Spec(
        where="callipers, on bare sheet near each corner",
        formula=f"the sheet as ordered, {thickness.text or thickness}",
        metered=False,
        least=thickness.low,
        nominal=thickness.value,
        most=thickness.high,
        reason="tolerance of the sheet",
    )


def vbus(design: Design, _: str) -> Spec:
    """The supply at the board."""
    power = design.file.power
    return Spec(
        where="red on the board's 5 V pin, black on its ground, all lamps on, the meter holding its lowest",
        formula=f"{power.least} to {power.most} at the board",
        metered=False,
        least=power.least.value,
        nominal=5.0,
        most=power.most.value,
        reason=power.source,
    )


def vref(design: Design, id: str) -> Spec:
    """The reference at the far end of a bank, all lamps on; the last such bank when none is named."""
    banks = [bank for bank in design.divider_banks if id in ("", bank.id)]
    if not banks:
        raise DesignError(f"{id or design.title} has no supply and ground to read the reference at")
    bank = banks[-1]
    # There is a divider in each of these banks, and so a lug on its supply. A ring is fed at both ends here, so its
    # second feed, to a lug beside the connector, says nothing.
    last = max(
        (feed for feed in feeds(design, bank.supply) if not feed.back), key=lambda feed: feed.length
    ).stop.control
    circuit = build(design, bank.id, state=State(lamps=all_lamps(design)))
    red, black = place(design, f"{last.id}.supply{'.inline' if last.limiter else ''}"), lug(design, last, "ground")
    return Spec(
        probes=((red, black),),
        reading=meter_volts(circuit, red.node, black.node, meter_ohms=design.meter.input.value),
        where=f"red on {red.words}, black on {black.words}; the bank is fed at {bus_pin(design, bank.supply).words}",
        formula="the rail, less what the feeds drop with all lamps on",
    )


def rail_ohms(design: Design, _: str) -> Spec:
    """V+ to ground at the board without power, every plug in: no less than what the whole unit draws stands for."""
    drawn = window(unit_current(design, lamps=all_lamps(design))).high
    each = [control.part.element.ohms.value for control in design.controls if control.part.element is not None]
    beside = f"{len(each)} elements side by side, and the board" if each else "the board"
    return Spec(
        where="red on the board's V+ pin, black on its ground, USB out, every plug in",
        formula=f"{beside}; less than {design.rail} / {format_value(drawn, 'current')} would draw more than the whole "
        "unit does with all its lamps on",
        sides="least",
        least=design.rail.value / drawn,
        nominal=1 / sum(1 / ohms for ohms in each) if each else None,
        reason="Ohm's law on the unit's greatest current (calculation)",
        sources=(design.board.source,),
    )


def all_lamps(design: Design) -> frozenset[str]:
    """Every lamp of the unit."""
    return frozenset(control.id for control in design.controls if control.kind == "lamp")


def board_current(design: Design, _: str) -> Spec:
    """What the bare board draws, nothing plugged to it: no more than its sheet says."""
    drawn = design.board.current
    return Spec(
        where="USB meter between the port and the lead, every connector of the harness unplugged",
        formula=f"the board's own current, {drawn}",
        kept=True,
        sides="most",
        most=drawn.high,
        nominal=drawn.value,
        reason=design.board.source,
    )


def current(*, lamps: bool) -> Callable[[Design, str], Spec]:
    """What the unit draws, with its lamps off or all of them on."""

    def work(design: Design, _: str) -> Spec:
        on = all_lamps(design) if lamps else frozenset[str]()
        return Spec(
            reading=unit_current(design, lamps=on),
            where="USB meter between the port and the lead",
            formula="the board's own current, every element across the rail"
            + (", every lamp" if lamps else "")
            + "; a linear regulator passes it on to the 5 V side",
        )

    return work


def unit_current(design: Design, *, lamps: frozenset[str]) -> Total:
    """The current of the whole unit as a reading."""
    board = design.board
    own = Quantity(
        name="board",
        low=board.current.low,
        nominal=board.current.value,
        high=board.current.high,
        kind="current",
        what="the board's own current",
        source=board.source,
    )
    parts = tuple(
        Supplied(build(design, " ".join(banks), state=State(lamps=lamps)), "rail") for banks in circuits(design)
    )
    return Total((Direct({"board": own}, just("board")), *parts))


MARGIN = 5.0
"""K that a soak stays below the hottest a part stands; an estimate, for the air is not the same everywhere."""
USUAL_HOTTEST = 55.0
"""°C that sheets of slide potentiometers allow; for designs whose parts do not say."""
COLDEST = 10.0
"""°C below which a soak shows little; an estimate."""


def soak_temperature(design: Design, _: str) -> Spec:
    """The air beside the controls during a soak: under what the most tender part stands."""
    limits = [
        (endurance.hottest.value, endurance.source, control.part.title)
        for control in design.controls
        if (endurance := control.part.endurance) is not None and endurance.hottest is not None
    ]
    where = "thermometer beside the controls, under the cover if there is one"
    if not limits:
        return Spec(
            where=where,
            formula="no part of this design says how hot it may get, so the usual limit for faders stands",
            metered=False,
            least=COLDEST,
            most=USUAL_HOTTEST - MARGIN,
            reason=f"faders commonly stand {USUAL_HOTTEST:g} °C, less {MARGIN:g} K (common practice)",
        )
    hottest, source, title = min(limits, key=lambda limit: limit[0])
    return Spec(
        where=where,
        formula=f"{MARGIN:g} K below the {format_value(hottest, 'temperature')} that the {title} stands",
        metered=False,
        least=COLDEST,
        nominal=hottest - MARGIN,
        most=hottest - MARGIN,
        reason=f"{source}, less {MARGIN:g} K (estimate)",
    )
