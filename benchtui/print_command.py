"""`benchtui print WHAT`: a procedure, a checklist, what follows from a design, or the whole manual, for paper."""

from __future__ import annotations

import sys
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Final

from benchtui.errors import UsageError
from benchtui.options import words_and_options
from benchtui.units import parse

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from benchtui.content.library import Kind
    from benchtui.paper.document import Document
    from benchtui.paper.panel_svg import Layer
    from benchtui.paper.source import Source
    from benchtui.record.store import Store

USAGE: Final = """\
usage: benchtui print procedure ID       one procedure, with those that it calls
       benchtui print checklist ID       one checklist
       benchtui print wiring             the wiring list: in building order, by control, by connector, by reel
       benchtui print pins               the pin map of the board
       benchtui print points             every test point with what a healthy unit reads
       benchtui print bill               what to buy for the units still to build, losses and spares
       benchtui print parts              parts beside their alternatives, with what fits
       benchtui print test-sheet         every reading with its limits; with --unit, those of the record filled in
       benchtui print first-unit         the first-unit record: what one unit is measured for, with --unit what it read
       benchtui print manual             the complete builder's manual
       benchtui print panel              the panel 1:1 in mm, in one piece, as a drawing to cut by and to try on paper
       benchtui print mock-up            the panel 1:1 on sheets of A4 or Letter, to tape together and try

options:
  --design ID        the design, where there is more than one
  --subject ID       the control a rework or service procedure is about, such as F3
  --unit NUMBER      the unit on a test sheet or first-unit record; what the record holds of it is printed
  --units NUMBER     units to buy for; those still to build in the record when left out
  --record FILE      use this record instead of your own
  --format FORMAT    html (one file that prints on A4 and Letter) or markdown; html when left out
  --layer LAYER      of the panel: cut, paper or both; both when left out
  --kerf WIDTH       width the cutter removes, drawn into the panel; the design's own when left out
  --allowance SIZE   added to each hole of the panel for paint or anodising; the design's own when left out
  --out FILE         where to write it; - for the terminal; a file of its own name in this folder when left out

The panel and its mock-up are 1:1: print at 100 % and measure the ruler on each sheet.
A panel larger than your paper is printed with mock-up; panel is the whole, for the cutter.
An HTML file is opened in a browser and printed from there."""

_PAGES: Final = ("--design", "--format", "--out")
OPTIONS: Final = {
    "procedure": (*_PAGES, "--subject"),
    "checklist": (*_PAGES, "--subject"),
    "wiring": _PAGES,
    "pins": _PAGES,
    "points": _PAGES,
    "bill": (*_PAGES, "--units", "--record"),
    "parts": _PAGES,
    "test-sheet": (*_PAGES, "--unit", "--record"),
    "first-unit": (*_PAGES, "--unit", "--record"),
    "manual": _PAGES,
    "panel": ("--design", "--out", "--layer", "--kerf", "--allowance"),
    "mock-up": ("--design", "--out"),
}
"""What can be printed, and the options of each."""

_OF_UNIT: Final = ("test-sheet", "first-unit")
"""What is printed of one unit, where one is named."""

FORMATS: Final = {"html": "html", "markdown": "md"}
LAYERS: Final[dict[str, tuple[Layer, ...]]] = {"both": ("cut", "paper"), "cut": ("cut",), "paper": ("paper",)}
MOST_UNITS: Final = 999
ANY: Final = "any"
"""Stands for the design in content that serves every design."""


def main(argv: Sequence[str]) -> int:
    """Run the command; returns the exit code."""
    if not argv or {"--help", "-h"}.intersection(argv):
        print(USAGE)
        return 0 if argv else 2
    words, options = words_and_options(argv, command="print")
    what, *ids = words or [""]
    if what not in OPTIONS:
        raise UsageError(f"there is nothing called {what!r} to print", hint=f"choose one of: {', '.join(OPTIONS)}")
    for option in options:
        if option not in OPTIONS[what]:
            raise UsageError(f"{what} has no option {option!r}", hint=f"it has: {', '.join(OPTIONS[what])}")
    make = {"panel": _panel, "mock-up": _mock_up}.get(what)
    title, name, text = make(ids, options) if make else _pages(what, ids, options)
    out = options.get("--out") or name
    if out == "-":
        sys.stdout.write(text)
        return 0
    try:
        Path(out).expanduser().write_text(text, encoding="utf-8")
    except OSError as error:
        raise UsageError(f"{out} cannot be written ({error.strerror})", hint="choose another with --out") from None
    print(f"{title} is in {out}")
    if what == "panel":
        print("To try it on paper, on sheets of A4 or Letter: benchtui print mock-up")
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


def _mock_up(ids: list[str], options: dict[str, str]) -> tuple[str, str, str]:
    """Title, name of the file and text of the panel on sheets of paper."""
    from benchtui.content.library import Library
    from benchtui.paper.mock_up import mock_up, tiling
    from benchtui.paper.source import Source

    if ids:
        raise UsageError("mock-up takes no id", hint="choose the design with --design")
    design = Source(Library.open(), design=options.get("--design", "")).design
    many = len(tiling(design).pieces)
    sheets = "1 sheet" if many == 1 else f"{many} sheets"
    return f"The panel of {design.title} on {sheets} of paper", f"{design.id}-mock-up.html", mock_up(design)


def _millimetres(options: dict[str, str], name: str) -> float | None:
    if name not in options:
        return None
    value = parse(options[name], "length").value * 1000
    if value < 0:
        raise UsageError(f"{name} cannot be below nothing", hint="type a length like 0.2 mm")
    return value


