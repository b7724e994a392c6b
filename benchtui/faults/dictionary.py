"""The fault dictionary: what each test of a model comes out with under each spot of a design, by simulation.

A test that the circuit can answer names what it measures ("ends", "pin-volts"); its outcomes then follow from the
readings under the fault, with the parts' tolerances and the meter's error turned into probabilities. Where the circuit
cannot tell, the answer is None and the hand-written likelihood of the fault's class stands.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from math import erf, inf, sqrt
from typing import TYPE_CHECKING, Final

from benchtui.design.circuit.elements import Open, Short, Worse
from benchtui.design.parts import DIVIDERS
from benchtui.design.wiring import wires
from benchtui.errors import DesignError
from benchtui.faults.patterns import HIGHEST, LOWEST
from benchtui.faults.spots import Channels, Detached, Exchange

if TYPE_CHECKING:
    from benchtui.design.model import Control, Design
    from benchtui.faults.probing import Bench, Shown
    from benchtui.faults.spots import Spot
    from benchtui.faults.target import Target

Answer = dict[str, float]
"""Outcome to probability; those left out are 0."""

SLIP: Final = 0.03
"""Chance that an answer is another than the readings say: a slip of probe or eye. As `rare` in the shipped model."""

PRESENT: Final = 0.65
"""Share of still readings in which a loose joint is open; a still reading finds them in 6 to 7 of 10 (trade notes)."""

JUMPS: Final = 0.25
"""Share in which it shows only when the harness is flexed, in a test that flexes. The rest it hides. Our estimate."""

FOLLOWS: Final = 2.0
"""Steps by which a neighbour may follow before it counts; as in the trade notes."""

STILL: Final = 3.0
"""Steps below which a value does not move."""

PLACES: Final = (0.0, 0.5, 1.0)

FLOATS: Final[Mapping[str, float]] = {"odd": 0.6, "stays-low": 0.2, "stays-high": 0.1, "short-low": 0.1}
"""What an input that nothing drives looks like; our estimate."""


@dataclass(frozen=True, slots=True)
class Case:
    """One spot of one target on the bench."""

    bench: Bench
    target: Target
    spot: Spot

    @property
    def design(self) -> Design:
        """The design on the bench."""
        return self.bench.design

    def controls(self) -> tuple[Control, ...]:
        """The controls to look at: the one hunted on, or of a bank the first, the last and those at the spot."""
        if self.target.scope == "control":
            return (self.design.control(self.target.subject),)
        members = self.design.members(self.target.subject)
        named = {getattr(change, "element", "").partition(".")[0] for change in self.spot.changes}
        shifted = [each for each in members if self.bench.seen_instead(self.spot, each) is not each][:2]
        chosen = {members[0].id, members[-1].id, *named, *(each.id for each in shifted)}
        return tuple(each for each in members if each.id in chosen)


def answer(bench: Bench, target: Target, spot: Spot, measure: str) -> Answer | None:
    """What a test that measures this comes out with under a spot.

    Args:
        bench: The design on the bench.
        target: What the hunt is about.
        spot: The fault.
        measure: A key of `MEASURES`.

    Returns:
        Probability of each outcome, slips and loose joints included; None when the circuit cannot tell.
    """
    work, outcomes, flexed = MEASURES[measure]
    found = work(Case(bench, target, spot))
    if found is None:
        return None
    healthy = outcomes[0]
    if spot.loose:
        rest = 1.0 - PRESENT
        jumps = JUMPS if flexed and "jumps" in outcomes else 0.0
        if flexed and "jumps" not in outcomes:  # the test flexes, so what hides at rest mostly shows
            rest -= JUMPS
        found = {outcome: share * (1.0 - rest) for outcome, share in found.items()}
        found[healthy] = found.get(healthy, 0.0) + rest - jumps
        if jumps:
            found["jumps"] = found.get("jumps", 0.0) + jumps
    even = SLIP / (len(outcomes) - 1)
    return {outcome: found.get(outcome, 0.0) * (1.0 - SLIP - even) + even for outcome in outcomes}


# Dividers on the message monitor.


def _ends(case: Case) -> Answer | None:
    return _worst(case, _ends_of, "reaches")


def _ends_of(case: Case, control: Control) -> Answer | None:
    if control.kind not in DIVIDERS:
        return None
    shown = [case.bench.code(case.spot, control, control, place) for place in PLACES]
    if any(each.floating for each in shown):
        return dict(FLOATS)
    least = case.bench.limits("lowest-code", control.id)
    most = case.bench.limits("highest-code", control.id)
    scale = _scale(control)
    low, high = min(shown, key=lambda each: each.value), max(shown, key=lambda each: each.value)
    down = _below(low, (least.high or 0.0) * scale + 0.5)
    up = 1.0 - _below(high, (most.low if most.low is not None else 127.0) * scale - 0.5)
    if high.value - low.value < STILL:
        middle = (low.value + high.value) / 2.0
        stays = "stays-low" if middle <= LOWEST else "stays-high" if middle >= HIGHEST else "odd"
        return {stays: 1.0}
    return {
        "reaches": down * up,
        "short-low": (1.0 - down) * (1.0 - 0.5 * (1.0 - up)),
        "short-high": (1.0 - up) * (1.0 - 0.5 * (1.0 - down)),
    }


def _scale(control: Control) -> float:
    """From the message's own steps to 0..127."""
    message = control.message
    if message is None:
        return 1.0
    return 127.0 / 16383.0 if message.fine or message.pitch_bend else 1.0


