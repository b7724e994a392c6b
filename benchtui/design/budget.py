"""What a design spends of what it has: pins, inputs and currents, each with its limit and where the limit is from.

The checks say what is wrong; a budget says how much is left while nothing is.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from benchtui.calc.tables.usb import PORTS
from benchtui.calc.tables.usb import SOURCE as USB_SOURCE
from benchtui.design.checks.figures import amps
from benchtui.design.checks.pins import CHANNELS, PINS, analogue_channels, analogue_pins, uses
from benchtui.design.circuit.window import window
from benchtui.design.points.contacts import lamp_current
from benchtui.design.points.unit import unit_current

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from benchtui.design.model import Control, Design


@dataclass(frozen=True, slots=True, kw_only=True)
class Spent:
    """One line of the budget.

    Attributes:
        what: What is spent.
        figure: How much, at worst, in words.
        limit: How much there is, in words.
        share: Figure over limit; above 1 it does not fit.
        source: Where the limit is from.
    """

    what: str
    figure: str
    limit: str
    share: float
    source: str


DECLARED_SOURCE = "the design's own figure, which its firmware has to declare"


def budget(design: Design) -> tuple[Spent, ...]:
    """The budget of a design: pins, analogue pins, channels, lamps, and the current from the port."""
    return (*_pins(design), *_currents(design))


def _pins(design: Design) -> Iterator[Spent]:
    board, used = design.board, uses(design)
    able = [name for name, pin in board.pins.items() if not pin.keep and pin.can != ("none",)]
    taken = [name for name in able if used.get(name)]
    if able:
        yield _count("pins of the board", taken, able, "design file")
    busy, analogue = analogue_pins(design)
    if analogue:
        yield _count(PINS, busy, analogue, "design file")
    read, inputs = analogue_channels(design)
    if inputs and design.multiplexers:
        yield Spent(
            what=CHANNELS.rstrip(","), figure=str(read), limit=str(inputs), share=read / inputs, source="design file"
        )
    for chip in design.multiplexers:
        switching = design.part(chip.part).switching
        if switching is not None:
            there = [control.id for control in design.controls if control.multiplexer == chip.id]
            yield Spent(
                what=f"channels of {chip.id}",
                figure=str(len(there)),
                limit=str(switching.channels),
                share=len(there) / switching.channels,
                source=switching.source,
            )


def _count(what: str, used: Sequence[str], there: Sequence[str], source: str) -> Spent:
    share = len(used) / len(there)
    return Spent(what=what, figure=str(len(used)), limit=str(len(there)), share=share, source=source)


def _currents(design: Design) -> Iterator[Spent]:
    board, power, port = design.board, design.file.power, PORTS[design.file.power.port]
    lamps = [control for control in design.controls if control.kind == "lamp"]
    if any(not _limited(design, control) for control in lamps):
        return  # a lamp without a resistor has no sensible current; the checks name it
    if lamps:
        drawn: dict[tuple[str, str], float] = {}
        for control in lamps:
            shape = (control.part.id, _through(design, control))
            if shape not in drawn:
                reading = lamp_current(design, control.id).reading
                assert reading is not None
                drawn[shape] = window(reading).high
        each = [drawn[control.part.id, _through(design, control)] for control in lamps]
        logic = board.logic
        yield _amps("one lamp, from its pin", max(each), logic.pin.value, logic.source)
        yield _amps("all lamps, from the chip", sum(each), logic.chip.value, logic.source)
    everything = window(unit_current(design, lamps=frozenset(control.id for control in lamps))).high
    idle = window(unit_current(design, lamps=frozenset())).high
    yield _amps("outside the board, all on", everything - board.current.high, board.regulator.value, board.source)
    yield _amps(f"the unit idle, from {port.words}", idle, port.current, USB_SOURCE)
    yield _amps(f"the unit with all on, from {port.words}", everything, port.current, USB_SOURCE)
    yield _amps(
        "the unit with all on, of what it tells the computer", everything, power.declared.value, DECLARED_SOURCE
    )


def _through(design: Design, control: Control) -> str:
    """Part in series with a lamp; empty for none."""
    entry = design.connector_pin(control.connector, control.pins.get("anode", ""))
    return entry.through if entry else ""


def _limited(design: Design, control: Control) -> bool:
    return control.part.junction is not None and bool(_through(design, control))


def _amps(what: str, figure: float, limit: float, source: str) -> Spent:
    return Spent(what=what, figure=amps(figure), limit=amps(limit), share=figure / limit, source=source)
