"""The design of a thing to build, resolved: every control knows its part, its bank and its way to the board.

The dataclasses of `parts`, `board` and `layout` are the file as it is written; `Design` is what the rest of the program
asks.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Final, Literal, Protocol, TypeVar

from benchtui.content.procedure import ControlKind
from benchtui.content.reader import Keyed
from benchtui.design.board import Board, Connector, ConnectorPin, Matrix, Multiplexer, Power
from benchtui.design.layout import (
    Bank,
    Bus,
    ControlEntry,
    Extra,
    Firmware,
    Harness,
    Message,
    Meter,
    Panel,
    SolderChoice,
)
from benchtui.design.parts import CONTROL_KINDS, DIVIDERS, Part
from benchtui.errors import DesignError, Place, did_you_mean

if TYPE_CHECKING:
    from collections.abc import Iterable

    from benchtui.design.wiring import WireRun
    from benchtui.units import Amount

SubjectKind = Literal[
    "fader",
    "pot",
    "ribbon",
    "button-direct",
    "button-matrix",
    "toggle",
    "encoder",
    "lamp",
    "bank",
    "connector",
    "bus",
    "multiplexer",
    "wire",
    "wires",
]
GROUPS: Final = ("bank", "connector", "bus", "multiplexer", "wire")
"""Kinds of subject that are no control and that a step can repeat over; `wires` are groups of wires of one of them."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DesignFile:
    """A design as its file writes it."""

    design: str
    """Its id, stable and never reused."""
    title: str
    revision: int
    purpose: str = ""
    for_sale: bool = False
    channel: int = 1
    """MIDI channel of messages that name none."""
    board: Board
    power: Power
    firmware: Firmware
    solder: SolderChoice
    parts: Annotated[tuple[Part, ...], Keyed()]
    connectors: Annotated[tuple[Connector, ...], Keyed()]
    multiplexers: Annotated[tuple[Multiplexer, ...], Keyed()] = ()
    matrices: Annotated[tuple[Matrix, ...], Keyed()] = ()
    buses: Annotated[tuple[Bus, ...], Keyed()] = ()
    banks: Annotated[tuple[Bank, ...], Keyed()]
    controls: Annotated[tuple[ControlEntry, ...], Keyed()]
    panel: Panel
    harness: Harness = Harness()
    meter: Meter = Meter()
    extras: tuple[Extra, ...] = ()
    place: Place


@dataclass(frozen=True, slots=True, kw_only=True)
class Control:
    """One control, with everything that follows from its place in the design."""

    id: str
    part: Part
    kind: ControlKind
    legend: str
    x_mm: float
    y_mm: float
    turn: int
    bank: str
    """Id of its bank; empty for none."""
    connector: str
    """Id of the connector its wires go to."""
    row: str
    column: str
    pins: Mapping[str, str]
    """Role of a lug to the connector pin of its own wire; lugs on a bus are not among them."""
    message: Message | None
    press: Message | None
    limiter: Part | None
    fitted: Mapping[str, int]
    multiplexer: str = ""
    """Id of the multiplexer its signal goes through; empty for none."""
    channel: int = -1
    """Its channel there."""
    board_pins: Mapping[str, str] = field(default_factory=dict)
    """Role of a lug to the board pin that reads or drives it; through a multiplexer, its common."""
    place: Place

    @property
    def title(self) -> str:
        """ "fader F3, Main light left"."""
        return f"{kind_words(self.kind)} {self.id}, {self.legend}"

    @property
    def signal_role(self) -> str:
        """Role of the lug that carries its message."""
        for role in ("signal", "contact", "a", "row", "anode"):
            if role in self.part.lugs:
                return role
        return next(iter(self.part.lugs), "")


@dataclass(frozen=True, slots=True, kw_only=True)
class Subject:
    """What a step repeats over: a control, bank, connector, bus or multiplexer."""

    id: str
    kind: SubjectKind
    title: str


