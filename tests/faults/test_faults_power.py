"""Plug and lid: no power while a short may be inside, the caution before live work, and the lid shut before curtain.

Sources: the trade notes, sections 3.2 (V+ to GND before any power) and 3.5 (curtain rule); common practice.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest
from helpers.fault_worlds import demo, model_of, shipped_model
from helpers.small_fault_model import small_hunt

from benchtui.errors import JobError
from benchtui.faults import hunt
from benchtui.faults.allowed import power_locked, rank
from benchtui.faults.belief import suspects
from benchtui.faults.events import (
    CANNOT_TELL,
    NeighboursTried,
    NotPossible,
    RepairDone,
    TestAnswered,
    TriedAgain,
    Withdrawn,
    WorkaroundDone,
)
from benchtui.faults.moves import all_moves
from benchtui.faults.proposal import propose

if TYPE_CHECKING:
    from benchtui.faults.events import HuntEvent
    from benchtui.faults.hunt import HuntState
    from benchtui.faults.views import Proposal

TARGETS = (("control", "F1"), ("control", "K2"), ("control", "R1"), ("control", "B1"), ("control", "E1"), ("bank", "A"))
SHORTS = (("T11", "low"), ("T11", "moves"), ("T10", "much"), ("T09", "low"), ("T44", "low"), ("T44", "moves"))
POWERED = ("plug the unit in", "plug in again", "plug it in", "power on", "plug in.")
"""Words that would put power on a unit; a sentence that forbids power has none of them."""


def begin(scope: str, subject: str = "", **more: Any) -> HuntState:
    """A hunt on the demo desk."""
    design, _ = demo()
    return hunt.start(model_of(scope, subject), design, scope=scope, subject=subject, **more)


def fold(state: HuntState, *events: HuntEvent) -> HuntState:
    return hunt.replay(state, events)


def words(proposal: Proposal) -> str:
    """All that is said of a move."""
    opens = proposal.opens.do if proposal.opens else ""
    return " ".join((opens, proposal.do, *proposal.detail, *(each.text for each in proposal.outcomes))).lower()


def offers_no_power(state: HuntState) -> bool:
    """Whether nothing that is on offer, and nothing that is said, puts power on the unit."""
    moves = {each.id: each for each in (*state.layout.tests, *state.layout.repairs)}
    ranking = rank(state)
    offered = [view for view in all_moves(state, ranking=ranking) if view.expected is not None]
    said = [propose(state, ranking=ranking), *(propose(state, ranking=ranking, move=view.id) for view in offered)]
    dark = all(moves[view.id].power != "on" and not moves[view.id].plugs for view in offered if view.id in moves)
    kept = all(view.id in ("leave-out", "spare-unit", "") for view in offered if view.kind == "work-around")
    return dark and kept and not any(each in words(proposal) for each in POWERED for proposal in said)


@pytest.mark.parametrize("found", SHORTS, ids="=".join)
@pytest.mark.parametrize("target", [*TARGETS, ("unit", "")], ids=lambda each: each[1] or "unit")
def test_a_short_that_was_measured_keeps_the_power_off(target: tuple[str, str], found: tuple[str, str]) -> None:
    state = begin(*target)
    if found[0] not in {test.id for test in state.layout.tests}:
        assert found[0] == "T11"  # the bank's own measurement has no meaning for a unit, nor for a button
        return
    assert not power_locked(state)
    state = fold(state, TestAnswered(test=found[0], outcome=found[1]))
    assert power_locked(state)
    assert offers_no_power(state)
    # No repair lets it go, not the right one either: only the measurement does.
    state = fold(state, RepairDone(repair="find-short"))
    assert power_locked(state)
    with pytest.raises(JobError):
        fold(state, TriedAgain(gone=True))
    while state.locks:
        proposal = propose(state)
        assert proposal.move is not None
        assert proposal.move.id in state.locks
        assert offers_no_power(state)
        healthy = next(each.id for each in proposal.move.outcomes if not each.finding)  # type: ignore[union-attr]
        state = fold(state, TestAnswered(test=proposal.move.id, outcome=healthy))
    assert state.phase == "again"
    assert "Plug the unit in" in propose(state).do


@pytest.mark.parametrize("sign", ["browned-out", "smells", "just-wired"])
@pytest.mark.parametrize("target", [*TARGETS, ("unit", "")], ids=lambda each: each[1] or "unit")
def test_a_sign_is_measured_first_where_it_can_be(target: tuple[str, str], sign: str) -> None:
    state = begin(*target, signs=(sign,))
    first = propose(state)
    assert first.why.startswith("Safety goes first.")
    assert first.do.startswith("USB out")
    made = []
    while state.due:
        made.append(state.due[0])
        state = fold(state, TestAnswered(test=state.due[0], outcome=CANNOT_TELL))
        assert offers_no_power(state)
    # At the board, everything plugged in, for any subject; then the bank's own where it has V+ and GND to divide.
    divides = target[1] in ("F1", "K2", "R1", "A")
    assert made == (["T44", "T11"] if divides else ["T44"])
    assert power_locked(state)


@pytest.mark.parametrize(("scope", "subject", "way"), [("control", "F1", "leave-out"), ("unit", "", "spare-unit")])
def test_a_sign_just_before_curtain_keeps_the_lid_on_and_the_plug_out(scope: str, subject: str, way: str) -> None:
    state = begin(scope, subject, signs=("smells",), deadline_minutes=5)
    proposal = propose(state)
    assert proposal.opens is None
    assert proposal.move is not None
    assert proposal.move.id == way
    assert proposal.do.startswith("Pull the plug of this unit.")
    state = fold(state, WorkaroundDone(workaround=way))
    assert state.phase == "close"  # nobody tries the symptom on a unit that must stay unplugged
    assert "short inside, no power" in propose(state).do
    with pytest.raises(JobError, match="short"):
        fold(begin("control", "F1", signs=("smells",)), WorkaroundDone(workaround="spare-control"))


def test_after_any_repair_the_measurement_comes_before_the_symptom() -> None:
    state = begin("control", "F1", signs=("smells",))
    state = fold(state, TestAnswered(test="T44", outcome="sound"), TestAnswered(test="T11", outcome="low"))
    before = {each.fault: each.share for each in suspects(state)}
    # A repair that has nothing to do with it, and the short is still there.
    state = fold(state, RepairDone(repair="sweep-clean"))
    assert propose(state).title.startswith("V+ to GND ohms")
    unsure = fold(state, TestAnswered(test="T11", outcome=CANNOT_TELL))
    assert power_locked(unsure)
    assert propose(unsure, move="find-short").outcomes[0].text == "done: measure before any power"
    state = fold(state, TestAnswered(test="T11", outcome="low"))
    assert (state.phase, state.pending, power_locked(state)) == ("look", "", True)
    after = {each.fault: each.share for each in suspects(state)}
    assert after["F53"] == pytest.approx(before["F53"], rel=0.1)  # measured twice, but one fault: it counts once
    # The right one: the symptom may be tried, and the measurement of before speaks of the unit no more.
    state = fold(state, RepairDone(repair="find-short"), TestAnswered(test="T11", outcome="steady"))
    assert state.phase == "again"
    still = fold(state, TriedAgain(gone=False))
    assert not power_locked(still)
    assert next(each.share for each in suspects(still) if each.fault == "F53") < 0.01
    # Taking back brings the lock back.
    assert power_locked(fold(state, Withdrawn()))


def test_what_was_measured_before_the_hunt_sets_nothing_free() -> None:
    state = fold(begin("control", "F1", signs=("smells",)), TestAnswered(test="T44", outcome="sound", before=True))
    assert state.due[0] == "T44"
    unsaid = fold(state, NotPossible(move="T44", why="no meter"), NotPossible(move="T11", why="no meter"))
    assert power_locked(unsaid)
    assert offers_no_power(unsaid)


def test_plug_and_lid_are_followed_from_move_to_move() -> None:
    state = begin("control", "F1", symptom="control-dead")
    inside = propose(state, move="T15")
    assert inside.opens is not None
    assert inside.do.startswith("USB out.")
    state = fold(state, TestAnswered(test="T15", outcome="good"))
    outside = propose(state, move="T32")
    refit = "Refit each lead of fader F1 that was lifted. Push J1 home again, pin 1 first."
    assert outside.do.startswith(f"{refit} The lid stays off. Plug the unit in.")
    assert "power-on-open-lid" in outside.uses
    state = fold(state, TestAnswered(test="T32", outcome="stays-low"))
    live = propose(state, move="T14")
    assert not live.do.startswith(("Plug", "The lid", "USB"))  # it is plugged in already
    assert "power-on-open-lid" in live.uses
    assert propose(state, move="T16").do.startswith("USB out")
    for repair in state.layout.repairs:
        if repair.power == "off":
            done = fold(state, RepairDone(repair=repair.id))
            again = propose(done)
            assert "Plug the unit in." in again.do, repair.id
            assert "power-on-open-lid" in again.uses, repair.id
            if "T11" in repair.prove:  # measured before the plug goes in, not after
                assert again.do.index("V+ to GND") < again.do.index("Plug the unit in."), repair.id


def test_the_lid_is_shut_before_curtain_and_before_the_neighbours() -> None:
    # Fifteen minutes: two for the work-around; lid off 4, legs 5, V+ to GND before power 1, trying 0.5, lid on 3 come
    # to 13.5.
    offered = {each.id for each in all_moves(begin("control", "F3", deadline_minutes=15)) if each.expected is not None}
    assert "rewire-leg" not in offered
    state = begin("control", "F3", deadline_minutes=17)
    move = next(each for each in all_moves(state) if each.id == "rewire-leg")
    assert move.minutes == pytest.approx(4 + 5 + 1 + 0.5)
    state = fold(state, RepairDone(repair="rewire-leg"), TriedAgain(gone=True))
    near = propose(state)
    assert "Put the lid on" in near.do
    assert near.minutes == pytest.approx(3.5)
    state = fold(state, NeighboursTried(well=True))
    assert state.position.opened == 0
    assert state.elapsed == pytest.approx(4 + 5 + 1 + 0.5 + 3 + 0.5)
    # The work-around waits for the lid too.
    state = fold(begin("control", "F3", deadline_minutes=20), TestAnswered(test="T15", outcome="good"))
    assert hunt.time_left(state) == pytest.approx(20 - 7 - 2 - 3)
    way = propose(state, move="spare-control")
    assert "Put the lid on" in way.do
    assert way.do.index("Plug the unit in.") < way.do.index("Map the function")
    assert fold(state, WorkaroundDone(workaround="spare-control")).elapsed == pytest.approx(7 + 2 + 3)
    # Four minutes left, by the clock: the mapping still fits, the screws do not.
    late = propose(state, elapsed=16.0)
    assert (late.kind, late.minutes) == ("work-around", 2)
    assert "Put the lid back, and fasten it after the show. Plug the unit in." in late.do
    assert late.do.startswith("Refit each lead of fader F3 that was lifted.")  # however late it is
    assert propose(state, elapsed=18.5).kind == "close"


def test_no_live_work_inside_goes_without_its_caution() -> None:
    for scope, subject in (*TARGETS, ("unit", "")):
        state = begin(scope, subject)
        open_ = fold(state, *(TestAnswered(test="T24", outcome="nothing"),))
        for here in (state, open_):
            ranking = rank(here)
            for view in all_moves(here, ranking=ranking):
                if view.kind == "work-around" or view.expected is None:
                    continue
                proposal = propose(here, ranking=ranking, move=view.id)
                live = proposal.move is not None and proposal.move.power == "on"
                if live and (proposal.opens or here.position.opened):
                    assert "power-on-open-lid" in proposal.uses, (subject, view.id)


def test_the_small_model_keeps_its_measurement_although_it_tells_nothing() -> None:
    state = small_hunt(signs=("smells",), deadline_minutes=9)
    assert propose(state).kind == "close"  # it has no work-around that leaves the unit out
    assert "Pull the plug" in propose(state).do


def test_every_text_that_plugs_the_unit_in_says_so_to_the_program() -> None:
    model = shipped_model()
    for move in (*model.tests, *model.repairs):
        text = move.do.lower()
        if move.power == "off" and not move.plugs:
            assert "plug in" not in text and "plug the unit in" not in text, move.id
        if "plug in again" in text or "re-plug" in text:
            assert move.plugs, move.id


def test_after_every_repair_with_the_iron_the_rail_is_measured_before_power() -> None:
    # Common practice: a bridge or a stray strand is found with the meter, not with the computer's port.
    for repair in shipped_model().repairs:
        if "iron" in repair.uses:
            assert repair.prove[0] in ("T44", "T11"), repair.id
