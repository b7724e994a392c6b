"""What a hunt believes, in groups that share one remedy, and whether its answers fit together."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from benchtui.errors import JobError
from benchtui.faults.events import CANNOT_TELL, PatternSeen, RepairDone, TestAnswered, TriedAgain, Withdrawn
from benchtui.faults.layout import UNKNOWN
from benchtui.faults.proofs import locked_through
from benchtui.faults.several import either_shows, weigh_sets
from benchtui.faults.words import percent, share_word

if TYPE_CHECKING:
    from benchtui.faults.hunt import HuntState

PAIRED = 16
"""How many of the likeliest faults are paired when no single one explains the answers."""

SECOND = 0.1
"""Share of hunts in which there are two faults that have nothing to do with each other. Estimate."""

DOUBT = 0.5
"""Share of the unknown cause above which the answers are said not to fit together. Our own choice."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Suspect:
    """One fault and how likely it is.

    Attributes:
        fault: Its id.
        title: What is wrong.
        short: The same in a few words.
        share: How likely, from 0 to 1.
        word: The same in a word.
        remedy: Id of the repair that would be chosen for it; empty for none.
        source: Where its starting weight is from.
    """

    fault: str
    title: str
    short: str
    share: float
    word: str
    remedy: str = ""
    source: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """Faults with one remedy: there is no need to tell them apart.

    Attributes:
        remedy: Id of the repair; empty for what no repair cures.
        title: The fault that stands out in it, or the likeliest "or one like it", for the middle of a sentence.
        share: How likely one of them is.
        faults: Their ids, likeliest first.
    """

    remedy: str
    title: str
    share: float
    faults: tuple[str, ...]


def suspects(state: HuntState) -> tuple[Suspect, ...]:
    """Every fault that bears on this hunt, likeliest first, the unknown cause among them."""
    remedies = state.layout.remedies
    sample = f"; {state.started.sample}" if state.started.sample else ""
    total = sum(state.position.weights)
    found = [
        Suspect(
            fault=fault.id,
            title=fault.title,
            short=fault.short,
            share=weight / total,
            word=share_word(weight / total),
            remedy=remedies.get(fault.id, ""),
            source=(fault.source or state.model.source) + sample,
        )
        for fault, weight in zip(state.layout.faults, state.position.weights, strict=False)
    ]
    share = state.position.weights[-1] / total
    found.append(
        Suspect(
            fault=UNKNOWN,
            title="Something that is not listed",
            short="something that is not listed",
            share=share,
            word=share_word(share),
        )
    )
    return tuple(sorted(found, key=lambda suspect: (-round(suspect.share, 12), suspect.fault)))


def found_fault(state: HuntState) -> Suspect | None:
    """The fault that the last repair most likely cured, to be confirmed at the close; None without a repair."""
    if not state.repaired:
        return None
    cure = state.layout.table.cures[state.layout.repair_index(state.repaired[-1])]
    faults, beliefs = state.layout.table.faults, state.position.weights
    index, _ = max(cure.fixes, key=lambda fix: (beliefs[fix[0]] * fix[1], -fix[0]))
    return next(suspect for suspect in suspects(state) if suspect.fault == faults[index])


def groups(state: HuntState) -> tuple[Group, ...]:
    """The suspects by remedy, likeliest group first."""
    members: dict[str, list[Suspect]] = {}
    for suspect in suspects(state):
        key = suspect.remedy or (UNKNOWN if suspect.fault == UNKNOWN else f"none {suspect.fault}")
        members.setdefault(key, []).append(suspect)
    known = {repair.id for repair in state.layout.repairs}
    found = []
    for remedy, those in members.items():
        share = sum(suspect.share for suspect in those)
        stands_out = those[0].share >= 0.7 * share or len(those) == 1
        found.append(
            Group(
                remedy=remedy if remedy in known else "",
                title=those[0].short if stands_out else f"{those[0].short}, or one like it",
                share=share,
                faults=tuple(suspect.fault for suspect in those),
            )
        )
    return tuple(sorted(found, key=lambda group: (-round(group.share, 12), group.remedy, group.faults)))


def leading(state: HuntState) -> Group:
    """The likeliest group."""
    return groups(state)[0]


