"""Figures of the parts' sheets that cannot be right, and parts that nothing takes."""

from __future__ import annotations

from itertools import combinations
from typing import TYPE_CHECKING, Final

from benchtui.calc.tables.copper import GAUGE_SOURCE, RESISTIVITY
from benchtui.design.checks.figures import ohms as ohms_text
from benchtui.design.checks.finding import Finding
from benchtui.design.reading import GROUND_ROLES
from benchtui.units import format_value

if TYPE_CHECKING:
    from collections.abc import Iterator

    from benchtui.design.model import Design
    from benchtui.design.parts import Part

COPPER: Final = (0.9, 1.25)
"""Share of the resistance of plain copper that a wire may have: sizes vary by a tenth, and strands and tin add up to
0.16 (IEC 60228 class 5, tinned, 0.5 mm²)."""
END: Final = 0.1
"""Share of its element that may be left at an end stop; sheets give up to 300 Ω of 10 kΩ, and thrice that is a slip of
the pen (estimate)."""


def findings(design: Design) -> Iterator[Finding]:
    """What is wrong with the figures of the parts, in the order of the file."""
    taken = _taken(design)
    for part in design.parts.values():
        yield from _wire(part)
        yield from _end_stop(part)
        yield from _lugs(part)
        if part.id not in taken:
            yield Finding(
                check="part-unused",
                level="warning",
                place=part.place,
                message=f"part {part.id}: nothing takes it, so the bill does not order it",
                hint="name it where it belongs, in `extras:` if no control or wire brings it, or take it out",
                source="the design itself",
            )


def _wire(part: Part) -> Iterator[Finding]:
    if part.conductor is None:
        return
    copper = RESISTIVITY / part.conductor.gauge.value
    least, most = COPPER
    if not least * copper <= part.conductor.ohms.value <= most * copper:
        text = format_value(copper, "resistance-per-length", digits=3)
        yield Finding(
            check="wire-ohms",
            place=part.place,
            message=f"part {part.id}: {part.conductor.gauge.text} of copper has {text}, and its `ohms:` says "
            f"{format_value(part.conductor.ohms.value, 'resistance-per-length', digits=3)}",
            hint=f"put `ohms:` or `gauge:` right; {least:g} to {most:g} times the figure of copper is believed",
            source=GAUGE_SOURCE,
        )


def _end_stop(part: Part) -> Iterator[Finding]:
    if part.element is None:
        return
    left, most = part.element.residual.high, END * part.element.ohms.value
    if left > most:
        yield Finding(
            check="residual",
            place=part.place,
            message=f"part {part.id}: up to {ohms_text(left)} is left at its end stops, and {ohms_text(most)} is the "
            f"most for an element of {ohms_text(part.element.ohms.value)}",
            hint="put `residual:` right from its sheet; a value that starts so high never reaches its end",
            source="a tenth of the element, an estimate; sheets give up to 300 Ω of 10 kΩ",
        )


def _lugs(part: Part) -> Iterator[Finding]:
    for (one, first), (other, second) in combinations(part.lugs.items(), 2):
        if first.lug == second.lug and not {one, other} <= GROUND_ROLES:
            yield Finding(
                check="lug-twice",
                place=part.place,
                message=f'part {part.id}: its {one} and its {other} are both lug "{first.lug}"',
                hint="give each the number on the part; one lug cannot be both ends",
                source="one job for each lug",
            )


def _taken(design: Design) -> set[str]:
    """Parts that something takes, and those that are compared with one that is taken, as its alternative or it as
    theirs."""
    from benchtui.design.bill import bill

    found = {line.part.id for line in bill(design)}
    found |= {part.id for part in design.parts.values() if found & set(part.alternatives)}
    found |= {id for part in design.parts.values() if part.id in found for id in part.alternatives}
    return found | {matrix.diode for matrix in design.matrices}
