"""How long the first screen and a unit's history take with a million events in the record; run it by hand.

    python tests/bench_record.py [EVENTS]

It opens the bench screen on an almost empty record and on a full one, turn and turn about: the program in this process
from its start to the painted screen, and the whole program in a pseudo-terminal (target: at most 1.2 times). It opens
the page of a unit and its history as a key does (target: under 100 ms). Events are written in bulk, each with its true
digest.
"""

from __future__ import annotations

import asyncio
import sys
import tempfile
import time
from contextlib import asynccontextmanager
from functools import partial
from pathlib import Path
from statistics import median
from typing import TYPE_CHECKING

from helpers.bench_of_plans import PlannedBench
from helpers.jobs import full_plan
from helpers.terminal import Terminal

from benchtui.content.library import Library
from benchtui.jobs import events as ev
from benchtui.jobs.plan_text import plan_text
from benchtui.jobs.run_units import Units
from benchtui.paths import content_roots
from benchtui.record import views
from benchtui.record.end import End
from benchtui.record.event import Draft, text_digest
from benchtui.record.rows import insert
from benchtui.record.search import index, look
from benchtui.record.store import Store, local_now
from benchtui.record.verify import verify
from benchtui.ui.app import BenchApp
from benchtui.ui.screens.bench import BenchHome
from benchtui.ui.screens.unit import UnitPage
from benchtui.ui.widgets.rows import Rows

if TYPE_CHECKING:
    from collections.abc import AsyncIterator, Callable

    from textual.pilot import Pilot

PER_JOB = 200


def fill(store: Store, events: int) -> None:
    """A record of closed jobs, `PER_JOB` events each, four jobs a unit."""
    # Such as one bench writes: every event is one that its job allows, so none of them is a conflict.
    plan = full_plan(order="any")
    begun = ev.JobStarted(plan=text_digest(plan_text(plan)), procedure=plan.id, title=plan.title).to_data()
    with store.writing() as db:
        db.execute("INSERT OR IGNORE INTO text VALUES (?, ?)", (text_digest(plan_text(plan)), plan_text(plan)))
        head = End.of(db, store.origin)
        for number in range(events):
            job, place = divmod(number, PER_JOB)
            unit = f"HCD-{job // 4:05}-A"
            kind, data = "reading", {"step": "bank", "typed": "2.5k", "value": 2500.0, "verdict": "pass", "meter": "M1"}
            data["reason"] = "adjusted"
            if place == 0:
                kind, data = "job-started", begun
            elif place == PER_JOB - 1:
                kind, data = "job-closed", {"result": "closed with open items", "decision": "end"}
            elif place % 40 == 1:
                kind, data = "note", {"text": f"clip {number} is stiff", "step": "wipe"}
            draft = Draft(kind=kind, unit=unit, job=f"J{job}", data=data)
            event = head.next(draft, time=local_now().isoformat(timespec="milliseconds"))
            insert(db, event)
            if store.indexed:
                index(db, event)
            head = End.after(event)
        views.rebuild(db)


def timed(what: Callable[[], object], times: int = 9) -> float:
    """Median milliseconds of a few calls."""
    taken = []
    for _ in range(times):
        start = time.perf_counter()
        what()
        taken.append((time.perf_counter() - start) * 1000)
    return median(taken)


def open_lists(path: Path) -> None:
    """What the first screen asks of the record, from a program just started."""
    with Store.open(path) as store:
        PlannedBench({}, store, local_now).open_jobs()  # type: ignore[arg-type]


@asynccontextmanager
async def painted(store: Store) -> AsyncIterator[tuple[BenchApp, Pilot[None]]]:
    """The program with its bench on the screen."""
    app = BenchApp(Library.open(content_roots()), store)
    async with app.run_test(size=(80, 24)) as pilot:
        while not isinstance(app.screen, BenchHome) or not list(app.screen.query(Rows)):
            await asyncio.sleep(0.001)
        await pilot.pause()
        yield app, pilot


class Watch:
    """Milliseconds since it was made: by the clock, and of work, which a busy machine does not stretch."""

    def __init__(self) -> None:
        self.start = time.perf_counter(), time.process_time()

    def read(self) -> tuple[float, float]:
        """Both."""
        return (time.perf_counter() - self.start[0]) * 1000, (time.process_time() - self.start[1]) * 1000


