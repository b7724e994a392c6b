"""What comes before the steps of a batch: its preliminary pages, and taking its jobs up after a break."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from helpers.bench_of_plans import Clock, PlannedBench
from helpers.jobs import page, plan, step

from benchtui.jobs import events as ev
from benchtui.jobs.run_batch import Batch
from benchtui.record.store import Store
from benchtui.ui import together
from benchtui.ui.taking_up import take_up

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from benchtui.jobs.run import Run


class Builder:
    """Stands for the program: answers each page that it is shown, and notes what was asked."""

    def __init__(self, answer: str) -> None:
        self.answer = answer
        self.asked: list[tuple[tuple[str, ...], int]] = []

    async def page(self, alike: Sequence[Run]) -> bool:
        run = alike[0]
        self.asked.append((run.state.gate, len(alike)))
        for condition in run.state.gate:
            run.act(ev.ConditionAnswered(condition=condition, answer=self.answer))
        if self.answer == ev.NO:
            run.act(ev.StartedShort(missing=run.state.not_so, reason="only a test"))
        run.act(ev.KitTicked(heading="tools", item="iron"))
        return True


@pytest.mark.parametrize("answer", ["yes", ev.NO])
async def test_each_page_is_gone_through_once_and_nothing_is_asked_twice(tmp_path: Path, answer: str) -> None:
    # Row B1 (S1000D preliminary requirements): every unit has every line of its own page answered.
    async def read(*_: object) -> bool:
        return True

    clock = Clock()
    old = plan(step("a"), before=page("unplugged", tools=("iron",)))
    new = plan(step("a"), before=page("unplugged", "fume extractor on", tools=("iron",)), revision=2)
    with Store.open(tmp_path / "record.sqlite", clock=clock) as store:
        bench = PlannedBench({"hollin-assembly": old}, store, clock)
        batch = Batch.make(bench, "hollin-cue-desk", 3)
        bench.start("hollin-assembly", batch.units[0], batch=batch.name)
        bench.plans["hollin-assembly"] = new
        batch.start("hollin-assembly")
        runs = list(batch.runs().values())
        builder = Builder(answer)
        assert await together.prepared(runs, read, builder.page)
        left = ("fume extractor on",) if answer == "yes" else ("unplugged", "fume extractor on")
        assert builder.asked == [(("unplugged",), 1), (left, 2)]
        assert [run.state.gate for run in runs] == [(), (), ()]
        assert runs[0].state.conditions == {"unplugged": answer}
        assert runs[2].state.conditions == {"unplugged": answer, "fume extractor on": answer}
        assert {run.state.excused for run in runs[1:]} == {frozenset(() if answer == "yes" else left)}


async def test_what_was_left_on_is_asked_once_though_the_page_before_the_work_is_still_to_come(tmp_path: Path) -> None:
    clock = Clock()
    asked: list[str] = []

    async def how(run: Run) -> tuple[str, ...]:
        asked.append(run.unit)
        take_up(run, ("still so",))
        return ("still so",)

    with Store.open(tmp_path / "record.sqlite", clock=clock) as store:
        bench = PlannedBench({"hollin-assembly": plan(step("a"), before=page("unplugged"))}, store, clock)
        batch = Batch.make(bench, "hollin-cue-desk", 3)
        batch.start("hollin-assembly")
        runs = list(batch.runs().values())
        for run in runs:
            run.suspend(bench=("power on",))
        assert await together.taken_up(runs, how)
        assert asked == [runs[0].unit]
        assert [(run.state.suspended, run.state.left) for run in runs] == [(None, ("power on",))] * 3
