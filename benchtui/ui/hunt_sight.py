"""What is known of the move in sight beyond its proposal: the same for the screen and for the line mode."""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchtui.faults.huntstate import too_late
from benchtui.jobs.expand import caution_of
from benchtui.ui.view.cautions import in_order
from benchtui.ui.view.hunt import HuntSight

if TYPE_CHECKING:
    from benchtui.jobs.plan import Caution
    from benchtui.ui.hunting import Hunting


def cautions_of(hunting: Hunting) -> tuple[Caution, ...]:
    """Cautions of the move in sight, gravest first."""
    return tuple(in_order([caution_of(each) for each in hunting.run.cautions(hunting.proposal)]))


def sight_of(hunting: Hunting) -> HuntSight:
    """The move in sight; what has been read of its cautions, and how far was scrolled, is for the screen to add."""
    state = hunting.run.state
    return HuntSight(
        cautions=cautions_of(hunting),
        waiting=not hunting.settled,
        too_late=too_late(state, hunting.run.elapsed),
        foretold=hunting.foretold,
        beforehand=hunting.beforehand,
        walk_minutes=hunting.walk_minutes,
        sample=state.started.sample,
        line=hunting.line_to_say,
        typed=hunting.typed,
        picked=hunting.picked,
        better=hunting.better.title if hunting.better else "",
    )
