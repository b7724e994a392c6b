"""What a probe, a meter or the message monitor shows on a unit with one fault, by solving the design's circuit.

The readings are those of the design's own test points, on a circuit that the fault has changed. Each comes with a
spread: every part may lie anywhere in its tolerance and the meter errs, so a reading is a value and a standard
deviation, from the slopes of the solution with each quantity.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import inf, sqrt
from typing import TYPE_CHECKING, Final

from benchtui.design.circuit.build import State, build, pin_node
from benchtui.design.circuit.elements import Diode, Injection, Open, Quantity, Sum
from benchtui.design.circuit.readings import Highest, Quotient, Share, Through, Total, Volts, meter_volts, ohms
from benchtui.design.circuit.solve import solve
from benchtui.design.parts import DIVIDERS
from benchtui.design.points.meter import TOP, error
from benchtui.design.testpoints import POINTS, expected, reading_of
from benchtui.errors import DesignError
from benchtui.faults.broken import changed, ordered
from benchtui.faults.spots import Channels, Deaf, Detached, Exchange

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from benchtui.design.circuit.elements import Circuit
    from benchtui.design.circuit.window import Reading
    from benchtui.design.model import Control, Design
    from benchtui.design.testpoints import Expected
    from benchtui.faults.spots import Spot

FLOATING: Final = 5e6
"""Ohms behind an input above which nothing defines it: it picks up whatever is near. Our own choice."""

PICK_UP: Final = 100e-9
"""A that mains hum drives into an input through a hand near its wire: about 1 pF at 230 V and 50 Hz. Estimate."""

STEPS: Final = 127.0
"""Values are compared on the scale of a message of 7 bits."""

ALONE: Final = (
    "element",
    "ribbon-element",
    "lower-residual",
    "upper-residual",
    "mid-share",
    "contact-new",
    "contact-closed",
)
"""Points that are read on the part itself, whatever is wired to its lugs."""

_UNIFORM: Final = sqrt(12.0)
"""A value anywhere between two limits has a standard deviation of their distance over this."""

_TOUCH: Final = 1e-9
"""A current in A that is put on a node to feel the resistance behind it."""


@dataclass(frozen=True, slots=True)
class Shown:
    """A reading: value and standard deviation in SI units, infinite for OL; `floating` when nothing defines it."""

    value: float
    spread: float = 0.0
    floating: bool = False


class Bench:
    """A unit of a design, healthy or with one fault, on which readings are taken.

    Healthy circuits are built once for each state of the unit and shared by all faults.
    """

    def __init__(self, design: Design) -> None:
        self.design = design
        self._readings: dict[tuple[object, ...], Reading | None] = {}
        self._shown: dict[tuple[object, ...], Shown | None] = {}
        self._limits: dict[tuple[str, str | None], Expected] = {}
        self._codes: dict[tuple[object, ...], Mapping[str, float]] = {}

    def point(self, spot: Spot | None, point: str, subject: str | None) -> Shown | None:
        """A test point of the design, as the meter shows it.

        Args:
            spot: The fault; None for a healthy unit.
            point: Name of the test point.
            subject: Control, bank or bus.

        Returns:
            None where the design gives limits outright instead of a reading, or has no such point.
        """
        key = ("point", _circuit_id(spot), point, subject)
        if key not in self._shown:
            self._shown[key] = self._point(spot, point, subject)
        return self._shown[key]

    def _point(self, spot: Spot | None, point: str, subject: str | None) -> Shown | None:
        healthy = self._reading(("point", point, subject), lambda: _found(self.design, point, subject))
        if healthy is None:
            return None
        entry = POINTS[point]
        if spot is not None and subject is not None:
            healthy = at_the_lug(healthy, spot, subject, alone=point in ALONE)
            spot = None if point in ALONE and any(isinstance(each, Exchange) for each in spot.changes) else spot
        reading = with_fault(healthy, spot, powered=entry.power == "on")
        try:
            value, spread = _measured(reading)
        except DesignError:  # the fault has cut the probe off from everything
            return Shown(inf)
        if entry.kind == "resistance" and value > TOP:
            return Shown(inf)
        if point in ("diode-forward", "lamp-forward") and value >= self.design.meter.diode_top.value:
            return Shown(inf)
        by = error(self.design.meter, entry.kind, value)
        return Shown(value, sqrt(spread**2 + (2.0 * by / _UNIFORM) ** 2))

    def lug_volts(self, spot: Spot | None, control: Control, *, held: bool) -> Shown:
        """Volts at the signal lug of a switch or encoder, to the board's ground, with the meter's own load on it.

        Args:
            spot: The fault; None for a healthy unit.
            control: The switch.
            held: Whether it is closed.
        """
        key = ("lug", _circuit_id(spot), control.id, held)
        if key not in self._shown:
            state = State(pressed=frozenset({control.id} if held else ()), reading=control.id)
            red, load = f"{control.id}.{control.signal_role}", self.design.meter.input.value
            reading = with_fault(meter_volts(self._circuit(control.bank, state), red, "ground", meter_ohms=load), spot)
            value, spread = _measured(reading)
            by = error(self.design.meter, "voltage", value)
            self._shown[key] = Shown(value, sqrt(spread**2 + (2.0 * by / _UNIFORM) ** 2))
        shown = self._shown[key]
        assert shown is not None
        return shown

    def limits(self, point: str, subject: str | None) -> Expected:
        """What a test point should read on a healthy unit. Raises DesignError when there is none."""
        key = (point, subject)
        if key not in self._limits:
            self._limits[key] = expected(self.design, point, subject)
        return self._limits[key]

    def codes(self, spot: Spot | None, moved: Control, position: float) -> Mapping[str, float]:
        """Values of every divider of a bank on the message monitor while one is moved, from one solution."""
        key = ("codes", _circuit_id(spot), moved.id, position)
        if key not in self._codes:
            circuit = self._circuit(moved.bank, State(positions={moved.id: position}))
            for change in spot.changes if spot else ():
                circuit = changed(circuit, change, powered=True)
            solution = solve(circuit)
            rail = solution.between("rail", "ground")
            known = circuit.nodes()
            self._codes[key] = {
                control.id: STEPS / 2.0
                if _deaf(spot, control)
                else self._steps(solution.between(pin_node(control), "ground") / rail)
                for control in self.design.members(moved.bank)
                if control.kind in DIVIDERS and pin_node(control) in known
            }
        return self._codes[key]

    def _steps(self, share: float) -> float:
        trim = self.design.file.firmware.end_trim.value
        return min(max((share - trim) * STEPS / (1.0 - 2.0 * trim), 0.0), STEPS)

    def swept_ohms(self, spot: Spot | None, bank: str, moved: str, position: float) -> Shown:
        """Supply to ground of a bank, its plug out, with one control at a position."""
        key = ("swept", _circuit_id(spot), bank, moved, position)
        if key not in self._shown:
            entry = self.design.bank(bank)
            supply, ground = self.design.bus(entry.supply), self.design.bus(entry.ground)
            state = State(powered=False, plugged=False, positions={moved: position})
            circuit = self._circuit(bank, state)
            ends = (f"{supply.connector}.{supply.pin}", f"{ground.connector}.{ground.pin}")
            try:
                value, spread = _measured(with_fault(ohms(circuit, *ends), spot, powered=False))
            except DesignError:
                value, spread = inf, 0.0
            by = error(self.design.meter, "resistance", value) if value < inf else 0.0
            self._shown[key] = Shown(inf) if value > TOP else Shown(value, sqrt(spread**2 + (2.0 * by / _UNIFORM) ** 2))
        shown = self._shown[key]
        assert shown is not None
        return shown

    def code(
        self,
        spot: Spot | None,
        control: Control,
        moved: Control,
        position: float | None,
        *,
        lamps: frozenset[str] = frozenset(),
    ) -> Shown:
        """The value on the message monitor, on a scale of 0 to 127 and not rounded.

        A stuck or exchanged select line shows another control's value.

        Args:
            spot: The fault; None for a healthy unit.
            control: Which one is read.
            moved: Which one is moved, 0 to 1; its bank-mates rest in the middle.
            position: Of the moved one; None for a ribbon that nobody touches.
            lamps: Lamps that are on.
        """
        seen = self.seen_instead(spot, control)
        if seen is None:
            return Shown(0.0)  # a spare channel, tied to ground
        if _deaf(spot, seen):
            return Shown(STEPS / 2.0, STEPS / _UNIFORM, floating=True)
        if seen.bank != moved.bank:  # another bank knows nothing of it
            moved, position = seen, 0.5
        key = ("code", _circuit_id(spot), seen.id, moved.id, position, lamps)
        if key not in self._shown:
            self._shown[key] = self._code(spot, seen, moved, position, lamps)
        shown = self._shown[key]
        assert shown is not None
        return shown

    def _code(
        self, spot: Spot | None, control: Control, moved: Control, position: float | None, lamps: frozenset[str]
    ) -> Shown:
        node = pin_node(control)
        # The channel is the one that is read, so that an input cut off from its wire is still an input.
        circuit = self._circuit(moved.bank, State(positions={moved.id: position}, reading=control.id, lamps=lamps))
        for change in spot.changes if spot else ():
            circuit = changed(circuit, change, powered=True)
        reading = _touched(circuit, node)
        value, slopes = reading.at(_ordinary(reading))
        behind = abs(slopes.get("touch", 0.0)) * self.design.rail.value
        converter = self.design.board.converter
        spread = sqrt(_spread(reading, slopes) ** 2 + (converter.error / 2**converter.bits) ** 2)
        scale = STEPS / (1.0 - 2.0 * self.design.file.firmware.end_trim.value)
        return Shown(self._steps(value), sqrt((spread * scale) ** 2 + 1.0 / 12.0), behind > FLOATING)

    def seen_instead(self, spot: Spot | None, control: Control) -> Control | None:
        """The control whose value the board takes for this one's; None for a spare channel."""
        for change in spot.changes if spot else ():
            if isinstance(change, Channels) and control.multiplexer == change.multiplexer:
                place = (change.multiplexer, change.reads[control.channel])
                return next((each for each in self.design.controls if (each.multiplexer, each.channel) == place), None)
        return control

    def input_share(
        self, spot: Spot | None, control: Control, *, held: bool, role: str = "", pressed: Control | None = None
    ) -> Shown:
        """Share of the rail at an input of a switch; in a matrix while its column is driven.

        Args:
            spot: The fault; None for a healthy unit.
            control: Whose input is read.
            held: Whether the control itself is held.
            role: Which contact of an encoder; the control's own signal when empty.
            pressed: Another control that is held.

        Returns:
            The share, and whether the released input floats: nothing holds it, and it reads at random.
        """
        if _deaf(spot, control):
            return Shown(0.5, floating=True)
        key = ("input", _circuit_id(spot), control.id, held, role, pressed.id if pressed else "")
        if key not in self._shown:
            role = "row" if control.row else role or control.signal_role
            node = f"{control.connector}.{control.pins[role]}.board"
            down = {control.id} if held else set()
            if pressed is not None:
                down.add(pressed.id)
            state = State(pressed=frozenset(down), reading=control.id)
            circuit = self._circuit(control.bank, state)
            for change in spot.changes if spot else ():
                circuit = changed(circuit, change, powered=True)
            solution = solve(circuit)  # far from any threshold or far beyond it: no spread is asked for
            share = solution.between(node, "ground") / solution.between("rail", "ground")
            # A contact holds what it is closed onto, and what nothing holds is not drawn up by itself.
            left = not held and share < self.design.board.logic.high.value and _opens(spot)
            self._shown[key] = Shown(share, floating=left and self._floats(_touched(circuit, node)))
        shown = self._shown[key]
        assert shown is not None
        return shown

    def _floats(self, reading: Share) -> bool:
        """Whether nothing holds an input: a little current into it or out of it decides how the board reads it."""
        _, slopes = reading.at(_ordinary(reading))
        if abs(slopes["touch"]) * self.design.rail.value <= FLOATING:
            return False
        by = self.design.board.logic.leak.value + PICK_UP
        down, up = (reading.at({**_ordinary(reading), "touch": each})[0] for each in (by, -by))
        low = self.design.board.logic.low.value
        return min(down, up) < low <= max(down, up)

    def lamp_amps(self, spot: Spot | None, lamp: Control, lit: Control) -> float:
        """Current that makes a lamp light, in A, while one lamp is switched on; what a short takes past it is not."""
        circuit = self._circuit(lamp.bank, State(lamps=frozenset({lit.id})))
        for change in spot.changes if spot else ():
            circuit = changed(circuit, change, powered=True)
        own = [each for each in circuit.elements if each.id == f"{lamp.id}.junction" and isinstance(each, Diode)]
        values = circuit.nominal()
        solution = solve(circuit, values)
        return sum(each.amps(solution.between(each.a, each.b), values)[0] for each in own)

    def _circuit(self, bank: str, state: State) -> Circuit:
        key = (bank, state.powered, tuple(state.positions.items()), state.pressed, state.lamps, state.reading)
        # A reading of the circuit stands for the circuit, so that both kinds share one memory.
        reading = self._reading(key, lambda: Share(build(self.design, bank, state=state), "rail", "rail"))
        assert isinstance(reading, Share)
        return reading.circuit

    def _reading(self, key: tuple[object, ...], make: Callable[[], Reading | None]) -> Reading | None:
        if key not in self._readings:
            self._readings[key] = make()
        return self._readings[key]


