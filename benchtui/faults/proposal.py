"""What to propose next, and everything a person needs to see to do it and to answer.

propose(state)      the one move to make now, with its reason, minutes, outcomes, test points and the runner-up
all_moves(state)    every move, best first, also those that do not fit before curtain, with the reason
judge(state, typed) typed readings turned into the outcome of the proposed test
suspects(state)     what is believed, as groups that share one remedy
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Literal

from benchtui.faults import engine
from benchtui.faults.belief import Suspect, group_words, leading, suspects, without_contradiction
from benchtui.faults.deepen import Ranking, deepen
from benchtui.faults.events import CANNOT_TELL
from benchtui.faults.hunt import HuntState, time_left
from benchtui.faults.points import points_of
from benchtui.faults.soak import tries_to_believe
from benchtui.faults.table import Position
from benchtui.faults.words import listed, minutes_text, percent

if TYPE_CHECKING:
    from collections.abc import Iterator

    from benchtui.design.testpoints import Expected
    from benchtui.faults.engine import Option
    from benchtui.faults.model import Access, Repair, Test, Workaround

ProposalKind = Literal["test", "repair", "work-around", "try again", "neighbours", "close", "closed"]


@dataclass(frozen=True, slots=True, kw_only=True)
class OutcomeView:
    """One answer the person can give.

    Attributes:
        key: Id of the outcome, as the event wants it.
        text: The answer in words.
        meaning: What would be believed then.
        share: How likely this answer is.
        reading: Which typed reading means it; empty when none does.
    """

    key: str
    text: str
    meaning: str = ""
    share: float = 0.0
    reading: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class MoveView:
    """A move in the list of all moves.

    Attributes:
        kind: test, repair or work-around.
        id: Of the test, repair or work-around.
        title: Short name.
        minutes: Of the move alone, opening included.
        expected: Expected minutes to a working input when it comes first; None when it does not fit.
        note: Why it is not on offer, or what it opens; empty when there is nothing to say.
    """

    kind: ProposalKind
    id: str
    title: str
    minutes: float
    expected: float | None
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Proposal:
    """The move to make now.

    Attributes:
        kind: What sort of move.
        move: The test, repair or work-around; None for the moves that follow a repair.
        title: Short name.
        do: What to do.
        detail: Further lines.
        why: The reason, in a sentence or two.
        minutes: Of the move alone, opening included.
        expected_minutes: To a working input, when this comes first.
        opens: What has to be opened for it; None when nothing has.
        outcomes: The answers, "cannot tell" last.
        expected: The design's test points to be read, in order, with limits; empty when nothing is read.
        suspects: What is believed now, likeliest first.
        group: The leading group of faults with one remedy, in words.
        runner_up: The next best move; None when there is no other.
        costs_more_minutes: How many more minutes the runner-up is expected to cost.
        uses: Things used, from which cautions follow.
        hazards: Further cautions by id.
        tools: What must be at hand.
        parts: What is used up.
        workaround: The work-around that is always there; None when there is none.
        reserve: Minutes to spare after this move, before the work-around must begin; None without a deadline.
        contradiction: Said when the answers do not fit together; else empty.
        procedure: Id of the rework procedure that walks through a repair; empty for none.
        tries: Clean tries asked for, when the symptom is tried again.
        depth: How far ahead was looked.
    """

    kind: ProposalKind
    move: Test | Repair | Workaround | None = None
    title: str
    do: str
    detail: tuple[str, ...] = ()
    why: str = ""
    minutes: float = 0.0
    expected_minutes: float = 0.0
    opens: Access | None = None
    outcomes: tuple[OutcomeView, ...] = ()
    expected: tuple[Expected, ...] = ()
    suspects: tuple[Suspect, ...] = ()
    group: str = ""
    runner_up: MoveView | None = None
    costs_more_minutes: float = 0.0
    uses: tuple[str, ...] = ()
    hazards: tuple[str, ...] = ()
    tools: tuple[str, ...] = ()
    parts: tuple[str, ...] = ()
    workaround: Workaround | None = None
    reserve: float | None = None
    contradiction: str = ""
    procedure: str = ""
    tries: int = 1
    depth: str = "one step"


def position_now(state: HuntState, elapsed: float | None = None) -> Position:
    """The position with everything masked out that may not be done now: too long, shut before curtain, unsafe."""
    position = replace(state.position, left=time_left(state, elapsed))
    looks, cures = position.looks, position.cures
    shut = _kept_shut(state, elapsed)
    for index, test in enumerate(state.layout.tests):
        if (test.access in shut) or (test.power == "on" and power_locked(state)):
            looks &= ~(1 << index)
    for index, repair in enumerate(state.layout.repairs):
        if repair.access in shut:
            cures &= ~(1 << index)
    return replace(position, looks=looks, cures=cures)


def power_locked(state: HuntState) -> bool:
    """Whether a sign forbids tests with the power on: until its own test came out healthy, or a repair was made."""
    healthy = set()
    for test in state.layout.tests:
        healthy |= {(test.id, outcome.id) for outcome in test.outcomes if not outcome.finding}
    signs = [sign for sign in state.model.signs if sign.id in state.started.signs]
    return any(
        not state.repaired and not any(answer in healthy for answer in state.answers if answer[0] == sign.first)
        for sign in signs
    )


def rank(state: HuntState, elapsed: float | None = None) -> Ranking:
    """Moves that fit now, best first, looking one step ahead."""
    return Ranking(tuple(engine.options(state.layout.table, position_now(state, elapsed))), "one step")


def think(state: HuntState, elapsed: float | None = None) -> Iterator[Ranking]:
    """Ever better rankings for `propose`, in slices short enough to run between two keys; stop whenever time is up."""
    return deepen(state.layout.table, position_now(state, elapsed))


def propose(state: HuntState, *, ranking: Ranking | None = None, elapsed: float | None = None) -> Proposal:
    """The move to make now.

    Args:
        state: Where the hunt stands.
        ranking: From `think`; the one-step ranking when None.
        elapsed: Minutes since the start by the clock; the state's own when None.
    """
    if state.phase != "look":
        return _after_a_repair(state)
    first = _safety_first(state)
    ranking = ranking or rank(state, elapsed)
    option = first or engine.choose(ranking.options)
    others = [other for other in ranking.options if (other.kind, other.index) != (option.kind, option.index)]
    runner = min(others, key=engine.option_order) if others else None
    base = _proposal_of(state, option)
    left = time_left(state, elapsed)
    return replace(
        base,
        minutes=option.spends or base.minutes,
        expected_minutes=option.minutes,
        why=_safety_words(state) if first else _why(state, option, ranking.options),
        opens=_opens(state, base.move) if option.opens else None,
        suspects=suspects(state),
        group=group_words(leading(state)),
        runner_up=_view(state, runner) if runner else None,
        costs_more_minutes=max(runner.minutes - option.minutes, 0.0) if runner else 0.0,
        workaround=state.workaround,
        reserve=None if state.deadline is None else left - option.spends,
        contradiction=without_contradiction(state),
        depth=ranking.depth,
    )


def all_moves(
    state: HuntState, *, ranking: Ranking | None = None, elapsed: float | None = None
) -> tuple[MoveView, ...]:
    """Every move of this hunt: those on offer first, best first, then the rest with the reason."""
    ranking = ranking or rank(state, elapsed)
    offered = [_view(state, option) for option in ranking.options]
    named = {view.id for view in offered}
    rest: list[MoveView] = []
    shut = _kept_shut(state, elapsed)
    answers = dict(state.answers)
    for index, test in enumerate(state.layout.tests):
        if test.id in named:
            continue
        if test.id in answers:
            note = "answered"
        elif test.id in state.dropped:
            note = "cannot be made here"
        elif test.access in shut:
            note = "too near to curtain to open that"
        elif test.power == "on" and power_locked(state):
            note = "not with the power on before the safety test"
        else:
            note = "no time left for it"
        if state.layout.table.noise and state.position.looks >> index & 1 and note == "no time left for it":
            note = "tells little now"
        rest.append(MoveView(kind="test", id=test.id, title=test.title, minutes=test.minutes, expected=None, note=note))
    for repair in state.layout.repairs:
        if repair.id in named:
            continue
        note = "no time left for it"
        if repair.id in state.repaired:
            note = "done, did not help"
        elif repair.id in state.dropped:
            note = "cannot be made here"
        elif repair.access in shut:
            note = "too near to curtain to open that"
        rest.append(
            MoveView(kind="repair", id=repair.id, title=repair.title, minutes=repair.minutes, expected=None, note=note)
        )
    return (*offered, *rest)


def _kept_shut(state: HuntState, elapsed: float | None) -> set[str]:
    """Ids of what stays shut because curtain is too near. What is open already may be used."""
    if state.deadline is None:
        return set()
    left = state.deadline - (state.elapsed if elapsed is None else elapsed)
    return {
        access.id
        for index, access in enumerate(state.model.access)
        if left < access.not_within and not state.position.opened >> index & 1
    }


def _safety_first(state: HuntState) -> Option | None:
    answered = {test for test, _ in state.answers}
    for sign in state.model.signs:
        if sign.id in state.started.signs and sign.first not in answered | state.dropped and not state.repaired:
            index = state.layout.test_index(sign.first)
            option = engine.look_option(state.layout.table, state.position, index)
            return replace(option, minutes=option.minutes / sum(state.position.weights))
    return None


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
            do=fill(test.do, it),
            detail=tuple(fill(line, it) for line in test.detail),
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
            do=fill(repair.do, it),
            detail=tuple(fill(line, it) for line in repair.detail),
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
        do=fill(workaround.do, it),
        detail=(*(fill(line, it) for line in workaround.detail), f"What is lost: {workaround.loses}"),
        minutes=workaround.minutes,
        outcomes=(OutcomeView(key="done", text="done: try it"),),
        hazards=workaround.hazards,
    )


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
        times = "" if tries == 1 else f" Try it {tries} times: fewer clean tries would prove little."
        prove = listed([_test_title(state, id) for id in repair.prove]) if repair and repair.prove else ""
        return Proposal(
            kind="try again",
            title="Try the original symptom again",
            do=fill(again, it) + times,
            detail=(f"Then also: {prove}.",) if prove else (),
            why="One diagnosis in ten is wrong, so only the symptom itself says whether it is cured.",
            minutes=state.model.try_again,
            outcomes=(
                OutcomeView(key="gone", text="it is gone", share=belief),
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


def _test_title(state: HuntState, id: str) -> str:
    return next((test.title.lower() for test in state.model.tests if test.id == id), id)


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
                text=fill(outcome.text, state.target.title),
                meaning=group_words(leading(after)),
                share=share,
                reading=outcome.reading,
            )
        )
    views.append(OutcomeView(key=CANNOT_TELL, text="cannot tell", meaning="no change"))
    return tuple(views)


def _why(state: HuntState, option: Option, ranked: tuple[Option, ...]) -> str:
    """The reason for a move, as one would say it."""
    if option.kind == "stop":
        if len(ranked) > 1:
            return "What is left to try would cost more, on average, than the work-around and what it loses."
        if state.deadline is not None:
            return "Nothing that could still help fits before curtain."
        return "Everything that this model knows has been tried."
    until = f"From here a working input takes about {minutes_text(option.minutes)} on average."
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
    if len(told) == 2:
        reason = f"It decides between {_lower(told[0])} and {_lower(told[1])}."
    else:
        reason = f"It confirms or weakens {_lower(told[0])}."
    best = min(ranked, key=engine.option_order)
    if not option.opens and best.opens and option.index != best.index:
        reason += " Another move is as good to within 5 %, but this one opens nothing."
    return f"{reason} {until}"


def _lower(title: str) -> str:
    return title[:1].lower() + title[1:] if title[1:2].islower() or title[1:2] == " " else title


def _view(state: HuntState, option: Option) -> MoveView:
    note = ""
    if option.kind == "look":
        test = state.layout.tests[option.index]
        if option.opens:
            note = f"opens {_opens_title(state, test)}"
        return MoveView(
            kind="test", id=test.id, title=test.title, minutes=option.spends, expected=option.minutes, note=note
        )
    if option.kind == "cure":
        repair = state.layout.repairs[option.index]
        if option.opens:
            note = f"opens {_opens_title(state, repair)}"
        return MoveView(
            kind="repair", id=repair.id, title=repair.title, minutes=option.spends, expected=option.minutes, note=note
        )
    workaround = state.workaround
    return MoveView(
        kind="work-around",
        id=workaround.id if workaround else "",
        title=workaround.title if workaround else "Leave it open",
        minutes=workaround.minutes if workaround else 0.0,
        expected=option.minutes,
        note=f"loses: {workaround.loses}" if workaround else "",
    )


def _opens(state: HuntState, move: Test | Repair | Workaround | None) -> Access | None:
    wanted = getattr(move, "access", "")
    return next((access for access in state.model.access if access.id == wanted), None)


def _opens_title(state: HuntState, move: Test | Repair) -> str:
    access = _opens(state, move)
    return access.title if access else ""


def fill(text: str, it: str) -> str:
    """Put the subject of the hunt into a text of the model: "{it}" becomes "fader F3"."""
    return text.replace("{it}", it)
