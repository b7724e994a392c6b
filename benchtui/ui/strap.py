"""The wrist strap: tested before the first step of a sitting that handles loose parts which static can kill."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from benchtui.errors import UnitError
from benchtui.jobs.run_sitting import present, strap_tested
from benchtui.ui.reply import Reply
from benchtui.units import parse

if TYPE_CHECKING:
    from benchtui.jobs.plan import PlanStep
    from benchtui.jobs.run import Bench
    from benchtui.jobs.sitting import Sitting

LEAST: Final = 750e3
MOST: Final = 10e6
WINDOW: Final = "750 kΩ to 10 MΩ"
"""What the strap with its cord reads, from you to the earth point: usual window of a strap tester, from memory."""

ASKED: Final = "Loose parts: test the wrist strap first. It reads"


class Strap:
    """Whether the strap was tested in this sitting.

    Args:
        bench: Where the work is done.
    """

    def __init__(self, bench: Bench) -> None:
        self.bench = bench
        self._sitting: Sitting | None = None

    def due(self, step: PlanStep) -> bool:
        """Whether the strap has to be tested before anything is marked at a step."""
        if not step.static:
            return False
        now = self.bench.clock()
        if self._sitting is None or self._sitting.strap_due(step, now):
            # Asked anew each time: a procedure that was called meanwhile may have been the strap test.
            self._sitting = present(self.bench.store)
        return self._sitting.strap_due(step, now)

    def keep(self, typed: str) -> Reply:
        """Keep a test of the strap; one that reads otherwise than a good strap is refused."""
        try:
            found = parse(typed, "resistance")
        except UnitError as error:
            return Reply(f"{error} (or leave it, and go through the strap test)", problem=True)
        if not LEAST <= found.value <= MOST:
            return Reply(f"a good strap reads {WINDOW}: mend it or take another before you touch parts", problem=True)
        strap_tested(self.bench.store, typed.strip())
        self._sitting = None
        return Reply("the strap test is kept for this sitting")