@dataclass(frozen=True, kw_only=True)
class Design:
    """A design, resolved. Plain data; nothing here computes more than a look-up."""

    id: str
    title: str
    revision: int
    path: Path
    digest: str
    """SHA-256 of the file."""
    file: DesignFile
    parts: Mapping[str, Part]
    controls: tuple[Control, ...]
    connectors: tuple[Connector, ...]
    multiplexers: tuple[Multiplexer, ...]
    matrices: tuple[Matrix, ...]
    buses: tuple[Bus, ...]
    banks: tuple[Bank, ...]
    panel: Panel
    board: Board
    answers: dict[tuple[str, str], object] = field(init=False, repr=False, compare=False, default_factory=dict)
    """Readings that were worked out already, by test point and subject; kept by `testpoints`."""

    @property
    def rail(self) -> Amount:
        """Supply of the controls and reference of the converter, with its tolerance."""
        return self.board.rail

    @property
    def meter(self) -> Meter:
        """The meter its readings are taken with."""
        return self.file.meter

    @cached_property
    def _by_id(self) -> dict[str, Control]:
        return {control.id: control for control in self.controls}

    def control(self, id: str) -> Control:
        """The control of that id.

        Raises:
            DesignError: There is none.
        """
        if id not in self._by_id:
            raise DesignError(f"{self.title} has no control {id!r}", hint=near(id, self._by_id))
        return self._by_id[id]

    def part(self, id: str) -> Part:
        """The part of that id. Raises DesignError when there is none."""
        if id not in self.parts:
            raise DesignError(f"{self.title} has no part {id!r}", hint=near(id, self.parts))
        return self.parts[id]

    def bank(self, id: str) -> Bank:
        """The bank of that id. Raises DesignError when there is none."""
        return _one(id, self.banks, "bank", self.title)

    def bus(self, id: str) -> Bus:
        """The bus of that id. Raises DesignError when there is none."""
        return _one(id, self.buses, "bus", self.title)

    def connector(self, id: str) -> Connector:
        """The connector of that id. Raises DesignError when there is none."""
        return _one(id, self.connectors, "connector", self.title)

    def multiplexer(self, id: str) -> Multiplexer:
        """The multiplexer of that id. Raises DesignError when there is none."""
        return _one(id, self.multiplexers, "multiplexer", self.title)

    def matrix_of(self, line: str) -> Matrix | None:
        """The matrix that has a row or column line of that name."""
        return next((m for m in self.matrices if line in m.rows or line in m.columns), None)

    def connector_pin(self, connector: str, pin: str) -> ConnectorPin | None:
        """A pin of a connector; None when it has no such pin."""
        return self.connector(connector).pins.get(pin)

    def members(self, bank: str) -> tuple[Control, ...]:
        """Controls of a bank, in the order of the file."""
        return tuple(control for control in self.controls if control.bank == bank)

    def on_connector(self, connector: str) -> tuple[Control, ...]:
        """Controls with a wire to a connector, in the order of the file."""
        return tuple(control for control in self.controls if control.connector == connector)

    @cached_property
    def harness(self) -> tuple[WireRun, ...]:
        """Every wire in building order."""
        from benchtui.design.wiring import lay_out  # it asks the design in turn

        return lay_out(self)

    @cached_property
    def divider_banks(self) -> tuple[Bank, ...]:
        """Banks whose controls divide a supply: what "each bank" means in a step."""
        return tuple(
            bank
            for bank in self.banks
            if bank.supply and bank.ground and any(control.kind in DIVIDERS for control in self.members(bank.id))
        )

    def subjects(self, rule: str) -> tuple[Subject, ...]:
        """What a step with this rule repeats over.

        Args:
            rule: "each fader" (or another kind), "each control", "each control but lamps", "each control on J2",
                "each fader in A", "each bank" (those with a supply and a ground), "each connector", "each bus",
                "each multiplexer",
                "each wire" (each kind that is crimped), "each connector, 4 wires at a time" (or each bank, or each
                bus), or "control F3". A kind that the design has none of gives no subjects.

        Raises:
            DesignError: The rule is none of these, or names what the design has not.
        """
        match = _RULE.fullmatch(" ".join(rule.split()))
        if match is None:
            raise DesignError(f"there is no way to repeat a step {rule!r}", hint=_RULE_HINT)
        if match["one"]:
            return (subject_of_control(self.control(match["one"])),)
        kind, where = match["kind"], match["where"] or ""
        if match["count"]:
            return self._wire_groups(kind, where, int(match["count"]))
        if kind in GROUPS:
            if where:
                raise DesignError(f"{rule!r}: only controls are on a connector or in a bank", hint=_RULE_HINT)
            return self._groups(kind)
        if kind != "control" and kind not in CONTROL_KINDS:
            raise DesignError(f"there is no kind of control {kind!r}", hint=near(kind, (*CONTROL_KINDS, *GROUPS)))
        left_out = match["but"]
        if left_out and (kind != "control" or left_out not in CONTROL_KINDS):
            raise DesignError(f"{rule!r}: only a kind of control is left out, and only of controls", hint=_RULE_HINT)
        chosen: Iterable[Control] = [control for control in self.controls if control.kind != left_out]
        if where:
            chosen = (
                self.on_connector(where)
                if any(c.id == where for c in self.connectors)
                else self.members(self.bank(where).id)
            )
            chosen = [control for control in chosen if control.kind != left_out]
        return tuple(subject_of_control(control) for control in chosen if kind in ("control", control.kind))

    def _wire_groups(self, kind: str, where: str, count: int) -> tuple[Subject, ...]:
        if where or count < 1 or kind not in ("connector", "bank", "bus"):
            raise DesignError(
                "wires are taken some at a time on each connector, each bank or each bus",
                hint='write "each connector, 4 wires at a time"',
            )
        from benchtui.design.groups import wire_groups  # it asks the design in turn

        return wire_groups(self, kind, count)

    def _groups(self, kind: str) -> tuple[Subject, ...]:
        if kind == "wire":
            from benchtui.design.groups import crimped_wires

            return crimped_wires(self)
        found: Iterable[tuple[str, str]]
        if kind == "bank":
            found = ((bank.id, bank.title) for bank in self.divider_banks)
        elif kind == "connector":
            found = ((each.id, each.title) for each in self.connectors)
        elif kind == "bus":
            found = ((bus.id, bus.title) for bus in self.buses)
        else:
            found = ((each.id, "") for each in self.multiplexers)
        return tuple(
            Subject(id=id, kind=kind, title=f"{kind} {id}{f', {title}' if title else ''}")  # type: ignore[arg-type]
            for id, title in found
        )

    def subject(self, id: str) -> Subject:
        """The subject of that id, whatever it is.

        Raises:
            DesignError: Nothing of the design has that id.
        """
        if id in self._by_id:
            return subject_of_control(self._by_id[id])
        for kind in GROUPS:
            for each in self._groups(kind):
                if each.id == id:
                    return each
        if any(bank.id == id for bank in self.banks):
            return Subject(id=id, kind="bank", title=f"bank {id}, {self.bank(id).title}")
        if "." in id:
            from benchtui.design.groups import owner_of, runs_of_group

            runs = runs_of_group(self, id)
            return Subject(id=id, kind="wires", title=f"{len(runs)} wires of {owner_of(self, id)}")
        raise DesignError(f"{self.title} has nothing called {id!r}", hint=near(id, self._by_id))


