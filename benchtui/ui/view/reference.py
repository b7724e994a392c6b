"""What can be looked at beside a step: a list to choose from, and for each entry its title and its lines.

The full screen and the line mode share it. An entry is named "KIND:SUBJECT", such as "wires:F3" or "pins:".
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchtui.errors import UsageError
from benchtui.ui.view.rows import Row
from benchtui.ui.view.tables import (
    bill_table,
    check_lines,
    compare_lines,
    control_lines,
    pin_lines,
    point_lines,
    point_rows,
    wires_by_connector,
    wires_by_control,
    wires_by_kind,
    wiring_lines,
)
from benchtui.ui.view.text import line

if TYPE_CHECKING:
    from benchtui.design.model import Design
    from benchtui.ui.view.shapes import Shapes
    from benchtui.ui.view.text import Line

PANEL = ("front", "rear")
"""Entries that are pictures, made for the room there is."""

OWN = ("wires", "points")
"""Entries that are about one control or connector where one is named."""


def reference_rows(design: Design, subject: str = "", *, pictures: bool = True) -> list[Row]:
    """What can be looked at; what is about the control in hand comes first.

    Args:
        design: The design.
        subject: Id of the control, bank, bus or connector in hand; empty for none.
        pictures: Whether the panel can be drawn.
    """
    rows = _in_hand(design, subject)
    rows.append(Row(text="Of the whole design"))
    if pictures:
        rows.append(Row(id="front:", text="Panel from the front"))
        rear = "Panel from the rear, left and right exchanged, as you see it while wiring"
        rows.append(Row(id="rear:", text=rear, words="mirrored behind back"))
    rows += [
        Row(id="controls:", text="Controls: legend, kind, place, message"),
        Row(id="wires:", text="Wiring list, in building order"),
        Row(id="bycontrol:", text="Wiring list, control by control"),
        Row(id="byconnector:", text="Wiring list, connector by connector"),
        Row(id="bywire:", text="Wiring list, by gauge and colour, to cut from the reels", words="wire cutting"),
        Row(id="pins:", text="Pin map of the board"),
        Row(id="bill:", text="Bill of materials, for the units still to build", words="parts to buy spares"),
        Row(id="checks:", text="Checks and budget: pins, currents, clearances", words="design usb finds"),
        Row(
            id="allpoints:",
            text="Test points, all of them, with what a healthy unit reads",
            words="expected readings table",
        ),
    ]
    compared = [part for part in design.parts.values() if part.alternatives]
    if compared:
        rows.append(Row(text="Parts side by side, with what fits"))
        rows += [
            Row(
                id=f"compare:{part.id}",
                text=f"{part.title} and its alternatives",
                words="compare parts side by side what fits candidates",
            )
            for part in compared
        ]
    rows.append(Row(text="Of one connector"))
    rows += [
        Row(id=f"wires:{each.id}", text=f"Wires of connector {each.id}", right=each.title)
        for each in design.file.connectors
        if each.id != subject
    ]
    rows.append(Row(text="Of one control"))
    for control in design.controls:
        if control.id != subject:
            rows.append(Row(id=f"wires:{control.id}", text=f"Wires of {control.id}", right=control.legend))
            rows.append(Row(id=f"points:{control.id}", text=f"Test points of {control.id}", right=control.legend))
    return rows


def _in_hand(design: Design, subject: str) -> list[Row]:
    """What can be looked at of the control, bank, bus, connector or group of wires in hand."""
    from benchtui.design.groups import owner_of

    owner = owner_of(design, subject) if "." in subject else ""
    if owner:
        title, *more = _in_hand(design, owner)
        return [title, Row(id=f"wires:{subject}", text="These wires"), *more] if more else []
    connectors = {each.id for each in design.connectors}
    groups = {*(bank.id for bank in design.banks), *(bus.id for bus in design.buses)}
    wired = {control.id for control in design.controls} | groups
    if subject not in wired | connectors:
        return []
    rows = [Row(text="About what is in hand"), Row(id=f"wires:{subject}", text=f"Wires of {subject}")]
    if subject in wired:
        rows.append(Row(id=f"points:{subject}", text=f"Test points of {subject}: where to measure, what is healthy"))
    return rows


def again(design: Design, entry: str, subject: str) -> str:
    """The same thing about what is in hand now; empty where nothing was looked at yet, or it is not about this."""
    kind, _, about = entry.partition(":")
    if not about or kind not in OWN:
        ids = {row.id for row in reference_rows(design)}
        return entry if entry in ids else ""
    here = [row.id for row in _in_hand(design, subject)]
    return next((id for id in here if id == f"{kind}:{subject}"), "")


def title_of(entry: str) -> str:
    """Title of the page of an entry."""
    kind, _, about = entry.partition(":")
    whole = {
        "wires": "Wiring list, in building order",
        "bycontrol": "Wiring list by control",
        "byconnector": "Wiring list by connector",
        "bywire": "Wiring list by gauge and colour",
        "controls": "Controls",
        "pins": "Pin map",
        "bill": "Bill of materials",
        "checks": "Checks and budget",
        "allpoints": "Test points",
        "compare": "Parts side by side",
        "front": "Panel, front",
        "rear": "Panel, rear",
    }
    if about and kind in OWN:
        return f"{'Wires' if kind == 'wires' else 'Test points'} of {about}"
    return whole.get(kind, "")


def reference_lines(
    design: Design, entry: str, width: int, shapes: Shapes, *, mark: str = "", units: int = 1, built: str = ""
) -> list[Line]:
    """The lines of an entry.

    Args:
        design: The design.
        entry: Name of the entry, as the rows give it.
        width: Cells of a line.
        shapes: Characters of this terminal.
        mark: Id of the control in hand.
        units: Units still to build, for the bill.
        built: Where that number is from.

    Raises:
        UsageError: There is no such entry.
        DesignError: It is about something that the design does not have.
    """
    kind, _, about = entry.partition(":")
    if kind == "wires":
        return wiring_lines(design, about, width, mark=mark)
    if kind == "bycontrol":
        return wires_by_control(design, width)
    if kind == "byconnector":
        return wires_by_connector(design, width, mark=mark)
    if kind == "bywire":
        return wires_by_kind(design, width)
    if kind == "controls":
        return control_lines(design, width, mark=mark)
    if kind == "pins":
        return pin_lines(design, width, mark=mark)
    if kind == "points":
        return point_lines(design, about, width)
    if kind == "allpoints":
        from benchtui.design.views import point_table

        return point_rows(point_table(design), width)
    if kind == "bill":
        return bill_table(design, width, units=units, built=built)
    if kind == "compare":
        return compare_lines(design, about, width, shapes)
    if kind == "checks":
        return check_lines(design, width, shapes)
    if kind in PANEL:
        from benchtui.design.panel import panel_text

        return [line(row) for row in panel_text(design, width=width, height=24, rear=kind == "rear", mark=mark)]
    raise UsageError(f"there is nothing called {entry!r} to look at")
