"""Looking something up, from wherever it is kept, and going to what was found."""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchtui.ui import flows

if TYPE_CHECKING:
    from collections.abc import Callable

    from benchtui.design.model import Design
    from benchtui.ui.app import BenchApp
    from benchtui.ui.view.text import Line


async def look_up(app: BenchApp) -> None:
    """Type a few letters, and go to what is found."""
    from benchtui.calc.catalogue import everything
    from benchtui.ui.screens.pick import PickScreen
    from benchtui.ui.view.lookup import content_rows, record_rows, spares_rows, sums_rows

    rows = [
        *record_rows(app.bench.jobs(), app.store.units(), now=app.bench.clock()),
        *content_rows(app.library),
        *sums_rows(everything().values()),
        *spares_rows()[1:],
    ]
    picked = await app.push_screen_wait(PickScreen("Look something up", "Type a few letters or words of it.", rows))
    if picked is not None:
        kind, _, id = picked.partition(":")
        await _go_to(app, kind, id)


async def _go_to(app: BenchApp, kind: str, id: str) -> None:
    from benchtui.calc.catalogue import get
    from benchtui.jobs.expand import caution_of
    from benchtui.ui.screens.pages import TextPage
    from benchtui.ui.screens.sums import SumScreen
    from benchtui.ui.screens.unit import UnitPage
    from benchtui.ui.view.cautions import in_full
    from benchtui.ui.view.history import job_lines
    from benchtui.ui.view.lookup import SPARES
    from benchtui.ui.view.text import BLANK, wrap

    if kind == "start":
        await flows.start_job(app, id)
    elif kind == "open":
        await flows.open_work(app, id)
    elif kind == "sum":
        await app.push_screen_wait(SumScreen(get(id)))
    elif kind == SPARES:
        await flows.spares_for_tour(app)
    elif kind == "caution":
        caution = caution_of(app.library.cautions()[id])
        await app.push_screen_wait(
            TextPage(
                "Caution",
                lambda width: [
                    *in_full(caution, width, app.shapes),
                    BLANK,
                    *wrap(caution.source, width, first="source: ", role="quiet"),
                ],
            )
        )
    elif kind == "closed":
        events = app.store.events(job=id)
        await app.push_screen_wait(TextPage(f"Job {id}", lambda width: job_lines(events, width)))
    elif kind == "unit":
        await app.push_screen_wait(UnitPage(id))


async def beside(app: BenchApp, design: Design | None, subject: str) -> None:
    """Look at something of the design beside a step: a wiring list, test points, the bill."""
    from benchtui.ui.screens.pages import TextPage
    from benchtui.ui.screens.pick import PickScreen
    from benchtui.ui.view.reference import bill_table, check_lines, point_lines, reference_rows, wiring_lines

    if design is None:
        return
    rows = reference_rows(design, subject)
    picked = await app.push_screen_wait(PickScreen(design.title, "What do you want to see?", rows))
    if picked is None:
        return
    kind, _, about = picked.partition(":")
    texts: dict[str, Callable[[int], list[Line]]] = {
        "wires": lambda width: wiring_lines(design, about, width),
        "points": lambda width: point_lines(design, about, width),
        "bill": lambda width: bill_table(design, width),
        "checks": lambda width: check_lines(design, width, app.shapes),
    }
    titles = {
        "wires": f"Wires of {about}" if about else "Wiring list",
        "points": f"Test points of {about}",
        "bill": "Bill of materials",
        "checks": "Checks on the design",
    }
    await app.push_screen_wait(TextPage(f"{design.title}: {titles[kind]}", texts[kind]))


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