def _middle(case: Case) -> Answer | None:
    return _worst(case, _middle_of, "middle")


def _middle_of(case: Case, control: Control) -> Answer | None:
    if control.kind not in DIVIDERS:
        return None
    shown = case.bench.code(case.spot, control, control, 0.5)
    ends = _ends_of(case, control)
    if shown.floating or ends is None or ends.get("reaches", 0.0) < 0.5:
        return None  # the test asks for right ends first: the table's word stands
    limits = case.bench.limits("mid-code", control.id)
    scale = _scale(control)
    inside = _inside(shown, (limits.low or 0.0) * scale - 0.5, (limits.high or 127.0) * scale + 0.5)
    return {"middle": inside, "off": 1.0 - inside}


def _direction(case: Case) -> Answer | None:
    return _worst(case, _direction_of, "right")


def _direction_of(case: Case, control: Control) -> Answer | None:
    if control.kind not in DIVIDERS:
        return None
    low, high = (case.bench.code(case.spot, control, control, place) for place in (0.0, 1.0))
    if low.floating or high.floating or abs(high.value - low.value) < STILL:
        return None  # what does not move has no direction: the table's word stands
    return {"right": 1.0} if high.value > low.value else {"reversed": 1.0}


def _messages(case: Case) -> Answer | None:
    return _worst(case, _messages_of, "messages")


def _messages_of(case: Case, control: Control) -> Answer | None:
    if control.kind in DIVIDERS:
        shown = [case.bench.code(case.spot, control, control, place) for place in PLACES]
        if any(each.floating for each in shown):
            return {"silent": 0.6, "messages": 0.4}
        moves = max(each.value for each in shown) - min(each.value for each in shown)
        return {"silent": 1.0} if moves < STILL else {"messages": 1.0}
    if control.kind in ("button-direct", "button-matrix", "toggle"):
        logic = case.design.board.logic
        idle = case.bench.input_share(case.spot, control, held=False).value > logic.high.value
        held = case.bench.input_share(case.spot, control, held=True).value < logic.low.value
        return {"messages": 1.0} if idle and held else {"silent": 1.0}
    return None


def _others(case: Case) -> Answer | None:
    """How many other controls follow when one is moved from end to end."""
    movers = [control for control in case.controls() if control.kind in DIVIDERS]
    if not movers:
        return None
    followers = max(_followers(case, mover) for mover in movers)
    return {"alone": 1.0} if not followers else {"twin" if followers == 1 else "several": 1.0}


def _followers(case: Case, mover: Control) -> int:
    """Controls that follow when one is moved from end to end."""
    low, high = (case.bench.codes(case.spot, mover, place) for place in (0.0, 1.0))
    followers = 0
    for other in case.design.controls:
        seen = case.bench.seen_instead(case.spot, other)
        if other is not mover and seen is not None and seen.id in low and other.kind in DIVIDERS:
            followers += abs(high[seen.id] - low[seen.id]) > FOLLOWS
    return followers


def _repeats(case: Case) -> Answer | None:
    lines = [change for change in case.spot.changes if isinstance(change, Channels)]
    if not lines:
        return {"own": 1.0}
    return {"repeats": 1.0} if len(set(lines[0].reads)) < len(lines[0].reads) else {"own": 1.0}


# Volts.


