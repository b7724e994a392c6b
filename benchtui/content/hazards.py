"""The rules that keep a hazard from being hidden: whoever uses a thing says so, and the caution follows from that.

A text is taken at its word. A step that speaks of the iron without declaring it is refused, and so is one that measures
ohms while the unit is powered. Steps, checklist items and the moves of fault finding all pass through here.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from benchtui.content.betrayed import hidden_uses
from benchtui.content.cautions import derived
from benchtui.errors import Problem, did_you_mean

if TYPE_CHECKING:
    from collections.abc import Collection, Iterator, Mapping

    from benchtui.content.cautions import Caution
    from benchtui.content.checklist import Checklist
    from benchtui.content.procedure import Procedure, Step
    from benchtui.errors import Place

POWER_ON: Final = "power-on"
"""Id of the hazard that stands while the unit is powered with its lid open."""

OHMS: Final = "ohms-range"
"""Use of a meter on a range that feeds its own current into the circuit."""

_OWN_CURRENT: Final = ("resistance", "capacitance")
"""Kinds of reading that a meter takes by feeding a current of its own."""


def hazard_problems(
    *,
    place: Place,
    where: str,
    text: str,
    uses: Collection[str],
    hazards: Collection[str],
    cautions: Mapping[str, Caution],
    standing: Collection[str] = (),
) -> Iterator[Problem]:
    """Hazards of one act that are named but do not exist, or exist but are not named.

    Args:
        place: Where the act stands.
        where: What it is called in a message: "step 'mount'".
        text: All its texts.
        uses: What it says it uses.
        hazards: Further hazards by id of their caution.
        cautions: Every caution by id.
        standing: Hazards shown already, because they stand over several steps.
    """
    known = {use for caution in cautions.values() for use in caution.from_use}
    for id in hazards:
        if id not in cautions:
            yield Problem(place, f"{where}: there is no caution {id!r}", did_you_mean(id, cautions))
    for use in uses:
        if use not in known:
            yield Problem(place, f"{where}: no caution knows the use {use!r}", did_you_mean(use, known))
    shown = {caution.id for caution in derived(uses, hazards, cautions)} | set(standing)
    for use, what in hidden_uses(text):
        bring = {caution.id for caution in cautions.values() if use in caution.from_use}
        if use not in uses and bring and not bring <= shown:
            yield Problem(place, f"{where}: the text speaks of {what}, and no caution is shown", f"add {use} to `uses`")


def procedure_hazards(procedure: Procedure, cautions: Mapping[str, Caution]) -> Iterator[Problem]:
    """Problems of a procedure's steps with the hazards they name, hide, begin and end."""
    standing: set[str] = set()
    for step in procedure.steps:
        where = f"step {step.id!r}"
        spans = [id for id in (step.begins, step.ends) if id]
        if step.begins:
            standing.add(step.begins)
        yield from hazard_problems(
            place=step.place,
            where=where,
            # The reason of a call may speak of the iron; the steps of the called procedure show its cautions.
            text="" if step.call else " ".join(step.texts),
            uses=step.uses,
            hazards=(*step.hazards, *spans),
            cautions=cautions,
            standing=standing,
        )
        for id in spans:
            if id in cautions and not cautions[id].spans:
                yield Problem(step.place, f"{where}: {id!r} is not a hazard that spans steps")
        if POWER_ON in standing and (OHMS in step.uses or _feeds_current(step)):
            yield Problem(
                step.place,
                f"{where}: it measures with the meter's own current, and the unit is powered here",
                f"end {POWER_ON!r} before it",
            )
        standing.discard(step.ends)


def checklist_hazards(checklist: Checklist, cautions: Mapping[str, Caution]) -> Iterator[Problem]:
    """Problems of a checklist's items with the hazards they name or hide."""
    for item in checklist.items:
        yield from hazard_problems(
            place=item.place,
            where=f"item {item.id!r}",
            text=f"{item.text} {item.response}",
            uses=item.uses,
            hazards=item.hazards,
            cautions=cautions,
        )


def _feeds_current(step: Step) -> bool:
    return step.reading is not None and step.reading.quantity in _OWN_CURRENT
