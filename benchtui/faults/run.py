"""Where hunts meet the record: an answer is checked, appended to the record, and only then folded into the state.

`Hunts` opens hunts and finds open ones; `HuntRun` is one hunt. Its state is always what the record on the disk says.
The model is kept in the record as it was when the hunt began, so that a hunt survives a change of its file.
"""

from __future__ import annotations

import secrets
from dataclasses import dataclass, replace
from datetime import datetime
from typing import TYPE_CHECKING, Final

from benchtui.content.cautions import derived
from benchtui.design.leaded import uses_over
from benchtui.errors import BenchError, JobError, RecordError
from benchtui.faults import hunt, learning, past
from benchtui.faults.events import (
    KINDS,
    HuntEvent,
    HuntStarted,
    RepairDone,
    TestAnswered,
    Withdrawn,
    from_data,
    kind_of,
    to_data,
)
from benchtui.faults.from_design import model_for
from benchtui.faults.model_text import model_text, read_model_text
from benchtui.faults.probing import Bench
from benchtui.faults.proposal import propose
from benchtui.faults.run_beside import drafts_beside, forbidden, glance, meant_for_power
from benchtui.faults.run_kept import kept_with
from benchtui.faults.standing_fault import trouble
from benchtui.faults.target import Target, target_of
from benchtui.faults.untried import refuse_trial
from benchtui.record.event import Draft, text_digest
from benchtui.record.of_design import refuse_unit_of_other
from benchtui.record.store import local_now

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from benchtui.content.cautions import Caution
    from benchtui.content.library import Library
    from benchtui.design.model import Design
    from benchtui.faults.deepen import Ranking
    from benchtui.faults.hunt import HuntState
    from benchtui.faults.model import FaultModel
    from benchtui.faults.views import Proposal
    from benchtui.record.event import Event
    from benchtui.record.store import Store

_LETTERS: Final = "ACDEFHJKMNPRTWXY34679"
"""Letters and digits of hunt names: none that looks like another."""


@dataclass(frozen=True, slots=True, kw_only=True)
class HuntSummary:
    """A hunt in a list."""

    job: str
    unit: str
    title: str
    started: str
    last: str


