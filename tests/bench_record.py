"""How long the first screen and a unit's history take with a million events in the record; run it by hand.

    python tests/bench_record.py [EVENTS]

It compares the lists that the bench screen is made of with those of an almost empty record (target: at most 1.2 times),
and reads the history of one unit (target: under 100 ms). Events are written in bulk, each with its true digest.
"""

from __future__ import annotations

import sys
import tempfile
import time
from pathlib import Path
from statistics import median
from typing import TYPE_CHECKING

from helpers.bench_of_plans import PlannedBench
from helpers.jobs import full_plan

from benchtui.jobs import events as ev
from benchtui.jobs.plan_text import plan_text
from benchtui.jobs.run_units import Units
from benchtui.record import views
from benchtui.record.event import Draft, text_digest
from benchtui.record.rows import insert
from benchtui.record.search import find, index
from benchtui.record.store import Store, local_now
from benchtui.record.verify import verify

if TYPE_CHECKING:
    from collections.abc import Callable

PER_JOB = 200


def fill(store: Store, events: int) -> None:
    """A record of closed jobs, `PER_JOB` events each, four jobs a unit."""
    plan = full_plan()
    begun = ev.JobStarted(plan=text_digest(plan_text(plan)), procedure=plan.id, title=plan.title).to_data()
    with store.writing() as db:
        db.execute("INSERT OR IGNORE INTO text VALUES (?, ?)", (text_digest(plan_text(plan)), plan_text(plan)))
        head = store._head()
        for number in range(events):
            job, place = divmod(number, PER_JOB)
            unit = f"HCD-{job // 4:05}-A"
            kind, data = "reading", {"step": "bank", "typed": "2.5k", "value": 2500.0, "verdict": "pass", "meter": "M1"}
            if place == 0:
                kind, data = "job-started", begun
            elif place == PER_JOB - 1:
                kind, data = "job-closed", {"decision": "end"}
            elif place % 40 == 1:
                kind, data = "note", {"text": f"clip {number} is stiff", "step": "wipe"}
            draft = Draft(kind=kind, unit=unit, job=f"J{job}", data=data)
            event = head.next(draft, time=local_now().isoformat(timespec="milliseconds"))
            insert(db, event)
            if store.indexed:
                index(db, event)
            head = type(head).after(event)
        views.rebuild(db)


def timed(what: Callable[[], object], times: int = 9) -> float:
    """Median milliseconds of a few calls."""
    taken = []
    for _ in range(times):
        start = time.perf_counter()
        what()
        taken.append((time.perf_counter() - start) * 1000)
    return median(taken)


def bench_screen(path: Path) -> None:
    """What the first screen asks of the record, from a program just started."""
    with Store.open(path) as store:
        PlannedBench({}, store, local_now).open_jobs()  # type: ignore[arg-type]


def main(events: int) -> None:
    with tempfile.TemporaryDirectory() as folder:
        small, large = Path(folder) / "small.sqlite", Path(folder) / "large.sqlite"
        for path, count in ((small, 0), (large, events)):
            start = time.perf_counter()
            with Store.open(path) as store:
                fill(store, count)
                bench = PlannedBench({"hollin-assembly": full_plan()}, store, local_now)  # type: ignore[arg-type]
                for number in range(3):
                    bench.start("hollin-assembly", f"HCD-9000{number}-A").act(ev.StepDone(step="lay-out"))
            print(f"{count} events: {path.stat().st_size / 1e6:.0f} MB, made in {time.perf_counter() - start:.0f} s")
        empty, full = timed(lambda: bench_screen(small)), timed(lambda: bench_screen(large))
        print(f"open the record and list open jobs: {empty:.1f} ms empty, {full:.1f} ms full, ratio {full / empty:.2f}")
        with Store.open(large) as store:
            unit = store.units()[-1].unit
            count = len(store.events(unit=unit))
            print(f"events of {unit} ({count}): {timed(lambda: store.events(unit=unit)):.1f} ms")
            print(f"newest 200 of it: {timed(lambda: store.events(unit=unit, newest=200)):.1f} ms")
            print(f"the unit rebuilt: {timed(lambda: Units(store).view(unit)):.1f} ms")
            print(f"find 'clip stiff': {timed(lambda: find(store, 'clip stif'), 3):.1f} ms")
            print(f"one more event: {timed(lambda: store.append('note', data={'text': 'x'})):.2f} ms")
            if "--verify" in sys.argv:
                start = time.perf_counter()
                print(f"verify: {len(verify(store))} findings in {time.perf_counter() - start:.0f} s")


if __name__ == "__main__":
    main(next((int(word) for word in sys.argv[1:] if word.isdigit()), 1_000_000))