def _lug_volts(case: Case) -> Answer | None:
    return _worst(case, lambda each, control: _volts(each, control, "signal"), "right")


def _pin_volts(case: Case) -> Answer | None:
    return _worst(case, lambda each, control: _volts(each, control, "pin"), "right")


def _volts(case: Case, control: Control, where: str) -> Answer | None:
    if control.kind in DIVIDERS:
        names = [f"{where}-{place}" for place in ("low", "mid", "high")]
    elif where == "pin" and control.kind in ("button-direct", "toggle", "encoder"):
        names = ["pin-idle", "pin-pressed"]
    else:
        return None
    right, values = 1.0, []
    for name in names:
        shown = case.bench.point(case.spot, name, control.id)
        if shown is None:
            return None
        limits = case.bench.limits(name, control.id)
        right *= _inside(shown, limits.low, limits.high)
        values.append((shown.value, limits.nominal or 0.0))
    rail = case.design.rail.value
    first, last = values[0], values[-1]
    wrong = "wrong"
    if max(value for value, _ in values) - min(value for value, _ in values) < 0.05 * rail:
        wrong = "stuck"
    elif abs(first[0] - last[1]) < 0.05 * rail and abs(last[0] - first[1]) < 0.05 * rail:
        wrong = "reversed"
    return {"right": right, wrong: 1.0 - right}


def _end_volts(case: Case) -> Answer | None:
    return _worst(case, _end_volts_of, "right")


def _end_volts_of(case: Case, control: Control) -> Answer | None:
    if control.kind not in DIVIDERS:
        return None
    supply = case.bench.point(case.spot, "supply-lug", control.id)
    ground = case.bench.point(case.spot, "ground-lug", control.id)
    if supply is None or ground is None:
        return None
    if any(isinstance(change, Exchange) and change.one == "ground" for change in case.spot.changes):
        return {"exchanged": 1.0}  # each lug by its own name: the leads are on the wrong ends
    limits = (case.bench.limits(name, control.id) for name in ("supply-lug", "ground-lug"))
    up, down = (_inside(shown, each.low, each.high) for shown, each in zip((supply, ground), limits, strict=True))
    return {"right": up * down, "supply": (1.0 - up) * (0.5 + 0.5 * down), "ground": (1.0 - down) * (0.5 + 0.5 * up)}


# Without power.


def _swept_ohms(case: Case) -> Answer | None:
    control = case.controls()[0]
    bank = case.design.bank(control.bank) if control.bank else None
    if bank is None or not bank.supply or not bank.ground or control.kind not in DIVIDERS:
        return None
    places = PLACES if case.target.scope == "control" else (0.5,)
    shown = [case.bench.swept_ohms(case.spot, bank.id, control.id, place) for place in places]
    values = [each.value for each in shown]
    if inf in values:
        return {"high": 1.0}
    if max(values) - min(values) > 0.03 * max(values) + 2.0:
        return {"moves": 1.0}
    limits = case.bench.limits("bank-ohms", bank.id)
    below, above = _below(shown[0], limits.low or 0.0), 1.0 - _below(shown[0], limits.high or inf)
    return {"low": below, "high": above, "steady": 1.0 - below - above}


def _wire_ohms(case: Case) -> Answer | None:
    """Each wire of the target by itself, with the contact it ends in."""
    subject = case.target.subject
    own = {f"{run.id}.wire" for run in wires(case.design, subject)}
    own |= {f"{run.connector}.{run.pin}.contact" for run in wires(case.design, subject) if run.connector}
    bad = any(
        isinstance(change, Detached) or (isinstance(change, Open | Worse) and change.element in own)
        for change in case.spot.changes
    )
    return {"bad": 1.0} if bad else {"good": 1.0}


def _element_ohms(case: Case) -> Answer | None:
    control = case.controls()[0]
    name = "ribbon-element" if control.kind == "ribbon" else "element"
    shown = case.bench.point(case.spot, name, control.id)
    if shown is None or case.target.scope != "control":
        return None
    limits = case.bench.limits(name, control.id)
    below, above = _below(shown, limits.low or 0.0), 1.0 - _below(shown, limits.high or inf)
    return {"low": below, "high": above, "good": 1.0 - below - above}


