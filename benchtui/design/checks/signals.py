"""Levels and impedances: what the board reads must lie where it can read it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchtui.design.checks.figures import amps, volts
from benchtui.design.checks.figures import ohms as ohms_text
from benchtui.design.checks.finding import Finding
from benchtui.design.circuit.window import window
from benchtui.design.parts import DIVIDERS, SWITCHES
from benchtui.design.points.contacts import input_pin as pin_point
from benchtui.units import format_value

if TYPE_CHECKING:
    from collections.abc import Iterator

    from benchtui.design.model import Control, Design
    from benchtui.design.parts import Contact, Element

LATE = 0.010
"""s that a capacitor may hold a value back (its time constant); a hand feels a lag from about 20 ms on (estimate)."""
PULLED = 0.03
"""Share of its travel that a pull-down may shift a ribbon's middle by; as much as its sheet allows for being not
straight (3 %, makers' data sheets)."""


def findings(design: Design) -> Iterator[Finding]:
    """What is wrong with levels and impedances."""
    yield from _rail(design)
    yield from _multiplexers(design)
    yield from _capacitors(design)
    for control in design.controls:
        if control.kind in DIVIDERS:
            yield from _source_resistance(design, control)
        if control.kind == "ribbon":
            yield from _ribbon(design, control)
    for matrix in design.matrices:
        buttons = [control for control in design.controls if control.row in matrix.rows]
        if not matrix.diode and len(buttons) > 2:
            yield Finding(
                check="matrix-diodes",
                place=matrix.place,
                message=f"matrix {matrix.id} has no diodes: three buttons held make a fourth appear",
                hint="give it a `diode:` part, one for each button",
                source="common practice",
            )
    yield from _switches(design)


def _rail(design: Design) -> Iterator[Finding]:
    logic, rail = design.board.logic, design.rail
    if rail.high > logic.tolerates.value:
        yield Finding(
            check="rail-too-high",
            place=design.board.place,
            message=f"the rail may reach {volts(rail.high)}, and a pin stands {volts(logic.tolerates.value)}",
            hint="feed the controls from the board's own rail",
            source=logic.source,
        )


def _multiplexers(design: Design) -> Iterator[Finding]:
    rail, logic = design.rail, design.board.logic
    for chip in design.multiplexers:
        part = design.part(chip.part).switching
        assert part is not None
        supply = chip.supply or rail
        if not part.supply_least.value <= supply.low <= supply.high <= part.supply_most.value:
            yield Finding(
                check="multiplexer-supply",
                place=chip.place,
                message=f"multiplexer {chip.id} is fed {volts(supply.value)}, and it takes "
                f"{volts(part.supply_least.value)} to {volts(part.supply_most.value)}",
                hint="feed it from the rail",
                source=part.source,
            )
        if supply.high < rail.low:
            yield Finding(
                check="multiplexer-below-signal",
                place=chip.place,
                message=f"multiplexer {chip.id} is fed {volts(supply.value)}, less than the {volts(rail.value)} of "
                "its signals",
                hint="its supply must be at least the signal's",
                source=part.source,
            )
        need = part.high.value * supply.high
        if chip.supply is not None and need > rail.low:
            yield Finding(
                check="select-levels",
                place=chip.place,
                message=f"multiplexer {chip.id}: a select line reads high from {volts(need)}, and the board gives "
                f"{volts(rail.low)}",
                hint="feed it from the same rail as the board",
                source=part.source,
            )
        if supply.high > logic.tolerates.value and rail.high <= logic.tolerates.value:
            yield Finding(
                check="multiplexer-above-pin",
                level="warning",
                place=chip.place,
                message=f"multiplexer {chip.id} at {volts(supply.high)} could pass more than the "
                f"{volts(logic.tolerates.value)} a pin stands",
                hint="feed it from the same rail as the board",
                source=logic.source,
            )


def _at_mid_travel(element: Element) -> float:
    """Ohms that an input sees at mid-travel, where they are most: both halves side by side, and the wiper's contact."""
    return element.ohms.high / 4 + element.wiper.value


def _source_resistance(design: Design, control: Control) -> Iterator[Finding]:
    element, converter = control.part.element, design.board.converter
    assert element is not None
    ohms = _at_mid_travel(element)
    if control.multiplexer:
        switching = design.part(design.multiplexer(control.multiplexer).part).switching
        ohms += switching.on.high if switching else 0.0
    if ohms > converter.source_most.value:
        yield Finding(
            check="source-resistance",
            place=control.place,
            message=f"control {control.id}: source resistance up to {ohms_text(ohms)} at mid-travel, and the converter "
            f"reads rightly up to {ohms_text(converter.source_most.value)}",
            hint="choose an element of 5 to 20 kΩ",
            source=converter.source,
        )
    power = design.rail.high**2 / element.ohms.low
    if element.power is not None and power > element.power.value:
        yield Finding(
            check="element-power",
            place=control.place,
            message=f"control {control.id}: its element turns {format_value(power, 'power', digits=3)} into heat, and "
            f"stands {element.power}",
            hint="choose a higher resistance",
            source=element.source,
        )


def _capacitors(design: Design) -> Iterator[Finding]:
    """A capacitor at an input holds the value back."""
    tried: set[tuple[str, str, str]] = set()
    for control in design.controls:
        for role, number in control.pins.items():
            entry = design.connector_pin(control.connector, number)
            part = design.part(entry.capacitor).fixed if entry is not None and entry.capacitor else None
            if entry is None or part is None or part.farads is None:
                continue
            shape = (control.part.id, entry.capacitor, entry.pull_up)
            if shape in tried:
                continue  # the same part on the same capacitor is as late
            tried.add(shape)
            element = control.part.element
            fixed = design.part(entry.pull_up).fixed if entry.pull_up else None
            if element is not None and role == "signal":
                ohms = _at_mid_travel(element)
            else:
                ohms = (fixed.ohms if fixed is not None and fixed.ohms is not None else design.board.logic.pull_up).high
            late = ohms * part.farads.high
            if late > LATE:
                yield Finding(
                    check="capacitor-slow",
                    place=control.place,
                    message=f"control {control.id}: its capacitor of {part.farads} holds its value back by "
                    f"{format_value(late, 'time', digits=3)}, and {format_value(LATE, 'time')} is the most",
                    hint="10 to 100 nF at the pin",
                    source="resistance times capacitance; a lag is felt from about 20 ms on (estimate)",
                )


def _ribbon(design: Design, control: Control) -> Iterator[Finding]:
    entry = design.connector_pin(control.connector, control.pins.get("signal", ""))
    if control.multiplexer:
        yield Finding(
            check="ribbon-multiplexed",
            place=control.place,
            message=f"control {control.id}: a ribbon behind a multiplexer copies the channel before it while untouched",
            hint="give it an analogue pin of its own",
            source="common practice",
        )
    if entry is None or not entry.pull_down:
        yield Finding(
            check="ribbon-pull-down",
            place=control.place,
            message=f"control {control.id}: nothing pulls it down, so its value wanders while untouched",
            hint="give its connector pin a `pull-down:` of about 100 kΩ",
            source="common practice",
        )
        return
    fixed = design.part(entry.pull_down).fixed
    most = design.board.converter.source_most.value
    element = control.part.element
    if element is not None and fixed is not None and fixed.ohms is not None:
        source = _at_mid_travel(element)
        shift = 0.5 * source / (source + fixed.ohms.low)
        if shift > PULLED:
            yield Finding(
                check="ribbon-pulled",
                place=control.place,
                message=f"control {control.id}: its pull-down of {fixed.ohms} shifts the middle of its travel by "
                f"{100 * shift:.2g} %, and {100 * PULLED:g} % is the most",
                hint="a `pull-down:` of about ten times its element",
                source="as much as sheets of membrane potentiometers allow for being not straight",
            )
    if fixed is not None and fixed.ohms is not None and fixed.ohms.value > most and not entry.capacitor:
        yield Finding(
            check="ribbon-capacitor",
            place=control.place,
            message=f"control {control.id}: untouched, its pull-down of {fixed.ohms} is the source resistance, and the "
            f"converter reads rightly up to {ohms_text(most)}",
            hint="add a `capacitor:` of 10 to 100 nF at the pin",
            source=design.board.converter.source,
        )
    if control.limiter is None:
        yield Finding(
            check="ribbon-limiter",
            level="warning",
            place=control.place,
            message=f"control {control.id}: two fingers, one at each end, short its supply to ground",
            hint="give it a `limiter:` of 220 to 470 Ω",
            source="common practice",
        )


def _switches(design: Design) -> Iterator[Finding]:
    logic, rail = design.board.logic, design.rail
    tried: set[tuple[str, str]] = set()
    for control in design.controls:
        contact = control.part.contact
        if control.kind not in SWITCHES or contact is None:
            continue
        role = "row" if control.row else next((r for r in ("contact", "a") if r in control.pins), "")
        entry = design.connector_pin(control.connector, control.pins.get(role, ""))
        if entry is None or entry.to in ("spare", "ground", "supply"):
            continue
        shape = (control.part.id, f"{entry.pull_up}/{entry.pull_down}/{control.row != ''}")
        if shape in tried:
            continue  # the same part on the same pull-up reads the same
        tried.add(shape)
        yield from _contact_current(design, control, contact, entry.pull_up)
        reading = pin_point(pressed=True)(design, control.id).reading
        assert reading is not None
        top, limit = window(reading).high, logic.low.value * rail.low
        if top > limit:
            yield Finding(
                check="pressed-level",
                place=control.place,
                message=f"control {control.id}: pressed, its input may stay at {volts(top)}, and the board reads low "
                f"below {volts(limit)}",
                hint="raise the pull-up, or choose a diode that drops less",
                source=logic.source,
            )


def _contact_current(design: Design, control: Control, contact: Contact, pull_up: str) -> Iterator[Finding]:
    fixed = design.part(pull_up).fixed if pull_up else None
    ohms = fixed.ohms if fixed is not None and fixed.ohms is not None else design.board.logic.pull_up
    drop = 0.0
    matrix = design.matrix_of(control.row) if control.row else None
    if matrix is not None and matrix.diode and (junction := design.part(matrix.diode).junction) is not None:
        drop = junction.forward.value
    least, most = (design.rail.low - drop) / ohms.high, design.rail.high / ohms.low
    if contact.least is not None and least < contact.least.value:
        yield Finding(
            check="wetting",
            level="note",
            place=control.place,
            message=f"control {control.id}: its contact carries {amps(least)}, and is guaranteed from {contact.least}",
            hint="a smaller pull-up gives it more; below the figure it is less dependable, not broken",
            source=contact.source,
        )
    if contact.most is not None and most > contact.most.value:
        yield Finding(
            check="contact-current",
            place=control.place,
            message=f"control {control.id}: its contact carries up to {amps(most)}, and stands {contact.most}",
            hint="choose a larger pull-up",
            source=contact.source,
        )