class Hunts:
    """The hunts of one record.

    Args:
        library: Designs and fault models.
        store: The record.
        clock: Gives the time of day with its offset.
        found_bad: What has to be written where a unit that was good to go shows to be bad, given its serial number and
            the reason; see `benchtui.jobs.run_units`.
        meter: Gives the id of the meter in use; empty for none.
    """

    def __init__(
        self,
        library: Library,
        store: Store,
        *,
        clock: Callable[[], datetime] = local_now,
        found_bad: Callable[[str, str], Sequence[Draft]] = lambda unit, why: (),
        meter: Callable[[], str] = lambda: "",
    ) -> None:
        self.library = library
        self.store = store
        self.clock = clock
        self.found_bad = found_bad
        self.meter = meter
        self._benches: dict[str, Bench] = {}

    def models(self, design_id: str) -> tuple[str, ...]:
        """Ids of the fault models that can be used on a design, its own before those for any."""
        entries = self.library.entries("fault-model")
        own = [entry.id for entry in entries if entry.design == design_id]
        return (*own, *(entry.id for entry in entries if entry.design in ("", "any")))

    def model(self, id: str) -> FaultModel:
        """A fault model as its file stands now.

        Raises:
            JobError: There is none of that id.
            ContentError: Its file has problems.
        """
        from benchtui.faults.reading import load_model

        known = {entry.id for entry in self.library.entries("fault-model")}
        if id not in known:
            raise JobError(f"there is no fault model {id!r}", hint=f"there are {', '.join(sorted(known)) or 'none'}")
        return load_model(self.library.path_of("fault-model", id))

    def start(
        self,
        design: Design,
        *,
        model: FaultModel,
        unit: str = "",
        scope: str,
        subject: str = "",
        control: str = "",
        symptom: str = "",
        words: str = "",
        conditions: str = "",
        signs: tuple[str, ...] = (),
        deadline_minutes: float | None = None,
        shows: float | None = None,
    ) -> HuntRun:
        """Open a hunt and write it down.

        Args:
            design: The design of the unit.
            model: The hand-written fault model, from `model`; the faults of the design's circuit are put in here.
            unit: Serial number of the unit.
            scope: unit, bank, control or kind.
            subject: Control, bank or kind.
            control: Of a bank or kind, the control that is worst; empty when nobody knows.
            symptom: Id of what is reported; empty leaves it open.
            words: What the player says, verbatim.
            conditions: When and where it shows.
            signs: Ids of what was noticed at once.
            deadline_minutes: Minutes to curtain.
            shows: Share of tries in which the trouble shows, as the player says; None where that is not known.

        Raises:
            BenchError: The design or the model knows nothing of the kind, or the unit is of another design.
            RecordError: It could not be written down.
        """
        refuse_unit_of_other(self.store, unit, design.id)
        target = target_of(design, scope=scope, subject=subject, control=control)
        model = model_for(model, design, target, bench=self.circuits(design))
        learnt = self.learnt(model, design.id)
        sampled = any(each.here or each.elsewhere for each in learnt)
        body = model_text(model)
        begun = HuntStarted(
            model=model.fault_model,
            revision=model.revision,
            digest=text_digest(body),
            design=design.id,
            scope=scope,
            subject=subject,
            title=f"Find the fault: {target.title}",
            symptom=symptom,
            words=words,
            conditions=conditions,
            signs=signs,
            deadline=deadline_minutes,
            target=target.to_data(),
            weights=learning.weights(learnt) if sampled else None,
            sample=learning.sample_words(learnt),
            shows=shows,
            locked=self.short_left(unit, design),
        )
        state = hunt.start(model, design, begun=begun, target=target)
        job = self._new_name()
        # What somebody looks for a fault on is not good to go (ISO 9001:2015 8.7.1).
        bad = self.found_bad(unit, f"{begun.title}: {words}" if words else f"Find the fault: {trouble(state)}")
        draft = Draft(kind=kind_of(begun), unit=unit, job=job, data=to_data(begun))
        beside, glances = drafts_beside(self, unit, job, before=None, after=state, event=begun)
        glances[job] = glance(state, job, unit)
        event = self.store.append_all([*bad, *beside, draft], texts=[body], glances=glances)[-1]
        return HuntRun(self, state, job=job, unit=unit, begun=datetime.fromisoformat(event.time))

    def resume(self, job: str, design: Design | None = None) -> HuntRun:
        """Take up a hunt where the record says it stands.

        Args:
            job: Its name.
            design: The design of the unit, for test points and wires; the hunt goes on without when None.

        Raises:
            JobError: There is no such hunt.
        """
        events = self.store.events(job=job)
        if not events or events[0].kind != "hunt-started":
            raise JobError(f"there is no fault finding {job!r} in the record")
        begun = from_data(events[0].kind, events[0].data)
        assert isinstance(begun, HuntStarted)
        try:
            model = read_model_text(self.store.text(begun.digest))
        except RecordError:
            model = self.model(begun.model)
        if design is None:
            design = self._design(begun.design)
        state = hunt.start(model, design, begun=begun, target=Target.from_data(begun.target))
        state = hunt.replay(state, tuple(from_data(event.kind, event.data) for event in _hunting(events[1:])))
        return HuntRun(self, state, job=job, unit=events[0].unit, begun=datetime.fromisoformat(events[0].time))

    def open_hunts(self, unit: str | None = None) -> tuple[HuntSummary, ...]:
        """Hunts that are not closed, the one touched last first."""
        return tuple(
            HuntSummary(job=row.job, unit=row.unit, title=row.title, started=row.first_time, last=row.last_time)
            for row in self.store.jobs(open_only=True, unit=unit)
            if row.first_kind == "hunt-started"
        )

    def short_left(self, unit: str, design: Design | None = None) -> bool:
        """Whether a hunt on a unit has left a short inside, and no later one has measured it away.

        Args:
            unit: Its serial number; nothing is known where it is empty.
            design: Its design; read from the library when None.
        """
        if not unit:
            return False
        return past.short_left(past.standing(self.store.events(unit=unit, kinds=past.KEPT), past.OF_SHORTS)) or any(
            self._is_locked(hunt.job, design) for hunt in self.open_hunts(unit)
        )

    def _is_locked(self, job: str, design: Design | None) -> bool:
        try:
            return bool(self.resume(job, design).state.locks)
        except JobError:  # an event that this version cannot read keeps no new hunt from beginning
            return False

    def learnt(self, model: FaultModel, design_id: str) -> tuple[learning.Learnt, ...]:
        """Weights of a model after the confirmed repairs of the record, since the last reset."""
        return learning.learn(model, past.confirmed(self._past()), design=design_id)

    def forget(self, design_id: str = "") -> None:
        """Reset what was learnt, of one design or of all. The repairs themselves stay in the record.

        Raises:
            RecordError: It could not be written down.
        """
        self.store.append(past.FORGOTTEN, data={"design": design_id})

    def _past(self, unit: str | None = None) -> Iterator[Event]:
        """Beginnings and ends of hunts that stand, and resets; of one unit or of all."""
        return past.standing(self.store.events(unit=unit, kinds=past.KEPT))

    def circuits(self, design: Design) -> Bench:
        """The circuits of a design, built once for all hunts of this sitting."""
        if design.digest not in self._benches:
            self._benches = {design.digest: Bench(design)}
        return self._benches[design.digest]

    def _design(self, id: str) -> Design | None:
        from benchtui.design import load_design

        known = {entry.id for entry in self.library.entries("design")}
        return load_design(self.library.path_of("design", id)) if id in known else None

    def _new_name(self) -> str:
        known = {row.job for row in self.store.jobs()}
        while True:
            name = "H" + "".join(secrets.choice(_LETTERS) for _ in range(5))
            if name not in known:
                return name


