"""Where a part can go, held against the shipped Hollin desk; the nearest place is named (IPC-1782 5.1, where-used)."""

from __future__ import annotations

import pytest

from benchtui.content.library import Library
from benchtui.design import load_design
from benchtui.ui.places import each_place, place_doubt

DESK = load_design(Library.open().path_of("design", "hollin-cue-desk"))


@pytest.mark.parametrize("typed", ["F3", "f3", "J2", "board", "lid", "Panel", "F3 lug 2", "f3 LUG 2", "J2 pin 1", ""])
def test_a_place_of_the_design_is_taken(typed: str) -> None:
    assert place_doubt(DESK, typed) == ""


def test_a_place_with_something_strange_behind_it_is_asked_about() -> None:
    # A bank is called B1; 2611A is no place in it.
    bank = DESK.banks[0].id
    assert place_doubt(DESK, f"{bank} at 2611A") == f"{bank} has no place at 2611A: type {bank} alone"


def test_a_joint_that_the_part_does_not_have_is_asked_about_and_its_joints_are_named() -> None:
    said = place_doubt(DESK, "F3 lug 9")
    assert said.startswith("F3 has no place lug 9: it has lug 1, ")


@pytest.mark.parametrize(("typed", "near"), [("F33", "F3"), ("bord", "board"), ("panle", "panel")])
def test_the_nearest_place_is_named(typed: str, near: str) -> None:
    said = place_doubt(DESK, typed)
    assert said.startswith(f"there is no such place as {typed}")
    assert near in said.partition("nearest")[2]


def test_what_is_near_nothing_is_only_doubted() -> None:
    assert place_doubt(DESK, "?!") == "there is no such place as ?!"


def test_what_the_job_speaks_of_is_a_place_too_and_without_a_design_any_is() -> None:
    assert place_doubt(DESK, "X9", known=("X9",)) == ""
    assert place_doubt(None, "2611A") == ""


@pytest.mark.parametrize(
    ("typed", "places"),
    [
        ("F1 to F3", ("F1", "F2", "F3")),
        ("F1 to 3", ("F1", "F2", "F3")),
        ("F1-F3, K2 and k4", ("F1", "F2", "F3", "K2", "k4")),
        ("F3 lug 2", ("F3 lug 2",)),
        ("J2-3", ("J2-3",)),  # may be pin 3
        ("F8 to F1", ("F8 to F1",)),
        ("F1 to K3", ("F1 to K3",)),
        ("lid", ("lid",)),
        ("", ()),
    ],
)
def test_a_row_of_places_is_each_of_them(typed: str, places: tuple[str, ...]) -> None:
    assert each_place(typed) == places


def test_each_place_of_a_row_is_held_against_the_design() -> None:
    assert place_doubt(DESK, "F1 to F8") == ""
    assert place_doubt(DESK, "F1, F99").startswith("there is no such place as F99")
