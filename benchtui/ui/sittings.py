"""Sitting down to work: who, and with which meter, asked once and kept for every reading that follows."""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchtui.jobs.past import is_date
from benchtui.jobs.run_sitting import add_meter, present, sit_down
from benchtui.jobs.sitting import MeterKnown
from benchtui.ui.view.rows import Row

if TYPE_CHECKING:
    from benchtui.ui.ways import Ways


async def choose_meter(ways: Ways) -> None:
    """Pick the meter of this sitting, or write down a new one."""
    sitting = present(ways.store)
    rows = [
        Row(id=meter.id, text=meter.name or meter.id, right=f"calibrated until {meter.due}" if meter.due else "")
        for meter in sitting.meters
    ]
    rows.append(Row(id="+", text="Another meter"))
    picked = await ways.pick("The meter of this sitting", "Which one is on the bench?", rows)
    if picked is None:
        return
    if picked == "+":
        title = "Another meter"
        name = await ways.ask(title, "What is written on it", needed="type a name for it")
        if name is None:
            return
        question = "Calibrated until, as 2027-03-31 (nothing: not calibrated)"
        due = await ways.ask(title, question, check=_date)
        picked = "-".join(name.lower().split())
        add_meter(ways.store, MeterKnown(id=picked, name=name, due=due or ""))
    sit_down(ways.bench, meter=picked)
    ways.report(f"readings are kept with {ways.bench.meter.name if ways.bench.meter else picked} from now on")


async def name_bench(ways: Ways) -> None:
    """Say what this bench is called and who sits at it: where two benches disagree they are named by it."""
    now = present(ways.store)
    title = "This bench"
    asked = f"What it is called, such as workshop or tour case (nothing: {now.place or 'it has no name'})"
    place = await ways.ask(title, asked)
    if place is None:
        return
    name = await ways.ask(title, f"Who sits at it (nothing: {now.name or 'that is not said'})")
    if name is None or not (place or name):
        return
    sit_down(ways.bench, place=" ".join(place.split()), name=" ".join(name.split()))
    said = present(ways.store)
    ways.report(
        f"this bench is called {said.place or 'nothing yet'}" + (f", and {said.name} sits at it" if said.name else "")
    )


def _date(text: str) -> str:
    return "" if not text or is_date(text) else "type the day as 2027-03-31: year, month, day"
