"""Fault finding on the screen: the move, its reason, the answers and what they mean, the suspects and the ways out."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest
from helpers.fault_worlds import model_of
from helpers.hunts_seen import hunting, page, real_hunt, shown
from helpers.screens import MORNING, check_saved, running, screen_text, until
from helpers.small_fault_model import small_hunt

from benchtui.faults.events import kind_of
from benchtui.faults.run import HuntRun
from benchtui.ui.hunting import HOLD, Hunting
from benchtui.ui.screens.hunt import HuntScreen
from benchtui.ui.view.hunt import HuntSight, hunt_page, move_rows, trail
from benchtui.ui.view.learnt import learnt_rows
from benchtui.ui.view.shapes import ASCII
from benchtui.ui.view.text import plain

if TYPE_CHECKING:
    from pathlib import Path

    from textual.pilot import Pilot

    from benchtui.ui.app import BenchApp


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
    assert not one.settled
    seconds[0] = HOLD + 0.1
    one.think(0.0)
    assert one.settled
    first = one.proposal
    while one._thinking is not None:
        seconds[0] += 0.001
        one.think(0.01)
    assert one.proposal == first


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


def test_each_reading_stands_with_what_it_would_be_under_the_leading_suspects() -> None:
    one = real_hunt()
    one.pick("T32")
    text = shown(one)
    assert "127 if bad joint at F3 lug 1" in text  # the ground lug open: the value sticks at the top
    assert "0 if bad joint at F3 lug 3" in text
    assert "as healthy" not in text  # suspects that would not show here are not worth the room
    one.answer(6)  # in between: the signal lead, then
    one.pick("T15")
    assert re.search(r"OL if [^;]*F3 lug 2", shown(one))
    one.pick("T11")
    assert "else as healthy under each of the leading suspects" in shown(one)


def test_the_field_closes_when_a_reading_leaves_the_answer_to_a_number() -> None:
    one = real_hunt()
    one.pick("T32")
    assert one.reading("3").ask == "reading"
    assert one.reading("200").problem  # no control sends that; the first reading is kept
    reply = one.reading("127")
    assert not reply.problem
    assert one.run.hunts.kept == ["hunt-reading", "hunt-test"]  # type: ignore[attr-defined]


def test_clean_tries_are_weighed_where_a_fault_comes_and_goes() -> None:
    one = real_hunt(symptom="drops-when-moved")
    one.pick("re-terminate")
    one.answer(1)
    tries = one.proposal.tries
    assert one.proposal.kind == "try again"
    assert tries > 1
    assert f"after {tries} it is" in one.proposal.why
    few = one.clean_tries("1")
    assert "still there is" in few.text
    assert f"{tries} clean tries would bring it under 5 %" in few.text
    assert one.proposal.outcomes[0].text == "it is gone in the one try"
    assert one.clean_tries("none").problem
    one.clean_tries("12")
    one.answer(1)
    assert getattr(one.run.state.events[-1], "tries", 0) == 12


def test_what_was_tried_stands_in_words_beside_the_move() -> None:
    one = real_hunt()
    one.pick("T33")
    one.answer(1)
    one.pick("re-terminate")
    one.answer(1)
    one.answer(2)
    told = plain(trail(one.run.state, 80))
    assert "Direction: it rises" in told
    assert "Cut back and re-terminate the signal lead: done" in told
    assert "The symptom is still there" in told
    one.undo()
    assert "taken back: The symptom is still there" in plain(trail(one.run.state, 80))


def test_what_was_learnt_is_a_list_with_its_sample_and_a_way_to_forget_it() -> None:
    from benchtui.faults.learning import Confirmed, learn

    model = model_of("control", "F3")
    assert [row.id for row in learnt_rows(learn(model, []), model)] == ["keep"]
    repairs = [Confirmed(fault="F21", design="d"), Confirmed(fault="F21@F1.signal", design="other")]
    rows = learnt_rows(learn(model, repairs, design="d"), model)
    assert [row.id for row in rows[:3]] == ["keep", "here", "all"]
    assert rows[-1].text.startswith("1 and 1  Broken wire")


async def open_hunt(app: BenchApp, pilot: Pilot[None]) -> HuntScreen:
    state = small_hunt()
    run = HuntRun(app.hunts, state, job="HAAAAA", unit="HCD-001-K", begun=MORNING)
    app.store.append(kind_of(state.started), unit="HCD-001-K", job="HAAAAA", data={"title": "hunt"})
    screen = HuntScreen(run)
    app.push_screen(screen)
    await pilot.pause()
    await settled(screen, pilot)
    return screen


async def settled(screen: HuntScreen, pilot: Pilot[None]) -> None:
    """Once the move is shown."""
    screen.hunting.settle()
    screen.redraw()
    await pilot.pause()


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
        assert "by itself / to a working input / losses counted" in screen_text(app)
        await pilot.press("escape", "q")


async def test_what_was_learnt_is_seen_and_forgotten_by_key(tmp_path: Path) -> None:
    async with running(tmp_path) as (app, pilot):
        screen = await open_hunt(app, pilot)
        state = screen.run.state
        fault = state.model.faults[0].id
        app.store.append(
            "hunt-started", job="HBBBBB", data={"design": state.started.design, "title": "an earlier hunt"}
        )
        app.store.append("hunt-closed", job="HBBBBB", data={"result": "fixed", "fault": fault})
        await pilot.press("e")
        await pilot.pause()
        assert "1 confirmed repair" in screen_text(app)
        await pilot.press("down", "enter")
        await pilot.pause()
        assert "forgotten for the hunts to come" in screen_text(app)
        await pilot.press("e")
        await pilot.pause()
        assert "no confirmed repair yet" in screen_text(app)
        await pilot.press("enter")
        await pilot.pause()
        assert app.screen is screen


async def test_a_message_about_a_text_that_was_given_up_does_not_stay(tmp_path: Path) -> None:
    async with running(tmp_path) as (app, pilot):
        await open_hunt(app, pilot)
        await pilot.press("t", *"soon", "enter")
        await pilot.pause()
        assert "is no number of minutes" in screen_text(app)
        await pilot.press("escape")
        await pilot.pause()
        assert "is no number of minutes" not in screen_text(app)


def test_a_neighbour_that_does_not_work_is_asked_about_and_not_passed_over() -> None:
    one = hunting(small_hunt())
    assert not one.pick("mend-b").problem
    one.answer(1)
    one.answer(1)
    assert one.proposal.title == "Try the neighbours"
    one.answer(2)
    assert one.proposal.kind == "beside"
    assert "Look again at what the repair" in page(one)
    one.answer(1)
    assert one.proposal.title == "Try the original symptom again"
    one.answer(1)
    one.answer(2)
    one.answer(2)
    assert one.proposal.title == "Write it down"
    assert "the neighbour does not work" in " ".join(page(one).split())
    assert one.run.hunts.kept.count("hunt-neighbours") == 3  # type: ignore[attr-defined]


def test_no_power_is_asked_for_while_a_short_may_be_inside() -> None:
    one = hunting(small_hunt(signs=("smells",)))
    assert "Safety goes first" in page(one)
    assert one.pick("T1").problem  # it wants the power on
    assert one.pick("spare").problem  # so does playing on
    one.answer(2)
    assert not one.pick("mend-b").problem
    assert one.proposal.outcomes[0].text == "done: measure before any power"
    one.answer(1)
    assert one.proposal.title == "Test T2"
    one.answer(1)
    assert one.proposal.title == "Try the original symptom again"


async def test_what_was_tried_before_is_confirmed_on_the_screen(tmp_path: Path) -> None:
    async with running(tmp_path) as (app, pilot):
        screen = await open_hunt(app, pilot)
        await pilot.press("y")
        await until(pilot, "What was tried before?")
        await pilot.press("enter")
        await until(pilot, "What came out?")
        await pilot.press("enter")
        text = await until(pilot, "taken in:")
        assert "before this hunt" in text
        assert screen.run.state.answers
        await pilot.press("q")
