"""Which batches a record knows. A name is given at one bench, and two benches may both have a batch B1."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Final

from benchtui.jobs.unit_events import UnitMade
from benchtui.record.event import root_of

if TYPE_CHECKING:
    from collections.abc import Iterable

    from benchtui.jobs.glance import JobSummary
    from benchtui.record.store import Store

SHORTEST: Final = 4
"""How many characters of a bench's own name tell its batches from those of another."""

FEW: Final = 8
"""So many batches are looked up one by one; of more, all are read at once."""


@dataclass(frozen=True, slots=True, kw_only=True)
class KnownBatch:
    """A batch: units that were given their numbers under one name at one bench."""

    written: str
    """Its name as its units and jobs have it in the record."""
    name: str
    """The same as it is shown; with the bench, as in "B1-3fa2", where another bench has a batch of that name."""
    origin: str
    design: str
    units: tuple[str, ...]
    """Serial numbers, in the order they were given."""


def known_batches(store: Store, written: str = "") -> tuple[KnownBatch, ...]:
    """The batches of a record, in the order they were planned.

    Args:
        store: The record.
        written: Only those written down under this name.
    """
    made = store.events(kinds=[UnitMade.KIND], where=("batch", written) if written else None)
    units: dict[tuple[str, str], dict[str, None]] = defaultdict(dict)
    designs: dict[tuple[str, str], str] = {}
    seen = set()
    for event in made:
        batch, origin = str(event.data.get("batch", "")), root_of(event.origin)
        # A number that two benches gave is in the batch of the first; that there are two is a conflict of the unit.
        if batch and event.unit not in seen:
            seen.add(event.unit)
            units[batch, origin][event.unit] = None
            designs.setdefault((batch, origin), str(event.data.get("design", "")))
    homes: dict[str, list[str]] = defaultdict(list)
    for batch, origin in units:
        homes[batch].append(origin)
    return tuple(
        KnownBatch(
            written=batch,
            name=batch if len(homes[batch]) == 1 else f"{batch}-{_short(origin, homes[batch])}",
            origin=origin,
            design=designs[batch, origin],
            units=tuple(found),
        )
        for (batch, origin), found in units.items()
    )


def find_batch(store: Store, name: str) -> KnownBatch | None:
    """The batch of a name as it is shown; None for none.

    The bare name of several batches means the one of this bench, or else the first.
    """
    # Only those of the name are looked up: a record of some years knows thousands of units.
    names = dict.fromkeys((name, name.rpartition("-")[0]))
    known = [batch for written in names if written for batch in known_batches(store, written)]
    exact = [batch for batch in known if batch.name == name]
    alike = [batch for batch in known if batch.written == name]
    own = [batch for batch in alike if batch.origin == root_of(store.origin)]
    return next(iter((*exact, *own, *alike)), None)


def with_batch_names(store: Store, jobs: Iterable[JobSummary]) -> tuple[JobSummary, ...]:
    """Jobs with the name of their batch as it is shown, so that those of two batches of one name stay apart."""
    told = tuple(jobs)
    written = {job.batch for job in told} - {""}
    if not written:
        return told
    few = sorted(written) if len(written) <= FEW else [""]
    known = [batch for each in few for batch in known_batches(store, each)]
    names = {(batch.written, unit): batch.name for batch in known for unit in batch.units}
    return tuple(replace(job, batch=names.get((job.batch, job.unit), job.batch)) for job in told)


def _short(origin: str, others: Iterable[str]) -> str:
    """As much of a bench's own name as tells it from the others."""
    rest = [other for other in others if other != origin]
    return next(
        (
            origin[:length]
            for length in range(SHORTEST, len(origin))
            if not any(other.startswith(origin[:length]) for other in rest)
        ),
        origin,
    )
