"""Building a batch: one step for all units, one event per unit, and a unit that is held drops out until it is free."""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchtui.errors import JobError
from benchtui.jobs import events as ev
from benchtui.jobs.batch import matrix, spread, sums
from benchtui.jobs.unit_events import UnitMade

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from benchtui.jobs.batch import Cell, Spread
    from benchtui.jobs.jobstate import JobState
    from benchtui.jobs.plan import PlanStep
    from benchtui.jobs.run import Bench, Run

OUT: tuple[str, ...] = ("held", "scrapped", "returned")
"""States in which a unit takes no part in a pass over its batch."""


class Batch:
    """A batch of units of one design.

    Args:
        bench: The bench it is built on.
        name: Name of the batch, such as "B3".
    """

    def __init__(self, bench: Bench, name: str) -> None:
        self.bench = bench
        self.name = name
        made = bench.store.events(kinds=[UnitMade.KIND], where=("batch", name))
        self.units: tuple[str, ...] = tuple(dict.fromkeys(event.unit for event in made))
        """Serial numbers, in the order they were given."""
        self._runs: dict[str, Run] = {}

    @classmethod
    def make(
        cls, bench: Bench, design_id: str, quantity: int, *, hardware: str = "", options: tuple[str, ...] = ()
    ) -> Batch:
        """Plan a batch: its units get their serial numbers.

        Raises:
            JobError: The quantity is not at least one.
        """
        if quantity < 1:
            raise JobError("a batch has at least one unit")
        taken = {str(event.data.get("batch", "")) for event in bench.store.events(kinds=[UnitMade.KIND])}
        name = next(f"B{number}" for number in range(1, len(taken) + 2) if f"B{number}" not in taken)
        for _ in range(quantity):
            bench.units.make(design_id, hardware=hardware, options=options, batch=name)
        return cls(bench, name)

    def start(self, procedure: str) -> None:
        """Open a job of the procedure on every unit that takes part and has none open yet."""
        for unit in self.taking_part():
            if unit not in self.runs(procedure):
                self._runs[unit] = self.bench.start(procedure, unit, batch=self.name)

    def runs(self, procedure: str = "") -> Mapping[str, Run]:
        """Open jobs of the batch by unit, those put aside taken up again."""
        for job in self.bench.open_jobs():
            if job.batch == self.name and job.unit not in self._runs and procedure in ("", job.procedure):
                self._runs[job.unit] = self.bench.resume(job.job)
        return {
            unit: self._runs[unit] for unit in self.units if unit in self._runs and not self._runs[unit].state.closed
        }

    def states(self) -> Mapping[str, str]:
        """State of every unit of the batch."""
        known = {row.unit: row.state for row in self.bench.store.units()}
        return {unit: known.get(unit, "") for unit in self.units}

    def taking_part(self) -> tuple[str, ...]:
        """Units that a pass goes over; those that are held or gone are left out."""
        return tuple(unit for unit, state in self.states().items() if state not in OUT)

    def left_out(self) -> Mapping[str, str]:
        """Units that a pass goes past, with their state."""
        return {unit: state for unit, state in self.states().items() if state in OUT}

    def current(self) -> PlanStep | None:
        """The earliest step that some unit taking part still has to do; None when there is none."""
        taking = set(self.taking_part())
        waiting = [
            run.plan.step(run.state.current)
            for unit, run in self.runs().items()
            if unit in taking and run.state.current
        ]
        return min(waiting, key=lambda step: step.number, default=None)

    def at(self, step: str) -> tuple[str, ...]:
        """Units taking part that have this step still to do."""
        taking = set(self.taking_part())
        return tuple(
            unit
            for unit, run in self.runs().items()
            if unit in taking and run.plan.has(step) and not run.state[step].settled
        )

    def act(
        self, step: str, make: Callable[[Run], ev.JobEvent], *, units: Sequence[str] | None = None
    ) -> tuple[str, ...]:
        """Do one thing to every unit that has the step to do: one event each, written all together or not at all.

        Args:
            step: Key of the step.
            make: Makes the event for a unit's job.
            units: Only these of them.

        Returns:
            The units it was done to.

        Raises:
            JobError: One of the units does not allow it; nothing was written, and the message names the unit.
        """
        chosen = [unit for unit in self.at(step) if units is None or unit in units]
        prepared = []
        for unit in chosen:
            run = self.runs()[unit]
            event = make(run)
            try:
                prepared.append((run, event, run.prepare(event)))
            except JobError as error:
                raise JobError(f"{unit}: {error.message}", hint=error.hint) from None
        recorded = self.bench.store.append_all(
            [draft for _, _, (draft, _) in prepared],
            glances={run.job: glance for run, _, (_, glance) in prepared},
        )
        by_job = {event.job: event for event in recorded if event.job}
        for run, event, _ in prepared:
            run.adopt(event, time=by_job[run.job].time)
        return tuple(chosen)

    def acknowledge(self, step: str) -> tuple[str, ...]:
        """Acknowledge every caution of a step, for each unit that has the step to do."""
        units = self.at(step)
        for unit in units:
            run = self.runs()[unit]
            for caution in run.state.unread(step):
                run.acknowledge(caution, step=step)
        return units

    def done(self, step: str, *, units: Sequence[str] | None = None) -> tuple[str, ...]:
        """Mark a step done for all units that have it to do."""
        return self.act(step, lambda _: ev.StepDone(step=step), units=units)

    def left_to_build(self, procedure: str) -> tuple[str, ...]:
        """Units taking part on which the procedure has not come to its end; parts are bought for these."""
        finished = {unit for unit, state in self.jobs(procedure).items() if state.closed}
        return tuple(unit for unit in self.taking_part() if unit not in finished)

    # -- looking at it ---------------------------------------------------------------------------------------------

    def jobs(self, procedure: str) -> Mapping[str, JobState]:
        """The last job of a procedure on each unit, open or closed."""
        found: dict[str, JobState] = {}
        for unit in self.units:
            for job in self.bench.jobs(unit=unit)[::-1]:
                if job.procedure == procedure:
                    found[unit] = self.bench.look(job.job)
        return found

    def sums(self) -> Mapping[str, int]:
        """How many units stand in each state; the counts add up to the batch."""
        return sums(self.bench.units.view(unit) for unit in self.units)

    def matrix(self, procedure: str) -> Mapping[str, Mapping[str, Cell]]:
        """Units against the stages of a procedure."""
        return matrix(self.jobs(procedure))

    def spread(self, procedure: str) -> tuple[Spread, ...]:
        """Every measurement of a procedure over the units."""
        return spread(self.jobs(procedure))
