"""Looking something up, from wherever it is kept, and going to what was found."""

from __future__ import annotations

from contextlib import contextmanager
from functools import partial
from typing import TYPE_CHECKING, Final

from benchtui.ui import flows

if TYPE_CHECKING:
    from collections.abc import Iterator

    from benchtui.design.model import Design
    from benchtui.ui.app import BenchApp
    from benchtui.ui.screens.pages import Page
    from benchtui.ui.view.text import Line


PAGES: Final = ("design", "caution", "closed")
"""Kinds of what is looked up that are pages, to which one goes back."""


async def look_up(app: BenchApp) -> None:
    """Type a few letters, and go to what is found."""
    from benchtui.calc.catalogue import everything
    from benchtui.ui.screens.pick import PickScreen
    from benchtui.ui.view.lookup import content_rows, design_rows, past_rows, record_rows, spares_rows, sums_rows

    rows = [
        *record_rows(app.bench.jobs(), app.store.units(), now=app.bench.clock()),
        *content_rows(app.library),
        *design_rows(app.library),
        *sums_rows(everything().values()),
        *spares_rows()[1:],
    ]
    ask = "Type a few letters or words of it."
    past = partial(past_rows, app.store)
    picked = await app.push_screen_wait(PickScreen("Look something up", ask, rows, more=past, more_last=True))
    if picked is not None:
        kind, _, id = picked.partition(":")
        await _go_to(app, kind, id)


async def _go_to(app: BenchApp, kind: str, id: str) -> None:
    from benchtui.calc.catalogue import get
    from benchtui.ui.screens.sums import SumScreen
    from benchtui.ui.screens.unit import UnitPage
    from benchtui.ui.view.lookup import SPARES

    if kind in PAGES:
        await visit(app, f"{kind}:{id}")
    elif kind == "start":
        await flows.start_job(app, id)
    elif kind == "open":
        await flows.open_work(app, id)
    elif kind == "sum":
        await app.push_screen_wait(SumScreen(get(id)))
    elif kind == SPARES:
        await flows.spares_for_tour(app)
    elif kind == "unit":
        await app.push_screen_wait(UnitPage(id))


async def visit(app: BenchApp, place: str, *, design: Design | None = None, mark: str = "") -> None:
    """Show a page, and from it those that were looked at before, for as long as one goes back.

    Args:
        app: The program; its trail holds the places looked at in this sitting.
        place: "caution:ID", "closed:JOB" or "design:ID/ENTRY".
        design: The design of the work in hand, which need not be read again.
        mark: Control in hand, to be marked.
    """
    while place:
        page = _page(app, place, design, mark)
        page.leads_back = app.trail.leads_back(place)
        await app.push_screen_wait(page)
        if not page.went_back:
            app.trail.left(place)
            return
        place = app.trail.back(place)


def _page(app: BenchApp, place: str, design: Design | None, mark: str) -> Page:
    """The page of a place."""
    from benchtui.faults.told import teller
    from benchtui.jobs.expand import caution_of
    from benchtui.ui.screens.pages import TextPage
    from benchtui.ui.view.cautions import in_full
    from benchtui.ui.view.history import job_lines
    from benchtui.ui.view.text import BLANK, wrap

    kind, _, id = place.partition(":")
    if kind == "design":
        from benchtui.design import load_design

        name, _, entry = id.partition("/")
        if design is not None and design.id == name:
            return _design_page(app, design, entry, mark)
        return _design_page(app, load_design(app.library.path_of("design", name)), entry, "")
    if kind == "closed":
        events = app.store.events(job=id)
        hunts = teller(events, app.store.text)
        return TextPage(f"Job {id}", lambda width: job_lines(events, width, hunts=hunts))
    caution = caution_of(app.library.cautions()[id])
    return TextPage(
        "Caution",
        lambda width: [
            *in_full(caution, width, app.shapes),
            BLANK,
            *wrap(caution.source, width, first="source: ", role="quiet"),
        ],
    )


async def beside(app: BenchApp, design: Design | None, subject: str) -> None:
    """Look at things of the design beside a step, one after the other: wires, pins, test points, the bill."""
    from benchtui.ui.screens.pick import PickScreen
    from benchtui.ui.view.reference import reference_rows

    if design is None:
        app.report("this work is about no design")
        return
    rows = reference_rows(design, subject)
    entry = ""
    with _held(app):
        while True:
            ask = PickScreen(design.title, "What do you want to see?", rows, wanted=entry)
            picked = await app.push_screen_wait(ask)
            if picked is None:
                return
            entry = picked
            await look_at(app, design, entry, mark=subject)


@contextmanager
def _held(app: BenchApp) -> Iterator[None]:
    """Keep keys from the screen in front until what is looked at over it is left.

    Between the list of views and a view the screen behind is in front for a moment; a key typed ahead would act on it.
    """
    from benchtui.ui.screens.base import BenchScreen

    behind = app.screen
    if not isinstance(behind, BenchScreen):
        yield
        return
    behind.held = True
    try:
        yield
    finally:
        behind.held = False


async def look_at(app: BenchApp, design: Design, entry: str, *, mark: str = "") -> None:
    """Show one thing of a design, named as its list names it; what belongs to the control in hand is marked."""
    await visit(app, f"design:{design.id}/{entry}", design=design, mark=mark)


def _design_page(app: BenchApp, design: Design, entry: str, mark: str) -> Page:
    from benchtui.jobs.run_build import assemblies, still_to_build
    from benchtui.ui.screens.pages import BillPage, PanelPage, WorkedPage
    from benchtui.ui.view.reference import PANEL, reference_lines, title_of

    app.last_look = entry
    kind = entry.partition(":")[0]
    title = f"{design.title}: {title_of(entry)}"
    if kind in PANEL:
        return PanelPage(design, rear=kind == "rear", mark=mark)
    if kind == "bill":
        waiting = still_to_build(app.store, design.id, assemblies(app.library, design.id))

        def bill(width: int, units: int) -> list[Line]:
            words = waiting.words() if units == waiting.units else f"For {units} units, as asked for."
            return reference_lines(design, entry, width, app.shapes, units=units, built=words)

        return BillPage(title, bill, waiting.units)
    # Hundreds of test points take a second: worked out once for each width, in a thread.
    return WorkedPage(title, lambda width: reference_lines(design, entry, width, app.shapes, mark=mark))


async def look_again(app: BenchApp, design: Design | None, subject: str) -> None:
    """Show what was looked at last, now about the control in hand; the list of things where nothing was yet."""
    from benchtui.ui.view.reference import again

    entry = again(design, app.last_look, subject) if design else ""
    if design is None or not entry:
        await beside(app, design, subject)
    else:
        await look_at(app, design, entry, mark=subject)


async def look_at_design(app: BenchApp) -> None:
    """Look at something of a design from the bench."""
    await beside(app, await flows.pick_design(app, "A design"), "")


async def look_at_units(app: BenchApp) -> None:
    """Pick a unit and see where it stands."""
    from benchtui.ui.screens.pick import PickScreen
    from benchtui.ui.screens.unit import UnitPage
    from benchtui.ui.view.units import known_rows

    rows = known_rows(app.store.units(), now=app.bench.clock())
    picked = await app.push_screen_wait(PickScreen("Units", "Which one?", rows))
    if picked is not None:
        await app.push_screen_wait(UnitPage(picked.partition(":")[2]))