class _Named(Protocol):
    @property
    def id(self) -> str: ...


_T = TypeVar("_T", bound=_Named)

_RULE: Final = re.compile(
    r"each (?P<kind>[a-z-]+?)(?: but (?P<but>[a-z-]+)s)?"
    r"(?: (?:on|in)(?: bank| connector)? (?P<where>\S+))?(?:, (?P<count>\d+) wires at a time)?"
    r"|control (?P<one>\S+)"
)
_RULE_HINT: Final = (
    'write "each fader" or another kind, "each control", "each control but lamps", "each control on J1", "each bank", '
    '"each connector", "each bus", "each connector, 4 wires at a time" or "control F3"'
)


def subject_of_control(control: Control) -> Subject:
    """The subject a control is."""
    return Subject(id=control.id, kind=control.kind, title=control.title)


def kind_words(kind: str) -> str:
    """The kind of a control as it is said: "button" for both ways to wire one, "rotary control" for a pot."""
    return {"pot": "rotary", "button-direct": "button", "button-matrix": "button"}.get(kind, kind)


def near(word: str, known: Iterable[str]) -> str:
    """A hint that names the nearest known word, or all of a few."""
    choices = list(known)
    otherwise = f"known are {', '.join(choices[:12])}" if choices else "there are none"
    return did_you_mean(word, choices, otherwise=otherwise)


def _one(id: str, things: tuple[_T, ...], what: str, design: str) -> _T:
    for thing in things:
        if thing.id == id:
            return thing
    raise DesignError(f"{design} has no {what} {id!r}", hint=near(id, [thing.id for thing in things]))
