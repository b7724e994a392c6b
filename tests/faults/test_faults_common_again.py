"""What is left for a bank when its common joint was made again and the trouble stays; and a toggle that flickers."""

from __future__ import annotations

import pytest
from helpers.fault_worlds import demo, model_of

from benchtui.faults import hunt
from benchtui.faults.events import RepairDone, TestAnswered, TriedAgain
from benchtui.faults.moves import all_moves
from benchtui.faults.proposal import propose
from benchtui.faults.target import target_of
from benchtui.ui.view.subjects import symptom_rows


@pytest.mark.parametrize(("outcome", "bus"), [("stays-low", "F11"), ("stays-high", "F12")])
def test_after_a_failed_common_joint_the_next_remedy_is_a_wire_beside_it(outcome: str, bus: str) -> None:
    design, _ = demo()
    state = hunt.start(model_of("bank", "A"), design, scope="bank", subject="A", symptom="bank-dead")
    state = hunt.advance(state, TestAnswered(test="T32", outcome=outcome))
    ranked = [each.id for each in all_moves(state) if each.kind == "repair" and each.expected is not None]
    assert ranked.index("remake-common") < ranked.index("second-common")  # the cheaper one first
    state = hunt.advance(hunt.advance(state, RepairDone(repair="remake-common")), TriedAgain(gone=False))
    left = [each for each in all_moves(state) if each.kind == "repair" and each.expected is not None]
    ids = [each.id for each in left]
    assert "remake-common" not in ids
    assert "second-common" in ids
    # A stuck select line copies the bottom as well, and is likelier then.
    assert ids[0] == "second-common" or bus == "F11"
    mends = state.layout.repair("second-common")
    assert mends is not None
    assert [each for each in mends.cures if each.startswith(f"{bus}@")]
    offered = propose(state, move="second-common")
    assert "Leave the old chain in place." in offered.do
    assert offered.minutes >= 18.0


def test_a_toggle_can_be_said_to_flicker_and_other_controls_cannot() -> None:
    design, _ = demo()
    for control in design.controls:
        target = target_of(design, scope="control", subject=control.id)
        rows = [row.id for row in symptom_rows(model_of("control", control.id), target)]
        assert ("symptom:flickers" in rows) == (control.kind == "toggle"), control.id


def test_a_toggle_that_flickers_is_hunted_as_dirt_an_open_pull_or_a_bad_lead() -> None:
    design, _ = demo()
    toggle = next(each.id for each in design.controls if each.kind == "toggle")
    state = hunt.start(model_of("control", toggle), design, subject=toggle, symptom="flickers")
    proposal = propose(state)
    assert proposal.kind in ("test", "repair")
    named = {suspect.fault.partition("@")[0] for suspect in proposal.suspects if suspect.share >= 0.05}
    assert named <= {"F31", "F37", "F32", "F20", "F21", "F22", "F29", "F43", "unknown"}
    assert state.shows < 1.0
    assert state.symptom is not None
    assert state.symptom.tries == 3
