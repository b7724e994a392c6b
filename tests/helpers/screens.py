"""Running the screens without a terminal: a frozen clock, a library of one plan, and the screen as lines of text."""

from __future__ import annotations

import asyncio
import html
import re
from contextlib import asynccontextmanager
from dataclasses import dataclass
from datetime import datetime, timedelta, timezone
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from helpers.demo_plan import demo_plan

from benchtui.errors import UsageError
from benchtui.jobs.run import Bench
from benchtui.jobs.run_sitting import present, sit_down
from benchtui.record.store import Store
from benchtui.ui.app import BenchApp
from benchtui.ui.gate import AGAIN_TIME

if TYPE_CHECKING:
    from collections.abc import AsyncIterator, Mapping

    from textual.pilot import Pilot

    from benchtui.content.library import Library
    from benchtui.jobs.plan import Plan

SAVED = Path(__file__).resolve().parents[1] / "screens"
RECORD = "record.sqlite"
MORNING = datetime(2026, 3, 2, 9, 30, tzinfo=timezone(timedelta(hours=1)))


class Clock:
    """A clock that stands still until it is told to go on."""

    def __init__(self) -> None:
        self.now = MORNING

    def __call__(self) -> datetime:
        return self.now

    def forward(self, **by: float) -> None:
        self.now += timedelta(**by)


class Steady:
    """Seconds that go on by more than the time for reading at every look: each key counts as pressed anew."""

    def __init__(self) -> None:
        self.seconds = 0.0

    def __call__(self) -> float:
        self.seconds += AGAIN_TIME + 0.5
        return self.seconds


@dataclass(frozen=True)
class Entry:
    kind: str
    id: str
    title: str
    design: str = "hollin-cue-desk"
    procedure_kind: str = ""
    path: Path = Path()


ENTRIES = (
    Entry("design", "hollin-cue-desk", "Hollin cue desk"),
    Entry("procedure", "hollin-wiring", "Wire the fader bank", procedure_kind="assembly"),
    Entry("procedure", "replace-control", "Replace a control", design="any", procedure_kind="rework"),
    Entry("procedure", "clean-fader", "Clean a fader", design="any", procedure_kind="service"),
    Entry("checklist", "before-first-power", "Before first power"),
)


class FakeLibrary:
    """Lists a few titles; the plans come from the test."""

    def entries(self, kind: str | None = None) -> tuple[Entry, ...]:
        return tuple(entry for entry in ENTRIES if kind is None or entry.kind == kind)

    def look_again(self) -> None:
        """Nothing can have been added."""

    def unreadable(self, _folder: Path) -> tuple[Path, ...]:
        return ()

    def cautions(self) -> Mapping[str, object]:
        return {}

    def procedure(self, id: str) -> object:
        raise UsageError(f"the file of {id} is not here")

    checklist = procedure

    def path_of(self, kind: str, id: str) -> Path:
        raise UsageError(f"the file of {id} is not here")

    def emergency(self) -> tuple[str, ...]:
        return ("It smokes: pull the plug.", "Somebody got a shock: switch off at the wall first.")


class FakeBench(Bench):
    """Starts jobs from plans made by hand, at a bench where it was said that the meter has no name."""

    plans: Mapping[str, Plan]

    def __init__(self, library: Library, store: Store, *, clock: Clock, meter_said: bool = True) -> None:
        super().__init__(library, store, clock=clock)
        if meter_said and not store.read_only and present(store).meter_due(clock()):
            sit_down(self, unnamed=True)

    def plan(self, id: str, **_: str) -> Plan:
        return self.plans.get(id) or demo_plan()


def make_app(folder: Path, clock: Clock, plans: Mapping[str, Plan] | None = None) -> BenchApp:
    """The program on a record in `folder`, with no pictures of panels, since there is no design."""
    store = Store.open(folder / RECORD, clock=clock)
    app = BenchApp(FakeLibrary(), store, clock=clock, sums=folder / "sums.jsonl")  # type: ignore[arg-type]
    app.bench = FakeBench(FakeLibrary(), store, clock=clock)  # type: ignore[arg-type]
    app.bench.plans = plans or {}
    app.panel = lambda plan, **_: []  # type: ignore[method-assign]
    return app


@asynccontextmanager
async def running(
    folder: Path,
    *,
    size: tuple[int, int] = (80, 24),
    clock: Clock | None = None,
    plans: Mapping[str, Plan] | None = None,
    steady: bool = True,
) -> AsyncIterator[tuple[BenchApp, Pilot[None]]]:
    """The program running without a terminal.

    Args:
        folder: Where its record lies.
        size: Columns and lines.
        clock: Time of day.
        plans: Plans by id.
        steady: Let every key count as pressed on purpose.
    """
    app = make_app(folder, clock or Clock(), plans)
    with pytest.MonkeyPatch.context() as patch:
        # The library's own pilot looks whether all is quiet every 20 ms; a private name, so its absence is borne.
        patch.setattr("textual._wait.SLEEP_GRANULARITY", 0.004, raising=False)
        if steady:
            app.keyboard.clock = Steady()
        async with app.run_test(size=size) as pilot:
            yield app, pilot
    app.store.close()


async def until(pilot: Pilot[None], words: str, *, tries: int = 250) -> str:
    """Wait until words stand on the screen, and give back the screen."""
    for _ in range(tries):
        text = screen_text(pilot.app)  # type: ignore[arg-type]
        if words in text:
            return text
        await pilot.pause(0.02)
    raise AssertionError(f"{words!r} did not come; the screen shows:\n{screen_text(pilot.app)}")  # type: ignore[arg-type]


def screen_text(app: BenchApp) -> str:
    """What stands on the screen, line by line, read from the picture the library can make of it."""
    svg = app.export_screenshot()
    width = app.size.width
    rows: dict[int, list[str]] = {}
    for x, row, text in re.findall(
        r'<text[^>]*? x="([\d.]+)"[^>]*?clip-path="url\(#[^)]*?-line-(\d+)\)"[^>]*>(.*?)</text>', svg
    ):
        cells = rows.setdefault(int(row), [" "] * width)
        at = round(float(x) / 12.2)
        for offset, character in enumerate(html.unescape(text)):
            if at + offset < width:
                cells[at + offset] = character
    return "\n".join("".join(rows.get(row, [])).replace("\xa0", " ").rstrip() for row in range(app.size.height)) + "\n"


async def check_saved(app: BenchApp, name: str, request: pytest.FixtureRequest) -> None:
    """Compare the screen with the saved one, or save it where that is asked for.

    On a busy machine the last change may still be on its way, so a screen that differs is looked at again for a while.
    """
    path = SAVED / f"{name}.txt"
    if request.config.getoption("--update-screens"):
        await asyncio.sleep(0.1)
        path.write_text(_settled_text(app), encoding="utf-8")
    assert path.exists(), f"there is no saved screen {path.name}: run with --update-screens, and look at it"
    saved = path.read_text(encoding="utf-8")
    for _ in range(100):
        if _settled_text(app) == saved:
            return
        await asyncio.sleep(0.02)
    assert _settled_text(app) == saved, f"{path.name} differs; run with --update-screens if that is right"


def _settled_text(app: BenchApp) -> str:
    """The screen, with the names of jobs, which are drawn by lot, all alike."""
    return re.sub(r"\b([JH])[ACDEFHJKMNPRTWXY34679]{5}\b", r"\1AAAAA", screen_text(app))
