"""From a design file to a design: read it, follow every id, and say everything that leads nowhere."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING, Final

from benchtui.content.nodes import compose
from benchtui.content.reader import read
from benchtui.design.model import Control, Design, DesignFile, near
from benchtui.errors import ContentError, Place, Problem

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    import yaml

    from benchtui.content.procedure import ControlKind
    from benchtui.design.board import ConnectorPin, Multiplexer
    from benchtui.design.layout import Bank, ControlEntry
    from benchtui.design.parts import Part, PartKind

GROUND_ROLES: Final = frozenset({"ground", "common", "cathode", "push-common"})
"""Lugs that go to the ground of the bank."""
SUPPLY_ROLES: Final = frozenset({"supply"})

_NEEDS: Final[dict[str, tuple[str, ...]]] = {
    "fader": ("element", "mount", "solder"),
    "pot": ("element", "mount", "solder"),
    "ribbon": ("element", "mount"),
    "button": ("contact", "mount", "solder"),
    "toggle": ("contact", "mount", "solder"),
    "encoder": ("contact", "mount", "solder"),
    "lamp": ("junction", "mount", "solder"),
    "resistor": ("fixed",),
    "capacitor": ("fixed",),
    "diode": ("junction",),
    "multiplexer": ("switching",),
    "connector": ("ways",),
    "wire": ("conductor",),
}
"""Blocks a part of a kind cannot do without."""
_BLOCK_HINT: Final = {
    "element": 'from its sheet, such as element: {ohms: "10 kohm ±20 %", residual: "30 ohm", source: its sheet}',
    "contact": 'from its sheet, such as contact: {closed: "0.1 ohm", open: "100 Mohm", source: its sheet}',
    "junction": 'from its sheet, such as junction: {forward: "2 V ±0.2 V", current: "10 mA", source: its sheet}',
    "mount": "its hole or slot, its body and what holds it; another part of this file shows how",
    "solder": 'from its sheet, such as solder: {temperature: "300 degC", time: "3 s", source: its sheet}',
}
"""How a missing block is written."""
_LUGS: Final[dict[str, tuple[str, ...]]] = {
    "fader": ("ground", "signal", "supply"),
    "pot": ("ground", "signal", "supply"),
    "ribbon": ("ground", "signal", "supply"),
    "button": ("contact", "common"),
    "toggle": ("contact", "common"),
    "encoder": ("a", "b", "common"),
    "lamp": ("anode", "cathode"),
}
"""Roles that the lugs of a control must name."""


def load_design(path: Path) -> Design:
    """Read a design.

    Raises:
        ContentError: The file has problems; the error carries all of them.
    """
    node, problems = compose(path)
    if node is not None:
        design, more = read_design(node, file=str(path))
        problems = [*problems, *more]
        if design is not None and not problems:
            return design
    raise ContentError(problems)


def read_design(node: yaml.Node, *, file: str) -> tuple[Design | None, list[Problem]]:
    """A design from a node, with every problem of shape and of ids that lead nowhere.

    Args:
        node: What `nodes.compose` gave.
        file: Path of the file, which also gives the digest when it can be read.
    """
    value, problems = read(DesignFile, node, file=file)
    if value is None:
        return None, problems
    resolver = _Resolver(value)
    controls = resolver.controls()
    problems = sorted([*problems, *resolver.problems])
    path = Path(file)
    return (
        Design(
            id=value.design,
            title=value.title,
            revision=value.revision,
            path=path,
            digest=hashlib.sha256(path.read_bytes()).hexdigest() if path.is_file() else "",
            file=value,
            parts=resolver.parts,
            controls=controls,
            connectors=value.connectors,
            multiplexers=resolver.multiplexers(),
            matrices=value.matrices,
            buses=value.buses,
            banks=value.banks,
            panel=value.panel,
            board=value.board,
        )
        if not resolver.problems
        else None
    ), problems


@dataclass(slots=True)
class _Resolver:
    """Follows the ids of one file, noting each that leads nowhere."""

    file: DesignFile
    problems: list[Problem] = field(default_factory=list)
    parts: dict[str, Part] = field(init=False)

    def __post_init__(self) -> None:
        self.parts = {part.id: part for part in self.file.parts}
        self._parts_are_whole()
        self._board_side()
        self._buses_and_banks()
        self._bill_lines()

    def note(self, place: Place, message: str, hint: str = "") -> None:
        self.problems.append(Problem(place, message, hint))

    def known(self, place: Place, where: str, what: str, id: str, choices: Iterable[str]) -> bool:
        choices = list(choices)
        if id in choices:
            return True
        self.note(place, f"{where}: there is no {what} {id!r}", near(id, choices))
        return False

    def has_part(self, place: Place, where: str, id: str, *kinds: PartKind) -> bool:
        if not self.known(place, where, "part", id, self.parts):
            return False
        if kinds and self.parts[id].kind not in kinds:
            wanted = kinds[0] if len(kinds) == 1 else "control"
            self.note(place, f"{where}: {id!r} is {_a(self.parts[id].kind)}, and {_a(wanted)} belongs here")
            return False
        return True

    # -- parts and the board's side --------------------------------------------------------------------------------

    def _parts_are_whole(self) -> None:
        for part in self.file.parts:
            for block in _NEEDS.get(part.kind, ()):
                if getattr(part, block) is None:
                    what = f"part {part.id}: {_a(part.kind)} needs `{block}:`"
                    self.note(part.place, what, _BLOCK_HINT.get(block, ""))
            for role in _LUGS.get(part.kind, ()):
                if role not in part.lugs:
                    needed = ", ".join(f'{each}: "{n}"' for n, each in enumerate(_LUGS[part.kind], 1))
                    hint = f"as in lugs: {{{needed}}}, with the numbers on the part"
                    self.note(part.place, f"part {part.id}: {_a(part.kind)} needs a lug `{role}:`", hint)
            for other in part.alternatives:
                self.known(part.place, f"part {part.id}: alternatives", "part", other, self.parts)
            if part.ways is not None and part.ways.crimp:
                self.has_part(part.place, f"part {part.id}: crimp", part.ways.crimp, "hardware")

    def _board_side(self) -> None:
        board, pins = self.file.board, self.file.board.pins
        self.has_part(board.place, "board", board.part, "board")
        self.has_part(self.file.power.place, "power: lead", self.file.power.lead, "lead")
        for chip in self.file.multiplexers:
            where = f"multiplexer {chip.id}"
            self.has_part(chip.place, where, chip.part, "multiplexer")
            for pin in (chip.common, *chip.selects, *([] if chip.enable == "ground" else [chip.enable])):
                self.known(chip.place, where, "board pin", pin, pins)
            if chip.capacitor:
                self.has_part(chip.place, where, chip.capacitor, "capacitor")
        lines: set[str] = set()
        for matrix in self.file.matrices:
            where = f"matrix {matrix.id}"
            for line, pin in (*matrix.rows.items(), *matrix.columns.items()):
                self.known(matrix.place, f"{where}: {line}", "board pin", pin, pins)
                if line in lines or line in pins:
                    self.note(matrix.place, f"{where}: the name {line!r} is taken", "give each line a name of its own")
                lines.add(line)
            if matrix.diode:
                self.has_part(matrix.place, where, matrix.diode, "diode")
            for wire in (matrix.row_wire, matrix.column_wire):
                self.has_part(matrix.place, where, wire, "wire")
        for connector in self.file.connectors:
            where = f"connector {connector.id}"
            self.has_part(connector.place, where, connector.part, "connector")
            for number, pin_entry in connector.pins.items():
                spot = f"{where} pin {number}"
                self._target(connector.place, spot, pin_entry.to)
                for resistor in filter(None, (pin_entry.through, pin_entry.pull_up, pin_entry.pull_down)):
                    self.has_part(connector.place, spot, resistor, "resistor")
                if pin_entry.capacitor:
                    self.has_part(connector.place, spot, pin_entry.capacitor, "capacitor")

    def _target(self, place: Place, where: str, to: str) -> None:
        """Note a connector pin that goes nowhere."""
        if to in ("ground", "supply", "spare"):
            return
        chip, _, channel = to.partition(" ")
        if channel:
            if not self.known(place, where, "multiplexer", chip, [each.id for each in self.file.multiplexers]):
                return
            count = self._channels(chip)
            if not channel.isdecimal() or int(channel) >= count:
                self.note(place, f"{where}: {chip} has no channel {channel!r}", f"it has 0 to {count - 1}")
            return
        lines = [line for matrix in self.file.matrices for line in (*matrix.rows, *matrix.columns)]
        if to not in lines:
            self.known(place, where, "board pin or line", to, (*self.file.board.pins, *lines))

    def _channels(self, chip: str) -> int:
        entry = next(each for each in self.file.multiplexers if each.id == chip)
        part = self.parts.get(entry.part)
        return entry.channels or (part.switching.channels if part and part.switching else 0)

    def multiplexers(self) -> tuple[Multiplexer, ...]:
        """The multiplexers, each knowing how many channels it has."""
        return tuple(replace(chip, channels=self._channels(chip.id)) for chip in self.file.multiplexers)

    # -- the harness -----------------------------------------------------------------------------------------------

    def _buses_and_banks(self) -> None:
        connectors = {connector.id: connector for connector in self.file.connectors}
        for bus in self.file.buses:
            where = f"bus {bus.id}"
            self.has_part(bus.place, where, bus.wire, "wire")
            if self.known(bus.place, where, "connector", bus.connector, connectors):
                feeds = [bus.pin, bus.back] if bus.topology == "ring" else [bus.pin]
                for pin in feeds:
                    if not self.known(bus.place, where, "pin", pin, connectors[bus.connector].pins):
                        continue
                    to = connectors[bus.connector].pins[pin].to
                    if to != bus.net:
                        self.note(bus.place, f"{where}: {bus.connector} pin {pin} is {to}, and this bus is {bus.net}")
        buses = {bus.id: bus for bus in self.file.buses}
        for bank in self.file.banks:
            where = f"bank {bank.id}"
            self.known(bank.place, where, "connector", bank.connector, connectors)
            self.has_part(bank.place, where, bank.wire, "wire")
            for net, id in (("ground", bank.ground), ("supply", bank.supply)):
                if id and self.known(bank.place, where, "bus", id, buses) and buses[id].net != net:
                    self.note(bank.place, f"{where}: {id} is a {buses[id].net} bus, and its {net} belongs here")

    def _bill_lines(self) -> None:
        panel = self.file.panel
        self.has_part(panel.place, "panel", panel.part, "panel")
        if panel.bond:
            self.known(panel.place, "panel: bond", "hole", panel.bond, [hole.id for hole in panel.holes])
        if panel.bond_wire is not None:
            self.has_part(panel.place, "panel: bond-wire", panel.bond_wire.part, "wire")
            for part in panel.bond_wire.fitted:
                self.has_part(panel.place, "panel: bond-wire: fitted", part, "hardware")
            if not panel.bond:
                self.note(panel.place, "panel: bond-wire: no hole is named for it", "name its hole in `bond:`")
        for extra in self.file.extras:
            self.has_part(self.file.place, "extras", extra.part)

    # -- controls --------------------------------------------------------------------------------------------------

    def controls(self) -> tuple[Control, ...]:
        """Every control that could be followed to the board."""
        taken = {each.id: "connector" for each in self.file.connectors} | {bank.id: "bank" for bank in self.file.banks}
        found = []
        for entry in self.file.controls:
            if entry.id in taken:
                self.note(entry.place, f"control {entry.id}: a {taken[entry.id]} has this id already")
            control = self._control(entry)
            if control is not None:
                found.append(control)
        return tuple(found)

    def _control(self, entry: ControlEntry) -> Control | None:
        where = f"control {entry.id}"
        kinds: tuple[PartKind, ...] = ("fader", "pot", "ribbon", "button", "toggle", "encoder", "lamp")
        whole = self.has_part(entry.place, where, entry.part, *kinds)
        bank = next((bank for bank in self.file.banks if bank.id == entry.bank), None)
        whole = self.known(entry.place, where, "bank", entry.bank, [b.id for b in self.file.banks]) and whole
        if entry.limiter:
            whole = self.has_part(entry.place, where, entry.limiter, "resistor") and whole
        for fitting in entry.fitted:
            whole = self.has_part(entry.place, f"{where}: fitted", fitting) and whole
        if not whole or bank is None:
            return None
        part = self.parts[entry.part]
        in_matrix = bool(entry.row or entry.column)
        if in_matrix and not self._in_matrix(entry):
            return None
        pins = self._pins(entry, part, bank, in_matrix=in_matrix)
        connector = next((each for each in self.file.connectors if each.id == bank.connector), None)
        if connector is None:
            return None
        board_pins, chip, channel = self._way(entry, pins, connector.pins)
        kind: ControlKind = "button-direct" if part.kind == "button" else part.kind  # type: ignore[assignment]
        return Control(
            id=entry.id,
            part=part,
            kind="button-matrix" if in_matrix else kind,
            legend=entry.legend,
            x_mm=entry.x.value * 1000,
            y_mm=entry.y.value * 1000,
            turn=int(entry.turn),
            bank=entry.bank,
            connector=bank.connector,
            row=entry.row,
            column=entry.column,
            pins=pins,
            message=entry.message,
            press=entry.press,
            limiter=self.parts[entry.limiter] if entry.limiter else None,
            fitted=entry.fitted,
            multiplexer=chip,
            channel=channel,
            board_pins=board_pins,
            place=entry.place,
        )

    def _in_matrix(self, entry: ControlEntry) -> bool:
        rows = {line for matrix in self.file.matrices for line in matrix.rows}
        columns = {line for matrix in self.file.matrices for line in matrix.columns}
        where = f"control {entry.id}"
        row = self.known(entry.place, where, "matrix row", entry.row, rows)
        return self.known(entry.place, where, "matrix column", entry.column, columns) and row

    def _pins(self, entry: ControlEntry, part: Part, bank: Bank, *, in_matrix: bool) -> Mapping[str, str]:
        """Connector pins of the wires the control has to itself."""
        where = f"control {entry.id}"
        connector = next((each for each in self.file.connectors if each.id == bank.connector), None)
        pins = dict(entry.pins)
        for role in pins:
            self.known(entry.place, f"{where}: pins", "lug", role, part.lugs)
        if connector is None:
            return pins
        for role, pin in pins.items():
            self.known(entry.place, f"{where}: {role}: {bank.connector}", "pin", pin, connector.pins)
        if in_matrix:
            for role, line in (("row", entry.row), ("column", entry.column)):
                pin_of_line = next((pin for pin, each in connector.pins.items() if each.to == line), None)
                if pin_of_line is None:
                    self.note(entry.place, f"{where}: no pin of {bank.connector} goes to {line}")
                else:
                    pins[role] = pin_of_line
            return pins
        for role in part.lugs:
            bus = bank.ground if role in GROUND_ROLES else bank.supply if role in SUPPLY_ROLES else ""
            if role in pins or bus:
                continue
            if role in GROUND_ROLES | SUPPLY_ROLES:
                net = "ground" if role in GROUND_ROLES else "supply"
                self.note(
                    entry.place,
                    f"{where}: lug {role} goes nowhere, for bank {bank.id} has no {net}",
                    f"give the bank a `{net}:` bus, or the control `pins: {{{role}: ...}}`",
                )
            else:
                self.note(entry.place, f"{where}: lug {role} has no pin", f"write `pins: {{{role}: ...}}`")
        return pins

    def _way(
        self, entry: ControlEntry, pins: Mapping[str, str], connector_pins: Mapping[str, ConnectorPin]
    ) -> tuple[dict[str, str], str, int]:
        """Board pin of each wire, and the multiplexer and channel of the signal."""
        board_pins: dict[str, str] = {}
        chip, channel = "", -1
        for role, pin in pins.items():
            to = connector_pins[pin].to if pin in connector_pins else "spare"
            name, _, number = to.partition(" ")
            if number.isdecimal():
                chip, channel = name, int(number)
                board_pins[role] = next((each.common for each in self.file.multiplexers if each.id == name), "")
            elif to in self.file.board.pins:
                board_pins[role] = to
            else:
                for matrix in self.file.matrices:
                    if found := matrix.rows.get(to) or matrix.columns.get(to):
                        board_pins[role] = found
        return board_pins, chip, channel


def _a(noun: str) -> str:
    """A noun with its article."""
    return f"{'an' if noun[:1] in 'aeiou' else 'a'} {noun}"
