"""What each answer to a test would mean: which suspects lead then, or that it is none of theirs."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final

from benchtui.faults import engine
from benchtui.faults.belief import group_words, groups
from benchtui.faults.events import CANNOT_TELL, NOT_AT_HAND
from benchtui.faults.layout import UNKNOWN
from benchtui.faults.views import OutcomeView
from benchtui.faults.words import in_words, listed, percent

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from benchtui.faults.belief import Group
    from benchtui.faults.hunt import HuntState
    from benchtui.faults.model import Outcome, Test

LITTLE: Final = 0.05
"""Change of the largest share under which an answer tells little. Our own choice."""

TELLS_LITTLE: Final = "tells little"
"""Said of an answer that leaves the suspects as they are."""

OR_LIKE_IT: Final = ", or one like it"
"""What `benchtui.faults.belief` puts after a group's likeliest fault; left out where there is little room."""

RISES: Final = 0.1
"""Rise of a share from which a suspect is named beside one that leads but fell. Our own choice."""

CAN: Final = 0.06
"""Chance of an answer under a fault from which that fault can give it: under "seldom" (0.1), and over what is left of
"never" with the slips of a reading. Our own choice."""

IDLE: Final = 0.5
"""Chance of telling little from which a test is not made for its gentleness. Our own choice."""

WORTH_NAMING: Final = 0.02
"""Share from which a suspect that can give an answer is named though another one leads. Our own choice."""

PLAIN: Final = 0.15
"""Share from which it is named without asking for another look: "perhaps" in words. Our own choice."""


def chance_of_little(state: HuntState, index: int) -> float:
    """Chance that a test leaves the suspects as they are."""
    now = groups(state)
    found = 0.0
    for number, share in enumerate(engine.forecast(state.layout.table, state.position, index)):
        then = groups(replace(state, position=engine.answer(state.layout.table, state.position, index, number)))
        found += share if moved(now, then) < LITTLE else 0.0
    return found


def outcomes_of(state: HuntState, index: int) -> tuple[OutcomeView, ...]:
    """The answers to a test, each with what it would mean, "cannot tell" last.

    Args:
        state: Where the hunt stands.
        index: Number of the test in the hunt's layout.
    """
    table = state.layout.table
    test = state.layout.tests[index]
    shares = engine.forecast(table, state.position, index)
    now = groups(state)
    # With the power locked, after a repair: it is about the short that was to be cleared, and about nothing else.
    cleared = bool(state.pending) and test.id in state.locks
    views = []
    for number, (outcome, share) in enumerate(zip(test.outcomes, shares, strict=True)):
        then = groups(replace(state, position=engine.answer(table, state.position, index, number)))
        meaning, led = _meaning(state, index, number, now, then)
        if cleared:
            meaning, led = _of_the_short(state, test, outcome), None
        views.append(
            OutcomeView(
                key=outcome.id,
                text=in_words(outcome.text, state.target.title, state.target.kinds),
                meaning=meaning,
                raises=led.title.removesuffix(OR_LIKE_IT) if led else "",
                belief=led.share if led else then[0].share,
                share=share,
                reading=outcome.reading,
            )
        )
    views.append(OutcomeView(key=CANNOT_TELL, text="cannot tell", meaning="no change"))
    if test.borrowed:
        said = f"not at hand: {listed(list(test.tools))}"
        views.append(OutcomeView(key=NOT_AT_HAND, text=said, meaning="not asked for again in this hunt"))
    return tuple(views)


def moved(now: Sequence[Group], then: Sequence[Group]) -> float:
    """The largest change of a group's share."""
    before, after = (
        {group.faults[0] if not group.remedy else group.remedy: group.share for group in each} for each in (now, then)
    )
    return max(abs(after.get(key, 0.0) - before.get(key, 0.0)) for key in {*before, *after})


def _meaning(
    state: HuntState, index: int, number: int, now: Sequence[Group], then: Sequence[Group]
) -> tuple[str, Group | None]:
    """What an answer means, and the suspects that lead then; None where none of them is meant."""
    if moved(now, then) < LITTLE:
        return TELLS_LITTLE, None
    givers = _givers(state, index, number)
    if then[0].faults[0] in givers:
        return _led_by(then[0], now, then), then[0]
    # What leads then cannot give this answer: it only leads because nothing that can give it was likely before.
    able = [each for each in (_only(state, group, givers) for group in then) if each.share >= WORTH_NAMING]
    test = state.layout.tests[index]
    again = "measure again" if _is_read(test) else "look again"
    if able:
        best = max(able, key=lambda each: each.share)
        plain = best.share >= PLAIN
        return group_words(best) if plain else f"{again}: it fits {best.title} ({percent(best.share)})", best
    return "then the symptom again" if test.outcomes[number].mended else f"fits no suspect: {again}", None


def _givers(state: HuntState, index: int, number: int) -> Mapping[str, float]:
    """Ids of the faults that can give an answer, each with its share then; what is not listed gives none."""
    table = state.layout.table
    weights = engine.answer(table, state.position, index, number).weights
    row, total = table.looks[index].rows[number], sum(weights)
    return {id: weights[fault] / total for fault, id in enumerate(table.faults) if id != UNKNOWN and row[fault] >= CAN}


def _only(state: HuntState, group: Group, givers: Mapping[str, float]) -> Group:
    """Those faults of a group that can give an answer, under the name of the likeliest of them."""
    own = tuple(sorted((id for id in group.faults if id in givers), key=lambda id: -givers[id]))
    if own[:1] == group.faults[:1]:
        return group
    short = next((fault.short for fault in state.layout.faults if own and fault.id == own[0]), "")
    return replace(group, title=short, share=sum(givers[id] for id in own), faults=own)


def _is_read(test: Test) -> bool:
    """Whether a test is made with a meter or read off as a value."""
    return bool(test.points) or "meter" in test.tools


def _led_by(first: Group, now: Sequence[Group], then: Sequence[Group]) -> str:
    """Which suspects lead after an answer; where the first of them fell, the one that rises stands beside it."""
    before = {group.remedy: group.share for group in now}
    said = group_words(first)
    if first.share >= before.get(first.remedy, 0.0):
        return said
    rises = [each for each in then[1:] if each.remedy and each.share - before.get(each.remedy, 0.0) >= RISES]
    return f"{said}, next: {rises[0].title} ({percent(rises[0].share)})" if rises else said


def _of_the_short(state: HuntState, test: Test, outcome: Outcome) -> str:
    """What a measurement says that is made after a short was cleared, before any power."""
    if outcome.locks:
        return "the short is still inside: no power"
    if outcome.finding:
        return "no short, but not as it should be: measure again"
    left = [id for id in state.due if id != test.id]
    return "no short here: one more to measure before power" if left else "the short is gone: the symptom comes next"
