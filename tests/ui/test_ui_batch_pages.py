"""The preliminary pages of a batch whose units were begun by two revisions."""

from __future__ import annotations

from typing import TYPE_CHECKING, cast

import pytest
from helpers.bench_of_plans import Clock, PlannedBench
from helpers.jobs import page, plan, step

from benchtui.jobs import events as ev
from benchtui.jobs.run_batch import Batch
from benchtui.record.store import Store
from benchtui.ui import batches

if TYPE_CHECKING:
    from pathlib import Path

    from benchtui.ui.app import BenchApp
    from benchtui.ui.screens.batch_before import BatchBefore


class Builder:
    """Stands for the program: answers each page that it is shown, and notes what was asked."""

    def __init__(self, answer: str) -> None:
        self.answer = answer
        self.asked: list[tuple[tuple[str, ...], int]] = []

    async def push_screen_wait(self, screen: BatchBefore) -> bool:
        run = screen.run
        self.asked.append((run.state.gate, len(screen.runs)))
        for condition in run.state.gate:
            run.act(ev.ConditionAnswered(condition=condition, answer=self.answer))
        if self.answer == ev.NO:
            run.act(ev.StartedShort(missing=run.state.not_so, reason="only a test"))
        run.act(ev.KitTicked(heading="tools", item="iron"))
        return True


@pytest.mark.parametrize("answer", ["yes", ev.NO])
async def test_each_page_is_gone_through_once_and_nothing_is_asked_twice(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, answer: str
) -> None:
    # Row B1 (S1000D preliminary requirements): every unit has every line of its own page answered.
    async def read(*_: object) -> bool:
        return True

    monkeypatch.setattr("benchtui.ui.screens.notice.read_notices", read)
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
        assert await batches._prepared(cast("BenchApp", builder), batch, runs)
        left = ("fume extractor on",) if answer == "yes" else ("unplugged", "fume extractor on")
        assert builder.asked == [(("unplugged",), 1), (left, 2)]
        assert [run.state.gate for run in runs] == [(), (), ()]
        assert runs[0].state.conditions == {"unplugged": answer}
        assert runs[2].state.conditions == {"unplugged": answer, "fume extractor on": answer}
        assert {run.state.excused for run in runs[1:]} == {frozenset(() if answer == "yes" else left)}
