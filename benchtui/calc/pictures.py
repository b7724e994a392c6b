"""Small drawings in text, from the figures of a case. Words and figures carry the meaning, the lines only place it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from benchtui.units import format_value

if TYPE_CHECKING:
    from collections.abc import Sequence

    from benchtui.calc.result import Case

_MOST_DRAWN: Final = 61
"""Strands above which a wire's section is only shaded."""


def divider(case: Case) -> list[str]:
    """Supply, top, output, bottom, ground, with the load beside the bottom when there is one."""
    bottom = case.text("bottom") if "bottom" in case else "open"
    loaded = "load" in case.given
    beside = ["┌┴┐", f"│ │ {case.text('load')}", "└┬┘ load"] if loaded else ["", "", ""]
    gap = " " * (len(bottom) + 1)
    left = max(len(case.text("supply")), len("ground"))
    return [
        f"{case.text('supply'):>{left}} ──┐",
        f"{'':>{left}}  ┌┴┐",
        f"{'':>{left}}  │ │ {case.text('top')}",
        f"{'':>{left}}  └┬┘",
        f"{'':>{left}}   ├─{'─' * len(gap)}{'──┬──' if loaded else '───'} {case.text('output')}",
        f"{'':>{left}}  ┌┴┐ {gap}{beside[0]}".rstrip(),
        f"{'':>{left}}  │ │ {bottom} {beside[1]}".rstrip(),
        f"{'':>{left}}  └┬┘ {gap}{beside[2]}".rstrip(),
        f"{'ground':>{left}} ──┴─{'─' * len(gap)}{'──┘' if loaded else ''}",
    ]


def led(case: Case) -> list[str]:
    """One string: supply, resistor, lamps, ground."""
    lamps = int(case.at["leds"])
    row = "─▷|" * min(lamps, 3) + ("─ … " if lamps > 3 else "")
    count = int(case.at["strings"])
    drawn = f"{case.text('supply')} ─┤ {case.text('preferred')} ├{row}─ ground"
    each = f"{case.text('actual-current')} in each string" if count > 1 else case.text("actual-current")
    together = [f"{count} of these side by side: {case.text('total-current')}"] if count > 1 else []
    return [drawn, each, *together]


def bands(names: Sequence[str], meanings: Sequence[str]) -> list[str]:
    """A resistor on end, its bands in reading order, each with its colour's name and what it stands for.

    On end, since six bands side by side are wider than the answer column of an 80-column screen.
    """
    width = max(len(name) for name in names)
    lead = " " * ((width + 3) // 2)
    return [
        f"{lead}│",
        f"┌{'─' * (len(lead) - 1)}┴{'─' * (width + 2 - len(lead))}┐",
        *(f"│ {name.center(width)} │ {meaning}" for name, meaning in zip(names, meanings, strict=True)),
        f"└{'─' * (len(lead) - 1)}┬{'─' * (width + 2 - len(lead))}┘",
        f"{lead}│",
    ]


def wire_section(diameter: float, strands: int = 1) -> list[str]:
    """The section of a wire: one disc, or its strands as they lie, and their size in words.

    Args:
        diameter: Of the metal of one strand, in m.
        strands: How many strands.
    """
    size = format_value(diameter, "length", digits=3)
    if strands == 1:
        return ["  ▄▆▆▄", " ██████", " ██████", "  ▀██▀", f"⌀ {size}"]
    if strands > _MOST_DRAWN:
        return ["  ▄▒▒▄", " ▒▒▒▒▒▒", " ▒▒▒▒▒▒", "  ▀▒▒▀", f"{strands} strands of ⌀ {size}"]
    return [*_packed(strands), f"{strands} strands of ⌀ {size}"]


def _packed(count: int) -> list[str]:
    """Strands in rows of a hexagon, the last rows cut short: seven lie as 2, 3, 2."""
    rings = 0
    while 1 + 3 * rings * (rings + 1) < count:
        rings += 1
    rows = [rings + 1 + min(row, 2 * rings - row) for row in range(2 * rings + 1)]
    lines: list[str] = []
    for row in rows:
        here = min(row, count)
        count -= here
        if here:
            lines.append(" " * (2 * rings + 1 - row + 1) + " ".join("●" * here))
    return lines
