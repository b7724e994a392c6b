"""The panel as a drawing, 1:1 in millimetres: one layer to cut by, one to print on paper and try with the hands.

Shops disagree on what a colour means and on who allows for the cut's own width, so the drawing is black, its layers are
groups named `cut` and `paper`, and what was assumed is printed on it.
"""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING, Final, Literal

from benchtui.design.checks.space import front
from benchtui.design.cuts import cuts
from benchtui.design.legends import CAPITAL, LEADING, WIDE, legends

if TYPE_CHECKING:
    from benchtui.design.cuts import Cut
    from benchtui.design.legends import Legend
    from benchtui.design.model import Control, Design

Layer = Literal["cut", "paper"]

MARGIN: Final = 15.0
"""mm round the panel."""
FOOT: Final = 38.0
"""mm under it for the ruler and the words."""
HAIR: Final = 0.1
"""mm of a line that is cut."""
RULER: Final = 100.0
"""mm of the ruler that shows whether a printer kept to scale: 100 mm within 0.3 mm (common practice)."""


def svg_of(
    design: Design,
    *,
    layers: tuple[Layer, ...] = ("cut", "paper"),
    kerf_mm: float | None = None,
    allowance_mm: float | None = None,
) -> str:
    """The drawing, seen from the front.

    Args:
        design: The design.
        layers: Which layers to draw: `cut` for the shop, `paper` for the mock-up, both by default.
        kerf_mm: Width that the cutter removes, drawn in so that holes come out right; the design's own when left out.
            0 leaves it to the shop.
        allowance_mm: Added to the diameter of each hole for paint or anodising; the design's own when left out.
    """
    panel = design.panel
    kerf = panel.kerf.value * 1000 if kerf_mm is None else kerf_mm
    allowance = panel.allowance.value * 1000 if allowance_mm is None else allowance_mm
    width, height = panel.width.value * 1000, panel.height.value * 1000
    page = (width + 2 * MARGIN, height + 2 * MARGIN + FOOT)
    parts = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{page[0]:g}mm" height="{page[1]:g}mm" '
        f'viewBox="{-MARGIN:g} {-MARGIN:g} {page[0]:g} {page[1]:g}">',
        f"<title>{escape(design.title)}, revision {design.revision}: panel, front, 1:1 in mm</title>",
    ]
    if "cut" in layers:
        parts += _cut_layer(design, kerf, allowance)
    if "paper" in layers:
        parts += _paper_layer(design)
        parts += _foot(design, assumptions(design, kerf, allowance))
    parts.append("</svg>")
    return "\n".join(parts) + "\n"


def drawing(design: Design) -> list[str]:
    """Both layers as lines of SVG in mm, from the upper left corner, with the design's own kerf and allowance."""
    panel = design.panel
    return [*_cut_layer(design, panel.kerf.value * 1000, panel.allowance.value * 1000), *_paper_layer(design)]


def assumptions(design: Design, kerf: float, allowance: float) -> tuple[str, ...]:
    """What the drawing takes for granted, in words; lengths in mm."""
    panel = design.panel
    return (
        f"{design.title}, revision {design.revision}. Front view, 1:1, all sizes in mm. Sheet: {panel.material}, "
        f"{panel.thickness.text or panel.thickness}{', ' + panel.finish if panel.finish else ''}.",
        f"Kerf of {kerf:g} mm drawn in: holes are drawn smaller by it and the outline larger. The shop adds none."
        if kerf
        else "No kerf drawn in: lines are the finished edges, and the shop allows for its own cut.",
        f"Holes are drawn {allowance:g} mm larger for the finish."
        if allowance
        else "No allowance for paint or anodising.",
        f"Legends: capitals {panel.legend_height.value * 1000:g} mm high, on the paper layer alone; letters "
        f"{WIDE:g} of their size wide on average (estimate).",
        "Measure the ruler on the print: 100 mm within 0.3 mm, or the printer has scaled it (common practice).",
    )


