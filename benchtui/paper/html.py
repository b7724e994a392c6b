"""A document as one HTML file that needs nothing else: style inside, no script, no font, no address."""

from __future__ import annotations

import re
from html import escape
from pathlib import Path
from typing import TYPE_CHECKING

from benchtui.paper.document import (
    DITTO,
    TICK,
    Blanks,
    Contents,
    Drawing,
    GuardedTable,
    Heading,
    Lines,
    Paragraph,
    Picture,
    RepeatBlock,
    StepBlock,
    Table,
    Warn,
)

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from benchtui.paper.document import Block, Document

BOX = '<span class="box" role="img" aria-label="box to tick"></span>'
"""A box to tick, drawn by the style, so that it prints the same with every font."""

_DATE = re.compile(r"\(?\d{4}-\d\d-\d\d(?: \d\d:\d\d)?\)?")
_STYLE = Path(__file__).with_name("paper.css")


def html(document: Document) -> str:
    """The document as one self-contained HTML page."""
    body = "\n".join(_block(block) for block in document.blocks)
    style = _STYLE.read_text(encoding="utf-8")
    footer = _css_text(f"{document.title} · {document.subtitle}")
    return f"""<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>{escape(document.title)}</title>
<style>
{style}@page {{ @bottom-left {{ content: {footer}; }} }}
</style>
</head>
<body>
<header><h1>{escape(document.title)}</h1><p class="subtitle">{escape(document.subtitle)}</p></header>
<main>
{body}
</main>
</body>
</html>
"""


def _block(block: Block) -> str:
    if isinstance(block, Heading):
        anchor = f' id="{escape(block.anchor)}"' if block.anchor else ""
        style = ' class="new-page"' if block.new_page else ' class="closing"' if block.closing else ""
        return f"<h{block.level}{anchor}{style}>{escape(block.text)}</h{block.level}>"
    if isinstance(block, Paragraph):
        style = ' class="leading"' if block.with_next else ""
        return f"<p{style}>{escape(block.text)}</p>"
    if isinstance(block, Lines):
        return _list(block.lines, ticks=block.ticks)
    if isinstance(block, Contents):
        entries = "".join(f'<li><a href="#{escape(anchor)}">{escape(text)}</a></li>' for text, anchor in block.entries)
        return f'<nav><ol class="contents">{entries}</ol></nav>'
    if isinstance(block, Blanks):
        return _blanks((label, known, "") for label, known in block.fields)
    if isinstance(block, Picture):
        title = f"<figcaption>{escape(block.title)}</figcaption>" if block.title else ""
        return f"<figure>{title}<pre>{escape(block.text)}</pre></figure>"
    if isinstance(block, Drawing):
        return f"<figure><figcaption>{escape(block.title)}</figcaption>{_inline(block.svg)}</figure>"
    if isinstance(block, Table):
        return _table(block)
    if isinstance(block, Warn):
        return _warn(block, style=" listed")  # it stands by itself, so it need not keep to what follows
    if isinstance(block, GuardedTable):
        return _guarded(block)
    if isinstance(block, StepBlock):
        return "".join(_step(block))
    return "".join(_repeat(block))


def _step(step: StepBlock) -> Iterator[str]:
    yield f'<section class="step" id="{escape(step.anchor)}">'
    yield from map(_warn, step.cautions)
    yield f'<div class="act">{BOX}<span class="number">{step.number}</span>'
    yield f'<div class="words"><p class="do">{escape(step.text)}{_marks(step.marks)}</p>'
    yield _extras(step.detail, step.accept)
    if step.wires is not None:
        yield _table(step.wires)
    if step.answers:
        yield _list(step.answers, ticks=True)
    if step.blanks:
        yield _blanks((label, "", limits) for label, limits in step.blanks)
    yield _source(step.source)
    yield "</div></div></section>\n"


def _repeat(repeat: RepeatBlock) -> Iterator[str]:
    yield f'<section class="repeat" id="{escape(repeat.anchor)}">'
    yield '<div class="lead">'
    yield from map(_warn, repeat.cautions)
    yield f'<p class="do act">{escape(repeat.title)}{_marks(repeat.marks)}</p>'
    yield _extras(repeat.detail, repeat.accept)
    yield "</div>"
    yield _table(repeat.table)
    yield _source(repeat.source)
    yield "</section>\n"


