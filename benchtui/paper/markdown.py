"""A document as Markdown: plain enough to read as it is, and to keep under version control."""

from __future__ import annotations

import re
from textwrap import indent
from typing import TYPE_CHECKING, Final

from benchtui.paper.document import (
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

_MARKS: Final = re.compile(r"([\\`*_\[\]<>|#])")
_BLANK: Final = "\\_\\_\\_\\_\\_\\_\\_\\_\\_\\_"


def markdown(document: Document) -> str:
    """The document as Markdown text."""
    parts = [f"# {_safe(document.title)}", f"*{_safe(document.subtitle)}*"]
    parts += [text for block in document.blocks if (text := _block(block))]
    return "\n\n".join(parts) + "\n"


def _block(block: Block) -> str:
    if isinstance(block, Heading):
        return f"{'#' * block.level} {_safe(block.text)}"
    if isinstance(block, Paragraph):
        return _safe(block.text)
    if isinstance(block, Lines):
        return _list(block.lines, ticks=block.ticks)
    if isinstance(block, Contents):
        return _list(text for text, _ in block.entries)
    if isinstance(block, Blanks):
        return "\n".join(f"- {_safe(label)}: {_safe(known) or _BLANK}" for label, known in block.fields)
    if isinstance(block, Picture):
        title = f"{_safe(block.title)}\n\n" if block.title else ""
        return f"{title}```text\n{block.text.replace('```', '')}\n```"
    if isinstance(block, Drawing):
        return ""
    if isinstance(block, Table):
        return _table(block)
    if isinstance(block, Warn):
        return _warn(block)
    if isinstance(block, GuardedTable):
        words = [_safe(block.words)] if block.words else []
        return "\n\n".join([*map(_warn, block.cautions), *words, _table(block.table)])
    if isinstance(block, StepBlock):
        return "\n\n".join(_step(block))
    return "\n\n".join(_repeat(block))


def _step(step: StepBlock) -> Iterator[str]:
    yield from map(_warn, step.cautions)
    marks = "".join(f" **{_safe(mark)}**" for mark in step.marks)
    yield f"- [ ] **{step.number}.** {_safe(step.text)}{marks}"
    # What belongs to the step is indented, so that it hangs under the step's own box.
    yield from (indent(part, "  ") for part in _under(step))


def _under(step: StepBlock) -> Iterator[str]:
    if step.detail:
        yield _list(step.detail)
    if step.accept:
        yield f"Good when: {_safe(step.accept)}"
    if step.wires is not None:
        yield _table(step.wires)
    if step.answers:
        yield _list(step.answers, ticks=True)
    if step.blanks:
        yield "\n".join(_field(label, limits) for label, limits in step.blanks)
    if step.source:
        yield f"Source: {_safe(step.source)}"


def _field(label: str, limits: str) -> str:
    if TICK in limits:
        return f"- {_safe(label)}: {_safe(limits)}"
    return f"- {_safe(label)}: {_BLANK}{f' ({_safe(limits)})' if limits else ''}"


def _repeat(repeat: RepeatBlock) -> Iterator[str]:
    yield from map(_warn, repeat.cautions)
    yield f"**{_safe(repeat.title)}**" + "".join(f" **{_safe(mark)}**" for mark in repeat.marks)
    if repeat.detail:
        yield _list(repeat.detail)
    if repeat.accept:
        yield f"Good when: {_safe(repeat.accept)}"
    yield _table(repeat.table)
    if repeat.source:
        yield f"Source: {_safe(repeat.source)}"


def _warn(warn: Warn) -> str:
    head = f"> **{warn.symbol} {warn.signal}**".replace("** ", "**")
    if warn.again:
        return f"{head} (in full above): {_safe(warn.hazard)}"
    lines = [f"{head} {_safe(warn.hazard)}"]
    lines += [f"> {_safe(text)}" for text in (warn.consequence, warn.avoid) if text]
    if warn.first_aid:
        lines.append(f"> First aid: {_safe(warn.first_aid)}")
    return "  \n".join(lines)


def _table(table: Table) -> str:
    lines = [_row(map(_safe, table.columns)), _row("---" for _ in table.columns)]
    lines += [_row("☐" if cell == TICK else _safe(cell) for cell in row) for row in table.rows]
    return "\n".join(lines)


def _row(cells: Iterable[str]) -> str:
    return f"| {' | '.join(cells)} |"


def _list(lines: Iterable[str], *, ticks: bool = False) -> str:
    box = "[ ] " if ticks else ""
    return "\n".join(f"- {box}{_safe(line)}" for line in lines)


def _safe(text: str) -> str:
    """Text with every mark that Markdown would take for its own made plain."""
    return _MARKS.sub(r"\\\1", " ".join(text.split()))
