"""Which step a line of the kit belongs to, by the words they share: what was missing at the start is recalled there.

A line of the preliminary page names things in words ("stripper, side cutters, flat pliers"), and so does a step. They
belong together when the step speaks of one of the things, or works with it.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from benchtui.jobs.jobstate import JobState
    from benchtui.jobs.plan import PlanStep

_QUALIFIES: Final = re.compile(r"\b(?:with|of|for|that|in|to|you|as|from|on)\b|[(×:]")
"""What follows one of these says more of a thing, and names no other one."""

_COUNTED: Final = re.compile(r"^[\d.]+\s*(?:×|mm|m|g|ml|l)\s+")
"""How many, or how much, at the start of a line of the bill."""

_VAGUE: Final = frozenset({"light", "good", "one", "computer", "part", "thing", "set", "contact", "unit", "lid"})
"""Words that nearly every step has, or that name nothing one could miss."""

MEANT_FROM: Final = 4
"""Letters from which on the end of a word means the thing; shorter ends are those of many words."""

_ELECTRICAL: Final = frozenset({"resistance", "voltage", "current", "capacitance"})
"""Kinds of reading that are taken with the meter, whether the step says so or not."""


def things(item: str) -> tuple[str, ...]:
    """The nouns that a line of the kit is about, in lower case and singular."""
    counted = _COUNTED.match(item)
    text = item[counted.end() :] if counted else item
    # A line of the bill is about one thing, and goes on with what it is like.
    named = text.split(",")[:1] if counted else re.split(r",|\band\b|\bor\b", text)
    found = []
    for one in named:
        if _QUALIFIES.match(one.strip()):
            continue  # "…, with a card to shield parts": more about the thing before it
        words = re.findall(r"(?<!\S)[a-z][a-z-]{2,}(?!\S)", _head(one).lower())
        if words and _singular(words[-1]) not in _VAGUE:
            found.append(_singular(words[-1]))
    return tuple(found)


def _head(text: str) -> str:
    """A thing's own words, without what says more of it; figures among them are passed over."""
    ends = (match.start() for match in _QUALIFIES.finditer(text) if text[: match.start()].strip())
    return text[: next(ends, len(text))]


def _singular(word: str) -> str:
    return word[:-1] if word.endswith("s") and not word.endswith("ss") else word


def belongs(item: str, step: PlanStep) -> bool:
    """Whether a step works with one of the things of a line of the kit, or fits it."""
    about = step.subject.title if step.subject else ""
    texts = (step.text, *step.detail, step.accept, about, *(use.replace("-", " ") for use in step.uses))
    words = {_singular(word) for text in texts for word in re.findall(r"[a-z][a-z-]{2,}", text.lower())}
    if step.limits and step.limits.kind in _ELECTRICAL:
        words.add("meter")
    # "pushbutton" of the bill is the "button" of a step.
    tails = tuple(word for word in words if len(word) > MEANT_FROM)
    return any(thing in words or thing.endswith(tails) for thing in things(item))


def recalled(state: JobState) -> Mapping[str, tuple[str, ...]]:
    """Key of a step to the lines of the kit the work was begun without and that are needed there first.

    A line that no step of the plan speaks of is recalled at the first step that is still to be done.
    """
    left = [step for step in state.plan.steps if not state[step.key].settled]
    found: dict[str, tuple[str, ...]] = {}
    for item in lacking(state):
        needing = [step for step in state.plan.steps if belongs(item, step)]
        at = next((step for step in left if step in needing or not needing), None)
        if at is not None:
            found[at.key] = (*found.get(at.key, ()), item)
    return found


def lacking(state: JobState) -> tuple[str, ...]:
    """Lines of the kit that the work was begun without, and that have not turned up since."""
    kit = {item for (_, item), there in state.kit.items() if not there}
    before = state.plan.before
    lines = {*before.tools, *before.parts, *before.materials}
    # In a batch the kit is counted out for one unit; what it lacks is known of the others by their decision alone.
    return tuple(item for item in state.short if item in state.excused and (item in kit or item in lines))


def part_named(texts: Iterable[str], step: PlanStep) -> str:
    """The part of a bill that a step fits, as the bill names it without its number; empty when none is meant."""
    for item in texts:
        if (counted := _COUNTED.match(item)) and belongs(item, step):
            return re.sub(r"\s*\([^)]*\)$", "", item[counted.end() :])
    return ""