def _diode(case: Case) -> Answer | None:
    control = case.controls()[0]
    shown = case.bench.point(case.spot, "diode-forward", control.id)
    if shown is None or case.target.scope != "control":
        return None
    limits = case.bench.limits("diode-forward", control.id)
    if shown.value == inf:
        return {"open": 1.0}
    low = _below(shown, limits.low or 0.0)
    return {"short": low, "good": 1.0 - low}


def _contact_ohms(case: Case) -> Answer | None:
    closed = any(isinstance(change, Short) and change.element.endswith(".contact") for change in case.spot.changes)
    return {"closed": 1.0} if closed else {"good": 1.0}


# Lamps.


def _lamp_lights(case: Case) -> Answer | None:
    lamp = case.controls()[0]
    if lamp.kind != "lamp" or case.target.scope != "control":
        return None
    healthy = case.bench.lamp_amps(None, lamp, lamp)
    if case.bench.lamp_amps(case.spot, lamp, lamp) >= 0.3 * healthy:
        others = (other for other in case.design.members(lamp.bank) if other is not lamp and other.kind == "lamp")
        if any(case.bench.lamp_amps(case.spot, other, lamp) >= 0.3 * healthy for other in others):
            return {"another": 1.0}
        return {"lights": 1.0}
    return {"dark": 1.0}


def _lamp_diode(case: Case) -> Answer | None:
    lamp = case.controls()[0]
    if case.target.scope != "control" or lamp.kind != "lamp":
        return None
    if any(isinstance(change, Exchange) for change in case.spot.changes):
        return {"lights": 1.0}  # the other way round it lights
    shown = case.bench.point(case.spot, "lamp-forward", lamp.id)
    if shown is None:
        return None
    return {"dead": 1.0} if shown.value == inf or shown.value < 0.3 else {"lights": 1.0}


# Probabilities.


def _below(shown: Shown, limit: float) -> float:
    """Chance that a reading lies below a limit."""
    if shown.value == inf or limit == inf:
        return 0.0 if limit < inf else float(shown.value < inf)
    if shown.spread <= 0.0:
        return float(shown.value < limit)
    return 0.5 * (1.0 + erf((limit - shown.value) / (shown.spread * sqrt(2.0))))


def _inside(shown: Shown, low: float | None, high: float | None) -> float:
    """Chance that a reading lies within limits; None is no limit, nor is 0: only the meter's error reads below it."""
    above = 1.0 if not low or low <= 0.0 else 1.0 - _below(shown, low)
    below = 1.0 if high is None else _below(shown, high)
    return max(above + below - 1.0, 0.0)


def _worst(case: Case, work: Callable[[Case, Control], Answer | None], healthy: str) -> Answer | None:
    """Of several controls, the one that shows most; a person who looks at a bank reports that one."""
    worst: Answer | None = None
    for control in case.controls():
        try:
            found = work(case, control)
        except DesignError:
            found = None
        if found is not None and (worst is None or found.get(healthy, 0.0) < worst.get(healthy, 0.0)):
            worst = found
    return worst


Work = Callable[[Case], Answer | None]

MEASURES: Final[Mapping[str, tuple[Work, tuple[str, ...], bool]]] = {
    "messages": (_messages, ("messages", "busy", "silent"), False),
    "swept-ohms": (_swept_ohms, ("steady", "low", "high", "moves"), False),
    "lug-volts": (_lug_volts, ("right", "reversed", "stuck", "jumps", "wrong"), True),
    "pin-volts": (_pin_volts, ("right", "reversed", "stuck", "jumps", "wrong"), True),
    "end-volts": (_end_volts, ("right", "exchanged", "supply", "ground"), True),
    "wire-ohms": (_wire_ohms, ("good", "bad"), True),
    "element-ohms": (_element_ohms, ("good", "low", "high"), False),
    "others": (_others, ("alone", "twin", "several"), False),
    "diode": (_diode, ("good", "open", "short"), False),
    "repeats": (_repeats, ("own", "repeats"), False),
    "ends": (_ends, ("reaches", "stays-low", "stays-high", "short-low", "short-high", "odd"), False),
    "direction": (_direction, ("right", "reversed"), False),
    "middle": (_middle, ("middle", "off"), False),
    "contact-ohms": (_contact_ohms, ("good", "high", "closed"), False),
    "lamp-lights": (_lamp_lights, ("lights", "dark", "another"), False),
    "lamp-diode": (_lamp_diode, ("lights", "dead"), False),
}
"""What a test can measure: how it is worked out, its outcomes (the healthy one first), and whether it flexes leads."""
