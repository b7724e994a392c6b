"""What a hunt believes, in groups that share one remedy, and whether its answers fit together."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from benchtui.faults import engine
from benchtui.faults.events import CANNOT_TELL, RepairDone, TestAnswered, TriedAgain
from benchtui.faults.layout import UNKNOWN
from benchtui.faults.several import either_shows, independent, weigh_sets
from benchtui.faults.table import start as opening_position
from benchtui.faults.words import percent, share_word

if TYPE_CHECKING:
    from benchtui.faults.hunt import HuntState

PAIRED = 16
"""How many of the likeliest faults are paired when no single one explains the answers."""

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
        title: The fault that stands out in it, or else the remedy, for the middle of a sentence.
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
    titles = {repair.id: repair.title for repair in state.layout.repairs}
    found = []
    for remedy, those in members.items():
        share = sum(suspect.share for suspect in those)
        stands_out = those[0].share >= 0.7 * share or len(those) == 1
        found.append(
            Group(
                remedy=remedy if remedy in titles else "",
                title=those[0].short if stands_out else _lower(titles.get(remedy, those[0].title)),
                share=share,
                faults=tuple(suspect.fault for suspect in those),
            )
        )
    return tuple(sorted(found, key=lambda group: (-round(group.share, 12), group.remedy, group.faults)))


def _lower(title: str) -> str:
    """A title for the middle of a sentence; one that begins with an abbreviation stays as it is."""
    return title[:1].lower() + title[1:] if title[1:2].islower() or title[1:2] == " " else title


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
    position = opening_position(state.layout.table)
    pending = ""
    for _, event in state.standing:
        if isinstance(event, TestAnswered) and event.test != test and event.outcome != CANNOT_TELL:
            index = state.layout.test_index(event.test)
            ids = [outcome.id for outcome in state.layout.tests[index].outcomes]
            position = engine.answer(state.layout.table, position, index, ids.index(event.outcome))
        elif isinstance(event, RepairDone):
            pending = event.repair
            if event.before:
                position = engine.failed(state.layout.table, position, state.layout.repair_index(pending))
        elif isinstance(event, TriedAgain) and event.gone is False and pending:
            position = engine.failed(state.layout.table, position, state.layout.repair_index(pending))
            pending = ""
    return replace(position).weights[-1]


def two_at_once(state: HuntState) -> tuple[str, str] | None:
    """The two faults that together explain the findings best, in words; None when one alone does as well.

    A test shows a finding when either fault would (the noisy or).
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

    def fits(causes: frozenset[str]) -> float:
        result = 1.0
        for shown, rates in findings:
            chance = either_shows(rates[int(cause)] for cause in causes)
            result *= chance if shown else 1.0 - chance
        return result

    chances = {str(fault): table.prior[fault] for fault in known}
    likeliest = sorted(chances, key=lambda fault: -chances[fault] * fits(frozenset({fault})))[:PAIRED]
    sets = weigh_sets(likeliest, independent({each: chances[each] for each in likeliest}), fits, most=2)
    best = max(sets.weights, key=lambda causes: (sets.weights[causes], sorted(causes)))
    if len(best) < 2:
        return None
    one, other = (state.layout.faults[int(cause)].short for cause in sorted(best, key=int))
    return one, other
