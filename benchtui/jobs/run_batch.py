"""Building a batch: one step for all units, one event per unit, and a unit that is held drops out until it is free."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING

from benchtui.errors import JobError
from benchtui.jobs import events as ev
from benchtui.jobs.batch import STUCK, matrix, spread, sums
from benchtui.jobs.run_batches import find_batch
from benchtui.jobs.standing import IRON_HOT, with_iron
from benchtui.jobs.steps import Status
from benchtui.jobs.timers import moment
from benchtui.jobs.unit_events import UnitMade
from benchtui.jobs.waits import ending

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping, Sequence

    from benchtui.jobs.applies import UnitFacts
    from benchtui.jobs.batch import Cell, Spread
    from benchtui.jobs.glance import JobSummary
    from benchtui.jobs.jobstate import JobState
    from benchtui.jobs.plan import PlanStep
    from benchtui.jobs.run import Bench, Run
    from benchtui.record.store import Store

OUT: tuple[str, ...] = ("held", "scrapped", "returned")
"""States in which a unit takes no part in a pass over its batch."""


class Batch:
    """A batch of units of one design.

    Args:
        bench: The bench it is built on.
        name: Name of the batch as it is shown, such as "B3", or "B3-3fa2" where another bench has a B3 as well.
    """

    def __init__(self, bench: Bench, name: str) -> None:
        self.bench = bench
        known = find_batch(bench.store, name)
        self.name = known.name if known else name
        self.written = known.written if known else name
        """Its name as its units and jobs have it in the record."""
        self.design = known.design if known else ""
        self.units: tuple[str, ...] = known.units if known else ()
        """Serial numbers, in the order they were given."""
        self.procedure = ""
        """Id of the procedure of this pass; empty while none was named."""
        self.called = False
        """It goes over a procedure that a step of another pass calls."""
        self._runs: dict[str, Run] = {}
        self._looked = False

    @classmethod
    def make(
        cls, bench: Bench, design_id: str, quantity: int, *, hardware: str = "", fixed: UnitFacts | None = None
    ) -> Batch:
        """Plan a batch: its units get their serial numbers.

        Args:
            bench: The bench it is built on.
            design_id: Id of the design.
            quantity: How many units.
            hardware: Revision of their hardware.
            fixed: The same and their options, as they were asked for.

        Raises:
            JobError: The quantity is not at least one.
        """
        if quantity < 1:
            raise JobError("a batch has at least one unit")
        taken = {str(event.data.get("batch", "")) for event in bench.store.events(kinds=[UnitMade.KIND])}
        name = next(f"B{number}" for number in range(1, len(taken) + 2) if f"B{number}" not in taken)
        made = UnitMade(
            design=design_id,
            hardware=hardware or (fixed.hardware if fixed else ""),
            options=fixed.options if fixed else (),
            asked=fixed.asked if fixed else (),
            batch=name,
        )
        bench.units.make_all(made, quantity=quantity)
        return cls(bench, name)

    def start(self, procedure: str) -> None:
        """Open a job of the procedure on every unit that takes part, has none open, and was not built by it yet."""
        self.procedure = procedure
        self._looked = False
        open_now = self.runs()
        for unit in self.left_to_build(procedure):
            if unit not in open_now:
                self._runs[unit] = self.bench.start(procedure, unit, batch=self.written)

    def call(self, step: str) -> Batch:
        """A pass over the procedure that a step calls, for every unit that is at the step.

        A unit on which it has come to its end already is told so, and is not gone over again. A procedure that is
        about the bench (`once: sitting`) is gone over for the first unit alone.
        """
        called = Batch(self.bench, self.name)
        called.called = called._looked = True
        lead: Run | None = None
        for unit in self.at(step):
            run = self.runs()[unit]
            called.procedure = run.plan.step(step).call
            if lead is None or not self.bench.once_a_sitting(called.procedure):
                lead = called._runs[unit] = self.bench.call(run, step)
            elif not run.state[step].called:
                # About the bench and not the unit: the run of the first unit serves this one too.
                run.act(ev.CallOpened(step=step, called=lead.job))
        called.units = tuple(called._runs)
        return called

    def returned(self, step: str) -> tuple[str, ...]:
        """Go past a step that called a procedure, on every unit where that has come to its end.

        One that was gone through for another unit and left something open proves nothing of this one: it is at the
        step still, and the procedure is called anew.
        """
        back, hot = [], self._with_iron_hot()
        for unit in self.at(step):
            run = self.runs()[unit]
            called = self.bench.called(run, step)
            if called is not None and called.state.closed:
                run.act(ev.CallReturned(step=step, called=called.job, result=called.state.closed))
            if run.state[step].returned:
                back.append(unit)
        self._one_iron(hot)
        return self.done(step, units=back) if back else ()

    def runs(self, procedure: str = "") -> Mapping[str, Run]:
        """Open jobs of the batch by unit, those put aside taken up again.

        A unit whose procedure was begun by itself goes on by that job: two builds of one unit are never meant.
        """
        wanted = procedure or self.procedure
        # Looked for once: from then on a pass knows its own jobs, and asking again at each key would take a while.
        if not self._looked or procedure not in ("", self.procedure):
            # Those of the batch first, where both are open on a unit.
            for job in sorted(self.bench.open_jobs(), key=lambda job: job.batch != self.name):
                ours = job.batch == self.name or (job.procedure == wanted and not job.caller)
                if ours and job.unit in self.units and job.unit not in self._runs and wanted in ("", job.procedure):
                    self._runs[job.unit] = self.bench.resume(job.job)
            self._looked = True
        return {
            unit: self._runs[unit] for unit in self.units if unit in self._runs and not self._runs[unit].state.closed
        }

    def states(self) -> Mapping[str, str]:
        """State of every unit of the batch."""
        known = {row.unit: row.state for row in self.bench.store.units(self.units)}
        return {unit: known.get(unit, "") for unit in self.units}

    def taking_part(self) -> tuple[str, ...]:
        """Units that a pass goes over; those that are held or gone are left out."""
        return tuple(unit for unit, state in self.states().items() if state not in OUT)

    def left_out(self) -> Mapping[str, str]:
        """Units that a pass goes past, with their state."""
        return {unit: state for unit, state in self.states().items() if state in OUT}

    def waiting(self) -> Mapping[str, PlanStep]:
        """Units taking part whose step failed or waits: the pass goes on without them until they are taken in hand."""
        taking = set(self.taking_part())
        return {
            unit: run.plan.step(run.state.current)
            for unit, run in self.runs().items()
            if unit in taking and run.state.current and run.state[run.state.current].status in STUCK
        }

    def at_the_end(self) -> tuple[str, ...]:
        """Units taking part whose job was gone through to its last step, and is not closed."""
        taking = set(self.taking_part())
        return tuple(unit for unit, run in self.runs().items() if unit in taking and not run.state.current)

    def current(self) -> PlanStep | None:
        """The earliest step that some unit taking part still has to do; None when there is none."""
        taking = set(self.taking_part())
        ready = [
            run.plan.step(run.state.current)
            for unit, run in self.runs().items()
            if unit in taking and run.state.current and run.state[run.state.current].status not in STUCK
        ]
        return min(ready, key=lambda step: step.number, default=None)

    def at(self, step: str) -> tuple[str, ...]:
        """Units taking part that are at this step, ready to do it."""
        taking = set(self.taking_part())
        return tuple(
            unit
            for unit, run in self.runs().items()
            if unit in taking and run.state.current == step and run.state[step].status not in STUCK
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
        self._together([(self.runs()[unit], make(self.runs()[unit])) for unit in chosen])
        return tuple(chosen)

    def _together(self, acts: Sequence[tuple[Run, ev.JobEvent]]) -> None:
        """Write one event for each of several jobs, all of them or none."""
        prepared = []
        for run, act in acts:
            event = run.whole(act)
            try:
                prepared.append((run, event, run.prepare(event)))
            except JobError as error:
                raise JobError(f"{run.unit}: {error.message}", hint=error.hint) from None
        recorded = self.bench.store.append_all(
            [draft for run, event, (draft, _) in prepared for draft in (*run.beside(event), draft)],
            glances={run.job: glance for run, _, (_, glance) in prepared},
        )
        by_job = {event.job: event for event in recorded if event.job}
        for run, event, _ in prepared:
            run.adopt(event, time=by_job[run.job].time)

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
        hot = self._with_iron_hot()
        done = self.act(step, lambda _: ev.StepDone(step=step), units=units)
        self._one_iron(hot)
        return done

    def _with_iron_hot(self) -> frozenset[str]:
        return frozenset(unit for unit, run in self.runs().items() if IRON_HOT in run.state.left)

    def _one_iron(self, hot: frozenset[str]) -> None:
        """There is one iron at the bench: off for the units that are at a step, it is off for those that wait."""
        runs = self.runs()
        if not hot or self._with_iron_hot() >= hot:
            return
        for run in runs.values():
            if IRON_HOT in run.state.left and run.state.suspended is None:
                run.act(ev.BenchSaid(bench=with_iron(run.state.left, "off")))

    def begin(self, step: str) -> tuple[str, ...]:
        """Mark a step begun for all units that are at it and have not begun it."""
        fresh = [
            unit for unit in self.at(step) if self.runs()[unit].state[step].status in (Status.OPEN, Status.REOPENED)
        ]
        return self.act(step, lambda _: ev.StepBegun(step=step), units=fresh) if fresh else ()

    def start_wait(self, step: str) -> tuple[str, ...]:
        """Begin the wait of a step for all units that are at it and have not begun it."""
        now = moment(self.bench.clock)
        fresh = [unit for unit in self.at(step) if not self._waits(unit, step)]

        def started(run: Run) -> ev.JobEvent:
            seconds = run.plan.step(step).seconds
            return ev.TimerStarted(step=step, seconds=seconds, boot=now.boot, boot_seconds=now.boot_seconds)

        return self.act(step, started, units=fresh)

    def _waits(self, unit: str, step: str) -> bool:
        known = self.runs()[unit].state[step]
        return known.timer is not None and not known.fresh

    def left_to_wait(self, step: str) -> float | None:
        """Seconds until the wait of a step is over on every unit that is at it; None when one has not begun it."""
        units = self.at(step)
        if not units or not all(self._waits(unit, step) for unit in units):
            return None
        return max(self.runs()[unit].left_to_wait(step=step) or 0.0 for unit in units)

    def end_wait(self, step: str, *, reason: str = "") -> tuple[str, ...]:
        """End the wait of a step for all units that are at it, before its time only with a reason; and it is done."""
        now = moment(self.bench.clock)
        running = [unit for unit in self.at(step) if not self._ended(unit, step)]
        self.act(step, lambda run: ending(step, run.state[step].timer, now, reason), units=running)
        return self.done(step)

    def _ended(self, unit: str, step: str) -> bool:
        timer = self.runs()[unit].state[step].timer
        return timer is not None and bool(timer.ended)

    def sign(self, step: str, *, name: str, meaning: Callable[[Run], str]) -> tuple[str, ...]:
        """Sign a step for every unit that is at it, and it is done; `meaning` says what it stands for on each."""
        self.act(step, lambda run: ev.SignedOff(step=step, name=name, meaning=meaning(run)))
        return self.done(step)

    def take_back(self) -> tuple[str, tuple[str, ...]]:
        """Open the step again that was done last: for all units it was marked on together, or for the last one asked.

        Returns:
            Key of the step and the units it is open on again; an empty key when nothing was done yet.
        """
        last = {}
        for unit, run in self.runs().items():
            done = (act for act in run.state.trail if act.kind == ev.StepDone.KIND and run.plan.has(act.step))
            acts = [act for act in done if run.state[act.step].settled]
            if acts:
                last[unit] = acts[-1]
        if not last:
            return "", ()
        newest = max(last.values(), key=lambda act: datetime.fromisoformat(act.time))
        # Plans differ where the hardware does: the step is looked up in the job it was marked in.
        step = next(self.runs()[unit].plan.step(act.step) for unit, act in last.items() if act is newest)
        # What was marked together bears one time; a unit that did the step at another one is not taken back with it.
        units = tuple(unit for unit, act in last.items() if (act.step, act.time) == (newest.step, newest.time))
        self._together([(self.runs()[unit], ev.StepReopened(step=step.key, reason="taken back")) for unit in units])
        return step.key, units

    def left_to_build(self, procedure: str) -> tuple[str, ...]:
        """Units taking part on which the procedure has not come to its end; parts are bought for these."""
        return tuple(unit for unit in self.taking_part() if not self._built(unit, procedure))

    def _built(self, unit: str, procedure: str) -> bool:
        jobs = self.bench.jobs(unit=unit)
        return any(job.procedure == procedure and job.closed and not job.slipped for job in jobs)

    # -- looking at it ---------------------------------------------------------------------------------------------

    def jobs(self, procedure: str) -> Mapping[str, JobState]:
        """The last job of a procedure on each unit, open or closed; one that was begun by a slip is none."""
        found: dict[str, JobState] = {}
        for unit in self.units:
            for job in self.bench.jobs(unit=unit)[::-1]:
                if job.procedure == procedure and not job.slipped:
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


def out_of_the_pass(store: Store, jobs: Iterable[JobSummary]) -> Mapping[str, str]:
    """Units of batches among some open jobs that a pass goes past, since they are held or gone, with their state."""
    units = list(dict.fromkeys(job.unit for job in jobs if job.batch))
    return {row.unit: row.state for row in store.units(units) if row.state in OUT} if units else {}
