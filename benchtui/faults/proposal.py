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
from benchtui.faults.after_repair import after_a_repair
from benchtui.faults.allowed import due_option, position_now, rank, safety_first
from benchtui.faults.belief import contradiction, group_words, leading, suspects
from benchtui.faults.events import TestAnswered
from benchtui.faults.hunt import HuntState, time_left
from benchtui.faults.huntstate import in_haste, no_time_to_shut, shutting, too_late, workaround_now
from benchtui.faults.meanings import IDLE, chance_of_little, outcomes_of
from benchtui.faults.moves import all_moves, clock_minutes, move_view, opened_by, own_minutes
from benchtui.faults.picking import pick, worth_a_try
from benchtui.faults.points import points_of
from benchtui.faults.power import around, before_move, shut_words, uses_of
from benchtui.faults.untried import supposing, untried_words
from benchtui.faults.views import OutcomeView, Proposal
from benchtui.faults.without_power import without_a_trial, without_power
from benchtui.faults.words import in_words, minutes_text, percent

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
        return without_power(state, after_a_repair(state, elapsed), elapsed=elapsed)
    told, state = state, supposing(state)
    position = position_now(state, elapsed)
    ranking = ranking or rank(state, elapsed)
    first = safety_first(state, elapsed)
    option = first or _worth_it(state, pick(state, ranking, elapsed), ranking.options, elapsed)
    if not first:
        option = without_a_trial(state, position, option, ranking.options, waits=bool(told.untried), elapsed=elapsed)
    if move:
        option = _asked_for(state, ranking.options, move, elapsed)
        first = first if first == option else None
    others = [other for other in ranking.options if (other.kind, other.index) != (option.kind, option.index)]
    runner = min(others, key=engine.option_order) if others else None
    base = _proposal_of(state, option, elapsed, more=len(ranking.options) > 1)
    expected = clock_minutes(state, position, option, elapsed)
    found = replace(
        base,
        minutes=own_minutes(state, option) or base.minutes,
        expected_minutes=expected,
        why=_why(state, option, ranking.options, expected, elapsed, first=bool(first)),
        opens=opened_by(state, base.move) if option.opens else None,
        suspects=suspects(state),
        group=group_words(leading(state)),
        runner_up=move_view(state, position, runner, elapsed) if runner else None,
        costs_more_minutes=max(runner.minutes - option.minutes, 0.0) if runner else 0.0,
        workaround=workaround_now(state, elapsed),
        reserve=None if state.deadline is None else time_left(state, elapsed) - option.spends,
        waits=None if state.deadline is None else time_left(state, elapsed),
        at=state.elapsed if elapsed is None else elapsed,
        contradiction=contradiction(state),
        depth=ranking.depth,
    )
    if not move and not first:
        some = any(each.kind != "stop" for each in ranking.options)
        found = without_power(told, found, some=some, elapsed=elapsed)
    waiting = untried_words(told)
    return replace(found, detail=(waiting, *found.detail)) if waiting else found


def _worth_it(state: HuntState, option: Option, ranked: Sequence[Option], elapsed: float | None) -> Option:
    """The move picked, unless it is a mere hope when the work-around is too late, or a test that most likely idles.

    A gentler test is picked before a better move of nearly the same minutes. One that most likely tells little is not
    gentler, it only puts the better test off.
    """
    best = min(ranked, key=engine.option_order)
    if option.kind == "look":
        idles = best.kind == "look" and best != option and chance_of_little(state, option.index) >= IDLE
        return best if idles else option
    if option.kind != "cure" or not too_late(state, elapsed):
        return option
    return option if worth_a_try(state, option) else next((each for each in ranked if each.kind == "stop"), option)


