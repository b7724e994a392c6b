"""Tables that follow from a design, as lines: wires, pins, test points, controls, the bill, parts side by side, checks.

No cell is cut: a text too long for its column goes on in the line below, since the end of "B6 lug 2, through its diode"
is what the builder needs to read.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from rich.cells import cell_len

from benchtui.design.bill import bill, bill_notes, quantity_text, spans
from benchtui.design.model import kind_words
from benchtui.errors import DesignError
from benchtui.ui.view.scrolled import HEADING
from benchtui.ui.view.text import BLANK, Span, bar, clean, line, pad, wrap

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from benchtui.design.model import Design
    from benchtui.design.views import Candidate, PointRow
    from benchtui.design.wiring import WireRun
    from benchtui.ui.view.shapes import Shapes
    from benchtui.ui.view.text import Line


def whole_table(
    rows: Sequence[Sequence[str]], width: int, *, head: Sequence[str] = (), marked: Iterable[int] = (), mark: str = ""
) -> list[Line]:
    """Columns as wide as their longest cell; where they do not fit, the widest give way and their cells are wrapped.

    Args:
        rows: Cells by row; all rows have the same number.
        width: Cells of the whole table.
        head: Headings.
        marked: Places of the rows that are about what is in hand.
        mark: Mark before those rows; the others get blanks.
    """
    if not rows:
        return []
    here = set(marked)
    lead = cell_len(mark) + 1 if here else 0
    every = [[clean(cell) for cell in row] for row in ([head, *rows] if head else rows)]
    sizes = [max(cell_len(row[column]) for row in every) for column in range(len(every[0]))]
    while sum(sizes) + 2 * (len(sizes) - 1) + lead > width and max(sizes) > 6:
        sizes[sizes.index(max(sizes))] -= 1
    lines: list[Line] = []
    for number, row in enumerate(every):
        place = number - (1 if head else 0)
        role = HEADING if place < 0 else "strong" if place in here else ""
        cells = [wrap(cell, size, role=role) for cell, size in zip(row, sizes, strict=True)]
        for part in range(max(map(len, cells))):
            found: list[Span] = []
            if lead:
                found.append(Span((mark if place in here and part == 0 else "").ljust(lead), "cursor"))
            for cell, size in zip(cells, sizes, strict=True):
                found += [*pad(cell[part] if part < len(cell) else BLANK, size), Span("  ")]
            lines.append(tuple(found[:-1]))
    return lines


def _run_cells(run: WireRun) -> tuple[str, ...]:
    return run.id, run.colour, run.gauge, run.start, run.end, f"{run.length * 1000:.0f}"


_WIRE_HEAD = ("wire", "colour", "gauge", "from", "to", "cut mm")


def wiring_lines(design: Design, subject: str, width: int, *, mark: str = "") -> list[Line]:
    """The wires of a control, a bank, a connector, or of everything in building order, both ends named.

    A connector's wires come pin by pin.

    Args:
        design: The design.
        subject: Id of a control, bank or connector; empty for all.
        width: Cells of a line.
        mark: Id of the control in hand.
    """
    from benchtui.design.wiring import through_note, wires

    runs = wires(design, subject or None)
    if not runs:
        return [line(("it has no wires", "quiet"))]
    turned = through_note(design, runs)
    note = wrap(turned, width, role="strong") if turned else []
    if any(connector.id == subject for connector in design.connectors):
        pins = sorted(runs, key=lambda run: (int(run.pin), "") if run.pin.isdecimal() else (10**6, run.pin))
        return note + whole_table(
            [(run.pin, *_run_cells(run)[:4], _run_cells(run)[5]) for run in pins],
            width,
            head=("pin", "wire", "colour", "gauge", "goes to", "cut mm"),
            marked=[place for place, run in enumerate(pins) if mark and run.control == mark],
            mark=">",
        )
    marked = [place for place, run in enumerate(runs) if mark and mark != subject and run.control == mark]
    return note + whole_table([_run_cells(run) for run in runs], width, head=_WIRE_HEAD, marked=marked, mark=">")


def wires_by_control(design: Design, width: int) -> list[Line]:
    """The wires of every control under its name and legend."""
    lines: list[Line] = []
    for control in design.controls:
        lines += [BLANK] if lines else []
        lines.append(line((f"{control.id}, {control.legend}", "title")))
        lines += wiring_lines(design, control.id, width)
    return lines


def wires_by_connector(design: Design, width: int, *, mark: str = "") -> list[Line]:
    """The wires of every connector, pin by pin."""
    lines: list[Line] = []
    for connector in design.connectors:
        lines += [BLANK] if lines else []
        lines.append(line((f"{connector.id}{f', {connector.title}' if connector.title else ''}", "title")))
        lines += wiring_lines(design, connector.id, width, mark=mark)
    return lines


def wires_by_kind(design: Design, width: int) -> list[Line]:
    """What to cut from each reel: the wires of each gauge and colour, with their length together."""
    from benchtui.design.bill import length_text
    from benchtui.design.reels import reels

    lines: list[Line] = []
    for reel in reels(design):
        lines += [BLANK] if lines else []
        number = f"{len(reel.runs)} wire{'s' if len(reel.runs) > 1 else ''}"
        lines.append(line((f"{reel.gauge} {reel.colour}: {number}, {length_text(reel.length)} in all", "title")))
        rows = [(f"{run.length * 1000:.0f}", run.id, run.start, run.end) for run in reel.runs]
        lines += whole_table(rows, width, head=("cut mm", "wire", "from", "to"))
    return lines


def pin_lines(design: Design, width: int, *, mark: str = "") -> list[Line]:
    """Every pin of the board: what it can do, what uses it, which controls are behind it."""
    from benchtui.design.views import pin_map

    pins = pin_map(design)
    free = sum(row.use == "free" for row in pins)
    return [
        *wrap(f"{free} of {len(pins)} pins are free.", width),
        BLANK,
        *whole_table(
            [(row.pin, row.use, spans(row.controls), row.can) for row in pins],
            width,
            head=("pin", "used for", "controls", "can"),
            marked=[place for place, row in enumerate(pins) if mark in row.controls],
            mark=">",
        ),
    ]


def control_lines(design: Design, width: int, *, mark: str = "") -> list[Line]:
    """Every control: legend, kind, where it sits on the front of the panel, and its message."""
    rows = [
        (
            control.id,
            control.legend,
            kind_words(control.kind),
            f"{control.x_mm:g}, {control.y_mm:g}",
            control.message.words(design.file.channel) if control.message else "none",
        )
        for control in design.controls
    ]
    marked = [place for place, control in enumerate(design.controls) if control.id == mark]
    head = ("control", "legend", "kind", "x, y mm", "message")
    return [
        *wrap("x and y are measured on the front, from the upper left corner.", width),
        BLANK,
        *whole_table(rows, width, head=head, marked=marked, mark=">"),
    ]


def point_lines(design: Design, subject: str, width: int) -> list[Line]:
    """Every test point of a control and its bank, or of a bank or bus, with what a healthy unit reads."""
    from benchtui.design.testpoints import expected, points_of
    from benchtui.design.views import PointRow

    groups = [subject]
    bank = next((control.bank for control in design.controls if control.id == subject), "")
    if any(each.id == bank for each in design.divider_banks):
        groups.append(bank)
    rows = []
    for about in groups:
        for name in points_of(design, about):
            try:
                rows.append(PointRow(subject=about, expected=expected(design, name, about)))
            except DesignError:
                continue
    return point_rows(rows, width) or [line(("it has no test points", "quiet"))]


def point_rows(rows: Iterable[PointRow], width: int) -> list[Line]:
    """A table of test points: where to hold the probes, what a healthy unit reads, power on or off."""
    lines: list[Line] = []
    for row in rows:
        found = row.expected
        power = f", power {found.power}" if found.power else ""
        title = f"{row.subject}: {found.title}" if row.subject else found.title
        lines += [line((title, "title")), *wrap(found.where, width, first="  ")]
        lines += [line("  ", (found.text, "value"), power), BLANK]
    return lines


def bill_table(design: Design, width: int, *, units: int = 1, built: str = "") -> list[Line]:
    """The bill: what one unit takes, and what to buy for the units still to build.

    Args:
        design: The design.
        width: Cells of a line.
        units: Units still to build.
        built: Where that number is from, as a sentence.
    """
    found = bill(design, units=units)
    rows = [
        (
            each.title,
            quantity_text(each, each.each),
            quantity_text(each, each.build),
            quantity_text(each, each.attrition),
            quantity_text(each, each.spares),
            quantity_text(each, each.buy),
            each.goes_to,
        )
        for each in found
    ]
    head = ("part", "one unit", f"for {units}", "lost", "spare", "buy", "for")
    return [
        *([*wrap(built, width), BLANK] if built else []),
        *whole_table(rows, width, head=head),
        BLANK,
        *wrap(
            "lost: more, for what is lost while building. spare: kept for service. buy: the sum, in whole packs "
            "(common practice; the shares are the design's own).",
            width,
            role="quiet",
        ),
        *(row for note in bill_notes(found) for row in wrap(note, width, role="quiet")),
    ]


def compare_lines(design: Design, part: str, width: int, shapes: Shapes) -> list[Line]:
    """A part beside its alternatives: what the sheets say, one column each, and what stands against it."""
    from benchtui.design.views import compare, sheets_of

    candidates = compare(design, part)
    names = list(dict.fromkeys(name for each in candidates for name, _ in each.values))
    head = ("", *(each.part.title for each in candidates))
    rows = [(name, *(dict(each.values).get(name, "-") for each in candidates)) for name in names]
    rows.append(("in this design", *("in use" if each.chosen else "alternative" for each in candidates)))
    rows.append(("fits", *(_fits(each) for each in candidates)))
    lines = whole_table(rows, width, head=head)
    for each in candidates:
        lines += [BLANK, line((each.part.title, "title"))]
        if not each.against:
            lines += wrap("no check finds anything new against it", width, first=f"  {shapes.passed} ", role="pass")
        if each.recut:
            lines += wrap(
                "it needs other holes or slots, so a panel that is cut already does not take it",
                width,
                first=f"  {shapes.near} ",
            )
        for text in each.against:
            lines += wrap(text, width, first=f"  {shapes.failed} ")
        if each.part.note:
            lines += wrap(each.part.note, width, first="  ", role="quiet")
        for source in sheets_of(each.part):
            lines += wrap(source, width, first="  values from: ", rest="    ", role="quiet")
    return lines


def _fits(candidate: Candidate) -> str:
    if candidate.against:
        return "no, see below"
    return "a new panel only" if candidate.recut else "yes"


def budget_lines(design: Design, width: int, shapes: Shapes) -> list[Line]:
    """What the design spends of its pins, inputs and currents: figure, limit and source, with a bar for the share."""
    from benchtui.design.budget import budget

    lines: list[Line] = []
    for each in budget(design):
        over = each.share > 1
        lines += wrap(f"{each.what}: {each.figure} of {each.limit}", width, role="strong")
        gauge = bar(min(each.share, 1.0), 20, full=shapes.full, half=shapes.half, empty=shapes.empty)
        word = "too much" if over else f"{each.share:.0%}"
        lines.append(line("  ", gauge, f" {word}"))
        lines += wrap(each.source, width, first="  limit from: ", rest="    ", role="quiet")
    return lines


def check_lines(design: Design, width: int, shapes: Shapes) -> list[Line]:
    """What the checks find: figure, limit, what to do, and where the limit is from; below it the budget."""
    from benchtui.design.checks import findings

    lines: list[Line] = []
    for each in findings(design):
        shape = {"problem": shapes.failed, "warning": shapes.near}.get(each.level, shapes.dot)
        lines += wrap(f"{each.level}: {each.message}", width, first=f"{shape} ", rest="  ", role="strong")
        lines += wrap(each.hint, width, first="  do: ", rest="      ") if each.hint else []
        lines += wrap(f"{each.check}; {each.source}", width, first="  source: ", rest="    ", role="quiet")
    lines = lines or [line((f"{shapes.passed} the checks find nothing", "pass"))]
    return [*lines, BLANK, line(("What the design spends, at worst", "title")), *budget_lines(design, width, shapes)]
