"""Tables that follow from a design: the pin map, the test points, and parts side by side with what fits."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from benchtui.design.checks.figures import mm
from benchtui.design.checks.pins import uses
from benchtui.design.cuts import cuts
from benchtui.design.testpoints import POINTS, expected, points_of
from benchtui.errors import DesignError
from benchtui.units import format_value

if TYPE_CHECKING:
    from benchtui.design.model import Control, Design
    from benchtui.design.parts import Part
    from benchtui.design.testpoints import Expected


@dataclass(frozen=True, slots=True, kw_only=True)
class PinRow:
    """One pin of the board.

    Attributes:
        pin: Its name.
        can: What it can do, in words.
        use: What it is used for; "free", or why it is kept.
        controls: Ids of the controls behind it.
    """

    pin: str
    can: str
    use: str
    controls: tuple[str, ...]


def pin_map(design: Design) -> tuple[PinRow, ...]:
    """Every pin of the board in the order of the file."""
    used = uses(design)
    rows = []
    for name, pin in design.board.pins.items():
        words = ", ".join(use[0] for use in used.get(name, ()))
        behind = tuple(control.id for control in design.controls if name in control.board_pins.values())
        kept = f"kept: {pin.keep}" if pin.keep else "free"
        rows.append(PinRow(pin=name, can=" or ".join(pin.can), use=words or kept, controls=behind))
    return tuple(rows)


@dataclass(frozen=True, slots=True, kw_only=True)
class PointRow:
    """One line of the test-point table: what is read on what, and what it should read."""

    subject: str
    expected: Expected


def point_table(design: Design) -> tuple[PointRow, ...]:
    """Every test point of the design: the whole unit first, then banks and buses, then control by control."""
    rows = []
    for name, entry in POINTS.items():
        if not entry.applies_to:
            try:
                rows.append(PointRow(subject="", expected=expected(design, name)))
            except DesignError:
                continue  # a panel of acrylic has no bond, a box without dividers no reference to read
    groups = [*(bank.id for bank in design.divider_banks), *(bus.id for bus in design.buses)]
    groups += [wire.id for wire in design.subjects("each wire")]
    for id in (*groups, *(control.id for control in design.controls)):
        rows += [PointRow(subject=id, expected=expected(design, name, id)) for name in points_of(design, id)]
    return tuple(rows)


@dataclass(frozen=True, slots=True, kw_only=True)
class Candidate:
    """A part that could be used for some controls, with what its sheet says and what stands against it.

    Attributes:
        part: The part.
        chosen: Whether the design uses it.
        values: (what, value) as its sheet gives them.
        against: What a check of the design finds with this part in place; empty when it fits.
        recut: It needs other holes or slots than the panel is drawn with, so a panel that is cut already does not take
            it.
    """

    part: Part
    chosen: bool
    values: tuple[tuple[str, str], ...]
    against: tuple[str, ...]
    recut: bool = False


def compare(design: Design, part_id: str) -> tuple[Candidate, ...]:
    """A part of the design beside its alternatives, each tried in all its places.

    Raises:
        DesignError: There is no such part.
    """
    part = design.part(part_id)
    return tuple(
        Candidate(
            part=each,
            chosen=each.id == part_id,
            values=(*sheet_values(each), *_on_this_panel(design, each)),
            against=tuple(dict.fromkeys(_against(design, part, each))),
            recut=_outlines(with_part(design, part.id, each)) != _outlines(design),
        )
        for each in (part, *(design.part(other) for other in part.alternatives))
    )


def sheet_values(part: Part) -> list[tuple[str, str]]:
    """What one compares parts by."""
    found: list[tuple[str, str]] = []
    if part.element is not None:
        element = part.element
        found += [
            ("element", element.ohms.text or str(element.ohms)),
            ("mid-travel", f"{element.mid} within {element.mid_spread}"),
            ("residual at most", str(element.residual)),
            ("travel", element.travel or "not given"),
            ("electrical travel", element.electrical_travel or "not given"),
        ]
        if element.power is not None:
            found.append(("power at most", str(element.power)))
    if part.contact is not None:
        found += [("contact at most", str(part.contact.closed)), ("plating", part.contact.plating or "not given")]
    if part.mount is not None:
        mount = part.mount
        if mount.hole is not None:
            found.append(("hole", f"{mount.hole}"))
        elif mount.slot_width is not None and mount.slot_height is not None:
            found.append(("slot", f"{mount.slot_width} by {mount.slot_height}"))
        sizes: dict[tuple[str, str], int] = {}
        for hole in mount.holes:
            key = (hole.what or "further", str(hole.diameter))
            sizes[key] = sizes.get(key, 0) + 1
        if sizes:
            found.append(("further holes", ", ".join(f"{n} × {size} {what}" for (what, size), n in sizes.items())))
        found += [
            (what, str(value))
            for what, value in (
                ("thread", mount.thread or None),
                ("bushing", mount.bushing),
                ("screw", " × ".join(filter(None, (mount.screw, str(mount.screw_length or "")))) or None),
                ("depth behind the panel", mount.depth),
                ("body across", mount.body_width),
                ("body along", mount.body_height),
                ("tightened to", mount.torque),
                ("torque at most", mount.torque_limit),
            )
            if value is not None
        ]
    if part.solder is not None:
        time = format_value(part.solder.time.value, "time")
        found.append(("iron at most", f"{part.solder.temperature} for {time}, {_times(part.solder.attempts)}"))
    if part.endurance is not None and part.endurance.cycles:
        found.append(("life", f"{part.endurance.cycles} cycles"))
    return found


def _on_this_panel(design: Design, part: Part) -> list[tuple[str, str]]:
    """What the sheet's figures come to on the panel of the design."""
    mount = part.mount
    if mount is None:
        return []
    found, sheet = [], design.panel.thickness.high
    if mount.bushing is not None:
        need = sheet + sum(washer.value for washer in mount.washers) + (mount.nut.value if mount.nut else 0.0)
        spare = round((mount.bushing.value - need) * 1000, 6)
        word = f"{mm(spare)} to spare" if spare >= 0 else f"{mm(-spare)} too short"
        found.append(("bushing on this panel", f"needs {mm(need * 1000)}, {word}"))
    if mount.screw_length is not None:
        grip = (mount.screw_length.value - sheet - mount.screw_washer.value) * 1000
        depth = f" of {mount.tapped}" if mount.tapped is not None else ""
        found.append(("screw on this panel", f"reaches {mm(max(round(grip, 6), 0.0))}{depth} into the part"))
    if mount.depth is not None:
        left = round((design.panel.behind.value - mount.depth.value) * 1000, 6)
        found.append(("room behind it here", mm(left) if left >= 0 else f"{mm(-left)} too little"))
    return found


