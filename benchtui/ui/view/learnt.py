"""What confirmed repairs have made of the weights of a fault model, as a list."""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchtui.faults.learning import class_of
from benchtui.faults.words import percent
from benchtui.ui.view.rows import Row

if TYPE_CHECKING:
    from collections.abc import Sequence

    from benchtui.faults.learning import Learnt
    from benchtui.faults.model import FaultModel


def learnt_rows(learnt: Sequence[Learnt], model: FaultModel) -> list[Row]:
    """Each fault with a confirmed repair, its weight before and now, and the ways to forget it.

    Args:
        learnt: From `Hunts.learnt`, for a model that may have the faults of a circuit in it.
        model: That model.
    """
    titles = {fault.id: fault.title for fault in model.faults}
    groups: dict[str, list[Learnt]] = {}
    for each in learnt:
        groups.setdefault(class_of(each.fault), []).append(each)
    rows = [Row(id="keep", text="Keep it and go back")]
    counted = [those for those in groups.values() if those[0].here or those[0].elsewhere]
    if counted:
        rows += [
            Row(id="here", text="Forget the repairs on this design", under="the repairs stay in the record"),
            Row(id="all", text="Forget the repairs on every design", under="the repairs stay in the record"),
            Row(text="Confirmed repairs, here and elsewhere", right="weight before and now"),
        ]
    for those in sorted(counted, key=lambda those: -those[0].here - those[0].elsewhere):
        first = those[0]
        title = titles[first.fault] if len(those) == 1 else f"{titles[first.fault]}, and {len(those) - 1} like it"
        before, now = sum(each.start for each in those), sum(each.weight for each in those)
        rows.append(
            Row(text=f"{first.here} and {first.elsewhere}  {title}", right=f"{percent(before)}, {percent(now)}")
        )
    return rows
