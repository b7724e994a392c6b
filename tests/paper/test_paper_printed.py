"""The manual opened in a browser and printed on A4 and on Letter: what can be judged of the pages without eyes.

Every step is on paper with its details, its answers and what makes it good, in the order of the procedure, and each of
its cautions stands between the step before and itself. Nothing is lost or cut, no heading and no caution is left alone
at the foot of a page, no caution is torn, a table that goes on names its columns again, and a step stands on the page
of its cautions.
"""

from __future__ import annotations

import re
import shutil
import subprocess
from collections import Counter
from functools import cache
from html import unescape
from itertools import groupby
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple
from unicodedata import normalize

import pytest

from benchtui.content.library import Library
from benchtui.paper.document import Document, GuardedTable, Heading, Paragraph, RepeatBlock, StepBlock, Table, Warn
from benchtui.paper.html import html
from benchtui.paper.manual import manual
from benchtui.paper.sheets import wiring_sheet
from benchtui.paper.source import Source
from benchtui.paper.tested import test_sheet as sheet
from benchtui.paths import shipped

if TYPE_CHECKING:
    from collections.abc import Mapping

    from benchtui.jobs.plan import Plan, PlanStep

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


REST = 3000
"""Letters and digits that details, answers and wires of one step may take after its text."""


class Word(NamedTuple):
    """A word of a page with its box in points, y downwards."""

    text: str
    left: float
    top: float
    right: float
    bottom: float


@cache
def source_of(name: str) -> Source:
    design = "foot-switch" if name.startswith("small") else "hollin-cue-desk"
    return Source(Library.open([shipped("procedures"), shipped("checklists")]), design=design)


@cache
def document(name: str) -> Document:
    make = {"wiring": wiring_sheet, "test sheet": sheet}.get(name.removeprefix("small "), manual)
    return make(source_of(name))


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


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("name", ["manual", "small manual"])
def test_every_step_is_on_paper_after_its_cautions(name: str, size: str, tmp_path: Path) -> None:
    """What the procedures say (laid out by the jobs, not by the printer) against the text of the printed file."""
    pages(name, size, tmp_path)
    done = subprocess.run(
        ["pdftotext", "-raw", str(tmp_path / "page.pdf"), "-"], check=True, capture_output=True, timeout=300
    )
    text = plain(done.stdout.decode("utf-8"))
    source = source_of(name)
    plans = [*source.with_called(source.ids("procedure")), *map(source.checklist, source.ids("checklist"))]
    assert len(plans) > 30
    steps = sum(_plan_is_on_paper(plan, text, source.titles) for plan in plans)
    assert steps > (800 if name == "manual" else 300)


def _plan_is_on_paper(plan: Plan, text: str, titles: Mapping[str, str]) -> int:
    """Steps of a plan that were found, each after its cautions and before the next."""
    head = plain(f"{plan.title}Revision {plan.revision}")
    assert text.count(head) == 1, f"{plan.id} stands {text.count(head)} times"
    place = start = text.index(head) + len(head)
    groups = [tuple(group) for _, group in groupby(plan.steps, key=lambda step: step.step_id)]
    begins = []
    for same in groups:
        begins.append(place)
        for step in same:
            found = text.find(plain(f"{step.number}{_words(step, titles)}"), place)
            assert found >= 0, f"{plan.id}: step {step.number} is not on paper in its order: {step.text!r}"
            # The rows of a table share the cautions before the first of them.
            _cautions_stand_before(plan, step, text, start, begins[-1], found)
            place = found + 1
    ends = [*begins[1:], place]
    for same, begin, end in zip(groups, begins, ends, strict=True):
        # What belongs to the last step of a group follows it, and is over where the next one begins.
        following = text.find(plain(f"{same[-1].number + 1}"), end)
        _rest_is_there(plan, same, text[begin : max(following, end) + REST])
    return len(plan.steps)


def _words(step: PlanStep, titles: Mapping[str, str]) -> str:
    if step.act == "call":
        return f"Go through “{titles[step.call]}”, then come back to this step. {step.text}"
    return f"{step.text}: {step.response}" if step.response else step.text


def _cautions_stand_before(plan: Plan, step: PlanStep, text: str, start: int, before: int, found: int) -> None:
    for caution in step.cautions:
        at = text.rfind(plain(caution.signal + caution.hazard), before, found)
        assert at >= 0, f"{plan.id}: step {step.number} has no {caution.id!r} between the step before and itself"
        whole = plain(caution.hazard + caution.consequence + caution.avoid)
        assert whole in text[start:found], f"{plan.id}: step {step.number}: {caution.id!r} was not in full before it"


def _rest_is_there(plan: Plan, same: tuple[PlanStep, ...], text: str) -> None:
    """Details, what makes it good, answers and limits: each once for the group, or in its rows."""
    for step in same:
        said = [*step.detail, step.accept, step.source, *(choice.text for choice in step.choices)]
        said += [step.limits.text, step.limits.where] if step.limits else []
        if step.act == "do" or (step.subject and step.subject.kind == "wires"):
            said += [end for wire in step.wires for end in (wire.start, wire.end)]
        for each in filter(None, said):
            assert plain(each) in text, f"{plan.id}: step {step.number} lost {each!r}"


def plain(text: str) -> str:
    """Letters and digits alone, ligatures undone."""
    return squeezed(normalize("NFKC", text))


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