def sheets_of(part: Part) -> tuple[str, ...]:
    """Where the values of a part are from."""
    known = (part.element, part.contact, part.mount, part.solder, part.endurance)
    return tuple(dict.fromkeys(each.source for each in known if each is not None and each.source))


def _times(number: int) -> str:
    return {1: "once", 2: "twice"}.get(number, f"{number} times")


def _against(design: Design, old: Part, new: Part) -> list[str]:
    """Problems and warnings that the part brings which the design does not have already."""
    from benchtui.design.checks import findings

    missing = [role for role in old.lugs if role not in new.lugs]
    if missing:
        return [f"it has no lug for {' or '.join(missing)}"]
    before = {finding.message for finding in findings(design)}
    after = findings(with_part(design, old.id, new))
    return [finding.message for finding in after if finding.level != "note" and finding.message not in before]


def _outlines(design: Design) -> tuple[tuple[float, float, float, float, bool], ...]:
    """Where the panel is cut, and how."""
    return tuple((cut.x, cut.y, cut.width, cut.height, cut.round) for cut in cuts(design))


def with_part(design: Design, old: str, new: Part) -> Design:
    """The design with another part in every place of one of its parts."""

    def exchanged(control: Control) -> Control:
        return replace(control, part=new) if control.part.id == old else control

    return replace(design, controls=tuple(map(exchanged, design.controls)))
