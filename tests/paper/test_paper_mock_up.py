"""The panel on sheets of paper, opened in a real renderer (resvg): rulers, crosses and holes measured on each sheet.

Sheets are A4 (210 × 297 mm, ISO 216) and Letter (215.9 × 279.4 mm, ANSI/ASME Y14.1).
"""

from __future__ import annotations

import re
import shutil
import subprocess
from dataclasses import replace
from typing import TYPE_CHECKING

import pytest
from helpers.pictures import SCALE, extent, picture

from benchtui.cli import main
from benchtui.design import load_design
from benchtui.design.cuts import cuts
from benchtui.paper.mock_up import CROSS, MARGIN, OVERLAP, mock_up, sheets_of, tiling
from benchtui.paths import shipped
from benchtui.units import exact

if TYPE_CHECKING:
    from pathlib import Path

    from benchtui.design.model import Design

pytest.importorskip("resvg_py")

DESIGN = load_design(shipped("procedures") / "hollin-cue-desk" / "design.yaml")
SMALL = load_design(shipped("procedures") / "foot-switch" / "design.yaml")
TILING = tiling(DESIGN)
SHEETS = sheets_of(DESIGN)
BROWSER = next(filter(None, map(shutil.which, ("chromium", "chromium-browser", "google-chrome"))), "")


def sized(width_mm: float, height_mm: float) -> Design:
    panel = replace(DESIGN.panel, width=exact(width_mm / 1000, "length"), height=exact(height_mm / 1000, "length"))
    return replace(DESIGN, panel=panel)


@pytest.mark.parametrize("number", range(len(SHEETS)))
def test_every_sheet_has_a_true_ruler_and_its_number(number: int) -> None:
    sheet = SHEETS[number]
    rows = picture(sheet, -1, TILING.window[1] + 2, 103, 1.8)
    left, right = extent(rows[SCALE])
    assert right - left == pytest.approx(100, abs=0.3)  # what the printer is held to (common practice)
    assert f"Page {number + 1} of {len(SHEETS)}: row" in sheet


