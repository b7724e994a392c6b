"""Words of the design that stand in the texts of steps: "{torque}", "{solder.temperature}", "{lug.signal}"."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from benchtui.calc.tables.crimps import tug
from benchtui.design.groups import owner_of, pin_list
from benchtui.design.model import near
from benchtui.design.wiring import bond_wire, gauge_words, wires
from benchtui.errors import DesignError
from benchtui.units import format_value

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from benchtui.design.model import Control, Design, Subject
    from benchtui.design.parts import Part, Soldering
    from benchtui.units import Amount

WHOLE: Final = frozenset(
    {
        "design",
        "rail",
        "firmware",
        "panel.thickness",
        "panel.material",
        "bond",
        "solder.alloy",
        "solder.temperature",
        "solder.time",
        "solder.rest",
        "solder.attempts",
        "solder.again",
    }
)
"""Placeholders that always have an answer. `{bond}` is the wire that bonds the panel, as it is cut. Without a subject,
solder limits are the strictest of all controls. `{solder.temperature}` is always the one that every part stands, so
that the iron is set once; `{solder.again}` says what comes before a second try, or that there is none."""

CONTROL: Final = frozenset(
    {
        "control",
        "legend",
        "part",
        "kind",
        "title",
        "bank",
        "connector",
        "pin",
        "message",
        "torque",
        "torque-limit",
        "wires",
        "gauge",
        "tug",
        "board-parts",
        "second-way",
    }
)
"""Placeholders that need a subject. `{gauge}` and `{tug}` are the wire sizes of the subject, and the force its crimps
are tugged with; `{board-parts}` the small parts behind a connector, or beside a multiplexer;
`{second-way}` the link that makes a chain of a bus a ring: its wire and both its lugs."""

NAMES: Final = WHOLE | CONTROL
"""All plain placeholders. Known besides are `{lug.ROLE}`, such as `{lug.signal}`, and `{value:POINT}`: the window of a
test point on the step's subject or on the whole unit, or with an id after it, `{value:bank-ohms A}`, on that one."""

_PLACEHOLDER: Final = re.compile(r"\{\{|\}\}|\{([^{}]*)\}")
_ROLE: Final = re.compile(r"lug\.[a-z]+")
_VALUE: Final = re.compile(r"value:(?P<point>[a-z-]+)(?: (?P<id>\S+))?")


def is_known(name: str) -> bool:
    """Whether a placeholder of that name exists."""
    return name in NAMES or bool(_ROLE.fullmatch(name)) or bool(_VALUE.fullmatch(name))


def placeholders(text: str) -> tuple[str, ...]:
    """The names of the placeholders in a text, in order."""
    return tuple(match[1] for match in _PLACEHOLDER.finditer(text) if match[1] is not None)


def fill(text: str, facts: Mapping[str, str]) -> str:
    """A text with its placeholders filled; a doubled brace is a brace.

    Raises:
        DesignError: A placeholder is unknown, or has no answer here.
    """

    def word(match: re.Match[str]) -> str:
        name = match[1]
        if name is None:
            return match[0][0]
        if name in facts:
            return facts[name]
        if (value := _VALUE.fullmatch(name)) and isinstance(facts, Facts):
            return facts.window(value["point"], value["id"] or "")
        if is_known(name):
            raise DesignError(
                f"{{{name}}} has no answer for this subject", hint="say what the step repeats over in `for:`"
            )
        raise DesignError(f"there is no placeholder {{{name}}}", hint=near(name, sorted(NAMES)))

    return _PLACEHOLDER.sub(word, text)


class Facts(dict[str, str]):
    """What each placeholder stands for; windows of test points are worked out when a text asks for one."""

    def __init__(self, words: Mapping[str, str], design: Design, subject: Subject | None) -> None:
        super().__init__(words)
        self._design, self._subject = design, subject

    def window(self, point: str, id: str) -> str:
        """The limits of a test point in words: "1.18 kΩ to 1.32 kΩ".

        Args:
            point: Name of the test point.
            id: What it is read on; empty for the subject of the step, or the whole unit.

        Raises:
            DesignError: There is no such point, or it is not read on that.
        """
        from benchtui.design.testpoints import POINTS, expected  # it takes the whole circuit along

        whole = point in POINTS and not POINTS[point].applies_to
        about = id or ("" if whole or self._subject is None else self._subject.id)
        return expected(self._design, point, about or None).text


def facts(design: Design, subject: Subject | None) -> Facts:
    """What each placeholder stands for.

    Args:
        design: The design.
        subject: What the step is about; None for a step that is about the whole unit.
    """
    found = {
        "design": design.title,
        "rail": format_value(design.rail.value, "voltage"),
        "firmware": f"{design.file.firmware.name} {design.file.firmware.version}",
        "panel.thickness": format_value(design.panel.thickness.value, "length"),
        "panel.material": design.panel.material,
        "bond": _bond(design),
        "solder.alloy": design.file.solder.alloy,
        **_soldering(design, [control.part for control in design.controls]),
    }
    if subject is not None:
        found |= {"control": subject.id, "title": subject.title, "kind": subject.kind, **_of_subject(design, subject)}
    return Facts(found, design, subject)


def _bond(design: Design) -> str:
    """The bonding wire in words: "210 mm of black wire, 24 AWG"."""
    run = bond_wire(design)
    return f"{run.length * 1000:.0f} mm of {run.colour} wire, {run.gauge}" if run else "a wire of the ground's own kind"


