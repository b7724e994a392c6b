"""The controller board, its pins, and the power that feeds it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Final, Literal

from benchtui.content.reader import Scalar, Unit
from benchtui.design.parts import Amps, Length, Ohms, Share, Volts
from benchtui.errors import Place
from benchtui.units import Amount, exact

Ability = Literal["digital", "analogue", "none"]

PORTS: Final = ("bus-hub", "100-mA", "500-mA", "900-mA", "C-1.5-A", "C-3-A")
"""Ports a design can be made for; their figures are those of the USB calculator."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Pin:
    """One pin of the board."""

    can: tuple[Ability, ...]
    """What it can do; `none` for a pin that is not for use."""
    keep: str = ""
    """Why it is not for use, in words: "boot select", "USB data"."""
    place: Place


@dataclass(frozen=True, slots=True, kw_only=True)
class Logic:
    """Digital inputs and outputs."""

    high: Share
    """Share of the rail above which an input reads high, at least."""
    low: Share
    """Share of the rail below which an input reads low, at most."""
    pull_up: Ohms
    """Resistance of the board's own pull-ups, with its spread."""
    output: Ohms
    """Resistance of a driven pin, with its spread."""
    leak: Amps = exact(0.0, "current")
    """Leakage of an input, at most."""
    tolerates: Volts
    """Highest voltage a pin stands."""
    pin: Amps
    """Most through one pin."""
    chip: Amps
    """Most through all pins together."""
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Converter:
    """The analogue-to-digital converter."""

    bits: int
    source_most: Ohms
    """Largest source resistance it reads rightly."""
    leak: Amps = exact(0.0, "current")
    """Leakage of an input, at most."""
    error: float = 0.0
    """Of a reading, in its own steps, either way."""
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Board:
    """The controller board."""

    part: str
    """Its line in the bill."""
    rail: Volts
    """Supply of its pins and of the controls, with its tolerance; the converter's reference is the same rail."""
    regulator: Amps
    """Most the rail gives to everything outside the board."""
    current: Amps
    """What the board itself draws, with its spread."""
    logic: Logic
    converter: Converter
    pins: Mapping[str, Pin]
    source: str
    place: Place


@dataclass(frozen=True, slots=True, kw_only=True)
class Power:
    """Where the power comes from and what the design may draw."""

    port: Literal["bus-hub", "100-mA", "500-mA", "900-mA", "C-1.5-A", "C-3-A"] = "500-mA"
    """The poorest port it has to run on."""
    declared: Amps
    """What the unit tells the computer it may draw."""
    lead: str
    """Part of the USB lead."""
    lead_gauge: Annotated[Amount, Unit("conductor")]
    """Of its two power wires."""
    lead_length: Length
    least: Volts = exact(4.40, "voltage")
    most: Volts = exact(5.50, "voltage")
    """Supply at the board that the design accepts, all lamps on."""
    source: str = "USB 2.0 7.2.2 (4.40 V at a low-power device); USB Type-C (5.5 V at most from a source)"
    place: Place


@dataclass(frozen=True, slots=True, kw_only=True)
class ConnectorPin:
    """What a pin of a connector goes to on the board's side."""

    to: str
    """`ground`, `supply`, `spare`, a pin of the board, a channel of a multiplexer ("M1 3") or a line of a matrix."""
    through: str = ""
    """Part of a resistor in that path."""
    pull_up: str = ""
    """Part of a resistor from here to the supply."""
    pull_down: str = ""
    """Part of a resistor from here to ground."""
    capacitor: str = ""
    """Part of a capacitor from here to ground."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Connector:
    """A connector between the panel's harness and the board's side."""

    id: str
    part: str
    title: str = ""
    x: Length
    y: Length
    """Where it lies, measured as the panel is, seen from the front."""
    pins: Mapping[str, Annotated[ConnectorPin, Scalar("to")]]
    place: Place


@dataclass(frozen=True, slots=True, kw_only=True)
class Multiplexer:
    """An analogue multiplexer on the board's side."""

    id: str
    part: str
    supply: Volts | None = None
    """Its supply; the rail when left out."""
    common: str
    """Board pin its common goes to."""
    selects: tuple[str, ...]
    """Board pins of its select lines, lowest first."""
    enable: str = "ground"
    """Board pin of its enable, or `ground` when it is tied low."""
    spare: Literal["ground", "open"] = "ground"
    """What channels without a control are tied to."""
    capacitor: str = ""
    """Part of the capacitor at its supply."""
    channels: int = 0
    """How many it has; taken from its part when left out."""
    place: Place


@dataclass(frozen=True, slots=True, kw_only=True)
class Matrix:
    """A pushbutton matrix: rows are read against a pull-up, columns are driven low one at a time."""

    id: str
    rows: Mapping[str, str]
    """Name of a row line to its board pin."""
    columns: Mapping[str, str]
    """Name of a column line to its board pin."""
    diode: str = ""
    """Part of the diode at each button, its anode towards the row; empty for none."""
    row_wire: str
    column_wire: str
    """Parts of the wire of the lines."""
    row_colours: tuple[str, ...]
    column_colours: tuple[str, ...]
    place: Place