def _document(what: str, ids: list[str], options: dict[str, str]) -> tuple[Document, str]:
    """The document that was asked for, and the name of its file."""
    from benchtui.content.library import Library
    from benchtui.paper import design_sheets, manual, sheets
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
    if what in _OF_UNIT and not chosen:
        chosen = _design_of_unit(options)
    source = Source(library, design=chosen, subject=subject)
    name = f"{source.design.id}-{what}"
    if what == "wiring":
        return sheets.wiring_sheet(source), name
    if what == "pins":
        return design_sheets.pin_sheet(source), name
    if what == "points":
        return design_sheets.point_sheet(source), name
    if what == "parts":
        return design_sheets.part_sheet(source), name
    if what == "bill":
        return _bill(source, options), name
    if what in _OF_UNIT:
        make_sheet = _test_sheet if what == "test-sheet" else _first_unit
        return make_sheet(source, options, name)
    return manual.manual(source), name


def _bill(source: Source, options: dict[str, str]) -> Document:
    """The bill for the units asked for, else for those the record has still to build."""
    from benchtui.jobs.run_build import ToBuild, assemblies, still_to_build
    from benchtui.paper.design_sheets import bill_sheet

    asked = options.get("--units", "")
    if asked:
        if not asked.isascii() or not asked.isdecimal() or not 1 <= int(asked) <= MOST_UNITS:
            raise UsageError(f"{asked!r} is no number of units", hint=f"type a whole number from 1 to {MOST_UNITS}")
        number = "1 unit" if int(asked) == 1 else f"{int(asked)} units"
        return bill_sheet(source, units=int(asked), built=f"For {number}, as asked for.")
    design = source.design.id
    with _record(options) as store:
        found = still_to_build(store, design, assemblies(source.library, design)) if store else ToBuild()
    return bill_sheet(source, units=found.units, built=found.words())


def _test_sheet(source: Source, options: dict[str, str], name: str) -> tuple[Document, str]:
    """The test sheet of a unit with what stands in the record; a blank one without a unit."""
    from benchtui.faults.told import teller
    from benchtui.jobs.run_list import unit_jobs
    from benchtui.jobs.run_passport import beside
    from benchtui.jobs.run_units import Units
    from benchtui.paper.tested import test_sheet

    unit = options.get("--unit", "")
    if not unit:
        return test_sheet(source), name
    with _record(options) as store:
        unit, known = _serial(store, unit)
        jobs = unit_jobs(store, unit) if store and known else ()
        units = Units(store, source.library) if store and known else None
        view = units.view(unit) if units else None
        more = beside(store, view, lambda events: teller(events, store.text)) if store and view else None
        missing = units.missing(unit) if units else ()
    state = view.state if view else ""
    sheet = test_sheet(source, unit=unit, jobs=jobs, state=state, missing=missing, view=view, beside=more)
    return sheet, f"{name}-{_plain(unit)}"


def _first_unit(source: Source, options: dict[str, str], name: str) -> tuple[Document, str]:
    """The first-unit record of a unit as it stands; a blank one without a unit."""
    from benchtui.jobs.run_first_unit import first_unit
    from benchtui.jobs.run_units import Units
    from benchtui.paper.first_unit import first_unit_sheet

    unit = options.get("--unit", "")
    if not unit:
        return first_unit_sheet(source), name
    with _record(options) as store:
        unit, known = _serial(store, unit)
        if store is None or not known:
            raise UsageError(f"the record has no unit {unit!r}", hint="leave --unit out for a blank one")
        units = Units(store, source.library)
        view = units.view(unit)
        due = first_unit(units, unit, view=view).line
        sheet = first_unit_sheet(source, view=view, due=due, missing=units.missing(unit))
    return sheet, f"{name}-{_plain(unit)}"


def _serial(store: Store | None, typed: str) -> tuple[str, bool]:
    """The serial number that was meant, and whether the record knows it.

    Raises:
        UsageError: It could be one of several.
    """
    from benchtui.jobs.serials import meant

    same = meant(typed, (row.unit for row in store.units())) if store else []
    if len(same) > 1:
        raise UsageError(f"{typed!r} could be {' or '.join(same)}", hint="type the whole serial number")
    return (same[0], True) if same else (typed, False)


def _design_of_unit(options: dict[str, str]) -> str:
    """The one design that a unit is of, as the record has it; empty where it knows of none, or of several."""
    from benchtui.record.of_design import known_designs

    unit = options.get("--unit", "")
    if not unit:
        return ""
    with _record(options) as store:
        serial, known = _serial(store, unit)
        designs = known_designs(store, serial) if store and known else ()
    return designs[0] if len(designs) == 1 else ""


def _plain(unit: str) -> str:
    """A serial number as part of a file's name."""
    return "".join(letter if letter.isalnum() or letter in "-_." else "-" for letter in unit)


@contextmanager
def _record(options: dict[str, str]) -> Iterator[Store | None]:
    """The record, only to read; None where there is none yet."""
    from benchtui.paths import record_file
    from benchtui.record.store import Store

    chosen = options.get("--record", "")
    path = Path(chosen).expanduser() if chosen else record_file()
    if not path.exists():
        if chosen:
            raise UsageError(f"there is no record {chosen}", hint="leave --record out for your own")
        yield None
        return
    with Store.open(path, read_only=True) as store:
        yield store


def _render(document: Document, format: str) -> str:
    if format == "html":
        from benchtui.paper.html import html

        return html(document)
    from benchtui.paper.markdown import markdown

    return markdown(document)