def _circuit_id(spot: Spot | None) -> str:
    """What tells the circuit of a spot from others; empty for one that leaves the circuit as it is."""
    return spot.id if spot and not all(isinstance(change, Channels) for change in spot.changes) else ""


def _deaf(spot: Spot | None, control: Control) -> bool:
    """Whether a control's channel is cut off behind its pin."""
    own = (control.multiplexer, control.channel)
    return spot is not None and any(
        isinstance(each, Deaf) and (each.multiplexer, each.channel) == own for each in spot.changes
    )


def _opens(spot: Spot | None) -> bool:
    """Whether a fault takes something away, so that an input may be left to itself."""
    return spot is not None and any(isinstance(each, Open | Detached) for each in spot.changes)


def _touched(circuit: Circuit, node: str) -> Share:
    """Share of the rail at a node, with a current that feels the resistance behind it among its quantities."""
    touch = Quantity(name="touch", low=-_TOUCH, nominal=0.0, high=_TOUCH, kind="current", what="touch", source="")
    within = replace(circuit, quantities={**circuit.quantities, "touch": touch})
    fed = within.adding(Injection("touch", node, "ground", Sum(terms=(("touch", 1.0),))))
    return Share(ordered(fed, circuit), node, "rail")


def at_the_lug(reading: Reading, spot: Spot, control: str, *, alone: bool) -> Reading:
    """Move the red probe to the lug that is meant: where two leads are swapped, each lug has the other's wire."""
    if alone or not isinstance(reading, Volts):
        return reading
    for change in spot.changes:
        if isinstance(change, Exchange) and change.control == control:
            one, other = f"{control}.{change.one}", f"{control}.{change.other}"
            return replace(reading, a={one: other, other: one}.get(reading.a, reading.a))
    return reading


