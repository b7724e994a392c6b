"""Fault finding on the screen: the move, its reason, the answers and what they mean, the suspects and the ways out."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest
from helpers.screens import MORNING, Clock, check_saved, running, screen_text
from helpers.small_fault_model import small_hunt

from benchtui.faults.events import kind_of
from benchtui.faults.run import HuntRun
from benchtui.ui.hunting import SETTLING, Hunting
from benchtui.ui.screens.hunt import HuntScreen
from benchtui.ui.view.hunt import HuntSight, hunt_page, move_rows
from benchtui.ui.view.shapes import ASCII, UNICODE
from benchtui.ui.view.text import plain, width_of

if TYPE_CHECKING:
    from pathlib import Path

    from textual.pilot import Pilot

    from benchtui.faults.hunt import HuntState
    from benchtui.ui.app import BenchApp


class Hunts:
    """A record that keeps events in a list."""

    def __init__(self) -> None:
        self.kept: list[str] = []
        self.clock = Clock()
        self.store = self
        self.library: Any = self

    def append(self, kind: str, **_: object) -> None:
        self.kept.append(kind)

    def cautions(self) -> dict[str, object]:
        return {}


def hunting(state: HuntState | None = None) -> Hunting:
    run = HuntRun(Hunts(), state or small_hunt(), job="HAAAAA", unit="HCD-001-K", begun=MORNING)  # type: ignore[arg-type]
    return Hunting(run)


def page(one: Hunting, width: int = 80, height: int = 20) -> str:
    lines, _ = hunt_page(one.proposal, HuntSight(), width=width, height=height, shapes=UNICODE)
    assert len(lines) == height
    assert all(width_of(row) <= width for row in lines)
    return plain(lines)


def test_the_page_shows_move_reason_answers_suspects_and_way_out() -> None:
    one = hunting()
    text = page(one)
    for part in (one.proposal.title, "why", "Suspects", " 1 ", "cannot tell", "way out"):
        assert part in text
    for outcome in one.proposal.outcomes:
        assert outcome.text in text


def test_the_way_out_stays_in_sight_when_there_is_little_room() -> None:
    assert "way out" in page(hunting(), height=12)


def test_an_answer_is_written_down_before_the_next_move_is_shown() -> None:
    one = hunting()
    first = one.move
    one.answer(1)
    assert one.run.hunts.kept == ["hunt-test"]  # type: ignore[attr-defined]
    assert one.move != first


def test_an_answer_can_be_taken_back_and_the_record_keeps_both() -> None:
    one = hunting()
    first = one.move
    one.answer(1)
    assert "both" in one.undo().text
    assert one.move == first
    assert one.run.hunts.kept == ["hunt-test", "hunt-withdrawn"]  # type: ignore[attr-defined]
    assert one.undo().problem


def test_a_wrong_number_is_refused() -> None:
    one = hunting()
    assert one.answer(99).problem
    assert one.run.hunts.kept == []  # type: ignore[attr-defined]


def test_another_move_can_be_picked_and_the_proposed_one_returned_to() -> None:
    one = hunting()
    first = one.move
    one.runner_up()
    assert one.picked
    assert one.move != first
    one.runner_up()
    assert one.move == first


def test_the_way_out_leads_to_trying_it() -> None:
    one = hunting()
    one.way_out()
    assert one.proposal.kind == "work-around"
    one.go_on()
    assert one.proposal.kind == "try again"


@pytest.mark.parametrize("typed", ["soon", "-3", "1e9", "[/]"])
def test_a_curtain_time_that_is_none_is_refused_in_a_sentence(typed: str) -> None:
    assert "no number of minutes" in hunting().curtain(typed).text


def test_a_better_move_is_only_offered_once_the_first_was_shown_for_a_while() -> None:
    seconds = [0.0]
    run = hunting().run
    one = Hunting(run, clock=lambda: seconds[0])
    first = one.proposal
    seconds[0] = SETTLING + 0.1
    while one._thinking is not None:
        seconds[0] += 0.001
        one.think(0.01)
    assert one.proposal.title == first.title


def test_a_hunt_can_be_followed_to_its_end_by_the_screen_alone() -> None:
    one = hunting()
    for _ in range(40):
        kind = one.proposal.kind
        if kind in ("close", "closed"):
            break
        one.answer(1)
    assert one.proposal.kind == "close"


def test_all_moves_are_listed_with_the_reason_why_some_are_not_on_offer() -> None:
    from benchtui.faults.moves import all_moves

    one = hunting()
    one.answer(1)
    rows = move_rows(all_moves(one.run.state))
    assert any(row.under == "answered" for row in rows)


def test_the_bars_have_a_plain_form() -> None:
    lines, _ = hunt_page(hunting().proposal, HuntSight(), width=80, height=20, shapes=ASCII)
    assert "█" not in plain(lines)
    assert "#" in plain(lines)


async def open_hunt(app: BenchApp, pilot: Pilot[None]) -> HuntScreen:
    state = small_hunt()
    run = HuntRun(app.hunts, state, job="HAAAAA", unit="HCD-001-K", begun=MORNING)
    app.store.append(kind_of(state.started), unit="HCD-001-K", job="HAAAAA", data={"title": "hunt"})
    screen = HuntScreen(run)
    app.push_screen(screen)
    await pilot.pause()
    return screen


@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
async def test_the_hunt_screen(tmp_path: Path, size: tuple[int, int], request: pytest.FixtureRequest) -> None:
    async with running(tmp_path, size=size) as (app, pilot):
        screen = await open_hunt(app, pilot)
        while screen.hunting._thinking is not None:
            screen.hunting.think()
        screen.redraw()
        await pilot.pause()
        await check_saved(app, f"hunt_{size[0]}x{size[1]}", request)


async def test_a_number_answers_and_u_takes_it_back(tmp_path: Path) -> None:
    async with running(tmp_path) as (app, pilot):
        screen = await open_hunt(app, pilot)
        first = screen.hunting.move
        await pilot.press("1")
        assert screen.hunting.move != first
        await pilot.press("u")
        assert "taken back" in screen_text(app)
        await pilot.press("l")
        await pilot.pause()
        assert "On offer, best first" in screen_text(app)
        await pilot.press("escape", "q")
