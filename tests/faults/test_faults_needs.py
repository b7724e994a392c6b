"""A move is offered only where the design has what it needs."""

from __future__ import annotations

from dataclasses import replace

import pytest
from helpers.fault_worlds import demo, shipped_model
from helpers.second_plug import with_second_plug

from benchtui.design.model import Design
from benchtui.faults import hunt
from benchtui.faults.events import NOT_AT_HAND, NotPossible, Withdrawn, from_data, kind_of, to_data
from benchtui.faults.from_design import model_for
from benchtui.faults.huntstate import HuntState
from benchtui.faults.plugs import like_plugs
from benchtui.faults.proposal import propose
from benchtui.faults.target import target_of
from benchtui.ui.hunt_answers import event_for


def started(design: Design, subject: str, *, scope: str = "control") -> HuntState:
    target = target_of(design, scope=scope, subject=subject)
    return hunt.start(model_for(shipped_model(), design, target), design, target=target)


def test_no_two_plugs_of_the_demo_desk_change_places() -> None:
    # Each bank has a plug of its own pin-out; J1 in place of J2 puts a fader's wire on a spare pin or worse.
    design, _ = demo()
    assert [each.id for each in design.connectors if like_plugs(design, each.id)] == []
    assert like_plugs(design, "J99") == ()
    for subject, scope in (("F3", "control"), ("B6", "control"), ("E1", "control"), ("A", "bank"), ("", "unit")):
        assert "T18" not in {test.id for test in started(design, subject, scope=scope).layout.tests}


def test_a_plug_of_the_same_part_and_pin_out_is_swapped_and_named() -> None:
    design = with_second_plug(demo()[0], "J1", "J7")
    assert like_plugs(design, "J1") == ("J7",)
    assert "second-plug" in target_of(design, scope="control", subject="F3").features
    assert "second-plug" not in target_of(design, scope="control", subject="K2").features
    test = next(each for each in started(design, "F3").layout.tests if each.id == "T18")
    assert "J7 has the same part and the same pin-out as J1." in test.detail


@pytest.mark.parametrize("change", ["supply", "spare", "D5", "part"])
def test_a_plug_of_another_part_or_pin_out_is_never_swapped(change: str) -> None:
    design = with_second_plug(demo()[0], "J1", "J7")
    other = design.connector("J7")
    if change == "part":
        other = replace(other, part="another")
    else:
        pin = "1" if change != "D5" else "2"
        other = replace(other, pins={**other.pins, pin: replace(other.pins[pin], to=change)})
    design = replace(design, connectors=tuple(other if each.id == "J7" else each for each in design.connectors))
    assert like_plugs(design, "J1") == ()


def test_what_has_no_nut_has_none_that_is_loose() -> None:
    design, _ = demo()
    snapped = replace(
        design,
        controls=tuple(
            replace(each, part=replace(each.part, mount=replace(each.part.mount, nut=None, thread="")))
            if each.part.mount
            else each
            for each in design.controls
        ),
    )
    with_nut, without = (target_of(each, scope="control", subject="K2") for each in (design, snapped))
    assert with_nut.features - without.features == {"nut"}
    assert "T25" in {test.id for test in hunt.start(shipped_model(), design, target=with_nut).layout.tests}
    state = hunt.start(shipped_model(), snapped, target=without)
    assert "T25" not in {test.id for test in state.layout.tests}
    assert "F29" not in {fault.id for fault in state.layout.faults}


def test_an_encoder_without_a_push_switch_is_not_pressed_ten_times() -> None:
    design, _ = demo()
    plain = replace(
        design,
        controls=tuple(
            replace(each, pins={role: pin for role, pin in each.pins.items() if role != "push"})
            for each in design.controls
        ),
    )
    for each, pressed in ((design, True), (plain, False)):
        state = hunt.start(shipped_model(), each, target=target_of(each, scope="control", subject="E1"))
        assert ("T37" in {test.id for test in state.layout.tests}) is pressed


def test_what_is_not_at_hand_is_asked_for_once() -> None:
    state = started(demo()[0], "", scope="unit")
    page = propose(state, move="T27")
    answer = page.outcomes[-1]
    assert (answer.key, answer.text) == (NOT_AT_HAND, "not at hand: the spare unit")
    event = event_for(page, answer.key)
    assert event == NotPossible(move="T27", why="not at hand", missing=("the spare unit",))
    assert from_data(kind_of(event), to_data(event)) == event
    after = hunt.advance(state, event)
    assert {"T27", "spare-unit"} <= after.dropped
    assert after.elapsed == state.elapsed
    assert after.workaround is None or after.workaround.id != "spare-unit"
    back = hunt.advance(after, Withdrawn())
    assert back.workaround is not None and back.workaround.id == "spare-unit"