class HuntRun:
    """One hunt under way."""

    def __init__(self, hunts: Hunts, state: HuntState, *, job: str, unit: str, begun: datetime) -> None:
        self.hunts = hunts
        self.state = state
        self.job = job
        self.unit = unit
        self.begun = begun

    @property
    def elapsed(self) -> float:
        """Minutes since the hunt began, by the clock; only a hunt with a curtain time goes by the clock."""
        return self.state.elapsed if self.state.deadline is None else self.by_clock

    @property
    def by_clock(self) -> float:
        """Minutes since the hunt began, by the clock; a clock that was set back does not make up for those that passed.

        A curtain time counts from here: the model's own estimates are no time that has passed.
        """
        minutes = (self.hunts.clock() - self.begun).total_seconds() / 60.0
        return max(minutes, 0.0 if self.state.deadline is None else self.state.elapsed)

    def act(self, event: HuntEvent) -> HuntState:
        """Check an event, write it down, and fold it in.

        Raises:
            JobError: It does not fit, or another hunt on this unit has found a short in between; nothing was written.
            RecordError: It could not be written down; nothing has changed.
        """
        if isinstance(event, Withdrawn) and self.state.phase == "closed":
            raise JobError("this hunt is closed, and its end stands", hint="start a new one for the same trouble")
        if self._catch_up() and forbidden(self.state, event):
            raise JobError(
                "another hunt on this unit has found that a short may be inside, so nothing was kept",
                hint="pull the plug; this hunt goes on with the measurement",
            )
        refuse_trial(self.state, event)
        event = kept_with(self, event)
        after = hunt.advance(self.state, event)
        event = after.events[-1]
        if isinstance(event, TestAnswered):
            event = replace(event, power=meant_for_power(self.state, after, event))
            after = replace(after, events=(*after.events[:-1], event))
        beside, glances = drafts_beside(self.hunts, self.unit, self.job, before=self.state, after=after, event=event)
        drafts = [Draft(kind=kind_of(event), unit=self.unit, job=self.job, data=to_data(event))]
        if isinstance(event, RepairDone) and not event.before:
            known = self.state.layout.repair(event.repair)
            drafts.extend(self.hunts.found_bad(self.unit, f"repaired: {known.title if known else event.repair}"))
        glances[self.job] = glance(after, self.job, self.unit)
        self.hunts.store.append_all([*drafts, *beside], glances=glances)
        self.state = after
        return after

    def _catch_up(self) -> bool:
        """Fold in what was written under this hunt since it was taken up; whether there was anything."""
        written = _hunting(self.hunts.store.events(job=self.job))[len(self.state.events) :]
        self.state = hunt.replay(self.state, tuple(from_data(event.kind, event.data) for event in written))
        return bool(written)

    def begin_beside(self, which: str) -> HuntRun | None:
        """Open a hunt on a neighbour that does not work after a repair, so that it is an open item of the unit.

        Args:
            which: Id of the control.

        Returns:
            The hunt; None where the design has no such control or the model cannot be had, so that the close of this
            hunt is all that names it.

        Raises:
            RecordError: It could not be written down.
        """
        state = self.state
        if state.design is None:
            return None
        try:
            return self.hunts.start(
                state.design,
                model=self.hunts.model(state.started.model),
                unit=self.unit,
                scope="control",
                subject=which,
                words=f"found after a repair on {state.target.title}",
            )
        except RecordError:
            raise
        except BenchError:
            return None

    def undo(self) -> HuntState:
        """Take back the last event that stands. Raises JobError when there is none."""
        return self.act(Withdrawn())

    def cautions(self, proposal: Proposal) -> tuple[Caution, ...]:
        """The cautions that stand before a move, worst first; those of opening it included."""
        opens = proposal.opens
        uses = (*proposal.uses, *(opens.uses if opens else ()))
        hazards = (*proposal.hazards, *(opens.hazards if opens else ()))
        return derived(uses_over(self.state.design, uses), hazards, self.hunts.library.cautions())

    def propose(self, ranking: Ranking | None = None, *, move: str = "") -> Proposal:
        """The move to make now, or the view of another one on offer, as `benchtui.faults.proposal.propose` does."""
        return propose(self.state, ranking=ranking, elapsed=self.elapsed, move=move)


def _hunting(events: tuple[Event, ...]) -> tuple[Event, ...]:
    """Events of a hunt, without what other parts wrote under its name."""
    return tuple(event for event in events if event.kind in KINDS)