def test_a_cross_lies_at_the_same_place_of_the_panel_on_each_of_its_sheets() -> None:
    """Both sheets of a neighbouring pair show the same two crosses, where the renderer draws them."""
    shown: dict[str, list[int]] = {}
    for number, piece in enumerate(TILING.pieces):
        bare = re.sub(r"(?s)<g clip-path.*?</g>\n</g></g>|<rect class=.*?/>|<text.*?</text>", "", SHEETS[number])
        for cross in TILING.seen(piece):
            shown.setdefault(cross.letter, []).append(number)
            x, y = cross.x - piece.x, cross.y - piece.y
            half = CROSS + 1
            across = picture(bare, x - half, y - 0.25, 2 * half, 0.5)
            down = picture(bare, x - 0.25, y - half, 0.5, 2 * half)
            left, right = extent(across[len(across) // 2])
            top, bottom = extent(bytes(row[len(row) // 2] for row in down))
            assert x - half + (left + right) / 2 == pytest.approx(x, abs=0.1)
            assert y - half + (top + bottom) / 2 == pytest.approx(y, abs=0.1)
            assert right - left == pytest.approx(2 * CROSS, abs=0.1)
    assert set(shown) == {cross.letter for cross in TILING.crosses}
    assert all(len(sheets) >= 2 for sheets in shown.values())
    for one, piece in enumerate(TILING.pieces):
        for other, near in enumerate(TILING.pieces):
            if abs(piece.row - near.row) + abs(piece.column - near.column) == 1:
                assert len(set(TILING.seen(piece)) & set(TILING.seen(near))) >= 2, (one, other)


def test_the_holes_lie_on_the_sheets_as_on_the_panel() -> None:
    """A hole of each sheet, measured: across and down from the corner of the piece, and its diameter."""
    for piece, sheet in zip(TILING.pieces, SHEETS, strict=True):
        wide, high = TILING.window
        cut = next(
            cut
            for cut in cuts(DESIGN)
            if cut.round
            and piece.x + 8 < cut.x - cut.width / 2 < cut.x + cut.width / 2 < piece.x + wide - 8
            and piece.y + 8 < cut.y - cut.height / 2 < cut.y + cut.height / 2 < piece.y + high - 8
        )
        alone = re.sub(
            r"(?s)<(circle|rect)[^>]*><title>(?!" + re.escape(cut.what) + r"</title>).*?</\1>"
            r"|<path[^>]*/>|<text.*?</text>|<rect[^>]*dasharray[^>]*/>",
            "",
            sheet,
        )
        x, y, half = cut.x - piece.x, cut.y - piece.y, cut.width / 2 + 1
        left, right = extent(picture(alone, x - half, y - 0.25, 2 * half, 0.5)[5])
        down = picture(alone, x - 0.25, y - half, 0.5, 2 * half)
        top, bottom = extent(bytes(row[len(row) // 2] for row in down))
        assert x - half + (left + right) / 2 == pytest.approx(x, abs=0.1)
        assert y - half + (top + bottom) / 2 == pytest.approx(y, abs=0.1)
        assert right - left == pytest.approx(cut.width, abs=0.1)


@pytest.mark.parametrize(
    ("width", "height", "sheets"), [(120, 80, 1), (180, 225, 1), (190, 100, 1), (440, 290, 4), (1000, 60, 5)]
)
def test_sheets_cover_the_panel_and_fit_both_papers(width: float, height: float, sheets: int) -> None:
    found = tiling(sized(width, height))
    assert len(found.pieces) == sheets
    wide, high = found.window
    assert min(p.x for p in found.pieces) <= -5 and max(p.x + wide for p in found.pieces) >= width + 5
    assert min(p.y for p in found.pieces) <= -5 and max(p.y + high for p in found.pieces) >= height + 5
    for one in found.pieces:
        for other in found.pieces:
            if (one.row, one.column + 1) == (other.row, other.column):
                assert one.x + wide - other.x == pytest.approx(OVERLAP)
    small, large = sorted(found.sheet)
    for paper in ((210, 297), (215.9, 279.4)):
        assert small <= min(paper) - 2 * MARGIN and large <= max(paper) - 2 * MARGIN
    assert len({cross.letter for cross in found.crosses}) == len(found.crosses)


def test_a_small_panel_takes_one_sheet_without_crosses() -> None:
    text = mock_up(SMALL)
    assert text.count("<svg") == 1 and 'class="cross"' not in text
    assert "Page 1 of 1." in text


def test_the_command_says_how_many_sheets(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "m.html"
    assert main(["print", "mock-up", "--design", "hollin-cue-desk", "--out", str(file)]) == 0
    assert "on 4 sheets of paper" in capsys.readouterr().out
    text = file.read_text(encoding="utf-8")
    assert text.count("<svg") == 4
    ids = re.findall(r' id="([^"]+)"', text)
    assert len(ids) == len(set(ids))


@pytest.mark.long
@pytest.mark.skipif(not (BROWSER and shutil.which("pdfinfo")), reason="chromium and pdfinfo are needed to print it")
@pytest.mark.parametrize("paper", ["A4", "letter"])
def test_a_browser_prints_one_sheet_a_page(paper: str, tmp_path: Path) -> None:
    page, pdf = tmp_path / "m.html", tmp_path / "m.pdf"
    page.write_text(mock_up(DESIGN).replace("size: landscape", f"size: {paper} landscape"), encoding="utf-8")
    command = [BROWSER, "--headless", "--no-sandbox", "--no-pdf-header-footer", f"--print-to-pdf={pdf}", str(page)]
    subprocess.run(command, check=True, capture_output=True, timeout=120)
    told = subprocess.run(["pdfinfo", str(pdf)], check=True, capture_output=True, text=True, timeout=60).stdout
    assert re.search(r"Pages:\s+4\b", told)
