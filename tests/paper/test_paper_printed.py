"""The manual opened in a browser and printed on A4 and on Letter: what can be judged of the pages without eyes.

Nothing is lost or cut, no heading and no caution is left alone at the foot of a page, no caution is torn, a table that
goes on names its columns again, and a step stands on the page of its cautions.
"""

from __future__ import annotations

import re
import shutil
import subprocess
from collections import Counter
from functools import cache
from html import unescape
from pathlib import Path
from typing import NamedTuple

import pytest

from benchtui.content.library import Library
from benchtui.paper.document import Document, GuardedTable, Heading, Paragraph, RepeatBlock, StepBlock, Table, Warn
from benchtui.paper.html import html
from benchtui.paper.manual import manual
from benchtui.paper.sheets import wiring_sheet
from benchtui.paper.source import Source
from benchtui.paper.tested import test_sheet as sheet
from benchtui.paths import shipped

BROWSER = next(filter(None, map(shutil.which, ("chromium", "chromium-browser", "google-chrome"))), "")

pytestmark = [
    pytest.mark.long,
    pytest.mark.skipif(
        not (BROWSER and shutil.which("pdftotext")), reason="chromium and pdftotext are needed to print pages for real"
    ),
]

SIZES = {"A4": (595.0, 842.0), "Letter": (612.0, 792.0)}
"""Points."""
MARGIN = 15 * 72 / 25.4
"""Points of the page's side margins, as the style has them."""
SIGNALS = ("DANGER", "WARNING", "CAUTION", "NOTICE")


class Word(NamedTuple):
    """A word of a page with its box in points, y downwards."""

    text: str
    left: float
    top: float
    right: float
    bottom: float


@cache
def document(name: str) -> Document:
    design = "foot-switch" if name.startswith("small") else "hollin-cue-desk"
    source = Source(Library.open([shipped("procedures"), shipped("checklists")]), design=design)
    make = {"wiring": wiring_sheet, "test sheet": sheet}.get(name.removeprefix("small "), manual)
    return make(source)


def pages(name: str, size: str, folder: Path) -> list[list[Word]]:
    """The words of each page, without its footer."""
    written, pdf, found = folder / "page.html", folder / "page.pdf", folder / "words.html"
    text = html(document(name)).replace("</style>", f"@page {{ size: {size}; }}\n</style>", 1)
    written.write_text(text, encoding="utf-8")
    options = ("--headless", "--no-sandbox", "--disable-gpu", "--no-pdf-header-footer", f"--user-data-dir={folder}/u")
    command = [BROWSER, *options, f"--print-to-pdf={pdf}", written.as_uri()]
    subprocess.run(command, check=True, capture_output=True, timeout=300)
    subprocess.run(["pdftotext", "-bbox", str(pdf), str(found)], check=True, capture_output=True, timeout=300)
    every = []
    for sheet_text in found.read_text(encoding="utf-8").split("<page ")[1:]:
        width, height = (float(value) for value in re.findall(r'(?:width|height)="([\d.]+)"', sheet_text)[:2])
        assert (width, height) == pytest.approx(SIZES[size], abs=1.0)
        words = [
            Word(unescape(text), *(float(each) for each in box))
            for *box, text in re.findall(
                r'<word xMin="([-\d.]+)" yMin="([-\d.]+)" xMax="([-\d.]+)" yMax="([-\d.]+)">(.*?)</word>', sheet_text
            )
        ]
        every.append([word for word in words if word.bottom < height - 16 * 72 / 25.4 + 1])
    return every


def lines_of(page: list[Word]) -> list[str]:
    """The page line by line, from top to bottom."""
    rows: list[list[Word]] = []
    for word in sorted(page, key=lambda each: (each.top + each.bottom, each.left)):
        middle = (word.top + word.bottom) / 2
        if rows and abs(middle - (rows[-1][0].top + rows[-1][0].bottom) / 2) < 3:
            rows[-1].append(word)
        else:
            rows.append([word])
    return [" ".join(word.text for word in sorted(row, key=lambda each: each.left)) for row in rows]


def squeezed(text: str) -> str:
    """Letters and digits alone, so that line breaks and hyphens do not matter."""
    return "".join(letter for letter in text if letter.isalnum())


CASES = [
    pytest.param(name, size, id=f"{name} {size}")
    for name in ("manual", "small manual", "test sheet", "wiring")
    for size in SIZES
]


