"""A unit on one page: its state, what keeps it from leaving, what is in it, and what was done to it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchtui.jobs.passport import redlines, witness_lines
from benchtui.jobs.tally import tally
from benchtui.ui.view.ages import clock_time
from benchtui.ui.view.first_unit import state_lines
from benchtui.ui.view.text import BLANK, line, wrap

if TYPE_CHECKING:
    from collections.abc import Sequence

    from benchtui.jobs.hunted import HuntTold
    from benchtui.jobs.passport import Beside
    from benchtui.jobs.units import UnitView
    from benchtui.ui.view.shapes import Shapes
    from benchtui.ui.view.text import Line


def passport_lines(
    unit: UnitView,
    missing: Sequence[str],
    *,
    width: int,
    shapes: Shapes,
    due: str = "",
    beside: Beside | None = None,
) -> list[Line]:
    """The page.

    Args:
        unit: The unit as its record tells it.
        missing: Each thing that stands between it and its release.
        width: Cells of a line.
        shapes: Characters of this terminal.
        due: Why a first-unit record is due, as a sentence; empty when none is.
        beside: Its hunts, and what of its record does not verify; None where nobody looked.
    """
    hunts = beside.hunts if beside else ()
    broken = beside.broken if beside else ()
    lines = []
    if broken:
        lines.append(line(("Its record does not verify: what stands here is no proof", "strong")))
        lines += [row for text in broken for row in wrap(text, width, first=f"  {shapes.failed} ", rest="    ")]
        lines.append(BLANK)
    lines.append(line(("State", "title"), "  ", (unit.state or "not known yet", "strong")))
    if unit.last_state and unit.last_state.reason:
        lines += wrap(unit.last_state.reason, width, first="  because: ", rest="  ")
    if unit.made and (unit.made.hardware or unit.made.options):
        fixed = [f"hardware {unit.made.hardware}" if unit.made.hardware else "", *unit.made.options]
        lines += wrap(", ".join(word for word in fixed if word), width, first="  ", rest="  ")
    lines.append(BLANK)
    lines.append(line(("Before it may leave", "title")))
    if missing:
        for text in missing:
            lines += wrap(text, width, first=f"  {shapes.failed} ", rest="    ")
    else:
        lines.append(line(f"  {shapes.passed} nothing is missing"))
    for title, items in (
        ("First-unit record", state_lines(unit, f"{due}. v shows it, and the release signs it" if due else "")),
        ("Its number", unit.numbers),
        ("Different from its design, for life", unit.concessions),
        ("Decisions where two benches disagreed", unit.decisions),
        ("Steps whose text was changed by hand", tuple(redlines(unit.jobs))),
        ("Witness points", tuple(witness_lines(unit.jobs))),
        ("As it came in", _intake(unit)),
        ("For the time being", tuple(unit.workarounds.values())),
        ("Hunts not closed", unit.hunts_open),
        ("Faults that were hunted", tuple(hunted_line(hunt) for hunt in hunts)),
    ):
        if items:
            lines += [BLANK, line((title, "title"))]
            lines += [row for text in items for row in wrap(text, width, first="  ", rest="    ")]
    lines += [BLANK, line(("Done to it", "title"))]
    for job in unit.jobs:
        how = job.closed or f"open, step {job.plan.step(job.current).number if job.current else len(job.plan)}"
        counts = tally(job)
        lines += wrap(
            f"{clock_time(job.started)}  {job.plan.title}, {job.edition}: {how}, {counts}",
            width,
            first="  ",
            rest="    ",
        )
    if not unit.jobs:
        lines.append(line(("  nothing yet", "quiet")))
    parts = unit.parts_now()
    if parts:
        lines += [BLANK, line(("Parts, with what is known of where they came from", "title"))]
        for part in parts:
            origin = ", ".join(text for text in (f"lot {part.lot}" if part.lot else "", part.serial) if text)
            lines += wrap(f"{part.place}: {part.part} {origin}", width, first="  ", rest="    ")
    changed = _changed(unit)
    if changed:
        lines += [BLANK, line(("Changed since it was released", "title"))]
        lines += [row for text in changed for row in wrap(text, width, first="  ", rest="    ")]
    if unit.firmware:
        lines += [BLANK, line(("Firmware", "title"), f"  {unit.firmware.version}")]
    return lines


def hunted_line(hunt: HuntTold) -> str:
    """A hunt in one line: what it was about, and whether the trouble stands. The history has what was done in it."""
    return f"{clock_time(hunt.begun)}  {hunt.title}: {hunt.stands}"


def _changed(unit: UnitView) -> list[str]:
    """Parts that went out of the unit or into it after its last release (ISO 9001:2015 8.5.2)."""
    released = unit.as_released()
    if released is None:
        return []
    left = {part.order for part in released}
    now = unit.parts_now()
    out = [f"{part.place}: {part.named} was in it, and is out" for part in released if part not in now]
    return [*out, *(f"{part.place}: {part.named} is in it since" for part in now if part.order not in left)]


def _intake(unit: UnitView) -> tuple[str, ...]:
    """What was said of the unit when it was last taken in."""
    taken = unit.intake
    if taken is None:
        return ()
    told = (
        ("", taken.condition),
        ("damage: ", taken.damage),
        ("with it: ", taken.accessories),
        ("settings: ", taken.settings),
    )
    return tuple(f"{what}{text}" for what, text in told if text)
