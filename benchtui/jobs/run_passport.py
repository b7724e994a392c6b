"""What the record tells of a unit beside its own events: its hunts in words, which bench measured, what is broken."""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchtui.jobs.conflicts import bench_of
from benchtui.jobs.hunted import hunts_told
from benchtui.jobs.passport import Beside
from benchtui.jobs.run_sitting import bench_words
from benchtui.record.event import root_of
from benchtui.record.verify import changed_of

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from benchtui.jobs.passport_rows import At
    from benchtui.jobs.units import UnitView
    from benchtui.record.event import Event
    from benchtui.record.store import Store

    Teller = Callable[[Sequence[Event]], Callable[[Event], Sequence[str]]]


def beside(store: Store, view: UnitView, teller: Teller | None = None) -> Beside:
    """What the passport of a unit needs beside its view.

    Args:
        store: The record.
        view: The unit.
        teller: Takes the events of the unit and gives what tells one of a hunt in words; None where a hunt is named
            only, and what was done in it is not wanted.
    """
    events = store.events(unit=view.unit)
    tell = teller(events) if teller else _nothing
    return Beside(
        hunts=hunts_told(events, tell, standing=view.workarounds),
        benches=_benches(store, events),
        broken=changed_of(store, view.unit),
    )


def _nothing(_: Event) -> Sequence[str]:
    return ()


def _benches(store: Store, events: Sequence[Event]) -> Mapping[At, str]:
    """The bench of each reading, by what it is called; none where all were taken at one."""
    readings = [event for event in events if event.kind == "reading"]
    roots = dict.fromkeys(root_of(bench_of(event)) for event in readings)
    if len(roots) < 2:
        return {}
    words = {root: bench_words(store, root) or f"the bench {root[:4]}" for root in roots}
    return {
        (event.job, str(event.data.get("step", "")), event.time): words[root_of(bench_of(event))] for event in readings
    }
