"""A batch is picked, or planned, and by which procedure it is built: the same questions on the pages and by lines."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from benchtui.errors import UsageError
from benchtui.jobs.run_batch import Batch
from benchtui.jobs.run_batches import known_batches
from benchtui.ui.fixed import fixed_of_it
from benchtui.ui.view.batch import sums_text
from benchtui.ui.view.rows import Row

if TYPE_CHECKING:
    from collections.abc import Sequence

    from benchtui.content.library import Entry
    from benchtui.ui.ways import Ways

NEW: Final = "new"
"""What is picked where a batch is to be planned that does not exist yet."""

TITLE: Final = "A new batch"


async def pick_batch(ways: Ways) -> str | None:
    """The name of a batch, the one that was planned last first, or `NEW`; None where none was picked."""
    names = [batch.name for batch in known_batches(ways.store)]
    rows = [Row(id=name, text=f"Batch {name}", right=sums_text(Batch(ways.bench, name).sums())) for name in names]
    return await ways.pick("Batches", "Which one?", [*rows[::-1], Row(id=NEW, text="Plan a new batch")])


async def plan_batch(ways: Ways, design_id: str) -> Batch | None:
    """Ask how many units there are to be, and what is fixed of them; None where that was given up.

    Raises:
        BenchError: Nothing builds the design, or what does cannot be used. No serial number is given then: such a batch
            would stand in the record for ever.
    """
    builds = _builds(ways, design_id)
    if len(builds) == 1:  # of several, the one that is chosen is looked at when it begins
        ways.bench.trusted(builds[0].id, design_id=design_id)
    typed = await ways.ask(TITLE, "How many units, 1 to 99", needed="type a number", check=_quantity)
    if typed is None:
        return None
    fixed = await fixed_of_it(ways, builds[0].id, design_id)
    return None if fixed is None else Batch.make(ways.bench, design_id, int(typed), fixed=fixed)


async def pick_build(ways: Ways, batch: Batch) -> str | None:
    """The procedure that builds a batch, asked for where there are several; None where none was picked.

    Raises:
        UsageError: There is none.
    """
    builds = _builds(ways, batch.design or ways.units.view(batch.units[0]).design)
    if len(builds) == 1:
        return builds[0].id
    rows = [Row(id=entry.id, text=entry.title) for entry in builds]
    return await ways.pick(f"Batch {batch.name}", "By which procedure?", rows)


def _builds(ways: Ways, design_id: str) -> Sequence[Entry]:
    """The procedures that build a design; at least one."""
    entries = ways.library.entries("procedure")
    builds = [entry for entry in entries if entry.design == design_id and entry.procedure_kind == "assembly"]
    if not builds:
        raise UsageError(
            f"there is no assembly procedure for {design_id}",
            hint="write one beside its design file; `benchtui new design NAME` writes one to begin with",
        )
    return builds


def _quantity(typed: str) -> str:
    return "" if typed.isdigit() and 1 <= int(typed) <= 99 else "type a number, 1 to 99"