def _asked_for(state: HuntState, ranked: Sequence[Option], move: str, elapsed: float | None) -> Option:
    """The option of a move by its id; a test that was answered may be made again."""
    lists = {"look": [test.id for test in state.layout.tests], "cure": [repair.id for repair in state.layout.repairs]}
    for option in ranked:
        if option.kind == "stop":
            workaround = workaround_now(state, elapsed)
            if workaround is not None and workaround.id == move:
                return option
        elif lists[option.kind][option.index] == move:
            return option
    if move in dict(state.answers) or move in state.locks:
        again = due_option(state, move, elapsed)
        if again is not None:
            return again
    barred = next((each for each in all_moves(state, elapsed=elapsed) if each.id == move), None)
    if barred is None:
        raise JobError("that is no move of this hunt", hint="the list of all moves has those that are")
    raise JobError(f'"{barred.title}" is not on offer now', hint=barred.note)


def _safety_words(state: HuntState) -> str:
    """Why safety goes first: what was noticed, what a test said, or what a repair was meant to clear."""
    sign = next((sign for sign in state.model.signs if sign.id in state.started.signs), None)
    if stop := _stop_words(state):
        why = stop
    elif state.pending:
        why = "A short was found or feared, so measure before this unit gets any power. Only then is the symptom tried."
    elif sign is not None and not state.answers:
        why = sign.why
    elif state.lent:
        why = "Another hunt on this unit found that a short may be inside, so it gets no power before it is measured."
    elif state.started.locked:
        why = "Another hunt on this unit has left a short inside, so it gets no power before it is measured."
    else:
        why = "A short may be inside, so this unit gets no power before the measurement is healthy."
    return f"Safety goes first. {why}"


def _stop_words(state: HuntState) -> str:
    """What the answer that locked the power last says of itself; empty for one that means a short."""
    for _, event in reversed(state.standing):
        if isinstance(event, TestAnswered):
            chosen = state.layout.outcome(event.test, event.outcome)
            if chosen is not None and chosen.locks:
                return chosen.stop
    return ""


def _proposal_of(state: HuntState, option: Option, elapsed: float | None, *, more: bool) -> Proposal:
    it, kinds = state.target.title, state.target.kinds
    if option.kind == "look":
        test = state.layout.tests[option.index]
        return Proposal(
            kind="test",
            move=test,
            title=test.title,
            do=_joined(before_move(state, test, opens=option.opens), in_words(test.do, it, kinds)),
            detail=_lines(test.detail, it, kinds),
            outcomes=outcomes_of(state, option.index),
            expected=points_of(state.design, state.target, test),
            uses=uses_of(state, test, opens=option.opens),
            hazards=test.hazards,
            tools=test.tools,
        )
    if option.kind == "cure":
        repair = state.layout.repairs[option.index]
        return Proposal(
            kind="repair",
            move=repair,
            title=repair.title,
            do=_joined(before_move(state, repair, opens=option.opens), in_words(repair.do, it, kinds)),
            detail=(*_where_first(state, option.index), *_lines(repair.detail, it, kinds)),
            outcomes=(OutcomeView(key="done", text=_then(state)),),
            uses=uses_of(state, repair, opens=option.opens),
            hazards=repair.hazards,
            tools=repair.tools,
            parts=repair.parts,
            procedure=repair.procedure,
        )
    workaround = workaround_now(state, elapsed)
    if workaround is None:
        return _nothing_left(state, elapsed, some=more)
    return Proposal(
        kind="work-around",
        move=workaround,
        title=workaround.title,
        do=around(state, workaround, in_words(workaround.do, it, kinds), haste=in_haste(state, workaround, elapsed)),
        detail=(*_lines(workaround.detail, it, kinds), f"What is lost: {workaround.loses}"),
        minutes=workaround.minutes + (0.0 if in_haste(state, workaround, elapsed) else shutting(state)),
        outcomes=(OutcomeView(key="done", text="done" if state.locks else "done: try it"),),
        hazards=workaround.hazards,
    )


def _then(state: HuntState) -> str:
    """The answer that a repair is done, with what comes next."""
    if state.locks:
        return "done: measure before any power"
    return "done: to be tried when there is power" if state.no_power else "done: try the symptom again"