def _guarded(guarded: GuardedTable) -> str:
    lead = "".join(map(_warn, guarded.cautions))
    lead += f'<p class="do">{escape(guarded.words)}</p>' if guarded.words else ""
    return f'<div class="lead">{lead}</div>\n{_table(guarded.table)}' if lead else _table(guarded.table)


def _extras(detail: tuple[str, ...], accept: str) -> str:
    good = f'<p class="accept">Good when: {escape(accept)}</p>' if accept else ""
    return (_list(detail) if detail else "") + good


def _marks(marks: tuple[str, ...]) -> str:
    return "".join(f' <strong class="mark">{escape(mark)}</strong>' for mark in marks)


def _source(source: str) -> str:
    return f'<p class="source">Source: {escape(source)}</p>' if source else ""


def _warn(warn: Warn, *, style: str = "") -> str:
    word = f'<strong class="signal">{warn.symbol} {warn.signal}</strong>'.replace("> ", ">")
    kind = f"caution is-{warn.signal.lower()}{style}"
    if warn.again:
        return (
            f'<div class="{kind} again" data-caution="{escape(warn.id)}">{word} {escape(warn.hazard)} '
            "<em>In full above.</em></div>"
        )
    lines = f"<p><b>{escape(warn.hazard)}</b> {escape(warn.consequence)}</p><p>{escape(warn.avoid)}</p>"
    aid = f'<p class="aid">First aid: {escape(warn.first_aid)}</p>' if warn.first_aid else ""
    return f'<div class="{kind}" data-caution="{escape(warn.id)}">{word}{lines}{aid}</div>'


def _table(table: Table) -> str:
    widths = ""
    if table.widths:
        total = sum(table.widths)
        columns = "".join(f'<col style="width:{100 * width / total:.1f}%">' for width in table.widths)
        widths = f"<colgroup>{columns}</colgroup>"
    head = "".join(f"<th>{escape(column)}</th>" for column in table.columns)
    rows = "".join(map(_row, table.rows))
    style = ' class="dense"' if table.dense else ""
    return f"<table{style}>{widths}<thead><tr>{head}</tr></thead>\n<tbody>{rows}</tbody></table>"


def _row(row: tuple[str, ...]) -> str:
    """A row; one that goes on from the row above keeps to it."""
    style = ' class="goes-on"' if DITTO in row else ""
    return f"<tr{style}>{''.join(map(_cell, row))}</tr>\n"


def _cell(text: str) -> str:
    if text == TICK:
        return f'<td class="tick">{BOX}</td>'
    return f"<td>{_ticked(text)}</td>" if text else '<td class="blank"></td>'


def _ticked(text: str) -> str:
    """A text with its boxes drawn, each kept on one line with the word behind it, as are dates with their time."""
    boxed = re.sub(f"{TICK} ?(\\S+)", rf'<span class="whole">{TICK} \1</span>', escape(text))
    boxed = _DATE.sub(r'<span class="whole">\g<0></span>', boxed)
    return boxed.replace(TICK, BOX)


def _blanks(fields: Iterable[tuple[str, str, str]]) -> str:
    rows = []
    for label, known, limits in fields:
        line = escape(known) or ("" if TICK in limits else '<span class="line"></span>')
        beside = f'<span class="limits">{_ticked(limits)}</span>' if limits else ""
        rows.append(f"<div><dt>{escape(label)}</dt><dd>{line}{beside}</dd></div>")
    return f'<dl class="blanks">{"".join(rows)}</dl>'


def _list(lines: Iterable[str], *, ticks: bool = False) -> str:
    box, style = (BOX, ' class="ticks"') if ticks else ("", "")
    return f"<ul{style}>{''.join(f'<li>{box}{escape(line)}</li>' for line in lines)}</ul>"


def _inline(drawing: str) -> str:
    """A drawing within the page: no longer to scale, so without its own size, its ruler and its words about scale."""
    body = drawing[drawing.index("<svg") :]
    body = re.sub(r'<svg xmlns="[^"]*" width="[^"]*" height="[^"]*"', '<svg class="drawing"', body, count=1)
    return re.sub(r'<g id="check".*?</g>', "", body, flags=re.DOTALL)


def _css_text(text: str) -> str:
    """A string of the style sheet; what could end it is written as a code."""
    return '"' + "".join(c if c.isalnum() or c in " .,·:-()" else f"\\{ord(c):x} " for c in text) + '"'