def _found(design: Design, point: str, subject: str | None) -> Reading | None:
    try:
        return reading_of(design, point, subject)
    except DesignError:
        return None


def with_fault(reading: Reading, spot: Spot | None, *, powered: bool = True) -> Reading:
    """The same reading of a unit with a fault."""
    if spot is None:
        return reading
    if isinstance(reading, Quotient):
        return Quotient(
            with_fault(reading.part, spot, powered=powered), with_fault(reading.whole, spot, powered=powered)
        )
    if isinstance(reading, Total | Highest):
        return replace(reading, readings=tuple(with_fault(each, spot, powered=powered) for each in reading.readings))
    if isinstance(reading, Volts | Share | Through):
        circuit = reading.circuit
        for change in spot.changes:
            circuit = changed(circuit, change, powered=powered)
        return replace(reading, circuit=circuit)
    return reading


def _ordinary(reading: Reading) -> dict[str, float]:
    return {name: each.nominal for name, each in reading.quantities.items()}


def _measured(reading: Reading) -> tuple[float, float]:
    """Value with ordinary parts, and standard deviation over their tolerances."""
    value, slopes = reading.at(_ordinary(reading))
    return value, _spread(reading, slopes)


def _spread(reading: Reading, slopes: Mapping[str, float]) -> float:
    """Standard deviation when each quantity lies anywhere in its tolerance, independently of the others."""
    total = 0.0
    for name, each in reading.quantities.items():
        total += (slopes.get(name, 0.0) * (each.high - each.low) / _UNIFORM) ** 2
    return sqrt(total)