def _nothing_left(state: HuntState, elapsed: float | None, *, some: bool) -> Proposal:
    """There is no work-around, or no time for one, and no other move that is worth its time."""
    do = "Close this hunt as open, with what is known, and come back to it with time."
    title = "Nothing is left to try"
    if too_late(state, elapsed):
        title = "Nothing fits before curtain"
        do = "Tell the player what will not work. Put this hunt aside, and take it up after the show."
    elif some:
        title, do = "Little is left to try", f"{do} What is left stands in the list of all moves."
    if state.locks:
        do = f"Pull the plug of this unit and leave it out: a short may be inside. {do}"
    shut = shut_words(state, haste=no_time_to_shut(state, elapsed))
    return Proposal(kind="close", title=title, do=do if state.locks else _joined(shut, do))


def _where_first(state: HuntState, cure: int) -> tuple[str, ...]:
    """The likeliest places to look at in a repair, where the design knows them."""
    cured = {state.layout.table.faults[fault] for fault, _ in state.layout.table.cures[cure].fixes}
    spots = {fault.id: fault.spot for fault in state.layout.faults if "@" in fault.id}
    likely = [each for each in suspects(state) if each.fault in cured and each.fault in spots][:MOST_PLACES]
    if not likely:
        return ()
    said = [": ".join(part for part in (percent(each.share), spots[each.fault]) if part) for each in likely]
    places = [f"{each.short} ({where})" for each, where in zip(likely, said, strict=True)]
    return (f"Look first at {'; then '.join(places)}.",)


def _why(
    state: HuntState,
    option: Option,
    ranked: tuple[Option, ...],
    expected: float,
    elapsed: float | None,
    *,
    first: bool = False,
) -> str:
    """The reason for a move, as one would say it."""
    if first:
        late = " There is no time for that measurement before curtain." if option.kind == "stop" else ""
        return _safety_words(state) + late
    best = min(ranked, key=engine.option_order)
    if option.kind == "stop" and best.kind != "stop" and workaround_now(state, elapsed) is not None:
        return "It brings a working input at once, and the fault stays. What was proposed may cure it."
    if option.kind == "stop":
        if too_late(state, elapsed):
            return "Nothing that is likely to help fits before curtain, nor does the work-around."
        if workaround_now(state, elapsed) is None and len(ranked) > 1:
            return "What is left to try helps too seldom for the time it takes."
        if len(ranked) > 1:
            return "What is left to try would cost more, on average, than the work-around and what it loses."
        if state.deadline is not None:
            return "Nothing that could still help fits before curtain."
        return "Everything that this model knows has been tried."
    until = f"From here a working input takes about {minutes_text(expected)} on average."
    if too_late(state, elapsed):
        until = "If that does not help, nothing more fits before curtain."
    if option.kind == "cure":
        chance = engine.chance_of_cure(state.layout.table, state.position, option.index)
        first_test = ", and no test would pay for itself first" if best.kind != "look" else ""
        return f"It cures this with a chance of {percent(chance)}{first_test}. {until}"
    shares = engine.forecast(state.layout.table, state.position, option.index)
    meanings: dict[str, float] = {}
    for number, share in enumerate(shares):
        after = replace(state, position=engine.answer(state.layout.table, state.position, option.index, number))
        title = leading(after).title
        meanings[title] = meanings.get(title, 0.0) + share
    told = sorted(meanings, key=lambda title: -meanings[title])[:2]
    one = f'"{told[0]}"'
    reason = f'It tells {one} from "{told[1]}".' if len(told) == 2 else f"It speaks for or against {one}."
    if not option.opens and best.opens and option.index != best.index:
        reason += " Another move is as good to within 5 %, but this one opens nothing."
    return f"{reason} {until}"


def _lines(detail: Sequence[str], it: str, kinds: Sequence[str]) -> tuple[str, ...]:
    """The further lines of a move that are for these kinds of control."""
    return tuple(filter(None, (in_words(line, it, kinds) for line in detail)))


def _joined(*sentences: str) -> str:
    return " ".join(each for each in sentences if each)
