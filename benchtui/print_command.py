"""`benchtui print WHAT`: a procedure, checklist, wiring list, test sheet or the whole builder's manual, for paper."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Final

from benchtui.errors import UsageError

if TYPE_CHECKING:
    from collections.abc import Sequence

    from benchtui.content.library import Kind
    from benchtui.paper.document import Document

USAGE: Final = """\
usage: benchtui print procedure ID       one procedure, with those that it calls
       benchtui print checklist ID       one checklist
       benchtui print wiring             the wiring list
       benchtui print test-sheet         every reading with its limits and room for the value
       benchtui print manual             the complete builder's manual

options:
  --design ID        the design, where there is more than one
  --subject ID       the control a rework or service procedure is about, such as F3
  --unit NUMBER      serial number on the test sheet
  --format FORMAT    html (one file that prints on A4 and Letter) or markdown; html when left out
  --out FILE         where to write it; - for the terminal; a file of its own name in this folder when left out

An HTML file is opened in a browser and printed from there."""

WHATS: Final = ("procedure", "checklist", "wiring", "test-sheet", "manual")
FORMATS: Final = {"html": "html", "markdown": "md"}
ANY: Final = "any"
"""Stands for the design in content that serves every design."""
_OPTIONS: Final = ("--design", "--subject", "--unit", "--format", "--out")


def main(argv: Sequence[str]) -> int:
    """Run the command; returns the exit code."""
    if not argv or {"--help", "-h"}.intersection(argv):
        print(USAGE)
        return 0 if argv else 2
    words, options = _read(argv)
    what, *ids = words or [""]
    if what not in WHATS:
        raise UsageError(f"there is nothing called {what!r} to print", hint=f"choose one of: {', '.join(WHATS)}")
    format = options.get("--format", "html")
    if format not in FORMATS:
        raise UsageError(f"there is no format {format!r}", hint=f"choose one of: {', '.join(FORMATS)}")
    document, name = _document(what, ids, options)
    text = _render(document, format)
    out = options.get("--out") or f"{name}.{FORMATS[format]}"
    if out == "-":
        sys.stdout.write(text)
        return 0
    try:
        Path(out).expanduser().write_text(text, encoding="utf-8")
    except OSError as error:
        raise UsageError(f"{out} cannot be written ({error.strerror})", hint="choose another with --out") from None
    print(f"{document.title} is in {out}")
    return 0


def _read(argv: Sequence[str]) -> tuple[list[str], dict[str, str]]:
    """Words and options, in any order."""
    words: list[str] = []
    options: dict[str, str] = {}
    rest = iter(argv)
    for word in rest:
        if not word.startswith("--"):
            words.append(word)
            continue
        name, equals, value = word.partition("=")
        if name not in _OPTIONS:
            raise UsageError(f"print has no option {name!r}", hint=f"there are: {', '.join(_OPTIONS)}")
        value = value if equals else next(rest, "")
        if not value:
            raise UsageError(f"{name} needs a value", hint="type: benchtui print --help")
        options[name] = value
    return words, options


def _document(what: str, ids: list[str], options: dict[str, str]) -> tuple[Document, str]:
    """The document that was asked for, and the name of its file."""
    from benchtui.content.library import Library
    from benchtui.paper import manual, sheets
    from benchtui.paper.source import Source

    library = Library.open()
    chosen = options.get("--design", "")
    subject = options.get("--subject", "")
    if what in ("procedure", "checklist"):
        kind: Kind = "procedure" if what == "procedure" else "checklist"
        entries = {entry.id: entry for entry in library.entries(kind)}
        if len(ids) != 1:
            raise UsageError(f"name one {what}", hint=f"there are: {', '.join(entries)}")
        library.path_of(kind, ids[0])  # an unknown id is answered with the nearest one
        own = entries[ids[0]].design
        chosen = chosen or (own if own != ANY else "")
        source = Source(library, design=chosen, subject=subject, optional=what == "checklist")
        make = sheets.procedure_sheet if what == "procedure" else sheets.checklist_sheet
        return make(source, ids[0]), ids[0]
    if ids:
        raise UsageError(f"{what} takes no id", hint="choose the design with --design")
    source = Source(library, design=chosen, subject=subject)
    name = f"{source.design.id}-{what}"
    if what == "wiring":
        return sheets.wiring_sheet(source), name
    if what == "test-sheet":
        unit = options.get("--unit", "")
        return sheets.test_sheet(source, unit=unit), f"{name}-{unit}" if unit else name
    return manual.manual(source), name


def _render(document: Document, format: str) -> str:
    if format == "html":
        from benchtui.paper.html import html

        return html(document)
    from benchtui.paper.markdown import markdown

    return markdown(document)
