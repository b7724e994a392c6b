"""A record with a procedure begun on a Hollin desk, made without a screen, for tests that need one at once."""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchtui.content.library import Library
from benchtui.jobs import events as ev
from benchtui.jobs.run import Bench
from benchtui.jobs.run_sitting import sit_down
from benchtui.paths import content_roots
from benchtui.record.store import Store

if TYPE_CHECKING:
    from pathlib import Path

    from helpers.hand import Hand


def begun(record: Path, *, procedure: str = "hollin-assembly", steps: int = 0) -> None:
    """Open the job, say which meter it is, answer its conditions, do its first steps; then the program is gone."""
    with Store.open(record) as store:
        bench = Bench(Library.open(content_roots()), store)
        sit_down(bench, unnamed=True)
        run = bench.start(procedure, bench.units.next_serial("hollin-cue-desk"))
        for condition in run.state.gate:
            run.act(ev.ConditionAnswered(condition=condition, answer="yes"))
        for item in run.plan.before.tools:
            run.act(ev.KitTicked(heading="tools", item=item))
        for step in run.plan.steps[:steps]:
            run.act(ev.StepDone(step=step.key))
        run.act(ev.StepBegun(step=run.state.current))


def taken_up(hand: Hand) -> str:
    """From the bench, by the page after a break, back to the step; where nothing can be written, without that page."""
    hand.terminal.until("The bench")
    hand.press("\r")
    text = hand.terminal.until(lambda text: "You were away" in text or "step " in text.splitlines()[1])
    return hand.press(" ") if "You were away" in text else text
