"""Rows C11 and C12: what must not be broken off says so before it begins; after a break the last step is looked at."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest
from helpers.at_work import at_bench
from helpers.demo_plan import make_step, plain_plan
from helpers.screens import FakeBench, running, screen_text, until
from helpers.script import Script

from benchtui.jobs import events as ev
from benchtui.ui import flows
from benchtui.ui.lines.job import JobTalk

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

UNIT = "HCD-003-K"
POTTING = replace(
    plain_plan(),
    steps=(
        make_step(1, "mask", "Mask the edge.", minutes=2.0, stop=True),
        make_step(2, "pour", "Pour it.", minutes=4.0, no_break=True),
        make_step(3, "level", "Level it.", minutes=3.0, no_break=True),
        make_step(4, "cover", "Cover it.", minutes=5.0),
        make_step(5, "wipe", "Wipe the bench.", minutes=1.0),
    ),
)


@pytest.fixture
def bench(tmp_path: Path) -> Iterator[FakeBench]:
    with at_bench(tmp_path, {POTTING.id: POTTING}) as bench:
        yield bench


async def test_how_long_it_must_not_be_left_is_said_before_it_begins_and_safe_stops_stand_in_the_list(
    tmp_path: Path,
) -> None:
    # Row C11 (pause points, Gawande; IEC/IEEE 82079-1): it warns and does not ask, for that would cost a key each time.
    async with running(tmp_path, plans={POTTING.id: POTTING}) as (app, pilot):
        app.go(flows.work_on(app, app.bench.start(POTTING.id, UNIT)))
        await until(pilot, "about 2 min to the next safe stop")
        await pilot.press("l")
        await until(pilot, "no break")
        # Row B5 (S1000D task duration): over the list stands how long it is to the end, too.
        await until(pilot, "about 2 min to the next safe stop, about 15 min to the end")
        # Beside the line of time to the next one, step 1 is named as a safe stop, and steps 2 and 3 as none.
        assert [screen_text(app).count(mark) for mark in ("safe stop", "no break")] == [2, 2]
        await pilot.press("l", "space")
        await until(pilot, "do not break off for about 12 min from here")
        await pilot.press("space")
        await until(pilot, "do not break off here")


def test_by_lines_it_is_said_too(bench: FakeBench) -> None:
    script = Script("", "", "list", "quit", "", "", "")
    JobTalk(script.talk(), bench.start(POTTING.id, UNIT), emergency=("pull the plug",)).go(lambda _: "")
    assert "Do not break off for about 12 min from here." in script.text
    assert "About 9 min to the end." in script.text
    assert "Mask the edge. Safe stop after it." in script.text
    assert "Level it. Do not break off here." in script.text


@pytest.mark.parametrize(
    ("key", "said", "step"), [("space", "Pour it.", "pour"), ("u", "step 1 is open again", "mask")]
)
async def test_after_a_break_one_key_looks_at_the_last_step_to_confirm_it_or_open_it_again(
    tmp_path: Path, key: str, said: str, step: str
) -> None:
    # Row C12 (DOE-STD-1029; Altmann and Trafton).
    async with running(tmp_path, plans={POTTING.id: POTTING}) as (app, pilot):
        run = app.bench.start(POTTING.id, UNIT)
        run.act(ev.StepDone(step="mask"))
        run.suspend()
        app.bench.clock.forward(hours=9)  # type: ignore[attr-defined]
        app.go(flows.take_up(app, run.job))
        assert "the last step" in await until(pilot, "You were away for")
        await pilot.press("b")
        await until(pilot, "Looking at step 1; the work is at step 2")
        await pilot.press(key)
        await until(pilot, said)
        assert run.state.current == step
