"""Sitting down to work: who, and with which meter, asked once and kept for every reading that follows."""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchtui.jobs.past import is_date
from benchtui.jobs.run_sitting import add_meter, present, sit_down
from benchtui.jobs.sitting import MeterKnown

if TYPE_CHECKING:
    from benchtui.ui.app import BenchApp


async def choose_meter(app: BenchApp) -> None:
    """Pick the meter of this sitting, or write down a new one."""
    from benchtui.ui.screens.pick import AskScreen, PickScreen
    from benchtui.ui.view.rows import Row

    sitting = present(app.store)
    rows = [
        Row(id=meter.id, text=meter.name or meter.id, right=f"calibrated until {meter.due}" if meter.due else "")
        for meter in sitting.meters
    ]
    rows.append(Row(id="+", text="Another meter"))
    picked = await app.push_screen_wait(PickScreen("The meter of this sitting", "Which one is on the bench?", rows))
    if picked is None:
        return
    if picked == "+":
        title = "Another meter"
        name = await app.push_screen_wait(AskScreen(title, "What is written on it", needed="type a name for it"))
        if name is None:
            return
        question = "Calibrated until, as 2027-03-31 (nothing: not calibrated)"
        due = await app.push_screen_wait(AskScreen(title, question, check=_date))
        picked = "-".join(name.lower().split())
        add_meter(app.store, MeterKnown(id=picked, name=name, due=due or ""))
    sit_down(app.bench, meter=picked)
    app.report(f"readings are kept with {app.bench.meter.name if app.bench.meter else picked} from now on")


def _date(text: str) -> str:
    return "" if not text or is_date(text) else "type the day as 2027-03-31: year, month, day"
