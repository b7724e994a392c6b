"""What comes after a repair: measuring before power, the symptom again, the neighbours, and the close."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from benchtui.faults import engine
from benchtui.faults.belief import suspects
from benchtui.faults.events import CANNOT_TELL
from benchtui.faults.huntstate import workaround_now
from benchtui.faults.power import LID_OFF, OPEN_AND_ON, PLUG_IN, is_open, plug_in, put_back, shut_words
from benchtui.faults.proofs import UNHEALTHY, locked_through, pending_minutes, pending_proofs, said
from benchtui.faults.soak import doubt, tries_to_believe
from benchtui.faults.soaked import doubt_left, try_minutes
from benchtui.faults.views import OutcomeView, Proposal
from benchtui.faults.words import in_words, listed, minutes_text, percent

if TYPE_CHECKING:
    from collections.abc import Sequence

    from benchtui.faults.huntstate import HuntState
    from benchtui.faults.model import Repair, Test, Workaround

WORKAROUND_HOLDS: Final = 0.9
"""Belief that a work-around does what it is for. Estimate."""

OPEN_ITEM: Final = "It stays an open item of this unit until the work-around is undone."
"""What becomes of a fault that was worked around."""

WORKED_ONCE: Final = 0.05
"""Minutes to work one control from end to end and see its value move. Estimate."""

MOST_NEIGHBOURS: Final = 6
"""How many neighbours get an answer of their own, so that all answers have a figure key."""

HANDFUL: Final = 5
"""Tries that are asked for where no number of them would prove anything. Our own choice."""

SELDOM: Final = (
    "It shows so seldom that no number of clean tries in one sitting proves it gone. Wiggling brings out what comes "
    "and goes much sooner. Say so at the close, and look at it again after the next shows."
)
"""The success run of a fault that hardly ever shows: hopeless, so it is said (notes on fault finding, 6)."""


def after_a_repair(state: HuntState, elapsed: float | None = None) -> Proposal:
    """What is to be done now, in any phase but that of looking for the next move.

    Args:
        state: Where the hunt stands.
        elapsed: Minutes since the start by the clock; the state's own when None.
    """
    match state.phase:
        case "again":
            return _again(state, elapsed)
        case "neighbours":
            return _neighbours(state)
        case "beside":
            return _beside(state)
        case "close":
            return _close(state)
        case _:
            return Proposal(kind="closed", title="This hunt is closed", do="", suspects=suspects(state))


def _again(state: HuntState, elapsed: float | None) -> Proposal:
    around = next((each for each in state.model.workarounds if each.id == state.pending), None)
    if around is not None:
        return _stands_in(state, around, elapsed)
    symptom = state.symptom
    again = symptom.again if symptom else "Do again what showed the trouble, on {it}, in the same way and place."
    again = in_words(again, state.target.title, state.target.kinds)
    tries = max(symptom.tries if symptom else 1, 1)
    belief = 1.0
    repair = state.repair
    if repair:
        index = state.layout.repair_index(repair.id)
        belief = engine.chance_of_cure(state.layout.table, state.position, index)
    hopeless = False
    if state.shows < 1.0:
        enough = tries_to_believe(belief, state.shows)
        hopeless = not enough
        tries = max(tries, enough or HANDFUL)
    times = "" if tries == 1 else f" Try it {tries} times, all of them clean."
    if hopeless:
        times = f" Try it {tries} times, and wiggle leads, plugs and what was repaired meanwhile."
    proofs = pending_proofs(state)
    before, after = _proofs(state, repair)
    plug = ""
    if not state.powered:
        plug = f"{plug_in(state, again, lid_off=is_open(state))} " if not before else ""
    back = f"{back} " if (back := put_back(state)) else ""
    return Proposal(
        kind="try again",
        title="Try the original symptom again",
        do=f"{back}{before}{plug}{again}{times}",
        detail=(f"When it is gone, test also: {after}.",) if after else (),
        why=(SELDOM if hopeless else _why_again(state.shows, belief, tries, told=state.started.shows is not None)),
        minutes=pending_minutes(state) + try_minutes(state, tries),
        outcomes=(
            OutcomeView(
                key="gone", text="it is gone" if tries == 1 else f"it is gone in all {tries} tries", share=belief
            ),
            OutcomeView(key="there", text="it is still there", share=1.0 - belief),
            OutcomeView(key=CANNOT_TELL, text="cannot tell"),
            *(OutcomeView(key=f"{UNHEALTHY}{each.id}", text=_unhealthy(state, each)) for each in proofs),
        ),
        uses=OPEN_AND_ON if is_open(state) else (),
        suspects=suspects(state),
        workaround=workaround_now(state, elapsed),
        tries=tries,
    )


def _proofs(state: HuntState, repair: Repair | None) -> tuple[str, str]:
    """What proves a repair: the sentence that comes before any power, and the names of what is made again after it."""
    cold = listed([said(state, test) for test in pending_proofs(state)])
    tests = {test.id: test for test in state.layout.tests if test.power != "off"}
    named = [tests[id] for id in (repair.prove if repair else ()) if id in tests]
    warm = listed([f'"{test.title}" ({minutes_text(test.minutes)})' for test in named])
    lid = f" {LID_OFF}" if is_open(state) else ""
    plug = plug_in(state, "", lid_off=False)
    swept = any(locked_through(state.layout, test.id) for test in pending_proofs(state))
    move = " Of the controls, move only what was worked on." if swept else ""
    before = f"Before you plug in, measure: {cold}.{move} Go on only when that is healthy.{lid} {plug} " if cold else ""
    return before, warm


def _unhealthy(state: HuntState, test: Test) -> str:
    """The answer that a proof came out bad, with what that means for plug or repair."""
    then = "no power" if locked_through(state.layout, test.id) else "make the repair again"
    return f'"{test.title}" is not healthy: {then}'


def _stands_in(state: HuntState, around: Workaround, elapsed: float | None) -> Proposal:
    """Trying what a work-around put in place: the trouble itself is still there, so trying that would tell nothing."""
    words = around.again or "Open the show program and work what now stands in for {it}: each function once."
    words = in_words(words, state.target.title, state.target.kinds)
    plug = f"{plug_in(state, words, lid_off=is_open(state))} " if around.power == "on" and not state.powered else ""
    other = workaround_now(state, elapsed)
    return Proposal(
        kind="try again",
        title="Try what stands in for it",
        do=f"{plug}{words}",
        detail=(f"The fault is still {_whereabouts(state)}. {OPEN_ITEM}",),
        why="What was mapped or plugged in a hurry is tried before the show, not in it.",
        minutes=state.model.try_again,
        outcomes=(
            OutcomeView(key="gone", text="it serves", share=WORKAROUND_HOLDS),
            OutcomeView(key="there", text="it does not serve", share=1.0 - WORKAROUND_HOLDS),
            OutcomeView(key=CANNOT_TELL, text="cannot tell"),
        ),
        uses=OPEN_AND_ON if is_open(state) else (),
        suspects=suspects(state),
        workaround=other if other != around else None,
    )


def _whereabouts(state: HuntState) -> str:
    """Where a fault is that was only worked around: silence of a whole unit may be a matter of its lead or computer."""
    return "in the unit, its lead or the computer" if state.target.scope == "unit" else "in the unit"


def _why_again(shows: float, belief: float, tries: int, *, told: bool) -> str:
    """Why the symptom is tried again, and as often as that."""
    if tries == 1:
        return "One diagnosis in ten is wrong, so only the symptom itself says whether it is cured."
    if shows >= 1.0:
        return f"It comes and goes, so one clean try proves little. {tries} tries are common practice."
    once, then = doubt(belief, shows, 1), doubt(belief, shows, tries)
    return (
        f"{'It showed' if told else 'Such a fault shows'} in about {percent(shows)} of all tries "
        f"({'as was said' if told else 'estimate'}). After one clean try the chance that it "
        f"is still there would be {percent(once)}; after {tries} it is {percent(then)}."
    )


def _neighbours(state: HuntState) -> Proposal:
    near = tried_beside(state)
    every = spans([each.id for each in state.design.controls]) if state.design and not near else []
    names = listed(spans(list(near))) or listed(every) or "the controls next to it"
    own = [id for id in near if id == state.target.subject]
    if own:
        names = listed(spans([id for id in near if id not in own])) or "the controls next to it"
        names = f"{names} one after the other, and press {own[0]} as well as turning it"
    elif len(near) != 1:
        names = f"{names} one after the other"
    shut = f"{shut_words(state)} {PLUG_IN} " if is_open(state) else ""
    return Proposal(
        kind="neighbours",
        title="Try every control" if every else "Try the neighbours",
        do=f"{shut}Work {names}, and watch the values.",
        why=(
            "A hunt on the whole unit may have touched any of its plugs and wires, so each control is worked once."
            if every
            else "Work on one control can loosen or bridge what is next to it, and what hangs on the same chip."
        ),
        minutes=max(state.model.try_again, WORKED_ONCE * len(state.design.controls if state.design and every else ()))
        + state.layout.table.shutting(state.position.opened),
        outcomes=(
            OutcomeView(key="well", text="they all work"),
            *(OutcomeView(key=id, text=f"{words} does not work") for id, words in [*near.items()][:MOST_NEIGHBOURS]),
            OutcomeView(key="another", text="another one does not work" if near else "one of them does not work"),
        ),
        suspects=suspects(state),
    )


def tried_beside(state: HuntState) -> dict[str, str]:
    """Controls that are tried after a repair, and what is said of each: the neighbours, and what else was worked on.

    The push switch of an encoder is one that has been turned, every control that hangs on a multiplexer one whose
    multiplexer was worked on, and a control whose part was replaced in place of the one hunted on.
    """
    found = {id: id for id in state.target.neighbours}
    repair = state.repair
    if state.design is None or repair is None:
        return found
    own = [state.design.control(id) for id in dict.fromkeys((state.target.control, *state.target.neighbours)) if id]
    if state.target.scope == "control":
        own = own[:1]
        if "push" in own[0].pins:  # it is the first to be named, so that it has an answer of its own
            found = {own[0].id: f"the push switch of {own[0].id}"} | found
    if repair.at:
        found = {repair.at: repair.at} | found
    classes = {fault.id: fault for fault in state.layout.faults}
    if any("multiplexer" in classes[id].needs for id in repair.cures if id in classes):
        chips = {each.multiplexer for each in own if each.multiplexer}
        found |= {each.id: each.id for each in state.design.controls if each.multiplexer in chips}
    return found


def spans(ids: Sequence[str]) -> list[str]:
    """Ids with those that follow each other drawn together: "F1 to F8", "K2"."""
    found: list[list[str]] = []
    for id in ids:
        stem, number = id.rstrip("0123456789"), id[len(id.rstrip("0123456789")) :]
        before = found[-1][-1] if found else ""
        if number and before == f"{stem}{int(number) - 1}":
            found[-1].append(id)
        else:
            found.append([id])
    return [text for run in found for text in ([f"{run[0]} to {run[-1]}"] if len(run) > 2 else run)]


def _beside(state: HuntState) -> Proposal:
    which = tried_beside(state).get(state.beside, "a neighbour")
    repair = state.repair
    did = f' "{repair.title}"' if repair else ""
    return Proposal(
        kind="beside",
        move=repair,
        which=state.beside,
        title=f"{which[:1].upper()}{which[1:]} does not work now",
        do=(
            f"Look again at what the repair{did} touched near {which}: "
            "a wire pulled off, a bridge, a plug half on. Put that right."
        ),
        detail=(f"Or leave it: {which} is then open on this unit, and gets a hunt of its own.",),
        why="It may have come from the repair, so look there before anything else is taken apart.",
        outcomes=(
            OutcomeView(key="mended", text="put right: try the symptom and the neighbours again"),
            OutcomeView(key="left", text=f"leave it: {which} stays open on this unit"),
        ),
        suspects=suspects(state),
    )


def _close(state: HuntState) -> Proposal:
    do = "Note what was found, what was done and which parts went in."
    why = "The next hunt on this design learns from it."
    left = doubt_left(state)
    title = "Write it down"
    back = put_back(state)
    if left:
        do = f"{left}, and the record will say so. {do}"
    elif state.pending not in state.repaired and not state.locks:
        title = "Write it down: the fault is still there"
        do = f"It is still {_whereabouts(state)}. Note what stands in for it, so that it is undone and mended later."
        why = OPEN_ITEM
    if state.locks:
        do = f"Tie a tag to the plug of this unit: short inside, no power. {do}"
        why = "Whoever takes the unit up next must not power it before V+ to GND is healthy."
    elif state.beside:
        which = tried_beside(state).get(state.beside, "the neighbour")
        do = f"{do} Note that {which} does not work, and begin a hunt on it."
    do = f"{back} {do}" if back else do
    return Proposal(kind="close", title=title, do=do, why=why, suspects=suspects(state))
