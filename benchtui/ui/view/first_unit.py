"""The first-unit record on a page: why it is due or who signed it, what is in the unit, and each characteristic."""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchtui.jobs.first_unit import circumstances_of, materials, summed_up
from benchtui.jobs.passport import first_unit_lines
from benchtui.ui.view.ages import clock_time
from benchtui.ui.view.text import BLANK, line, wrap

if TYPE_CHECKING:
    from collections.abc import Sequence

    from benchtui.jobs.first_unit import Characteristic
    from benchtui.jobs.units import UnitView
    from benchtui.ui.view.shapes import Shapes
    from benchtui.ui.view.text import Line


def first_unit_page(
    unit: UnitView, lines: Sequence[Characteristic], due: str, *, width: int, shapes: Shapes
) -> list[Line]:
    """The page.

    Args:
        unit: The unit.
        lines: Its characteristics.
        due: Why a record is due, as a sentence without its full stop; empty when none is.
        width: Cells of a line.
        shapes: Characters of this terminal.
    """
    page = [row for text in state_lines(unit, due) for row in wrap(text, width, role="strong")]
    page = page or [line("no first-unit record is due")]
    page += wrap(summed_up(lines), width)
    how = circumstances_of(unit, place="")
    built = [f"{id}, revision {revision}" for id, revision in how.procedures.items()]
    design = [f"the design, revision {how.design_revision}"] if how.design_revision else []
    for title, texts in (
        ("Built by", [*design, *built]),
        ("Parts with a lot or serial number, and firmware", list(materials(unit))),
    ):
        page += [BLANK, line((title, "title"))]
        page += [row for text in texts or ["none"] for row in wrap(text, width, first="  ", rest="    ")]
    page += [BLANK, line(("Characteristics", "title"))]
    for each in lines:
        mark = {"pass": shapes.passed, "near limit": shapes.near, "fail": shapes.failed}.get(each.stands, " ")
        about = f"{each.about}: " if each.about else ""
        page += wrap(f"{about}{each.what}", width, first=f"{mark} {each.number:>3} ", rest="      ")
        meter = f", meter {each.meter}" if each.meter else ""
        date = f", {clock_time(each.time)[:10]}" if each.time else ""
        told = f"{each.result}, {each.verdict}{meter}{date}" if each.result else each.verdict
        page += wrap(f"{each.requirement}: {told}", width, first="      ", rest="      ")
        page += wrap(each.at, width, first="      ", rest="      ", role="quiet")
    return page


def state_lines(unit: UnitView, due: str) -> list[str]:
    """That a record is due and why, and who signed the last one of this unit; nothing where neither is so."""
    return [*([due] if due else []), *(f"{text[:1].upper()}{text[1:]}" for text in first_unit_lines(unit))]
