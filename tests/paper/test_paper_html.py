"""Printed pages: well-formed, self-contained, cautions before their steps, nothing of the plan left out."""

from __future__ import annotations

import re
from functools import cache
from html.parser import HTMLParser

import pytest

from benchtui.content.library import Library
from benchtui.paper import sheets
from benchtui.paper.document import Document, GuardedTable, Heading, Paragraph, StepBlock, Warn
from benchtui.paper.html import html
from benchtui.paper.manual import manual
from benchtui.paper.markdown import markdown
from benchtui.paper.source import Source
from benchtui.paper.tested import test_sheet as sheet_of
from benchtui.paths import shipped

VOID = {"meta", "col", "br", "hr", "img"}


@cache
def source() -> Source:
    library = Library.open([shipped("procedures"), shipped("checklists")])
    return Source(library, design="hollin-cue-desk")


@cache
def documents() -> dict[str, Document]:
    return {
        "procedure": sheets.procedure_sheet(source(), "hollin-assembly"),
        "checklist": sheets.checklist_sheet(source(), "load-in"),
        "wiring": sheets.wiring_sheet(source()),
        "test sheet": sheet_of(source(), unit="007"),
        "manual": manual(source()),
    }


NAMES = ("procedure", "checklist", "wiring", "test sheet", "manual")


@cache
def page(name: str) -> str:
    return html(documents()[name])


class Page(HTMLParser):
    """Elements of a page in order, with the checks a browser would be too kind to make."""

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.classes: list[list[str]] = []
        self.ids: list[str] = []
        self.links: list[str] = []
        self.order: list[tuple[str, str]] = []
        """(what, section): "caution" and "act" in the order they come, with the section they are in."""
        self.section = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        values = {key: value or "" for key, value in attrs}
        assert not {"src", "onclick", "onload"} & values.keys()
        assert tag not in ("script", "link", "img", "iframe", "object")
        if "id" in values:
            self.ids.append(values["id"])
        if "href" in values:
            self.links.append(values["href"])
        classes = values.get("class", "").split()
        if tag == "section":
            self.section = values["id"]
        if "caution" in classes:
            self.order.append(("caution", self.section))
        if "act" in classes:
            self.order.append(("act", self.section))
        if tag not in VOID:
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open and self.open[-1] == tag, f"</{tag}> closes {self.open[-3:]}"
        self.open.pop()
        if tag == "section":
            self.section = ""


def parsed(text: str) -> Page:
    reader = Page()
    reader.feed(text)
    reader.close()
    assert reader.open == []
    return reader


@pytest.mark.parametrize("name", NAMES)
def test_it_is_balanced_and_needs_nothing_else(name: str) -> None:
    text = page(name)
    reader = parsed(text)
    assert "http" not in text and "url(" not in text and "@import" not in text
    assert len(set(reader.ids)) == len(reader.ids)
    assert {link.removeprefix("#") for link in reader.links} <= set(reader.ids)


@pytest.mark.parametrize("name", ["procedure", "checklist", "manual"])
def test_cautions_stand_before_the_act_of_their_step_and_never_after_it(name: str) -> None:
    done: set[str] = set()
    for what, section in parsed(page(name)).order:
        if what == "act":
            done.add(section)
        else:
            assert not section or section not in done, f"a caution follows the act in {section}"


def test_every_step_of_the_plan_is_there_with_its_cautions_and_limits() -> None:
    text = page("procedure")
    order = parsed(text).order
    plan = source().procedure("hollin-assembly")
    shown = text.replace("&#x27;", "'").replace("&quot;", '"').replace("&amp;", "&")
    for step in plan.steps:
        if step.act != "call":
            assert step.text in shown
        if step.limits is not None:
            assert step.limits.text in shown
    with_cautions = {step.step_id for step in plan.steps if step.cautions}
    found = {section.removeprefix("hollin-assembly-").partition("@")[0] for what, section in order if what == "caution"}
    assert with_cautions <= found


def test_a_caution_is_in_full_at_its_first_place_in_each_section() -> None:
    full: set[str] = set()
    for block in documents()["procedure"].blocks:
        if isinstance(block, Heading):
            full = set()
        for warn in getattr(block, "cautions", ()):
            assert isinstance(warn, Warn)
            assert warn.again == (warn.id in full)
            full.add(warn.id)


def test_the_test_sheet_has_a_line_for_each_reading_of_the_assembly() -> None:
    plan = source().procedure("hollin-assembly")
    readings = [step for step in plan.steps if step.limits is not None]
    text = page("test sheet")
    assert "007" in text
    assert text.count('<td class="blank">') >= len(readings)


def test_the_wiring_list_names_every_wire_in_each_of_its_orders() -> None:
    from benchtui.design.wiring import wires

    text = page("wiring")
    for run in wires(source().design):
        # in building order, by control, and where it ends in a housing by connector; among the lengths of its reel
        assert text.count(f"<td>{run.id}</td>") == (3 if run.connector else 2)
        assert f"{run.id} {run.length * 1000:.0f}" in text


def test_the_manual_holds_everything_a_newcomer_needs() -> None:
    text = page("manual")
    for procedure in source().ids("procedure"):
        assert f'id="{procedure}"' in text
    for checklist in source().ids("checklist"):
        assert f'id="{checklist}"' in text
    for line in (
        "If it smokes, smells or shocks",
        "From the rear",
        "Parts of one unit",
        "In building order",
        "Board pins",
        "What each test point reads",
    ):
        assert line in text
    assert "Local codes" in text


def test_the_table_of_test_points_has_its_cautions_before_it() -> None:
    blocks = documents()["manual"].blocks
    heading = next(n for n, block in enumerate(blocks) if isinstance(block, Heading) and block.anchor == "points")
    table = next(block for block in blocks[heading:] if isinstance(block, GuardedTable))
    assert {"power-on", "ohms-on-power"} <= {caution.id for caution in table.cautions}
    for text in (html(Document("t", "s", (table,))), markdown(Document("t", "s", (table,)))):
        assert text.index(table.cautions[-1].avoid[:30]) < text.index(table.table.columns[1])


def test_text_that_looks_like_marks_stays_text() -> None:
    odd = 'a < b & [x] *y* <script> "q" | z'
    document = Document(odd, odd, (Paragraph(odd),))
    text = html(document)
    assert "<script>" not in text
    parsed(text)
    assert "\\[x\\] \\*y\\* \\<script\\>" in markdown(document)


@pytest.mark.parametrize("name", NAMES)
def test_markdown_says_the_same(name: str) -> None:
    text = markdown(documents()[name])
    assert text.startswith("# ")
    assert "- [ ]" in text or "☐" in text
    for row in re.findall(r"^\|.*\|$", text, re.M):
        assert row.count(" | ") >= 1


def test_markdown_has_the_caution_before_its_step() -> None:
    document = documents()["procedure"]
    step = next(block for block in document.blocks if isinstance(block, StepBlock) and block.cautions)
    text = markdown(Document("t", "s", (step,)))
    assert text.index(step.cautions[0].signal) < text.index(f"**{step.number}.**")