def group_words(group: Group) -> str:
    """A group for reading: "most likely: cold joint at the signal lug (72 %)"."""
    return f"{share_word(group.share)}: {group.title} ({percent(group.share)})"


def contradiction(state: HuntState) -> str:
    """Empty while the answers fit together; else a sentence that says so and which answer fits least."""
    if state.position.weights[-1] <= DOUBT or not state.answers:
        return ""
    worst, share = "", state.position.weights[-1]
    for test, outcome in state.answers:
        if outcome == CANNOT_TELL:
            continue
        rest = unknown_share_without(state, test)
        if rest < share:
            worst, share = test, rest
    said = "The answers do not fit any single fault: one of them may be wrong, or there is more than one fault."
    if pair := two_at_once(state):
        said += f" Two at once would explain them: {pair[0]} and {pair[1]}."
    if not worst:
        return said
    title = next(test.title for test in state.layout.tests if test.id == worst)
    return f'{said} The one that fits least is "{title}": do it again.'


def unknown_share_without(state: HuntState, test: str) -> float:
    """Share of the unknown cause if one test had not been answered."""
    from benchtui.faults.hunt import advance

    for number, event in state.standing:
        answered = isinstance(event, TestAnswered) and event.test == test
        if answered or (isinstance(event, PatternSeen) and test in dict(event.answers)):
            try:
                state = advance(state, Withdrawn(event=number))
            except JobError:  # what was done later rests on it
                return 1.0
    return state.position.weights[-1] / sum(state.position.weights)


def _failed(state: HuntState) -> list[str]:
    """Repairs after which the symptom was still there, and those that were made before the hunt."""
    found: list[str] = []
    pending = ""
    for _, event in state.standing:
        if isinstance(event, RepairDone):
            pending = event.repair
            if event.before:
                found.append(pending)
        elif isinstance(event, TriedAgain):
            if event.gone is False or (event.unhealthy and locked_through(state.layout, event.unhealthy)):
                found.extend([pending] if pending in state.repaired else [])
            pending = ""
        elif isinstance(event, TestAnswered) and (index := _mends(state, event)):
            pending = index
    return found


def _mends(state: HuntState, event: TestAnswered) -> str:
    """The repair that an answer is at the same time; empty for none."""
    outcome = state.layout.outcome(event.test, event.outcome)
    return outcome.mended if outcome else ""


def two_at_once(state: HuntState) -> tuple[str, str] | None:
    """The two faults that together explain the findings best, in words; None when one alone does as well.

    A test shows a finding when either fault would (the noisy or), and a repair fails unless it cures them both.
    """
    table = state.layout.table
    known = range(len(state.layout.faults))
    findings: list[tuple[bool, list[float]]] = []
    for test, outcome in state.answers:
        if outcome == CANNOT_TELL:
            continue
        index = state.layout.test_index(test)
        outcomes, rows = state.layout.tests[index].outcomes, table.looks[index].rows
        shown = next(each.finding for each in outcomes if each.id == outcome)
        sides = [row for each, row in zip(outcomes, rows, strict=True) if each.finding]
        findings.append((shown, [sum(row[fault] for row in sides) for fault in known]))

    failed = [dict(table.cures[state.layout.repair_index(id)].fixes) for id in _failed(state)]

    def alone_or_with(present: frozenset[str]) -> float:
        result = {0: 0.0, 1: 1.0}.get(len(present), SECOND)
        for cause in present:
            result *= table.prior[int(cause)]
        return result

    def fits(causes: frozenset[str]) -> float:
        result = 1.0
        for cures in failed:
            cured = 1.0
            for cause in causes:
                cured *= cures.get(int(cause), 0.0)
            result *= 1.0 - cured
        for shown, rates in findings:
            chance = either_shows(rates[int(cause)] for cause in causes)
            result *= chance if shown else 1.0 - chance
        return result

    chances = {str(fault): table.prior[fault] for fault in known}
    likeliest = sorted(chances, key=lambda fault: -chances[fault] * fits(frozenset({fault})))[:PAIRED]
    sets = weigh_sets(likeliest, alone_or_with, fits, most=2)
    best = max(sets.weights, key=lambda causes: (sets.weights[causes], sorted(causes)))
    if len(best) < 2:
        return None
    one, other = (state.layout.faults[int(cause)].short for cause in sorted(best, key=int))
    return one, other
