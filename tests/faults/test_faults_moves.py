"""The list of all moves: its order by the figure it shows, and what was tried before the hunt."""

from __future__ import annotations

import pytest
from helpers.hunts_seen import real_hunt

from benchtui.faults.events import RepairDone, TestAnswered
from benchtui.faults.moves import all_moves
from benchtui.faults.words import spot
from benchtui.ui.tried import tried_said
from benchtui.ui.view.hunt import move_rows, trail
from benchtui.ui.view.text import plain


def test_moves_on_offer_stand_in_the_order_of_the_last_figure_shown() -> None:
    one = real_hunt("F6", "control-dead", minutes=29)
    one.settle()
    one.act(TestAnswered(test="T12", outcome="right"))
    one.settle()
    offered = [each for each in all_moves(one.run.state, ranking=one.ranking) if each.expected is not None]
    assert [each.counted for each in offered] == sorted(each.counted for each in offered)
    # The order of the minutes to a working input alone is another one, and so has to be explained.
    assert [each.expected for each in offered] != sorted(each.expected or 0.0 for each in offered)
    head, first, *_ = move_rows(offered)
    assert head.right == "by itself / to a working input / losses counted"
    assert first.right.count(" / ") == 2


def test_what_was_tried_before_the_hunt_is_confirmed_and_listed_as_that() -> None:
    one = real_hunt("F6", "control-dead", minutes=23)
    said = tried_said(one.run, "reload", "")
    assert said == "taken in: Re-load firmware and mapping, tried before this hunt, did not help"
    assert not one.act(RepairDone(repair="reload", before=True), said).problem
    told = tried_said(one.run, "T33", "right")
    assert told == "taken in: Direction: it rises, known before this hunt"
    one.act(TestAnswered(test="T33", outcome="right", before=True), told)
    notes = {each.id: each.note for each in all_moves(one.run.state)}
    assert notes["reload"] == "tried before this hunt, did not help"
    assert notes["T33"] == "known before this hunt"
    text = plain(trail(one.run.state, 100))
    assert "Re-load firmware and mapping: tried before, did not help" in text
    assert "known before: Direction: it rises" in text


@pytest.mark.parametrize(
    ("where", "short"),
    [
        (
            "red on F6 lug 2 (wiper), black on J1 pin 1 at the board (ground, black wire), F6 at the middle",
            "F6 at the middle, lug 2",
        ),
        (
            "red on J1 pin 8 at the board (violet wire, M1 channel 5), black on J1 pin 1 at the board (ground, "
            "black wire), F6 at the upper stop",
            "F6 at the upper stop, J1 pin 8",
        ),
        ("raw value of F6 in the set-up program, F6 at the lower stop", "F6 at the lower stop, raw value"),
        ("B1 lug 1 (first terminal) to B1 lug 2 (second terminal), loose or J3 unplugged, closed",
         "closed, B1 lug 1 to B1 lug 2"),
        ("F6 lug 2 (wiper) to J1 pin 8 (violet wire, M1 channel 5), J1 unplugged", "F6 lug 2 to J1 pin 8"),
        ("USB meter between the port and the lead", "USB meter between the port and the lead"),
    ],
)  # fmt: skip
def test_the_place_of_a_reading_in_few_words(where: str, short: str) -> None:
    assert spot(where) == short