def _cut_layer(design: Design, kerf: float, allowance: float) -> list[str]:
    panel = design.panel
    width, height, corner = panel.width.value * 1000, panel.height.value * 1000, panel.corner.value * 1000
    lines = [f'<g id="cut" fill="none" stroke="#000" stroke-width="{HAIR:g}">']
    # Inside cuts come first: a sheet that has been cut free moves.
    lines += [_cut_line(cut, kerf, allowance) for cut in cuts(design)]
    lines.append(
        f'<rect id="outline" x="{-kerf / 2:g}" y="{-kerf / 2:g}" width="{width + kerf:g}" height="{height + kerf:g}" '
        f'rx="{corner + kerf / 2 if corner else 0:g}"/>'
    )
    lines.append("</g>")
    return lines


def _cut_line(cut: Cut, kerf: float, allowance: float) -> str:
    width, height = cut.width + allowance - kerf, cut.height + allowance - kerf
    name = escape(cut.what, quote=True)
    if cut.round:
        return f'<circle cx="{cut.x:g}" cy="{cut.y:g}" r="{width / 2:g}"><title>{name}</title></circle>'
    return (
        f'<rect x="{cut.x - width / 2:g}" y="{cut.y - height / 2:g}" width="{width:g}" height="{height:g}" '
        f'rx="{min(width, height) / 2:g}"><title>{name}</title></rect>'
    )


def _paper_layer(design: Design) -> list[str]:
    lines = ['<g id="paper" fill="none" stroke="#777" stroke-width="0.15" font-family="sans-serif">']
    for control in design.controls:
        lines += _marks(design, control)
    for legend in legends(design):
        lines += _legend(legend)
    lines.append("</g>")
    return lines


def _legend(legend: Legend) -> list[str]:
    """A legend where it covers nothing, line by line."""
    first = legend.box.y - legend.box.height / 2 + legend.size * (1 + CAPITAL) / 2
    return [
        f'<text x="{legend.box.x:g}" y="{first + n * legend.size * LEADING:g}" font-size="{legend.size:g}" '
        f'text-anchor="middle" fill="#000" stroke="none">{escape(text)}</text>'
        for n, text in enumerate(legend.lines)
    ]


def _marks(design: Design, control: Control) -> list[str]:
    """Centre mark and id of a control, and what a finger meets."""
    x, y = control.x_mm, control.y_mm
    lines = [f'<path d="M{x - 3:g} {y:g}H{x + 3:g}M{x:g} {y - 3:g}V{y + 3:g}"/>']
    box = front(design, control)
    if box is not None:
        lines.append(
            f'<rect x="{box.x - box.width / 2:g}" y="{box.y - box.height / 2:g}" width="{box.width:g}" '
            f'height="{box.height:g}" stroke-dasharray="1 1"/>'
        )
    lines.append(
        f'<text x="{x + 0.6:g}" y="{y - 0.6:g}" font-size="2.2" fill="#555" stroke="none">{escape(control.id)}</text>'
    )
    return lines


def ruler(top: float) -> str:
    """Path of the ruler, its line at `top` in mm."""
    ticks = "".join(f"M{mm} {top:g}v{4 if mm % 50 == 0 else 2.5 if mm % 10 == 0 else 1.5}" for mm in range(0, 101, 5))
    return f"M0 {top:g}H{RULER:g}{ticks}"


def _foot(design: Design, words: tuple[str, ...]) -> list[str]:
    top = design.panel.height.value * 1000 + 10
    lines = [
        '<g id="check" fill="#000" font-family="sans-serif" font-size="3.2">',
        f'<path id="ruler" d="{ruler(top)}" fill="none" stroke="#000" stroke-width="0.2"/>',
        f'<text x="{RULER + 3:g}" y="{top + 3:g}">100 mm</text>',
    ]
    lines += [f'<text x="0" y="{top + 11 + 5 * n:g}">{escape(line)}</text>' for n, line in enumerate(words)]
    lines.append("</g>")
    return lines
