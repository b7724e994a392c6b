"""Sitting down to work: who, and with which meter, asked once and kept for every reading that follows."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from benchtui.errors import UnitError
from benchtui.jobs.past import is_date
from benchtui.jobs.readings import BY_METER
from benchtui.jobs.run_sitting import add_meter, present, sit_down
from benchtui.jobs.sitting import MeterKnown, accuracy
from benchtui.ui.view.rows import Row

if TYPE_CHECKING:
    from benchtui.jobs.plan import Plan
    from benchtui.jobs.readings import Meter
    from benchtui.ui.ways import Ways

TITLE: Final = "The meter of this sitting"
UNNAMED: Final = "-"
ACCURACIES: Final = {
    "resistance": ("ohms", "1 % + 0.3 ohm"),
    "voltage": ("volts", "0.8 % + 3 mV"),
    "current": ("amps", "1.5 % + 0.1 mA"),
}
"""What a sheet says of each quantity: its word, and how it is typed."""


async def ask_meter(ways: Ways, plan: Plan) -> None:
    """Ask which meter is on the bench, once a sitting, before the first work that reads one; Esc leaves it open."""
    if not any(step.limits and step.limits.kind in BY_METER for step in plan.steps):
        return
    if not ways.store.read_only and present(ways.store).meter_due(ways.bench.clock()):
        await choose_meter(ways)


async def choose_meter(ways: Ways) -> None:
    """Pick the meter of this sitting, or write down a new one."""
    sitting = present(ways.store)
    rows = [
        Row(id=meter.id, text=meter.name or meter.id, right=_until(meter, ways.bench.clock().date().isoformat()))
        for meter in sitting.meters
    ]
    rows.append(Row(id="+", text="Another meter"))
    rows.append(Row(id=UNNAMED, text="Keep readings without the name of a meter"))
    wanted = sitting.meter.id if sitting.meter else ""
    picked = await ways.pick(TITLE, "Which one is on the bench?", rows, wanted=wanted)
    if picked is None:
        return
    if picked == UNNAMED:
        sit_down(ways.bench, unnamed=True)
        ways.report("readings are kept without the name of a meter from now on")
        return
    known = {meter.id: meter for meter in sitting.meters}
    said = await _another(ways) if picked == "+" else await _dated(ways, known[picked])
    if said is None:
        return
    sit_down(ways.bench, meter=said)
    meter = ways.bench.meter
    past = meter is not None and meter.past_due(ways.bench.clock().date().isoformat())
    why = f", though its calibration ran out on {meter.due}: each job asks why it is used" if meter and past else ""
    ways.report(f"readings are kept with {meter.name if meter else said} from now on{why}")


async def _another(ways: Ways) -> str | None:
    """Write down a meter; its id, or None where that was given up."""
    title = "Another meter"
    name = await ways.ask(title, "What is written on it", needed="type a name for it")
    if name is None:
        return None
    due = await ways.ask(title, "Calibrated until, as 2027-03-31 (nothing: not calibrated)", check=_date)
    if due is None:
        return None
    kinds: tuple[str, ...] = ()
    percent: tuple[float, ...] = ()
    floor: tuple[float, ...] = ()
    for kind, (word, example) in ACCURACIES.items():
        question = f"Off by at most, reading {word}, by its sheet, as {example} (nothing: not known)"
        typed = await ways.ask(title, question, check=lambda text, kind=kind: _accuracy(text, kind))  # type: ignore[misc]
        if typed is None:
            return None
        if typed:
            share, fixed = accuracy(typed, kind)
            kinds, percent, floor = (*kinds, kind), (*percent, share), (*floor, fixed)
    id_ = "-".join(name.lower().split())
    add_meter(ways.store, MeterKnown(id=id_, name=name, due=due, kinds=kinds, percent=percent, floor=floor))
    return id_


async def _dated(ways: Ways, meter: Meter) -> str | None:
    """The id of a meter that was picked; one past its calibration may be given its new date first."""
    if not meter.past_due(ways.bench.clock().date().isoformat()):
        return meter.id
    question = "Its new date, as 2027-03-31 (nothing: it was not calibrated; each job then asks why)"
    told = f"The calibration of {meter.name or meter.id} ran out on {meter.due}."
    due = await ways.ask(TITLE, question, told=told, check=_date)
    if due is None:
        return None
    if due:
        kinds = tuple(dict.fromkeys((*dict(meter.percent), *dict(meter.floor))))
        percent = tuple(dict(meter.percent).get(kind, 0.0) for kind in kinds)
        floor = tuple(dict(meter.floor).get(kind, 0.0) for kind in kinds)
        again = MeterKnown(id=meter.id, name=meter.name, due=due, kinds=kinds, percent=percent, floor=floor)
        add_meter(ways.store, again)
    return meter.id


def _until(meter: Meter, today: str) -> str:
    if not meter.due:
        return ""
    return f"calibration ran out on {meter.due}" if meter.past_due(today) else f"calibrated until {meter.due}"


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


def _accuracy(text: str, kind: str) -> str:
    if not text:
        return ""
    try:
        accuracy(text, kind)
    except UnitError as error:
        return str(error)
    return ""