@pytest.mark.parametrize(("name", "size"), CASES)
def test_the_pages_hold_together(name: str, size: str, tmp_path: Path) -> None:
    every = pages(name, size, tmp_path)
    lines = [lines_of(page) for page in every]
    wide = SIZES[size][0]
    blocks = document(name).blocks
    for number, page in enumerate(every, start=1):
        for word in page:
            inside = word.left >= MARGIN - 2 and word.right <= wide - MARGIN + 2
            assert inside, f"page {number}: {word.text!r} lies outside the margins"
    _nothing_is_lost(name, every)
    _nothing_stands_alone(blocks, lines)
    _cautions_are_whole_and_with_their_step(blocks, lines)


def _nothing_is_lost(name: str, every: list[list[Word]]) -> None:
    """Every word of the page's own text is on paper at least as often; a table's head may come more often."""
    body = re.sub(r"<svg.*?</svg>|<pre>.*?</pre>", " ", html(document(name)).partition("<main>")[2], flags=re.DOTALL)
    wanted = Counter(re.findall(r"[^\W_]{3,}", unescape(re.sub(r"<[^>]+>", " ", body))))
    # Long words are broken where a column ends, so letters are counted in a row, not word by word.
    text = squeezed("".join(word.text for page in every for word in page))
    lost = {word: count for word, count in wanted.items() if text.count(word) < count}
    assert len(lost) <= len(wanted) // 50, f"lost on the way to paper: {dict(list(lost.items())[:10])}"


def _nothing_stands_alone(blocks: tuple[object, ...], lines: list[list[str]]) -> None:
    """No heading is the last line of a page, and no page begins a table's rest without its head."""
    headings = {squeezed(block.text) for block in blocks if isinstance(block, Heading)}
    headings |= {squeezed(block.text) for block in blocks if isinstance(block, Paragraph) and block.with_next}
    heads = {squeezed("".join(table.columns)) for table in _tables(blocks)}
    for number, page in enumerate(lines, start=1):
        if not page or number == len(lines):
            continue
        assert squeezed(page[-1]) not in headings, f"page {number} ends with the heading {page[-1]!r}"
        assert squeezed(page[-1]) not in heads, f"page {number} ends with the head of a table: {page[-1]!r}"


def _tables(blocks: tuple[object, ...]) -> list[Table]:
    found = [block for block in blocks if isinstance(block, Table)]
    found += [block.table for block in blocks if isinstance(block, RepeatBlock | GuardedTable)]
    return found + [block.wires for block in blocks if isinstance(block, StepBlock) and block.wires is not None]


def _cautions_are_whole_and_with_their_step(blocks: tuple[object, ...], lines: list[list[str]]) -> None:
    """Each caution's signal word, its last words, and the step it belongs to are on one page, in this order."""
    text = [squeezed("".join(page)) for page in lines]
    at = (0, 0)
    for block in blocks:
        cautions = (block,) if isinstance(block, Warn) else getattr(block, "cautions", ())
        if not cautions:
            continue
        where = at
        for warn in cautions:
            begin = _find(text, squeezed(warn.signal + warn.hazard), where)
            last = squeezed(warn.hazard if warn.again else warn.first_aid or warn.avoid)
            end = _find(text, last, begin)
            assert begin[0] == end[0], f"the caution {warn.id!r} is torn between pages {begin[0] + 1} and {end[0] + 1}"
            where = end
        if isinstance(block, StepBlock | RepeatBlock):
            act = squeezed(f"{block.number}{block.text}" if isinstance(block, StepBlock) else block.title)
            step = _find(text, act[:60], where)
            assert step[0] == where[0], f"{act[:60]!r} is not on page {where[0] + 1}, with its cautions"
            where = step
        elif isinstance(block, GuardedTable):
            head = _find(text, squeezed("".join(block.table.columns)), where)
            assert head[0] == where[0], f"the table of page {head[0] + 1} is not with its cautions"
            first = _find(text, squeezed("".join(block.table.rows[0]))[:20], head)
            assert first[0] == head[0], f"the table of page {head[0] + 1} begins on the next"
        at = where


def _find(text: list[str], words: str, start: tuple[int, int]) -> tuple[int, int]:
    """Page and place of words, at or after a place."""
    page, place = start
    while page < len(text):
        found = text[page].find(words, place)
        if found >= 0:
            return page, found
        page, place = page + 1, 0
    raise AssertionError(f"{words[:60]!r} is nowhere after page {start[0] + 1}")
