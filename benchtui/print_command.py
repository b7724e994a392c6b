"""`benchtui print WHAT`: a procedure, checklist, wiring list, test sheet or the whole builder's manual, for paper."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Final

from benchtui.errors import UsageError
from benchtui.units import parse

if TYPE_CHECKING:
    from collections.abc import Sequence

    from benchtui.content.library import Kind
    from benchtui.paper.document import Document
    from benchtui.paper.panel_svg import Layer

USAGE: Final = """\
usage: benchtui print procedure ID       one procedure, with those that it calls
       benchtui print checklist ID       one checklist
       benchtui print wiring             the wiring list
       benchtui print test-sheet         every reading with its limits and room for the value
       benchtui print manual             the complete builder's manual
       benchtui print panel              the panel 1:1 in mm, as a drawing to cut by and to try on paper

options:
  --design ID        the design, where there is more than one
  --subject ID       the control a rework or service procedure is about, such as F3
  --unit NUMBER      serial number on the test sheet
  --format FORMAT    html (one file that prints on A4 and Letter) or markdown; html when left out
  --layer LAYER      of the panel: cut, paper or both; both when left out
  --kerf WIDTH       width the cutter removes, drawn into the panel; the design's own when left out
  --allowance SIZE   added to each hole of the panel for paint or anodising; the design's own when left out
  --out FILE         where to write it; - for the terminal; a file of its own name in this folder when left out

The panel is an SVG drawing: print it at 100 % and measure the ruler on it.
An HTML file is opened in a browser and printed from there."""

_PAGES: Final = ("--design", "--format", "--out")
OPTIONS: Final = {
    "procedure": (*_PAGES, "--subject"),
    "checklist": (*_PAGES, "--subject"),
    "wiring": _PAGES,
    "test-sheet": (*_PAGES, "--unit"),
    "manual": _PAGES,
    "panel": ("--design", "--out", "--layer", "--kerf", "--allowance"),
}
"""What can be printed, and the options of each."""

FORMATS: Final = {"html": "html", "markdown": "md"}
LAYERS: Final[dict[str, tuple[Layer, ...]]] = {"both": ("cut", "paper"), "cut": ("cut",), "paper": ("paper",)}
ANY: Final = "any"
"""Stands for the design in content that serves every design."""


def main(argv: Sequence[str]) -> int:
    """Run the command; returns the exit code."""
    if not argv or {"--help", "-h"}.intersection(argv):
        print(USAGE)
        return 0 if argv else 2
    words, options = _read(argv)
    what, *ids = words or [""]
    if what not in OPTIONS:
        raise UsageError(f"there is nothing called {what!r} to print", hint=f"choose one of: {', '.join(OPTIONS)}")
    for option in options:
        if option not in OPTIONS[what]:
            raise UsageError(f"{what} has no option {option!r}", hint=f"it has: {', '.join(OPTIONS[what])}")
    title, name, text = _panel(ids, options) if what == "panel" else _pages(what, ids, options)
    out = options.get("--out") or name
    if out == "-":
        sys.stdout.write(text)
        return 0
    try:
        Path(out).expanduser().write_text(text, encoding="utf-8")
    except OSError as error:
        raise UsageError(f"{out} cannot be written ({error.strerror})", hint="choose another with --out") from None
    print(f"{title} is in {out}")
    return 0


def _pages(what: str, ids: list[str], options: dict[str, str]) -> tuple[str, str, str]:
    """Title, name of the file and text of a document."""
    format = options.get("--format", "html")
    if format not in FORMATS:
        raise UsageError(f"there is no format {format!r}", hint=f"choose one of: {', '.join(FORMATS)}")
    document, name = _document(what, ids, options)
    return document.title, f"{name}.{FORMATS[format]}", _render(document, format)


def _panel(ids: list[str], options: dict[str, str]) -> tuple[str, str, str]:
    """Title, name of the file and text of the panel drawing."""
    from benchtui.content.library import Library
    from benchtui.paper.panel_svg import svg_of
    from benchtui.paper.source import Source

    if ids:
        raise UsageError("panel takes no id", hint="choose the design with --design")
    layer = options.get("--layer", "both")
    if layer not in LAYERS:
        raise UsageError(f"there is no layer {layer!r}", hint=f"choose one of: {', '.join(LAYERS)}")
    design = Source(Library.open(), design=options.get("--design", "")).design
    text = svg_of(
        design,
        layers=LAYERS[layer],
        kerf_mm=_millimetres(options, "--kerf"),
        allowance_mm=_millimetres(options, "--allowance"),
    )
    return f"The panel of {design.title}", f"{design.id}-panel.svg", text


def _millimetres(options: dict[str, str], name: str) -> float | None:
    if name not in options:
        return None
    value = parse(options[name], "length").value * 1000
    if value < 0:
        raise UsageError(f"{name} cannot be below nothing", hint="type a length like 0.2 mm")
    return value


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
