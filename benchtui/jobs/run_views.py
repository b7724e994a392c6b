"""Units as their record tells them, kept as long as nothing is written: a page asks at each key, and writes at few."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final

from benchtui.jobs.knowing import Knowing
from benchtui.jobs.run_list import plan_of
from benchtui.jobs.run_sitting import bench_named
from benchtui.jobs.units import UnitView, fold_unit
from benchtui.record.event import KNOWS

if TYPE_CHECKING:
    from benchtui.jobs.fold import Folds
    from benchtui.record.store import Store

_MOST: Final = 8
"""Most units that are kept: a batch and a unit beside it."""


class KeptViews:
    """Views of units; after something was written, only what is new of a unit's jobs is read.

    Args:
        store: The record.
    """

    def __init__(self, store: Store) -> None:
        self.store = store
        self._version: tuple[int, int] | None = None
        self._views: dict[str, UnitView] = {}
        self._folds: dict[str, Folds] = {}

    def view(self, unit: str) -> UnitView:
        """A unit as its record tells it now."""
        version = self.store.version
        if version != self._version:
            self._version, self._views = version, {}
        if unit not in self._views:
            self._views[unit] = self._made(unit)
        return self._views[unit]

    def _made(self, unit: str) -> UnitView:
        folds = self._folds.pop(unit, {})
        while len(self._folds) >= _MOST:
            del self._folds[next(iter(self._folds))]
        self._folds[unit] = folds
        view = fold_unit(
            unit,
            self.store.events(unit=unit),
            lambda digest: plan_of(self.store, digest),
            knowing=Knowing(self.store.events(kinds=[KNOWS])),
            kept=folds,
        )
        return replace(view, conflicts=bench_named(self.store, view.conflicts)) if view.conflicts else view
