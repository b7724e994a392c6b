"""What is looked at beside a step: wiring lists, the bill, test points, pins; each a table made from the design."""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchtui.errors import DesignError
from benchtui.ui.view.rows import Row
from benchtui.ui.view.text import BLANK, line, table, wrap

if TYPE_CHECKING:
    from benchtui.design.model import Design
    from benchtui.ui.view.shapes import Shapes
    from benchtui.ui.view.text import Line


def reference_rows(design: Design, subject: str) -> list[Row]:
    """What can be looked at, what is about the control in hand first."""
    rows = [Row(text="About what is in hand")] if subject else []
    if subject:
        rows.append(Row(id=f"wires:{subject}", text=f"Wires of {subject}"))
        rows.append(Row(id=f"points:{subject}", text=f"Test points of {subject}: where to measure, what is healthy"))
    rows.append(Row(text="Of the whole design"))
    rows.append(Row(id="wires:", text="Wiring list, in building order"))
    rows += [
        Row(id=f"wires:{connector.id}", text=f"Wires of connector {connector.id}")
        for connector in design.file.connectors
    ]
    rows.append(Row(id="bill:", text="Bill of materials, for one unit"))
    rows.append(Row(id="checks:", text="Checks on the design: pins, currents, clearances, budgets"))
    return rows


def wiring_lines(design: Design, subject: str, width: int) -> list[Line]:
    """The wires of a control, a connector, or of everything, both ends named."""
    from benchtui.design.wiring import wires

    runs = wires(design, subject or None)
    rows = [(run.id, run.colour, run.gauge, run.start, run.end, f"{run.length * 100:.0f} cm") for run in runs]
    if not rows:
        return [line(("it has no wires", "quiet"))]
    return table(rows, width, head=("wire", "colour", "gauge", "from", "to", "cut"), role="wire")


def bill_table(design: Design, width: int) -> list[Line]:
    """The bill of one unit."""
    from benchtui.design.bill import bill_lines

    return [row for text in bill_lines(design) for row in wrap(text, width, first="  ", rest="      ")]


def check_lines(design: Design, width: int, shapes: Shapes) -> list[Line]:
    """Everything worth saying about the design: figure, limit, what to do, and where the limit is from."""
    from benchtui.design.checks import findings

    found = findings(design)
    lines: list[Line] = []
    for each in found:
        shape = {"problem": shapes.failed, "warning": shapes.near}.get(each.level, shapes.dot)
        lines += wrap(f"{each.level}: {each.message}", width, first=f"{shape} ", rest="  ", role="strong")
        lines += wrap(each.hint, width, first="  do: ", rest="      ") if each.hint else []
        lines += wrap(f"{each.check}; {each.source}", width, first="  source: ", rest="    ", role="quiet")
    return lines or [line((f"{shapes.passed} nothing was found", "pass"))]


def point_lines(design: Design, subject: str, width: int) -> list[Line]:
    """Every test point that applies to a control or its bank, with what a healthy unit reads."""
    from benchtui.design.testpoints import POINTS, expected

    control = design.control(subject)
    lines: list[Line] = []
    for name, point in POINTS.items():
        about = control.bank if "bank" in point.applies_to and control.kind not in point.applies_to else subject
        if about == subject and control.kind not in point.applies_to:
            continue
        try:
            found = expected(design, name, about)
        except DesignError:
            continue
        power = f", power {found.power}" if found.power else ""
        lines += [line((found.title, "title")), *wrap(found.where, width, first="  ")]
        lines += [line("  ", (found.text, "value"), power), BLANK]
    return lines or [line(("it has no test points", "quiet"))]
