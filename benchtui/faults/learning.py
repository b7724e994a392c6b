"""Weights that learn from confirmed repairs, as counts whose size is always in sight.

The model's own weights count as twenty imagined repairs, shared out by weight (a Dirichlet prior). Each repair that was
confirmed adds one to its fault: in full when it was on the same design, by half when it was on another. Twenty own
repairs therefore weigh as much as the model itself.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from benchtui.faults.model import FaultModel

STRENGTH: Final = 20.0
"""Imagined repairs that the model's own weights stand for. Our own choice: twenty own repairs then weigh as much."""

ELSEWHERE: Final = 0.5
"""What a repair on another design counts. Our own choice."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Confirmed:
    """One repair that cured the symptom, with the fault that was found.

    Attributes:
        fault: Id of the fault.
        design: Id of the design it was on.
    """

    fault: str
    design: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Learnt:
    """The weight of one fault, and where it is from.

    Attributes:
        fault: Its id.
        weight: Weight to use, as a share of all faults.
        start: Share that the model gives it.
        here: Confirmed repairs of it on this design.
        elsewhere: Confirmed repairs of it on other designs.
    """

    fault: str
    weight: float
    start: float
    here: int
    elsewhere: int


def learn(model: FaultModel, confirmed: Iterable[Confirmed], *, design: str = "") -> tuple[Learnt, ...]:
    """Weights of a model after the confirmed repairs.

    Args:
        model: The fault model.
        confirmed: Repairs since the last reset; faults that the model does not know are passed over.
        design: Design of the unit at hand; repairs on it count in full.
    """
    here: dict[str, int] = {}
    elsewhere: dict[str, int] = {}
    shares: dict[str, float] = {}
    total = sum(fault.weight for fault in model.faults)
    for fault in model.faults:
        own = class_of(fault.id)
        shares[own] = shares.get(own, 0.0) + fault.weight / total
    for each in confirmed:
        own = class_of(each.fault)
        if own in shares:
            counts = here if each.design == design else elsewhere
            counts[own] = counts.get(own, 0) + 1
    size = STRENGTH + sum(here.values()) + ELSEWHERE * sum(elsewhere.values())
    found = []
    for fault in model.faults:
        own = class_of(fault.id)
        grown = (STRENGTH * shares[own] + here.get(own, 0) + ELSEWHERE * elsewhere.get(own, 0)) / size
        start = fault.weight / total
        found.append(
            Learnt(
                fault=fault.id,
                weight=grown * start / shares[own],  # what a class learnt is shared among its spots as before
                start=start,
                here=here.get(own, 0),
                elsewhere=elsewhere.get(own, 0),
            )
        )
    return tuple(found)


def class_of(fault: str) -> str:
    """The class whose repairs a fault learns from: spots of one class are named class@spot."""
    return fault.partition("@")[0]


def weights(learnt: Iterable[Learnt]) -> Mapping[str, float]:
    """Weights by fault, for `benchtui.faults.layout.lay_out`."""
    return {each.fault: each.weight for each in learnt}


def sample_words(learnt: Iterable[Learnt]) -> str:
    """How many repairs stand behind the weights, for the screen."""
    by_class = {class_of(each.fault): each for each in learnt}
    here = sum(each.here for each in by_class.values())
    elsewhere = sum(each.elsewhere for each in by_class.values())
    if not here and not elsewhere:
        return "estimates only: no confirmed repair yet"
    repairs = f"{here} confirmed repair{'' if here == 1 else 's'} on this design"
    if elsewhere:
        repairs += f" and {elsewhere} on others"
    return f"estimates and {repairs}; twenty would weigh as much as the estimates"
