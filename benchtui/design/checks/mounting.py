"""Whether each part goes together with the panel, and what holds it there."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from benchtui.calc.threads import read_thread
from benchtui.design.checks.figures import mm
from benchtui.design.checks.finding import Finding
from benchtui.errors import CalcError, UnitError
from benchtui.units import parse

if TYPE_CHECKING:
    from collections.abc import Iterator

    from benchtui.design.model import Control, Design
    from benchtui.design.parts import Mount

AIR = 0.005
"""m of air from a part to the board or the closed lid; common practice."""
SPARE = 0.0005
"""m a screw stays short of the end of the part's thread; common practice."""
GRIP = 0.0015
"""m of thread a fixing screw reaches into the part at least; three turns of M3, our own choice."""

_SIZE = re.compile(r"(\d+(?:\.\d+)?)(?: mm)? *[×x] *(\d+(?:\.\d+)?)\b")


def findings(design: Design) -> Iterator[Finding]:
    """What is wrong with mounting and part limits."""
    done: set[str] = set()
    for control in design.controls:
        if control.part.id in done:
            continue  # the same part in the same panel
        done.add(control.part.id)
        mount = control.part.mount
        if mount is not None:
            yield from _held(control, mount)
            yield from _fits(design, control, mount)
            yield from _torque(control, mount)
    panel = design.panel
    title = design.part(panel.part).title
    said = _SIZE.search(title)
    sizes = {round(panel.width.value * 1000, 3), round(panel.height.value * 1000, 3)}
    if said is not None and {float(said[1]), float(said[2])} != sizes:
        yield Finding(
            check="panel-title",
            level="warning",
            place=design.part(panel.part).place,
            message=f'the bill orders "{title}", and the panel is {mm(panel.width.value * 1000)} by '
            f"{mm(panel.height.value * 1000)}",
            hint="put the size right in the title of the part, or in `panel:`",
            source="the design itself",
        )
    if panel.material in ("aluminium", "steel") and not panel.bond:
        yield Finding(
            check="panel-bond",
            place=panel.place,
            message=f"the panel is {panel.material}, and nothing bonds it to ground",
            hint="give it a hole for a bonding screw and name it in `bond:`",
            source="common practice",
        )
    elif panel.bond and panel.bond_wire is None:
        yield Finding(
            check="panel-bond-wire",
            level="warning",
            place=panel.place,
            message=f"the panel is bonded at {panel.bond}, and neither the wire nor what fixes it is given",
            hint="give `bond-wire:` its part, its colour, the ground point, and in `fitted:` a screw, a star washer "
            "and a nut",
            source="common practice",
        )


def _held(control: Control, mount: Mount) -> Iterator[Finding]:
    """Something holds the part to the panel: a nut, screws, a bezel that snaps in, or glue, and the holes for it."""
    part, id = control.part, control.id
    screws = [hole for hole in mount.holes if "screw" in hole.what]
    snaps = mount.panel_most is not None
    if not (mount.bushing or mount.thread or mount.screw or screws or snaps or mount.adhesive):
        yield Finding(
            check="not-held",
            place=part.place,
            message=f"part {part.id} ({id}): nothing says what holds it to the panel",
            hint="give its screws and their `holes:`, a `thread:` with its nut, a `panel-most:` that it snaps into, or "
            "`adhesive: yes`",
            source="common practice",
        )
    elif mount.screw and not screws and not mount.thread:
        yield Finding(
            check="no-screw-holes",
            place=part.place,
            message=f"part {part.id} ({id}): {mount.screw} screws hold it, and it has no holes for them",
            hint='list them: holes: [{dy: "-40 mm", diameter: "3.3 mm", what: screw}]',
            source="common practice",
        )
    elif screws and not mount.screw:
        yield Finding(
            check="no-screw",
            level="warning",
            place=part.place,
            message=f"part {part.id} ({id}): it has screw holes, and no screw is given",
            hint="give `screw:`, `screw-length:` and `tapped:`, for a screw too long jams what moves",
            source="common practice",
        )
    elif screws and (mount.screw_length is None or mount.tapped is None):
        missing = "`screw-length:`" if mount.screw_length is None else "`tapped:`"
        yield Finding(
            check="screw-unknown",
            level="warning",
            place=part.place,
            message=f"part {part.id} ({id}): how far its screw reaches in is not known",
            hint=f"give {missing} from its sheet, for a screw too long jams what moves",
            source="common practice",
        )
    if (mount.bushing or mount.thread) and mount.hole is None and not mount.slot_width:
        yield Finding(
            check="no-hole",
            place=part.place,
            message=f"part {part.id} ({id}): it has a bushing, and no hole for it",
            hint="give `hole:`, 0.1 to 0.5 mm larger than the thread",
            source="common practice",
        )
    if control.kind == "fader" and mount.slot_width is None:
        yield Finding(
            check="no-slot",
            place=part.place,
            message=f"part {part.id} ({id}): a fader has no slot for its lever",
            hint="give `slot-width:` and `slot-height:`",
            source="common practice",
        )


