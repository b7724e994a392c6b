"""Parts with what their data sheets say: the one place every limit comes from.

A part is made of blocks (its element, its contact, how it mounts, how it is soldered), each with the source of its
values. A value that a sheet gives as "at most" is kept as that one figure, and so is one given as "at least"; the text
under each field says which. Amounts with a tolerance ("10 kohm ±20 %") span their band.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Annotated, Final, Literal, get_args

from benchtui.content.procedure import ControlKind
from benchtui.content.reader import Scalar, Unit
from benchtui.errors import Place
from benchtui.units import Amount, exact

Ohms = Annotated[Amount, Unit("resistance")]
Volts = Annotated[Amount, Unit("voltage")]
Amps = Annotated[Amount, Unit("current")]
Watts = Annotated[Amount, Unit("power")]
Length = Annotated[Amount, Unit("length")]
Share = Annotated[Amount, Unit("ratio")]
Torque = Annotated[Amount, Unit("torque")]
Seconds = Annotated[Amount, Unit("time")]
Celsius = Annotated[Amount, Unit("temperature")]

PartKind = Literal[
    "fader",
    "pot",
    "ribbon",
    "button",
    "toggle",
    "encoder",
    "lamp",
    "resistor",
    "capacitor",
    "diode",
    "multiplexer",
    "connector",
    "wire",
    "board",
    "panel",
    "lead",
    "knob",
    "hardware",
]

CONTROL_KINDS: Final[tuple[ControlKind, ...]] = get_args(ControlKind)
DIVIDERS: Final = ("fader", "pot", "ribbon")
"""Kinds that share a supply out by position."""
SWITCHES: Final = ("button-direct", "button-matrix", "toggle", "encoder")
"""Kinds that open and close a contact."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Lug:
    """A terminal of a part."""

    lug: str
    """Its number or letter as printed on the part or its sheet."""
    name: str = ""
    """What it is, in words: "lower end"."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Element:
    """The resistive element of a fader, rotary control or ribbon."""

    ohms: Ohms
    """End to end, with its tolerance."""
    mid: Share = exact(0.5, "ratio")
    """Share of the element below the wiper at mid-travel: the taper, never a letter."""
    mid_spread: Share = exact(0.1, "ratio")
    """How far the share may lie from `mid`, in parts of the whole: 10 % means 40 % to 60 % for a linear one."""
    residual: Ohms = exact(0.0, "resistance")
    """Most that is left between wiper and end lug at a stop."""
    wiper: Ohms = exact(0.0, "resistance")
    """Most the wiper's own contact adds."""
    travel: str = ""
    """Mechanical travel in words: "60 mm", "300 deg"."""
    electrical_travel: str = ""
    """Travel over which the value changes, in words."""
    linearity: Share | None = None
    """Deviation from a straight line, at most."""
    power: Watts | None = None
    """Most the element may turn into heat."""
    wiper_current: Amps | None = None
    """Most that may flow through the wiper."""
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Contact:
    """The contact of a button, toggle or encoder."""

    closed: Ohms
    """At most, new."""
    worn: Ohms | None = None
    """At most, at the end of its life."""
    open: Ohms
    """At least."""
    bounce: Seconds | None = None
    """At most."""
    least: Amps | None = None
    """Smallest current it is guaranteed to switch dependably."""
    most: Amps | None = None
    """Largest current."""
    plating: str = ""
    detents: int = 0
    """Clicks per turn, of an encoder."""
    pulses: int = 0
    """Pulses per turn, of an encoder."""
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Junction:
    """A diode or light-emitting diode."""

    forward: Volts
    """Forward voltage at `current`, with its spread."""
    current: Amps
    """Current the forward voltage is given at."""
    slope: float = 1.8
    """How steep the curve is: 1 to 2 (the ideality factor)."""
    series: Ohms = exact(0.0, "resistance")
    """Resistance of the leads and the body."""
    most: Amps | None = None
    """Largest steady current."""
    reverse: Volts | None = None
    """Largest reverse voltage."""
    colour: str = ""
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Fixed:
    """A fixed resistor or capacitor."""

    ohms: Ohms | None = None
    farads: Annotated[Amount, Unit("capacitance")] | None = None
    power: Watts | None = None
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Switching:
    """What a multiplexer chip does."""

    channels: int
    on: Ohms
    """Resistance of a channel that is on, with its spread, at the design's supply."""
    supply_least: Volts
    supply_most: Volts
    """Range of its supply."""
    high: Share
    """Share of its supply above which a select line reads high, at least."""
    low: Share
    """Share of its supply below which a select line reads low, at most."""
    leak: Amps = exact(0.0, "current")
    """Leakage of a channel, at most."""
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Ways:
    """A connector pair: the housing on the harness and the header it mates with."""

    ways: int
    current: Amps
    """Most for each contact."""
    contact: Ohms
    """Resistance of one mated contact with its crimp, at most."""
    thinnest: Annotated[Amount, Unit("conductor")]
    """Thinnest wire the crimp takes."""
    thickest: Annotated[Amount, Unit("conductor")]
    """Thickest wire the crimp takes."""
    cycles: int = 0
    """Matings it stands."""
    keyed: bool = True
    """It goes in one way only."""
    crimp: str = ""
    """Id of the part that is its crimp contact; the bill counts a common one where it is left out."""
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Conductor:
    """Hook-up wire."""

    gauge: Annotated[Amount, Unit("conductor")]
    ohms: Annotated[Amount, Unit("resistance-per-length")]
    """With its tolerance."""
    current: Amps
    """Most in a bundle."""
    outside: Length
    """Diameter over the insulation."""
    bend: Length | None = None
    """Smallest radius it may be bent to."""
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Hole:
    """A round hole that belongs to a part, measured from the part's centre on the front of the panel."""

    dx: Length = exact(0.0, "length")
    """To the right."""
    dy: Length = exact(0.0, "length")
    """Downwards."""
    diameter: Length
    what: str = ""
    """What goes through: "screw", "tab"."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Mount:
    """How a part sits in the panel. Widths go across and heights along the part, seen from the front."""

    hole: Length | None = None
    """Diameter of its round main hole."""
    slot_width: Length | None = None
    slot_height: Length | None = None
    """Its slot or window, instead of a round hole."""
    slot_dx: Length = exact(0.0, "length")
    slot_dy: Length = exact(0.0, "length")
    """Middle of the slot from the middle of the part, to the right and down: the tail of a ribbon leaves at its end.
    The body behind the panel sits there too."""
    holes: tuple[Hole, ...] = ()
    """Further holes: screws, a locating tab."""
    thread: str = ""
    """Of its bushing: "M7x0.75"."""
    bushing: Length | None = None
    """Length of its bushing from the seating face."""
    washers: tuple[Length, ...] = ()
    """Thickness of each washer on the bushing, whichever side it lies."""
    nut: Length | None = None
    """Thickness of the nut, or of all nuts together."""
    nut_across: Length | None = None
    """Width of the widest thing round the hole on the front: nut or washer."""
    panel_most: Length | None = None
    """Thickest panel a snap-in part holds to."""
    panel_least: Length | None = None
    """Thinnest panel a snap-in part holds to."""
    body_width: Length | None = None
    body_height: Length | None = None
    """The body behind the panel."""
    depth: Length | None = None
    """From the back of the panel to the end of its lugs."""
    adhesive: bool = False
    """It is glued on, with its own adhesive or another."""
    screw: str = ""
    """Screw that holds it: "M3"."""
    screw_length: Length | None = None
    """Length of the screw that is fitted."""
    screw_washer: Length = exact(0.0, "length")
    """Thickness of what lies under the head."""
    tapped: Length | None = None
    """Depth of the part's own thread; a longer screw reaches what moves."""
    torque_limit: Torque | None = None
    """Most the nut or screw may be tightened to."""
    torque: Torque | None = None
    """What it is tightened to."""
    front_width: Length | None = None
    front_height: Length | None = None
    """What stands in front of the panel, as a finger meets it."""
    front_shape: Literal["", "round", "square", "slide", "lever", "strip"] = ""
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Soldering:
    """What the part stands when it is soldered by hand."""

    temperature: Celsius
    """Hottest tip."""
    time: Seconds
    """Longest on one lug."""
    attempts: int = 1
    rest: Seconds = exact(0.0, "time")
    """Between two attempts."""
    by_hand: bool = True
    """Whether the sheet allows hand soldering at all."""
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Endurance:
    """What wears and what breaks."""

    cycles: int = 0
    """Rated life in full moves, turns or presses."""
    stop_torque: Torque | None = None
    """Least the end stop of a rotary part stands."""
    stop_force: Annotated[Amount, Unit("force")] | None = None
    """Least the end stop of a slide stands."""
    coldest: Celsius | None = None
    hottest: Celsius | None = None
    """Temperatures it works at."""
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Buying:
    """How many to buy."""

    attrition: Share = exact(0.0, "ratio")
    """Share that is lost while building."""
    spare_per_five: int = 0
    """Kept for service for each five units."""
    least: int = 0
    """Spares kept however few units there are."""
    pack: int = 1
    """Pieces in a pack; wire counts in metres."""
    source: str = "common practice"


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """One kind of component. Which blocks it needs follows from its kind."""

    id: str
    kind: PartKind
    title: str
    lugs: Mapping[str, Annotated[Lug, Scalar("lug")]] = field(default_factory=dict)
    """Role of a lug ("ground", "signal", "supply", "a", "row" ...) to the lug."""
    element: Element | None = None
    contact: Contact | None = None
    junction: Junction | None = None
    fixed: Fixed | None = None
    switching: Switching | None = None
    ways: Ways | None = None
    conductor: Conductor | None = None
    mount: Mount | None = None
    solder: Soldering | None = None
    endurance: Endurance | None = None
    buying: Buying = Buying()
    alternatives: tuple[str, ...] = ()
    """Ids of parts that could take its place, for comparison."""
    note: str = ""
    place: Place
