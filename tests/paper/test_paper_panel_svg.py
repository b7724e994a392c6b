"""The panel drawing opened in a real renderer (resvg): holes lie where the design puts them, and are as large."""

from __future__ import annotations

import re
import struct

import pytest
from helpers.pictures import SCALE, extent, picture

from benchtui.design import load_design
from benchtui.design.cuts import Cut, cuts
from benchtui.design.legends import legends
from benchtui.paper.panel_svg import assumptions, svg_of
from benchtui.paths import shipped

resvg_py = pytest.importorskip("resvg_py")

DESIGN = load_design(shipped("procedures") / "hollin-cue-desk" / "design.yaml")
TOLERANCE = 0.1
"""mm: two pixels."""


def measured(svg: str, cut: Cut) -> tuple[float, float, float, float]:
    """Middle, width and height of a cut as the renderer draws it, in mm."""
    half = max(cut.width, cut.height) / 2 + 1
    across = picture(svg, cut.x - half, cut.y - 0.25, 2 * half, 0.5)
    down = picture(svg, cut.x - 0.25, cut.y - half, 0.5, 2 * half)
    left, right = extent(across[len(across) // 2])
    top, bottom = extent(bytes(row[len(row) // 2] for row in down))
    return cut.x - half + (left + right) / 2, cut.y - half + (top + bottom) / 2, right - left, bottom - top


def chosen() -> list[Cut]:
    """One cut of each part and shape, and two of the panel's own."""
    found = {(cut.part, cut.what.partition(" of ")[0], cut.round): cut for cut in cuts(DESIGN)}
    return list(found.values())


@pytest.mark.parametrize("cut", chosen(), ids=lambda cut: cut.what)
def test_each_kind_of_cut_lies_where_it_belongs(cut: Cut) -> None:
    others = [other for other in cuts(DESIGN) if other is not cut]
    half = max(cut.width, cut.height) / 2 + 1
    crowded = any(abs(o.x - cut.x) < half + o.width / 2 and abs(o.y - cut.y) < half + o.height / 2 for o in others)
    svg = svg_of(DESIGN, layers=("cut",))
    if crowded:  # neighbours of the same part reach into the window: draw this one alone
        svg = re.sub(r"<(circle|rect)[^>]*><title>(?!" + re.escape(cut.what) + r"</title>).*?</\1>", "", svg)
    x, y, width, height = measured(svg, cut)
    assert (x, y) == (pytest.approx(cut.x, abs=TOLERANCE), pytest.approx(cut.y, abs=TOLERANCE))
    assert width == pytest.approx(cut.width, abs=TOLERANCE)
    assert height == pytest.approx(cut.height, abs=TOLERANCE)


def test_kerf_shrinks_holes_and_grows_the_outline() -> None:
    """3 mm cast acrylic, kerf 0.15 mm: draw 7.05 to get 7.2 (a cutting shop's figure, trade notes 1.4)."""
    hole = next(cut for cut in cuts(DESIGN) if cut.what == "hole of K1")
    svg = svg_of(DESIGN, layers=("cut",), kerf_mm=0.15)
    assert f'cx="{hole.x:g}" cy="{hole.y:g}" r="3.525"' in svg
    assert 'x="-0.075" y="-0.075" width="440.15" height="290.15"' in svg
    assert "Kerf of 0.15 mm drawn in" in svg_of(DESIGN, kerf_mm=0.15)
    assert any("No kerf drawn in" in line for line in assumptions(DESIGN, 0.0, 0.0))


def test_the_ruler_is_a_hundred_millimetres_long() -> None:
    top = DESIGN.panel.height.value * 1000 + 10
    rows = picture(svg_of(DESIGN, layers=("paper",)), -1, top - 1, 103, 1.8)
    left, right = extent(rows[SCALE])
    assert right - left == pytest.approx(100, abs=0.3)


def test_the_page_is_to_scale_and_every_control_is_named_on_it() -> None:
    svg = svg_of(DESIGN)
    assert 'width="470mm" height="358mm" viewBox="-15 -15 470 358"' in svg
    for control in DESIGN.controls:
        assert f">{control.id}</text>" in svg
    for legend in legends(DESIGN):
        for text in legend.lines:
            assert f">{text}</text>" in svg
    assert "<text" not in svg_of(DESIGN, layers=("cut",))  # live text has no place in what is cut


def test_the_page_is_as_large_in_the_renderer_as_it_says() -> None:
    """At 254 pixels for an inch of 25.4 mm, a millimetre is ten pixels."""
    png = bytes(resvg_py.svg_to_bytes(svg_string=svg_of(DESIGN), background="white", dpi=254))
    assert struct.unpack(">II", png[16:24]) == (4700, 3580)


def test_the_tail_of_a_ribbon_leaves_at_its_end() -> None:
    """R1 lies across, its middle at 150, 215, turned by 90 degrees: what is 111 mm down comes out on the left."""
    slot = next(cut for cut in cuts(DESIGN) if cut.what == "slot of R1")
    assert (slot.x, slot.y, slot.width, slot.height) == pytest.approx((39, 215, 1.5, 14))


def test_a_drawn_legend_stays_in_the_room_that_was_kept_for_it() -> None:
    """All ink of each line lies inside its box, as the renderer's own letters come out."""
    svg = re.sub(r"<(circle|rect|path)[^>]*/>", "", svg_of(DESIGN, layers=("paper",)))
    svg = re.sub(r'<text[^>]*font-size="2.2"[^>]*>[^<]*</text>', "", svg)
    for legend in legends(DESIGN):
        box = legend.box
        rows = picture(svg, box.x - box.width / 2 - 2, box.y - box.height / 2 - 2, box.width + 4, box.height + 4)
        inked = [place for place, row in enumerate(rows) if min(row) < 128]
        assert inked, legend
        assert inked[0] / SCALE >= 2 - 0.3 and inked[-1] / SCALE <= box.height + 2 + 0.3, legend
        columns = [place for place in range(len(rows[0])) if min(row[place] for row in rows) < 128]
        assert columns[0] / SCALE >= 2 and columns[-1] / SCALE <= box.width + 2, legend
