"""The fault dictionary: what each test of a model comes out with under each spot of a design, by simulation.

A test that the circuit can answer names what it measures ("ends", "pin-volts"); its outcomes then follow from the
readings under the fault, with the parts' tolerances and the meter's error turned into probabilities. Where the circuit
cannot tell, the answer is None and the hand-written likelihood of the fault's class stands.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Final

from benchtui.faults import on_lamps, on_matrix, on_meter, on_monitor, on_switches
from benchtui.faults.on_bench import Answer, Case

if TYPE_CHECKING:
    from benchtui.faults.probing import Bench
    from benchtui.faults.spots import Spot
    from benchtui.faults.target import Target

SLIP: Final = 0.03
"""Chance that an answer is another than the readings say: a slip of probe or eye. As `rare` in the shipped model."""

PRESENT: Final = 0.5
"""Share of still readings in which a joint that comes and goes is open; see `spots.LASTING`. Estimate."""

SUPPLY_SHORT: Final = "F53"
UNPOWERED: Final = ("swept-ohms", "wire-ohms")
"""The class of a bridge from V+ to GND, and what can be worked out of it: readings with the power off."""

JUMPS: Final = 0.35
"""Share in which flexing the harness shows it come and go; else the still reading stands. Our estimate."""


def answer(bench: Bench, target: Target, spot: Spot, measure: str, kinds: tuple[str, ...] = ()) -> Answer | None:
    """What a test that measures this comes out with under a spot.

    Args:
        bench: The design on the bench.
        target: What the hunt is about.
        spot: The fault.
        measure: A key of `MEASURES`.
        kinds: Kinds of control that the test is for; of a bank it is then made on one of these.

    Returns:
        Probability of each outcome, slips and loose joints included; None when the circuit cannot tell.
    """
    if spot.class_id == SUPPLY_SHORT and measure not in UNPOWERED:
        return None  # what the port and the regulator then do is not in the circuit
    work, outcomes, flexed = MEASURES[measure]
    found = work(Case(bench, target, spot, kinds))
    if found is None:
        return None
    if spot.loose:
        found = _loose(found, outcomes, flexed=flexed)
    even = SLIP / (len(outcomes) - 1)
    return {outcome: found.get(outcome, 0.0) * (1.0 - SLIP - even) + even for outcome in outcomes}


def _loose(found: Answer, outcomes: tuple[str, ...], *, flexed: bool) -> Answer:
    """The answer when the joint comes and goes: open in a still reading, hidden, or seen to jump when it is flexed."""
    still = {outcome: share * PRESENT for outcome, share in found.items()}
    still[outcomes[0]] = still.get(outcomes[0], 0.0) + 1.0 - PRESENT
    if not flexed:
        return still
    moved = {outcome: share * (1.0 - JUMPS) for outcome, share in still.items()}
    for outcome, share in {"jumps": 1.0}.items() if "jumps" in outcomes else found.items():
        moved[outcome] = moved.get(outcome, 0.0) + share * JUMPS
    return moved


Work = Callable[[Case], Answer | None]

MEASURES: Final[Mapping[str, tuple[Work, tuple[str, ...], bool]]] = {
    "messages": (on_monitor.messages, ("messages", "busy", "silent"), False),
    "swept-ohms": (on_meter.swept_ohms, ("steady", "low", "high", "moves"), False),
    "lug-volts": (on_meter.lug_volts, ("right", "reversed", "stuck", "jumps", "wrong"), True),
    "pin-volts": (on_meter.pin_volts, ("right", "reversed", "stuck", "jumps", "wrong"), True),
    "end-volts": (on_meter.end_volts, ("right", "exchanged", "supply", "ground"), True),
    "wire-ohms": (on_meter.wire_ohms, ("good", "bad"), True),
    "element-ohms": (on_meter.element_ohms, ("good", "low", "high"), False),
    "others": (on_monitor.others, ("alone", "twin", "several", "nothing"), False),
    "numbers": (on_monitor.numbers, ("agrees", "differs", "nothing"), False),
    "pull-down": (on_meter.pull_down, ("good", "bad"), False),
    "diode": (on_meter.diode, ("good", "open", "short"), False),
    "corners": (on_matrix.corners, ("three", "phantom", "another"), False),
    "repeats": (on_monitor.repeats, ("own", "repeats"), False),
    "ends": (on_monitor.ends, ("reaches", "stays-low", "stays-high", "short-low", "short-high", "odd"), False),
    "direction": (on_monitor.direction, ("right", "reversed", "still"), False),
    "middle": (on_monitor.middle, ("middle", "off", "ends"), False),
    "sweep": (on_monitor.sweep, ("smooth", "jumps", "still"), True),
    "rest": (on_monitor.rest, ("quiet", "chatters"), False),
    "hands-off": (on_monitor.hands_off, ("quiet", "wanders", "fixed"), False),
    "presses": (on_switches.presses, ("ten", "double", "missing"), False),
    "turn": (on_switches.turn, ("right", "still", "fewer", "more", "one-way", "back"), False),
    "lamps-on": (on_lamps.lamps_on, ("steady", "shifts", "drops"), False),
    "contact-ohms": (on_meter.contact_ohms, ("good", "high", "closed"), False),
    "lamp-lights": (on_lamps.lamp_lights, ("lights", "dark", "another"), False),
    "lamp-diode": (on_meter.lamp_diode, ("lights", "dead"), False),
}
"""What a test can measure: how it is worked out, its outcomes (the healthy one first), and whether it flexes leads."""

OF_ONE: Final = frozenset(MEASURES) - {
    "messages",
    "others",
    "numbers",
    "corners",
    "repeats",
    "lamp-lights",
    "wire-ohms",
    "swept-ohms",
}
"""Those that look at one control, of a bank at the one that is named; the others look at all of a bank."""
