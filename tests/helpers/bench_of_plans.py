"""A bench that starts jobs from plans made by hand, on a real record."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta, timezone
from typing import TYPE_CHECKING

from benchtui.jobs.run import Bench

if TYPE_CHECKING:
    from collections.abc import Mapping

    from benchtui.jobs.plan import Plan
    from benchtui.record.store import Store


class Clock:
    """A clock that moves only when it is told to."""

    def __init__(self) -> None:
        self.now = datetime(2031, 3, 1, 9, 0, tzinfo=timezone(timedelta(hours=1)))

    def __call__(self) -> datetime:
        return self.now

    def forward(self, **by: float) -> None:
        self.now += timedelta(**by)


class PlannedBench(Bench):
    """Starts jobs from plans by id."""

    def __init__(self, plans: Mapping[str, Plan], store: Store, clock: Clock) -> None:
        super().__init__(None, store, clock=clock)  # type: ignore[arg-type]  # no content is asked for
        self.plans = dict(plans)

    def plan(self, id: str, *, design_id: str = "", subject: str = "", unit: str = "") -> Plan:
        return replace(self.plans[id], subject=subject)
