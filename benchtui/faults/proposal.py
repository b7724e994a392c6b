"""The one move to make now, with everything a person needs to see to do it and to answer.

propose(state)                       the move, its reason, minutes, outcomes, test points, suspects, the runner-up
benchtui.faults.allowed.think        better and better rankings for it, in slices, while the person reads
benchtui.faults.moves.all_moves      every move, also those that do not fit, with the reason
benchtui.faults.points.judge         typed readings turned into the outcome of a test
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from benchtui.errors import JobError
from benchtui.faults import engine
from benchtui.faults.allowed import position_now, rank, safety_first
from benchtui.faults.belief import contradiction, group_words, leading, suspects
from benchtui.faults.events import CANNOT_TELL
from benchtui.faults.hunt import HuntState, time_left
from benchtui.faults.moves import clock_minutes, move_view, opened_by
from benchtui.faults.picking import pick
from benchtui.faults.points import points_of
from benchtui.faults.soak import doubt, tries_to_believe
from benchtui.faults.views import OutcomeView, Proposal
from benchtui.faults.words import listed, minutes_text, percent

if TYPE_CHECKING:
    from collections.abc import Sequence

    from benchtui.faults.deepen import Ranking
    from benchtui.faults.engine import Option

MOST_PLACES = 3
"""How many places to look at first are named in a repair."""


def propose(
    state: HuntState, *, ranking: Ranking | None = None, elapsed: float | None = None, move: str = ""
) -> Proposal:
    """The move to make now.

    Args:
        state: Where the hunt stands.
        ranking: From `think`; the one-step ranking when None.
        elapsed: Minutes since the start by the clock; the state's own when None.
        move: Id of a move on offer that the person would rather make; the engine's choice when empty.

    Raises:
        JobError: That move is not on offer now.
    """
    if state.phase != "look":
        return _after_a_repair(state)
    position = position_now(state, elapsed)
    ranking = ranking or rank(state, elapsed)
    first = safety_first(state)
    option = pick(state, ranking, elapsed)
    if move:
        option = _asked_for(state, ranking.options, move)
        first = first if first == option else None
    others = [other for other in ranking.options if (other.kind, other.index) != (option.kind, option.index)]
    runner = min(others, key=engine.option_order) if others else None
    base = _proposal_of(state, option)
    expected = clock_minutes(state, position, option)
    return replace(
        base,
        minutes=option.spends or base.minutes,
        expected_minutes=expected,
        why=_safety_words(state) if first else _why(state, option, ranking.options, expected),
        opens=opened_by(state, base.move) if option.opens else None,
        suspects=suspects(state),
        group=group_words(leading(state)),
        runner_up=move_view(state, position, runner) if runner else None,
        costs_more_minutes=max(runner.minutes - option.minutes, 0.0) if runner else 0.0,
        workaround=state.workaround,
        reserve=None if state.deadline is None else time_left(state, elapsed) - option.spends,
        contradiction=contradiction(state),
        depth=ranking.depth,
    )


def _asked_for(state: HuntState, ranked: Sequence[Option], move: str) -> Option:
    """The option of a move by its id."""
    lists = {"look": [test.id for test in state.layout.tests], "cure": [repair.id for repair in state.layout.repairs]}
    for option in ranked:
        if option.kind == "stop":
            if state.workaround is not None and state.workaround.id == move:
                return option
        elif lists[option.kind][option.index] == move:
            return option
    raise JobError(f"{move!r} is not on offer now", hint="the list of all tests says why")


def _safety_words(state: HuntState) -> str:
    sign = next(sign for sign in state.model.signs if sign.id in state.started.signs)
    return f"Safety goes first. {sign.why}"


def _proposal_of(state: HuntState, option: Option) -> Proposal:
    it = state.target.title
    if option.kind == "look":
        test = state.layout.tests[option.index]
        return Proposal(
            kind="test",
            move=test,
            title=test.title,
            do=in_words(test.do, it),
            detail=tuple(in_words(line, it) for line in test.detail),
            outcomes=_outcomes(state, option.index),
            expected=points_of(state.design, state.target, test),
            uses=test.uses,
            hazards=test.hazards,
            tools=test.tools,
        )
    if option.kind == "cure":
        repair = state.layout.repairs[option.index]
        return Proposal(
            kind="repair",
            move=repair,
            title=repair.title,
            do=in_words(repair.do, it),
            detail=(*_where_first(state, option.index), *(in_words(line, it) for line in repair.detail)),
            outcomes=(OutcomeView(key="done", text="done: try the symptom again"),),
            uses=repair.uses,
            hazards=repair.hazards,
            tools=repair.tools,
            parts=repair.parts,
            procedure=repair.procedure,
        )
    workaround = state.workaround
    if workaround is None:
        return Proposal(
            kind="close",
            title="Nothing is left to try",
            do="Close this hunt as open, with what is known, and come back to it with time.",
        )
    return Proposal(
        kind="work-around",
        move=workaround,
        title=workaround.title,
        do=in_words(workaround.do, it),
        detail=(*(in_words(line, it) for line in workaround.detail), f"What is lost: {workaround.loses}"),
        minutes=workaround.minutes,
        outcomes=(OutcomeView(key="done", text="done: try it"),),
        hazards=workaround.hazards,
    )


def _where_first(state: HuntState, cure: int) -> tuple[str, ...]:
    """The likeliest places to look at in a repair, where the design knows them."""
    cured = {state.layout.table.faults[fault] for fault, _ in state.layout.table.cures[cure].fixes}
    spots = {fault.id: fault.spot or fault.title for fault in state.layout.faults if "@" in fault.id}
    likely = [each for each in suspects(state) if each.fault in cured and each.fault in spots][:MOST_PLACES]
    if not likely:
        return ()
    places = [f"{each.short} ({percent(each.share)}: {spots[each.fault]})" for each in likely]
    return (f"Look first at {'; then '.join(places)}.",)


def _after_a_repair(state: HuntState) -> Proposal:
    it = state.target.title
    believed = suspects(state)
    if state.phase == "again":
        symptom = state.symptom
        again = symptom.again if symptom else "Do again what showed the trouble, on {it}, in the same way and place."
        tries = max(symptom.tries if symptom else 1, 1)
        belief = 0.9
        repair = next((each for each in state.layout.repairs if each.id == state.pending), None)
        if repair:
            index = state.layout.repair_index(repair.id)
            belief = engine.chance_of_cure(state.layout.table, state.position, index)
        if symptom and symptom.shows < 1.0:
            tries = max(tries, tries_to_believe(belief, symptom.shows))
        times = "" if tries == 1 else f" Try it {tries} times, all of them clean."
        prove = listed([f'"{_test_title(state, id)}"' for id in repair.prove]) if repair else ""
        return Proposal(
            kind="try again",
            title="Try the original symptom again",
            do=in_words(again, it) + times,
            detail=(f"Then make again: {prove}.",) if prove else (),
            why=_why_again(symptom.shows if symptom else 1.0, belief, tries),
            minutes=state.model.try_again,
            outcomes=(
                OutcomeView(
                    key="gone", text="it is gone" if tries == 1 else f"it is gone in all {tries} tries", share=belief
                ),
                OutcomeView(key="there", text="it is still there", share=1.0 - belief),
                OutcomeView(key=CANNOT_TELL, text="cannot tell"),
            ),
            suspects=believed,
            workaround=state.workaround,
            tries=tries,
        )
    if state.phase == "neighbours":
        names = listed(list(state.target.neighbours)) or "the controls next to it"
        return Proposal(
            kind="neighbours",
            title="Try the neighbours",
            do=f"Move {names} over their whole travel and watch the values.",
            why="Work on one control can loosen or bridge what is next to it.",
            minutes=state.model.try_again,
            outcomes=(
                OutcomeView(key="well", text="they all work"),
                OutcomeView(key="not-well", text="one of them does not"),
            ),
            suspects=believed,
        )
    if state.phase == "close":
        return Proposal(
            kind="close",
            title="Write it down",
            do="Note what was found, what was done and which parts went in.",
            why="The next hunt on this design learns from it.",
            suspects=believed,
        )
    return Proposal(kind="closed", title="This hunt is closed", do="", suspects=believed)


def _why_again(shows: float, belief: float, tries: int) -> str:
    """Why the symptom is tried again, and as often as that."""
    if tries == 1:
        return "One diagnosis in ten is wrong, so only the symptom itself says whether it is cured."
    if shows >= 1.0:
        return f"It comes and goes, so one clean try proves little. {tries} tries are common practice."
    once, then = doubt(belief, shows, 1), doubt(belief, shows, tries)
    return (
        f"Such a fault shows in about {percent(shows)} of all tries (estimate). After one clean try the chance that it "
        f"is still there would be {percent(once)}; after {tries} it is {percent(then)}."
    )


def _test_title(state: HuntState, id: str) -> str:
    return next((test.title for test in state.model.tests if test.id == id), id)


def _outcomes(state: HuntState, index: int) -> tuple[OutcomeView, ...]:
    table = state.layout.table
    test = state.layout.tests[index]
    shares = engine.forecast(table, state.position, index)
    views = []
    for number, (outcome, share) in enumerate(zip(test.outcomes, shares, strict=True)):
        after = replace(state, position=engine.answer(table, state.position, index, number))
        views.append(
            OutcomeView(
                key=outcome.id,
                text=in_words(outcome.text, state.target.title),
                meaning=group_words(leading(after)),
                share=share,
                reading=outcome.reading,
            )
        )
    views.append(OutcomeView(key=CANNOT_TELL, text="cannot tell", meaning="no change"))
    return tuple(views)


def _why(state: HuntState, option: Option, ranked: tuple[Option, ...], expected: float) -> str:
    """The reason for a move, as one would say it."""
    if option.kind == "stop":
        if len(ranked) > 1:
            return "What is left to try would cost more, on average, than the work-around and what it loses."
        if state.deadline is not None:
            return "Nothing that could still help fits before curtain."
        return "Everything that this model knows has been tried."
    until = f"From here a working input takes about {minutes_text(expected)} on average."
    if option.kind == "cure":
        chance = engine.chance_of_cure(state.layout.table, state.position, option.index)
        return f"It cures this with a chance of {percent(chance)}, and no test would pay for itself first. {until}"
    shares = engine.forecast(state.layout.table, state.position, option.index)
    meanings: dict[str, float] = {}
    for number, share in enumerate(shares):
        after = replace(state, position=engine.answer(state.layout.table, state.position, option.index, number))
        title = leading(after).title
        meanings[title] = meanings.get(title, 0.0) + share
    told = sorted(meanings, key=lambda title: -meanings[title])[:2]
    one = f'"{told[0]}"'
    reason = f'It tells {one} from "{told[1]}".' if len(told) == 2 else f"It speaks for or against {one}."
    best = min(ranked, key=engine.option_order)
    if not option.opens and best.opens and option.index != best.index:
        reason += " Another move is as good to within 5 %, but this one opens nothing."
    return f"{reason} {until}"


def in_words(text: str, it: str) -> str:
    """Put the subject of the hunt into a text of the model: "{it}" becomes "fader F3"."""
    return text.replace("{it}", it)