def _of_subject(design: Design, subject: Subject) -> dict[str, str]:
    if any(control.id == subject.id for control in design.controls):
        return _of_control(design, design.control(subject.id)) | _of_wires(design, subject.id)
    if subject.kind == "connector":
        return {
            "connector": subject.id,
            "board-parts": board_parts(design, subject.id),
            **_of_wires(design, subject.id),
        }
    if subject.kind == "multiplexer":
        capacitor = design.multiplexer(subject.id).capacitor
        return {"board-parts": f"{design.part(capacitor).title} across its supply" if capacitor else "none"}
    if subject.kind == "bank":
        return {"bank": subject.title, "connector": design.bank(subject.id).connector} | _of_wires(design, subject.id)
    if subject.kind == "bus":
        return {
            "connector": design.bus(subject.id).connector,
            "second-way": _second_way(design, subject.id),
            **_of_wires(design, subject.id),
        }
    if subject.kind == "wire":
        return {"wires": subject.title, **_sizes([design.part(subject.id)])}
    if subject.kind == "wires":
        owner = design.subject(owner_of(design, subject.id))
        return {**_of_subject(design, owner), **_of_wires(design, subject.id)}
    return {}


def board_parts(design: Design, connector: str) -> str:
    """The small parts on the board's side of a connector, by pin: "pull-up resistor 10 kΩ at pins 1 to 4"."""
    places: dict[str, list[str]] = {}
    for number, pin in design.connector(connector).pins.items():
        for use, id in (
            ("in series", pin.through),
            ("pull-up", pin.pull_up),
            ("pull-down", pin.pull_down),
            ("to ground", pin.capacitor),
        ):
            if id:
                places.setdefault(f"{design.part(id).title}, {use}", []).append(number)
    return "; ".join(f"{what}, at {pin_list(pins)}" for what, pins in places.items()) or "none"


def _of_wires(design: Design, id: str) -> dict[str, str]:
    """What is said of the wires of a subject."""
    runs = wires(design, id)
    return {
        "wires": "; ".join(f"{wire.colour} from {wire.start} to {wire.end}" for wire in runs),
        **_sizes([design.part(part) for part in dict.fromkeys(run.part for run in runs)]),
    }


def _second_way(design: Design, bus: str) -> str:
    """The link from the last lug of a bus to its first: "black 24 AWG from F8 lug 1 to F1 lug 1"."""
    runs = wires(design, bus)
    if len(runs) < 2:
        return "none, for it has one wire"
    first, last = runs[0], runs[-1]
    return f"{first.colour} {gauge_words(design.part(first.part))} from {last.start} to {first.start}"


def _sizes(parts: Iterable[Part]) -> dict[str, str]:
    """Wire sizes, and the force that their crimps are tugged with: "5 N on 26 AWG and 10 N on 24 AWG"."""
    sizes = sorted((part.conductor.gauge.value, gauge_words(part)) for part in parts if part.conductor is not None)
    by_force: dict[str, list[str]] = {}
    for area, gauge in sizes:
        by_force.setdefault(format_value(tug(area), "force", digits=2), []).append(gauge)
    forces = [force if len(by_force) == 1 else f"{force} on {' and '.join(on)}" for force, on in by_force.items()]
    return {"gauge": " and ".join(gauge for _, gauge in sizes), "tug": " and ".join(forces)} if sizes else {}


def _of_control(design: Design, control: Control) -> dict[str, str]:
    found = {
        "legend": control.legend,
        "part": control.part.title,
        "connector": control.connector or "no connector",
        "pin": control.board_pins.get(control.signal_role, "no pin"),
        "message": control.message.words(design.file.channel) if control.message else "no message",
        **_soldering(design, [control.part]),
    }
    del found["solder.temperature"]  # one setting of the iron for the whole design, see WHOLE
    if control.bank:
        bank = design.bank(control.bank)
        found["bank"] = f"bank {bank.id}, {bank.title}"
    if control.row:
        found["pin"] = f"row {control.row} and column {control.column}"
    if control.multiplexer:
        found["pin"] = f"{control.multiplexer} channel {control.channel}"
    for role, lug in control.part.lugs.items():
        found[f"lug.{role}"] = f"lug {lug.lug}" + (f" ({lug.name})" if lug.name else "")
    mount = control.part.mount
    see_sheet = "the torque on the part's own sheet"
    found["torque"] = format_value(mount.torque.value, "torque") if mount and mount.torque else see_sheet
    found["torque-limit"] = (
        format_value(mount.torque_limit.value, "torque") if mount and mount.torque_limit else see_sheet
    )
    return found


def _soldering(design: Design, parts: Iterable[Part]) -> dict[str, str]:
    """Solder limits: the lower of the alloy's setting and what every one of these parts stands."""
    limits: list[Soldering] = [part.solder for part in parts if part.solder is not None and part.solder.by_hand]
    coolest = min([design.file.solder.setting.value, *(limit.temperature.value for limit in limits)])
    shortest: Amount | None = min((limit.time for limit in limits), key=lambda time: time.value, default=None)
    longest: Amount | None = max((limit.rest for limit in limits), key=lambda rest: rest.value, default=None)
    found = {"solder.temperature": format_value(coolest, "temperature")}
    found["solder.time"] = format_value(shortest.value, "time") if shortest else "the time on the part's own sheet"
    found["solder.rest"] = format_value(longest.value, "time") if longest else "the time on the part's own sheet"
    attempts = min((limit.attempts for limit in limits), default=1)
    found["solder.attempts"] = str(attempts)
    found["solder.again"] = "one try only" if attempts == 1 else f"{found['solder.rest']} before a second try"
    if attempts > 2:
        found["solder.again"] = f"{found['solder.rest']} between tries, {attempts} of them at most"
    return found