def _fits(design: Design, control: Control, mount: Mount) -> Iterator[Finding]:
    sheet, id = design.panel.thickness, control.id
    if mount.bushing is not None:
        washers = sum(washer.value for washer in mount.washers)
        nut = mount.nut.value if mount.nut else 0.0
        need = sheet.high + washers + nut
        if need > mount.bushing.value + 1e-9:
            yield Finding(
                check="bushing",
                place=control.part.place,
                message=f"part {control.part.id} ({id}): its bushing is {mount.bushing} long, and panel "
                f"{mm(1000 * sheet.high)} + washers {mm(1000 * washers)} + nut {mm(1000 * nut)} need {mm(1000 * need)}",
                hint="a longer bushing, or a washer less",
                source=mount.source,
            )
    if mount.thread and mount.hole is not None and (diameter := _thread(mount.thread)) is not None:
        play = mount.hole.value - diameter
        if not 0.0001 - 1e-9 <= play <= 0.0005 + 1e-9:
            yield Finding(
                check="hole-thread",
                place=control.part.place,
                message=f"part {control.part.id} ({id}): a hole of {mount.hole} for a thread {mount.thread} leaves "
                f"{mm(1000 * play)} of play",
                hint="0.1 to 0.5 mm",
                source="common practice (7.1 to 7.3 mm for M7)",
            )
    if mount.screw_length is not None and mount.tapped is not None:
        longest = sheet.low + mount.screw_washer.value + mount.tapped.value - SPARE
        grip = mount.screw_length.value - sheet.high - mount.screw_washer.value
        if mount.screw_length.value > longest + 1e-9:
            yield Finding(
                check="screw-long",
                place=control.part.place,
                message=f"part {control.part.id} ({id}): a screw of {mount.screw_length} is too long; over "
                f"{mm(1000 * longest)} it jams what moves",
                hint=f"a screw of {mm(1000 * longest)} at most, or a thicker washer under its head",
                source=mount.source,
            )
        elif grip < GRIP - 1e-9:
            yield Finding(
                check="screw-short",
                place=control.part.place,
                message=f"part {control.part.id} ({id}): a screw of {mount.screw_length} reaches "
                f"{mm(1000 * max(grip, 0))} into the part, and {mm(1000 * GRIP)} is the least",
                hint="a longer screw",
                source="three turns of M3, our own choice",
            )
    most, least = mount.panel_most, mount.panel_least
    if (most is not None and sheet.high > most.value) or (least is not None and sheet.low < least.value):
        yield Finding(
            check="snap-in",
            place=control.part.place,
            message=f"part {control.part.id} ({id}): it snaps into {least or 'any'} to {most or 'any'}, and the panel "
            f"is {mm(1000 * sheet.low)} to {mm(1000 * sheet.high)}",
            hint="another bezel",
            source=mount.source,
        )
    if mount.depth is not None and mount.depth.value + AIR > design.panel.behind.value:
        yield Finding(
            check="depth",
            place=control.part.place,
            message=f"part {control.part.id} ({id}): it reaches {mount.depth} behind the panel, and with 5 mm of air "
            f"{mm(1000 * design.panel.behind.value)} is too little",
            hint="a deeper case, or a flatter part",
            source="5 mm of air, common practice",
        )
    element = control.part.element
    if element is not None and control.kind == "fader" and mount.slot_height is not None and element.travel:
        travel = _length(element.travel)
        if travel is not None and mount.slot_height.value < travel + 0.002:
            yield Finding(
                check="slot",
                place=control.part.place,
                message=f"part {control.part.id} ({id}): a slot of {mount.slot_height} is too short for "
                f"{element.travel} of travel with the lever",
                hint="travel + lever + 1 mm at each end",
                source="common practice",
            )


def _torque(control: Control, mount: Mount) -> Iterator[Finding]:
    if mount.torque is not None and mount.torque_limit is not None and mount.torque.value > mount.torque_limit.value:
        yield Finding(
            check="torque",
            place=control.part.place,
            message=f"part {control.part.id} ({control.id}): it is tightened to {mount.torque}, and stands "
            f"{mount.torque_limit}",
            hint="the part's own limit wins",
            source=mount.source,
        )
    if mount.torque is not None and mount.torque_limit is None:
        yield Finding(
            check="no-torque-limit",
            level="warning",
            place=control.part.place,
            message=f"part {control.part.id} ({control.id}): it is tightened to {mount.torque}, and how much it stands "
            "is not given",
            hint="give `torque-limit:` from its sheet",
            source="the part's own limit wins",
        )
    if mount.thread and mount.torque is None:
        yield Finding(
            check="no-torque",
            place=control.part.place,
            message=f"part {control.part.id} ({control.id}): it has a nut, and no torque is given",
            hint="give `torque:` and `torque-limit:` from its sheet",
            source="the part's own limit wins",
        )


def _thread(text: str) -> float | None:
    """Nominal diameter of a thread in m; None for one that cannot be read."""
    try:
        return read_thread(text).diameter
    except (CalcError, UnitError):
        return None


def _length(text: str) -> float | None:
    try:
        return parse(text, "length").value
    except UnitError:
        return None
