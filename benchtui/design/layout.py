"""What lies on the panel and in the harness, as the design file writes it: controls, buses, banks, the panel itself."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Annotated, Literal

from benchtui.content.reader import Unit
from benchtui.design.parts import Celsius, Length, Share
from benchtui.errors import Place
from benchtui.units import Amount, exact

MessageKind = Literal["controller", "note", "pitch-bend", "program", "pressure"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Message:
    """The MIDI channel voice message of a control. One of controller, note, program or the two words is given."""

    controller: int | None = None
    note: int | None = None
    program: int | None = None
    pitch_bend: bool = False
    pressure: bool = False
    channel: int = 0
    """1 to 16; the design's own when left out."""
    low: int = 0
    high: int = 127
    fine: bool = False
    """A controller below 32 sent as a pair of 14 bits, the fine half on its number plus 32."""
    relative: bool = False
    """Sends steps, not positions."""
    place: Place

    @property
    def kind(self) -> MessageKind | Literal[""]:
        """Which message it is; empty when none is given."""
        if self.controller is not None:
            return "controller"
        if self.note is not None:
            return "note"
        if self.program is not None:
            return "program"
        return "pitch-bend" if self.pitch_bend else "pressure" if self.pressure else ""

    @property
    def number(self) -> int:
        """Number of the controller, note or program; -1 for messages that have none."""
        return next((n for n in (self.controller, self.note, self.program) if n is not None), -1)

    def words(self, channel: int) -> str:
        """The message in words: "controller 20 on channel 1"."""
        number = f" {self.number}" if self.number >= 0 else ""
        return f"{self.kind.replace('-', ' ')}{number} on channel {self.channel or channel}"


@dataclass(frozen=True, slots=True, kw_only=True)
class ControlEntry:
    """One control, as the file gives it; one line will do."""

    id: str
    part: str
    legend: str
    x: Length
    y: Length
    """Centre on the front of the panel, from its upper left corner."""
    turn: Literal["0", "90", "180", "270"] = "0"
    """Degrees the part is turned clockwise, seen from the front; at 0 a fader runs up and down."""
    bank: str = ""
    row: str = ""
    column: str = ""
    """Lines of the matrix, of a button that sits in one."""
    pins: Mapping[str, str] = field(default_factory=dict)
    """Role of a lug to the connector pin its wire goes to; ground and supply follow from the bank."""
    message: Message | None = None
    press: Message | None = None
    """Message of the push switch of an encoder."""
    limiter: str = ""
    """Part of a resistor in the supply lead, at the lug."""
    fitted: Mapping[str, int] = field(default_factory=dict)
    """Parts that go with it, and how many of each: knob, screws, bezel."""
    place: Place


@dataclass(frozen=True, slots=True, kw_only=True)
class Bus:
    """A common supply or ground of some controls."""

    id: str
    title: str = ""
    net: Literal["ground", "supply"]
    connector: str
    pin: str
    topology: Literal["chain", "star", "ring"] = "chain"
    """chain: from the connector to the first lug, then lug to lug; star: a wire to each; ring: a chain fed at both
    ends."""
    back: str = ""
    """Connector pin of the second feed of a ring."""
    wire: str
    colour: str
    place: Place


@dataclass(frozen=True, slots=True, kw_only=True)
class Bank:
    """Controls on one connector that share a ground and, if they divide it, a supply."""

    id: str
    title: str
    connector: str
    ground: str = ""
    supply: str = ""
    """Buses; empty for none."""
    wire: str
    """Part of the signal wires."""
    colours: tuple[str, ...]
    """Colours of the signal wires, taken in turn."""
    place: Place


@dataclass(frozen=True, slots=True, kw_only=True)
class FixingHole:
    """A hole of the panel that belongs to no control: fixing screws, a bonding point."""

    id: str
    x: Length
    y: Length
    diameter: Length
    what: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class BondWire:
    """The wire that bonds a metal panel to ground, and what fixes it in its hole."""

    part: str
    """Of the wire."""
    colour: str
    x: Length
    y: Length
    """Of the ground point of the carrier, measured as the panel is, seen from the front."""
    fitted: Mapping[str, int] = field(default_factory=dict)
    """What goes into the hole: a screw, a washer that bites, and the nut that it screws into."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Panel:
    """The sheet everything is mounted in."""

    part: str
    material: Literal["aluminium", "steel", "acrylic", "polycarbonate", "plywood"]
    finish: str = ""
    width: Length
    height: Length
    thickness: Length
    """With its tolerance."""
    corner: Length = exact(0.0, "length")
    """Radius of the corners."""
    behind: Length
    """Clear depth behind the panel, to the board or the closed lid."""
    holes: tuple[FixingHole, ...] = ()
    legend_height: Length = exact(0.0025, "length")
    """Height of the capitals of its legends; 2.5 mm is read at arm's length (estimate)."""
    bond: str = ""
    """Id of the hole where the panel is bonded to ground."""
    bond_wire: BondWire | None = None
    """From there to the ground point of the carrier."""
    kerf: Length = exact(0.0, "length")
    """Width the cutter removes; 0 when the shop allows for it."""
    allowance: Length = exact(0.0, "length")
    """Added to each hole's diameter for paint or anodising."""
    place: Place


@dataclass(frozen=True, slots=True, kw_only=True)
class Firmware:
    """What runs on the board."""

    name: str
    version: str
    end_trim: Share = exact(0.0, "ratio")
    """Share of the reading that counts as the end already, at each end."""
    hold: bool = False
    """It has a mode that drives one column of the matrix steadily, for measuring."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SolderChoice:
    """The alloy of the build and where the iron is set for it."""

    alloy: str
    setting: Celsius
    lead: bool
    """It holds lead. The alloy says so too, and the two must agree."""
    source: str
    place: Place


@dataclass(frozen=True, slots=True, kw_only=True)
class Harness:
    """How wires are cut."""

    slack: Length = exact(0.060, "length")
    """Added to each wire for stripping, a service loop and the way round."""
    step: Length = exact(0.010, "length")
    """Lengths are rounded up to a multiple of this."""
    joint: Annotated[Amount, Unit("resistance")] = exact(0.01, "resistance")
    """Most that one good soldered joint adds; common practice."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Meter:
    """Error of the meter that readings are taken with: a share of the reading, and counts of the last digit."""

    volts: Share = exact(0.005, "ratio")
    volts_count: Annotated[Amount, Unit("voltage")] = exact(0.02, "voltage")
    ohms: Share = exact(0.008, "ratio")
    ohms_counts: int = 2
    counts: int = 2000
    """Full scale in counts: a range of 200 Ω then reads to 0.1 Ω."""
    leads: Annotated[Amount, Unit("resistance")] = exact(0.1, "resistance")
    """Left of the leads after zeroing, at most."""
    diode: Annotated[Amount, Unit("current")] = exact(0.001, "current")
    """Test current of its diode range."""
    diode_top: Annotated[Amount, Unit("voltage")] = exact(2.0, "voltage")
    """Highest voltage it shows there; beyond it reads OL."""
    amps: Share = exact(0.02, "ratio")
    amps_count: Annotated[Amount, Unit("current")] = exact(0.001, "current")
    input: Annotated[Amount, Unit("resistance")] = exact(10e6, "resistance")
    """Resistance of its voltage input."""
    source: str = "common hand-held meter of 2000 counts, from memory"


@dataclass(frozen=True, slots=True, kw_only=True)
class Extra:
    """A line of the bill that no control or wire brings: feet, stand-offs, labels."""

    part: str
    quantity: int = 1
