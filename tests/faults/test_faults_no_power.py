"""A hunt where there is no power: said once, and only what needs none is proposed until it is there again."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from helpers.fault_worlds import demo, model_of
from helpers.hunts_seen import hunting, real_hunt

from benchtui.content.library import Library
from benchtui.errors import JobError
from benchtui.faults import engine, hunt
from benchtui.faults.events import (
    HuntClosed,
    NeighboursTried,
    NotPossible,
    PowerSaid,
    RepairDone,
    TriedAgain,
    WorkaroundDone,
    from_data,
    kind_of,
    to_data,
)
from benchtui.faults.moves import NONE_HERE, all_moves
from benchtui.faults.picking import WORTH_A_TRY
from benchtui.faults.proofs import pending_proofs, proofs_of
from benchtui.faults.proposal import propose
from benchtui.faults.run import Hunts
from benchtui.faults.untried import refuse_trial, supposing
from benchtui.record.store import Store
from benchtui.ui.view.hunt_ends import end_rows

if TYPE_CHECKING:
    from pathlib import Path


def dark(control: str = "F3", symptom: str = "control-dead", minutes: float | None = None) -> hunt.HuntState:
    design, _ = demo()
    model = model_of("control", control)
    state = hunt.start(model, design, subject=control, symptom=symptom, deadline_minutes=minutes)
    return hunt.advance(state, PowerSaid(there=False))


@pytest.mark.parametrize("minutes", [None, 20.0])
def test_only_moves_without_power_are_proposed_one_after_the_other(minutes: float | None) -> None:
    # Ten reasons had to be typed before: each next move still wanted the unit on.
    state, seen = dark(minutes=minutes), []
    for _ in range(60):
        proposal = propose(state)
        if proposal.kind == "close":
            break
        assert proposal.kind in ("test", "repair")
        power, plugs = getattr(proposal.move, "power", ""), getattr(proposal.move, "plugs", False)
        assert (power != "on", plugs) == (True, False), proposal.title
        seen.append(proposal.title)
        state = hunt.advance(state, NotPossible(move=proposal.move.id if proposal.move else ""))
    assert seen
    # Moves that hardly ever help are still on offer, so it is not said that there are none.
    assert any(each.kind != "work-around" for each in all_moves(state) if each.expected is not None)
    assert proposal.title == "Little more is worth doing without power"
    assert "say so" in proposal.do
    assert "stands in the list of all moves" in proposal.do
    assert proposal.outcomes == ()
    assert proposal.workaround is not None  # it stays in sight, and can be asked for
    assert propose(state, move=proposal.workaround.id).kind == "work-around"


def test_the_list_says_why_and_power_brings_the_moves_back() -> None:
    state = dark()
    barred = {each.id for each in all_moves(state) if each.note == NONE_HERE}
    assert barred
    again = hunt.advance(state, PowerSaid(there=True))
    assert not [each for each in all_moves(again) if each.note == NONE_HERE]
    assert barred & {each.id for each in all_moves(again) if each.expected is not None}
    assert "Plug the unit in" in " ".join(propose(again, move=id).do for id in barred & _offered(again))


def _offered(state: hunt.HuntState) -> set[str]:
    return {each.id for each in all_moves(state) if each.expected is not None}


def test_taking_it_back_is_as_if_it_had_not_been_said() -> None:
    state = dark()
    assert state.no_power
    from benchtui.faults.events import Withdrawn

    assert not hunt.advance(state, Withdrawn()).no_power


@pytest.mark.parametrize("minutes", [None, 20.0])
def test_nothing_more_is_said_only_where_no_move_is_on_offer(minutes: float | None) -> None:
    state = dark(minutes=minutes)
    while left := [each for each in all_moves(state) if each.expected is not None and each.kind != "work-around"]:
        for each in left:
            state = hunt.advance(state, NotPossible(move=each.id))
    assert propose(state).title == "Nothing more can be done without power"


@pytest.mark.parametrize("minutes", [None, 20.0, 45.0])
def test_tests_that_need_no_power_come_before_a_repair_that_nothing_proves(minutes: float | None) -> None:
    # At 20 minutes the first proposal was to sweep it twenty times, which cures this with under 1 %.
    state, kinds = dark(minutes=minutes), []
    for _ in range(12):
        proposal = propose(state)
        if proposal.kind == "close":
            break
        kinds.append(proposal.kind)
        index = proposal.move.id if proposal.move else ""
        if proposal.kind == "repair":
            cure = state.layout.repair_index(index)
            assert engine.chance_of_cure(state.layout.table, state.position, cure) >= WORTH_A_TRY, proposal.title
        state = hunt.advance(state, NotPossible(move=index))
    assert kinds[:4] == ["test"] * 4


def test_a_repair_is_not_tried_without_power_and_the_hunt_goes_on_with_tests() -> None:
    before = dark(minutes=45.0)
    assert [each.text for each in propose(before, move="re-terminate").outcomes] == [
        "done: to be tried when there is power"
    ]
    state, seen = hunt.advance(before, RepairDone(repair="re-terminate")), []
    assert (state.phase, state.untried) == ("look", ("re-terminate",))
    assert state.position.weights == before.position.weights  # only the trial says whether it helped
    for _ in range(40):
        proposal = propose(state)
        assert "is done and not tried yet: that waits for power." in proposal.detail[0]
        seen.append(proposal.kind)
        if proposal.kind == "close":
            break
        state = hunt.advance(state, NotPossible(move=proposal.move.id if proposal.move else ""))
    assert set(seen) == {"test", "close"}
    assert proposal.title == "Wait for power, then try the symptom"
    assert proposal.outcomes == ()
    assert proposal.workaround is not None
    offered = [each.id for each in all_moves(state) if each.kind == "repair" and each.expected is not None]
    assert propose(state, move=offered[0]).kind == "repair"  # another one can still be asked for
    back = hunt.advance(state, PowerSaid(there=True))
    assert propose(back).kind == "try again"
    assert propose(back).do.startswith("Before you plug in, measure:")
    assert propose(hunt.advance(back, TriedAgain(gone=True))).kind == "neighbours"


def test_what_was_repaired_and_waited_counts_as_no_help_only_once_the_symptom_is_still_there() -> None:
    state = dark()
    for repair in ("re-terminate", "rewire-leg"):
        state = hunt.advance(state, RepairDone(repair=repair))
    assert state.untried == ("re-terminate", "rewire-leg")
    back = hunt.advance(state, PowerSaid(there=True))
    table, position = state.layout.table, state.position
    unsure = hunt.advance(back, TriedAgain(gone=None))
    assert (unsure.phase, unsure.untried, unsure.position.weights) == ("look", (), position.weights)
    there = hunt.advance(back, TriedAgain(gone=False))
    for repair in ("rewire-leg", "re-terminate"):
        position = engine.failed(table, position, state.layout.repair_index(repair))
    assert there.position.weights == pytest.approx(position.weights)
    assert (there.phase, there.untried) == ("look", ())
    assert supposing(state).position.weights == pytest.approx(position.weights)


def test_a_bad_proof_of_one_that_waited_opens_that_one_again() -> None:
    state = hunt.advance(dark(), RepairDone(repair="re-terminate"))
    state = hunt.advance(hunt.advance(state, RepairDone(repair="rewire-leg")), PowerSaid(there=True))
    assert set(proofs_of(state, "re-terminate")) <= {each.id for each in pending_proofs(state)}
    own = [each for each in proofs_of(state, "re-terminate") if each not in proofs_of(state, "rewire-leg")]
    for bad in own:
        after = hunt.advance(state, TriedAgain(gone=None, unhealthy=bad))
        if not after.locks:
            assert after.repaired == ("rewire-leg",)


def test_a_record_of_a_trial_without_power_still_opens() -> None:
    state = hunt.advance(dark(), RepairDone(repair="re-terminate"))
    state = hunt.advance(hunt.advance(state, TriedAgain(gone=True)), NeighboursTried(well=True))
    assert state.phase == "close"
    assert propose(state).title == "Write it down"  # it was said there that nothing more can be done without power


def test_neighbours_and_a_work_around_wait_too_and_nothing_is_answered() -> None:
    state = hunt.advance(hunt.advance(dark(), PowerSaid(there=True)), RepairDone(repair="re-terminate"))
    state = hunt.advance(hunt.advance(state, TriedAgain(gone=True)), PowerSaid(there=False))
    stands_in = hunt.advance(dark(), WorkaroundDone(workaround="spare-control"))
    for each, title in ((state, "try the neighbours"), (stands_in, "try what now stands in")):
        assert propose(each).title.startswith("Wait for power: ")
        assert propose(each).outcomes == ()
        assert propose(hunt.advance(each, PowerSaid(there=True))).kind in ("neighbours", "try again"), title


def test_a_trial_that_cannot_have_been_made_is_not_written_down(tmp_path: Path) -> None:
    design, _ = demo()
    with Store.open(tmp_path / "record.sqlite") as store:
        hunts = Hunts(Library.open(), store)
        run = hunts.start(design, model=model_of("control", "F3"), scope="control", subject="F3")
        run.act(PowerSaid(there=False))
        run.act(RepairDone(repair="re-terminate"))
        with pytest.raises(JobError, match="there is no power here"):
            run.act(TriedAgain(gone=True))
        assert hunts.resume(run.job).state.untried == ("re-terminate",)
        run.undo()
        assert run.state.untried == ()


def test_a_short_still_goes_first_though_there_is_no_power() -> None:
    design, _ = demo()
    state = hunt.start(model_of("control", "F3"), design, subject="F3", signs=("smells",))
    state = hunt.advance(state, PowerSaid(there=False))
    assert propose(state).why.startswith("Safety goes first.")


def test_it_is_kept_in_the_record() -> None:
    event = PowerSaid(there=False)
    assert from_data(kind_of(event), to_data(event)) == event


def test_a_reason_that_says_so_counts_for_every_move() -> None:
    one = real_hunt()
    reply = one.not_possible("No power here")
    assert reply.text == "only what needs no power is proposed, until you say there is power"
    assert one.run.hunts.kept == ["hunt-power"]  # type: ignore[attr-defined]
    assert getattr(one.proposal.move, "power", "") != "on"
    assert one.power(there=False).text == "that is known already"
    assert one.power(there=True).text == "there is power again"
    assert not hunting(one.run.state).run.state.no_power


@pytest.mark.parametrize("why", ["no power drill", "no spare"])
def test_another_reason_counts_for_its_move_alone(why: str) -> None:
    one = real_hunt()
    one.not_possible(why)
    assert one.run.hunts.kept == ["hunt-not-possible"]  # type: ignore[attr-defined]


def test_a_move_that_is_not_on_offer_is_refused_by_its_name_and_its_reason() -> None:
    one = real_hunt()
    one.power(there=False)
    barred = next(each for each in all_moves(one.run.state) if each.note == NONE_HERE)
    reply = one.pick(barred.id)
    assert reply.problem
    assert reply.text == f'"{barred.title}" is not on offer now: {NONE_HERE}'
    assert barred.id not in reply.text.split('"')[2]


def test_no_note_in_the_list_of_moves_is_a_code() -> None:
    for each in all_moves(dark()):
        assert not each.note.startswith("T"), each.note


@pytest.mark.parametrize("result", ["fixed", "not reproduced"])
def test_without_power_nobody_has_seen_it_work(result: str) -> None:
    state = dark()
    assert [row.id for row in end_rows(state)] == ["open", "work-around"]
    with pytest.raises(JobError, match="there is no power"):
        refuse_trial(state, HuntClosed(result=result))
    refuse_trial(state, HuntClosed(result="open"))
