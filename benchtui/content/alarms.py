"""How often a procedure or checklist warns: where every step warns, no warning is read any more.

Counted over the steps as they are written, not over their repeats: a caution read once at a step is not asked for
again at the next fader. Row D8 of what the open standards ask.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from benchtui.content.cautions import derived
from benchtui.errors import Problem

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from benchtui.content.cautions import Caution
    from benchtui.content.checklist import Checklist, Item
    from benchtui.content.procedure import Procedure, Step
    from benchtui.errors import Place

SOURCE: Final = "Hales and Pronovost 2006; common practice"

MOST_SHARE: Final = 0.75
"""Share of steps with a caution above which it is said (an estimate: the source gives no figure)."""

FEWEST: Final = 4
"""Steps below which a share says nothing: one caution in three steps is a third."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Alarms:
    """The cautions of one procedure or checklist, counted."""

    id: str
    steps: int
    warned: int
    """Steps that show a caution."""
    shown: int
    """Cautions over all steps; one that stands at three steps counts three times."""
    kinds: int
    """Different cautions."""
    read: int
    """Times that one is acknowledged: each hazard to a person, once at each step."""
    twice: tuple[tuple[str, str, Place], ...]
    """(step, caution, place) where a step names a caution that it shows already."""
    place: Place

    @property
    def share(self) -> float:
        """Share of steps that show a caution, from 0 to 1."""
        return self.warned / self.steps if self.steps else 0.0


def alarms(content: Procedure | Checklist, cautions: Mapping[str, Caution]) -> Alarms:
    """Count the cautions of a procedure or checklist.

    Args:
        content: What is counted.
        cautions: Every caution by id.
    """
    steps: tuple[Step | Item, ...] = content.items if hasattr(content, "items") else content.steps
    shown = [derived(step.uses, (*step.hazards, *_spans(step)), cautions) for step in steps]
    return Alarms(
        id=content.id,
        steps=len(steps),
        warned=sum(bool(each) for each in shown),
        shown=sum(map(len, shown)),
        kinds=len({caution.id for each in shown for caution in each}),
        read=sum(caution.harm != "property" for each in shown for caution in each),
        twice=tuple((step.id, id, step.place) for step in steps for id in _named_twice(step, cautions)),
        place=content.place,
    )


def alarm_advice(counted: Alarms, most: float = MOST_SHARE) -> Iterator[Problem]:
    """What would let the cautions be read again; none of it makes the content wrong.

    Args:
        counted: The count.
        most: Share of steps with a caution above which it is said, from 0 to 1.
    """
    if counted.steps >= FEWEST and counted.share > most:
        yield Problem(
            counted.place,
            f"{counted.id}: {counted.warned} of {counted.steps} steps show a caution, more than {most:.0%} ({SOURCE})",
            "leave a caution to the steps that bring its hazard, and join steps that bring the same",
        )
    for step, caution, place in counted.twice:
        yield Problem(
            place,
            f"step {step!r} names the caution {caution!r}, which it shows already ({SOURCE})",
            "take it out of `hazards`, or name it once",
        )


def _spans(step: Step | Item) -> tuple[str, ...]:
    return tuple(id for id in (getattr(step, "begins", ""), getattr(step, "ends", "")) if id)


def _named_twice(step: Step | Item, cautions: Mapping[str, Caution]) -> Iterator[str]:
    """Cautions that a step names more than once, or names although they follow from what it uses."""
    follow = {caution.id for caution in derived(step.uses, (), cautions)}
    # What begins or ends here names the stretch, so that it may follow from a use as well; `hazards` only adds.
    spans = _spans(step)
    yield from (id for id, times in Counter(step.hazards).items() if times > 1 or id in follow or id in spans)
