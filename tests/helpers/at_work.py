"""A bench without screens, and a job that is worked up to a step."""

from __future__ import annotations

from contextlib import contextmanager
from typing import TYPE_CHECKING

from helpers.screens import Clock, FakeBench, FakeLibrary

from benchtui.record.store import Store

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping
    from pathlib import Path

    from benchtui.jobs.plan import Plan
    from benchtui.ui.work import Work


@contextmanager
def at_bench(folder: Path, plans: Mapping[str, Plan] | None = None) -> Iterator[FakeBench]:
    """A bench on a record of its own, beside that of the program that may run in the same folder.

    Args:
        folder: Where its record lies.
        plans: Plans by id.
    """
    clock = Clock()
    with Store.open(folder / "lines.sqlite", clock=clock) as store:
        bench = FakeBench(FakeLibrary(), store, clock=clock)  # type: ignore[arg-type]
        bench.plans = plans or {}
        yield bench


def go_to(work: Work, step: str) -> None:
    """Do everything up to a step."""
    for _ in range(60):
        if work.key == step:
            return
        if work.unread is not None:
            work.acknowledge()
        elif work.step.limits is not None:
            work.reading("5k")
        elif work.step.choices:
            work.choose(1)
        elif work.step.act == "sign":
            work.sign("A. Builder")
        else:
            reply = work.go_on()
            if work.step.act == "wait":
                work.run.bench.clock.forward(minutes=31)  # type: ignore[attr-defined]
            assert not reply.problem, reply.text
    raise AssertionError(f"never came to {step}, but to {work.key}")
