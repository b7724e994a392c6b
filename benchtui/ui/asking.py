"""Asking the record about many units: where a lot, part or firmware went, and what a meter has measured."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from benchtui.jobs.past import is_date
from benchtui.jobs.run_sitting import present
from benchtui.jobs.run_where import readings_with, where_firmware, where_used

if TYPE_CHECKING:
    from benchtui.ui.app import BenchApp


async def ask_record(app: BenchApp) -> None:
    """Ask one thing after the other until that is enough."""
    from benchtui.ui.screens.pages import TextPage
    from benchtui.ui.screens.pick import PickScreen
    from benchtui.ui.view.asking import asking_rows, use_lines

    picked: str | None = ""
    while True:
        rows = asking_rows(
            app.store.events(kinds=["part-fitted"]),
            app.store.events(kinds=["firmware-loaded"]),
            present(app.store).meters,
        )
        question = "Of which lot, part, firmware or meter?"
        picked = await app.push_screen_wait(PickScreen("Ask the record", question, rows, wanted=picked or ""))
        if picked is None:
            return
        kind, _, value = picked.partition(":")
        if kind == "meter":
            await _meter(app, value)
        else:
            uses = where_firmware(app.units, value) if kind == "firmware" else where_used(app.units, **{kind: value})
            title = f"Where {kind} {value} went" if kind != "firmware" else f"Units that run firmware {value}"
            await app.push_screen_wait(TextPage(title, partial(use_lines, uses)))


async def _meter(app: BenchApp, meter: str) -> None:
    """Every reading taken with a meter since a date."""
    from benchtui.ui.screens.pages import TextPage
    from benchtui.ui.screens.pick import AskScreen
    from benchtui.ui.view.asking import reading_lines

    title = f"Readings with {meter}"
    asked = "Since which date, as 2031-03-31 (nothing: from the beginning)"
    start = await app.push_screen_wait(AskScreen(title, asked))
    while start and not is_date(start):
        start = await app.push_screen_wait(AskScreen(title, f"{start} is no date; since which, as 2031-03-31"))
    if start is None:
        return
    title += f" since {start}" if start else ""
    await app.push_screen_wait(TextPage(title, partial(reading_lines, readings_with(app.store, meter, start=start))))
