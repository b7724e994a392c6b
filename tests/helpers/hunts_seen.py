"""Hunts without a terminal: what the screen would show of them, and what would be written down."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING, Any

from helpers.fault_worlds import demo, model_of
from helpers.screens import MORNING, Clock
from helpers.small_fault_model import small_hunt

from benchtui.content.library import Library
from benchtui.faults.run import HuntRun
from benchtui.paths import shipped
from benchtui.ui.hunting import Hunting
from benchtui.ui.view.hunt import HuntSight, hunt_page
from benchtui.ui.view.shapes import UNICODE
from benchtui.ui.view.text import plain, width_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from benchtui.content.procedure import Procedure
    from benchtui.faults.hunt import HuntState
    from benchtui.faults.run import HuntSummary
    from benchtui.record.event import Draft, Event


@cache
def shipped_library() -> Library:
    """The library of the shipped procedures."""
    return Library([shipped("procedures")])


class Hunts:
    """A record that keeps events in a list."""

    def __init__(self) -> None:
        self.kept: list[str] = []
        self.clock = Clock()
        self.store = self
        self.library: Any = self

    def append_all(self, drafts: Sequence[Draft], **_: object) -> None:
        self.kept.extend(draft.kind for draft in drafts)

    def events(self, **_: object) -> tuple[Event, ...]:
        return ()  # nobody else writes under this hunt

    def open_hunts(self, _unit: str) -> tuple[HuntSummary, ...]:
        return ()

    def found_bad(self, _unit: str, _why: str) -> Sequence[Draft]:
        return ()

    def meter(self) -> str:
        return ""

    def circuits(self, _design: object) -> object:
        return demo()[1]

    def procedure(self, id: str) -> Procedure:
        return shipped_library().procedure(id)

    def cautions(self) -> dict[str, object]:
        return {}


def hunting(state: HuntState | None = None) -> Hunting:
    run = HuntRun(Hunts(), state or small_hunt(), job="HAAAAA", unit="HCD-001-K", begun=MORNING)  # type: ignore[arg-type]
    return Hunting(run)


def page(one: Hunting, width: int = 80, height: int = 20) -> str:
    lines, _ = hunt_page(one.proposal, HuntSight(), width=width, height=height, shapes=UNICODE)
    assert len(lines) == height
    assert all(width_of(row) <= width for row in lines)
    return plain(lines)


def real_hunt(
    control: str = "F3", symptom: str = "control-dead", *, scope: str = "control", minutes: float | None = None
) -> Hunting:
    """A hunt on the demo desk, with its circuits.

    Args:
        control: A control; a bank or kind where `scope` says so.
        symptom: What is reported.
        scope: Extent of the trouble.
        minutes: To curtain.
    """
    from benchtui.faults import hunt

    design, _ = demo()
    state = hunt.start(
        model_of(scope, control), design, scope=scope, subject=control, symptom=symptom, deadline_minutes=minutes
    )
    return hunting(state)


def shown(one: Hunting) -> str:
    sight = HuntSight(foretold=one.foretold, typed=one.typed, beforehand=one.beforehand, walk_minutes=one.walk_minutes)
    return " ".join(plain(hunt_page(one.proposal, sight, width=100, height=60, shapes=UNICODE)[0]).split())