def bench_screen(path: Path) -> tuple[float, float]:
    """From opening the record to the painted bench, in this process."""

    async def run() -> tuple[float, float]:
        watch = Watch()
        with Store.open(path) as store:
            async with painted(store):
                return watch.read()

    return asyncio.run(run())


def whole_program(path: Path) -> tuple[float, float]:
    """From the start of a new process to the painted bench; its own work is not seen from here."""
    watch = Watch()
    with Terminal(["--record", str(path)], home=path.parent / "home") as terminal:
        terminal.until(lambda text: "The bench" in text and "take up, start" in text)
        return watch.read()[0], float("nan")


def turn_about(what: Callable[[Path], tuple[float, float]], small: Path, large: Path, times: int = 11) -> str:
    """Medians on both records, measured alternately, and their ratio."""
    pairs = [(what(small), what(large)) for _ in range(times)]
    said = []
    for at, name in enumerate(("by the clock", "of work")):
        empty, full = median(pair[0][at] for pair in pairs), median(pair[1][at] for pair in pairs)
        ratio = median(pair[1][at] / pair[0][at] for pair in pairs)
        said.append(f"{empty:.1f} ms empty, {full:.1f} ms full, median ratio {ratio:.2f} {name}")
    return "; ".join(said if said[1][:3] != "nan" else said[:1])


def unit_screens(path: Path, unit: str) -> dict[str, str]:
    """Median milliseconds to bring up the page of a unit, and its history from there, each to the painted screen."""

    async def run() -> dict[str, str]:
        taken: dict[str, list[tuple[float, float]]] = {"page": [], "history": []}
        with Store.open(path) as store:
            async with painted(store) as (app, pilot):
                for _ in range(7):
                    watch = Watch()
                    await app.push_screen(UnitPage(unit))
                    await _drawn(app)
                    taken["page"].append(watch.read())
                    await pilot.pause()
                    watch = Watch()
                    app.screen.action_history()  # type: ignore[attr-defined]
                    await _drawn(app)
                    taken["history"].append(watch.read())
                    await pilot.press("escape", "escape")
                    await pilot.pause()
        return {
            name: f"{median(v[0] for v in values):.1f} ms by the clock, {median(v[1] for v in values):.1f} ms of work"
            for name, values in taken.items()
        }

    return asyncio.run(run())


async def _drawn(app: BenchApp) -> None:
    """Wait until the screen in front has been laid out and drawn."""
    done = asyncio.Event()
    app.screen.call_after_refresh(done.set)
    await done.wait()


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
        empty, full = timed(lambda: open_lists(small)), timed(lambda: open_lists(large))
        print(f"open the record and list open jobs: {empty:.1f} ms empty, {full:.1f} ms full, ratio {full / empty:.2f}")
        print(f"the bench screen, to painted: {turn_about(bench_screen, small, large)}")
        print(f"the whole program, to painted: {turn_about(whole_program, small, large)}")
        with Store.open(large) as store:
            unit = store.units()[-1].unit
            count = len(store.events(unit=unit))
            print(f"events of {unit} ({count}): {timed(lambda: store.events(unit=unit)):.1f} ms")
            print(f"newest 200 of it: {timed(lambda: store.events(unit=unit, newest=200)):.1f} ms")
            print(f"the unit rebuilt: {timed(lambda: Units(store).view(unit)):.1f} ms")
            for words in ("h", "hcd", "f h", "stiff adjusted", "clip stif"):
                print(f"find {words!r}: {timed(partial(look, store, words), 3):.1f} ms")
            print(f"one more event: {timed(lambda: store.append('note', data={'text': 'x'})):.2f} ms")
            if "--verify" in sys.argv:
                start = time.perf_counter()
                print(f"verify: {len(verify(store))} findings in {time.perf_counter() - start:.0f} s")
        screens = unit_screens(large, unit)
        print(f"page of {unit}, to painted: {screens['page']}; its history: {screens['history']}")


if __name__ == "__main__":
    main(next((int(word) for word in sys.argv[1:] if word.isdigit()), 1_000_000))
