"""The state of a running job, and the questions that can be asked of it. Nothing here changes anything."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Literal

from benchtui.jobs.events import NO, NOTHING_DONE, RULES
from benchtui.jobs.heated import too_often
from benchtui.jobs.past import is_over
from benchtui.jobs.steps import TO_DO, Status, StepState

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from benchtui.jobs.events import Suspended
    from benchtui.jobs.plan import Caution, Plan, PlanStep
    from benchtui.jobs.steps import Note

DefectStatus = Literal["found", "decided", "in rework", "reworked", "accepted"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Defect:
    """A fault of the unit that was written down in this job."""

    id: str
    text: str
    step: str = ""
    subject: str = ""
    status: DefectStatus = "found"
    disposition: str = ""
    reason: str = ""
    by: str = ""
    """Who decided so; nobody is named for rework, nor by older programs."""
    reopened: tuple[str, ...] = ()
    """Steps whose proof the rework made void."""

    @property
    def decision(self) -> str:
        """What was decided about it, by whom and why, in words; empty while nothing was."""
        if not self.disposition:
            return ""
        return f"{self.disposition}{f', by {self.by}' if self.by else ''}, because {self.reason}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Gone:
    """A step that a newer text of the procedure has no more, as it was written and as it stood."""

    step: PlanStep
    known: StepState
    revision: int
    """Revision that took it out."""

    @property
    def open(self) -> bool:
        """Something is left to decide: it had failed, or it was a test or hold point that was begun and not passed."""
        begun = self.known.status in (Status.BEGUN, Status.HELD, Status.REOPENED)
        failed = bool(self.known.failed) and self.known.status not in (Status.DONE, Status.NOT_APPLICABLE)
        return self.known.status is Status.FAILED or failed or (self.step.must and begun)

    @property
    def text(self) -> str:
        """How it stands, as an open item of its job."""
        return f"{self.known.status}, and taken out by revision {self.revision}: {self.step.text}"


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenItem:
    """Something that stands between a job and being complete."""

    kind: Literal["step", "test", "defect", "joint", "kit"]
    """A "test" is a step that can be neither left out nor signed away: a required test, or a hold point."""
    text: str
    not_back: str = ""
    """Tool that was counted out and not back in."""
    without: str = ""
    """Line of the preliminary page the work was begun without."""
    gone: str = ""
    """Key of the step, where a newer text took it out."""
    step: str = ""
    """Key of the step, where it is one."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Act:
    """One line of what was last done, for the screen shown after a break."""

    time: str
    kind: str
    step: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class JobState:
    """Everything that follows from the events of one job so far."""

    plan: Plan
    job: str
    unit: str = ""
    batch: str = ""
    caller: str = ""
    caller_step: str = ""
    rules: int = RULES
    """Rules its events are checked by; see `events.RULES`."""
    first_use: bool = False
    """It was the first one by this revision of a draft."""
    started: str = ""
    last: str = ""
    """Time of the last event."""
    steps: Mapping[str, StepState] = field(default_factory=dict)
    texts: tuple[Plan, ...] = ()
    """Texts of its procedure that it went by before this one, oldest first."""
    gone: Mapping[str, Gone] = field(default_factory=dict)
    """Steps that newer texts of the procedure took out, by key."""
    current: str = ""
    """Key of the step in focus; empty when nothing is left to do."""
    suspended: Suspended | None = None
    left: tuple[str, ...] = ()
    """What was said to be on, hot or loose at the bench, such as "power on", and not yet said to be so no longer."""
    over: frozenset[str] = frozenset()
    """Keys of steps whose hazard is over by word, such as a lead that was pulled, until the step is done once more."""
    identify: bool = False
    """The serial number has to be read off the unit before anything is marked."""
    conditions: Mapping[str, str] = field(default_factory=dict)
    """Line of the preliminary page to the answer given."""
    kit: Mapping[tuple[str, str], bool] = field(default_factory=dict)
    """(heading, item) to whether it was found."""
    back: frozenset[tuple[str, str]] = frozenset()
    """What of the kit has been counted back in."""
    excused: frozenset[str] = frozenset()
    """Conditions and items the work was started without, by decision."""
    short: Mapping[str, str] = field(default_factory=dict)
    """Each of them to the reason that was given."""
    acknowledged: frozenset[tuple[str, str]] = frozenset()
    """(digest of a caution, step id) read since the work was last taken up."""
    defects: Mapping[str, Defect] = field(default_factory=dict)
    joints: Mapping[str, tuple[int, int]] = field(default_factory=dict)
    """Joint to (times reworked, how often its part bears to be soldered; 0 where that is not known)."""
    notes: tuple[Note, ...] = ()
    places: Mapping[str, str] = field(default_factory=dict)
    """Name that was given to a step, to its key; a newer text may have taken the step out."""
    trail: tuple[Act, ...] = ()
    """The last few acts, oldest first."""
    handled: bool = False
    """A step of rework or service with a hand or tool on the unit was done in it, whatever became of its mark."""
    worked: bool = False
    """Something was done in it, though it may have been taken back since."""
    closed: str = ""
    """How the job was closed; empty while it is open."""
    decision: str = ""

    def __getitem__(self, key: str) -> StepState:
        return self.steps[key]

    @property
    def edition(self) -> str:
        """The revision it goes by, with how far that is proven: "revision 3, DRAFT, used for the first time"."""
        first = self.first_use and self.plan.proven == "draft" and not self.texts
        return f"{self.plan.edition}{', used for the first time' if first else ''}"

    @property
    def gone_through(self) -> bool:
        """It was closed, and something had been done in it."""
        return bool(self.closed) and not self.slipped

    @property
    def slipped(self) -> bool:
        """It was closed with nothing done in it: the unit is as if it had never been begun."""
        return self.closed == NOTHING_DONE

    def unmarked_but(self, called: frozenset[str] = frozenset()) -> bool:
        """No mark of work stands in it, and no hand was on the unit: it can have been begun by a slip.

        A mark may have been set and taken back, as of a strap put on or a bench laid out.

        A page marks the step in hand as begun by itself, and where a step was left out nothing was touched.

        Args:
            called: Jobs it has called that do not count.
        """
        return not (self.defects or self.joints or self.handled) and all(
            known.status not in (Status.DONE, Status.FAILED)
            and not (known.failed or known.fitted or known.returned)
            and known.called in ("", *called)
            for _, known in self.every()
        )

    def counts(self) -> Mapping[Status, int]:
        """How many steps stand at each mark."""
        found = dict.fromkeys(Status, 0)
        for step in self.steps.values():
            found[step.status] += 1
        return found

    @property
    def settled(self) -> int:
        """How many steps need no more work."""
        return sum(step.settled for step in self.steps.values())

    @property
    def finished(self) -> bool:
        """Nothing is left to do, though something may have been left out."""
        return all(step.settled for step in self.steps.values())

    def text(self, key: str) -> str:
        """The instruction of a step as it is in force for this job."""
        known = self.steps[key]
        # The day of the last event is as near to today as a state without a clock can come; each key moves it on.
        changed = known.redline and not is_over(known.until, unit=self.unit, today=self.last[: len("2031-03-31")])
        return known.redline if changed else self.plan.step(key).text

    def text_of(self, step: PlanStep) -> str:
        """The instruction of a step, also of one that was taken out of the plan."""
        return self.text(step.key) if self.plan.has(step.key) else step.text

    @property
    def done_last(self) -> str:
        """Key of the step that was marked done last, as far as the last acts tell; empty for none."""
        done = (act.step for act in reversed(self.trail) if act.kind == "step-done" and self.plan.has(act.step))
        return next(done, "")

    def kept_as(self, key: str) -> str:
        """The names a step is kept under; empty for none."""
        return ", ".join(name for name, place in self.places.items() if place == key)

    def step(self, key: str) -> PlanStep | None:
        """The step of that key, in the plan or taken out of it; None when there never was one."""
        if self.plan.has(key):
            return self.plan.step(key)
        return self.gone[key].step if key in self.gone else None

    def known(self, key: str) -> StepState | None:
        """What is known of the step of that key, in the plan or taken out of it; None when there never was one."""
        if key in self.steps:
            return self.steps[key]
        return self.gone[key].known if key in self.gone else None

    def every(self) -> Iterator[tuple[PlanStep, StepState]]:
        """Every step with what is known of it: those of the plan in order, and then those taken out of it."""
        yield from ((step, self.steps[step.key]) for step in self.plan.steps)
        yield from ((gone.step, gone.known) for gone in self.gone.values())

    def defect_over(self, defect: Defect) -> bool:
        """Whether a defect needs nothing more: accepted, or reworked and what the rework made void done again."""
        if defect.status != "reworked":
            return defect.status == "accepted"
        # A step that was taken out of the plan since stands for itself, see `Gone`.
        return all(self.steps[key].settled for key in defect.reopened if key in self.steps)

    # -- before the work -------------------------------------------------------------------------------------------

    @property
    def not_begun(self) -> bool:
        """No step was begun or left out: what comes before the work is still to be gone through."""
        return not any(known.begun or known.reason for known in self.steps.values())

    @property
    def gate(self) -> tuple[str, ...]:
        """Conditions of the preliminary page that have no answer yet; no step can be marked until it is empty."""
        return tuple(line for line in self.plan.before.conditions if line not in self.conditions)

    @property
    def shortage(self) -> tuple[str, ...]:
        """Items looked for and not found, and not yet excused by a decision."""
        return tuple(item for (_, item), found in self.kit.items() if not found and item not in self.excused)

    @property
    def not_so(self) -> tuple[str, ...]:
        """Conditions that were answered with no, and not yet excused by a decision."""
        answered = self.conditions.items()
        return tuple(line for line, answer in answered if answer == NO and line not in self.excused)

    @property
    def not_back(self) -> tuple[str, ...]:
        """Tools counted out and not yet counted back in."""
        out = ((heading, item) for (heading, item), found in self.kit.items() if found and heading == "tools")
        return tuple(item for heading, item in out if (heading, item) not in self.back)

    # -- cautions --------------------------------------------------------------------------------------------------

    def unread(self, key: str) -> tuple[Caution, ...]:
        """Cautions that have to be acknowledged before this step opens.

        A hazard to a person is acknowledged once in a sitting; DANGER at every step of the procedure that brings it.
        """
        step = self.plan.step(key)
        read = {digest for digest, _ in self.acknowledged}
        return tuple(
            caution
            for caution in step.cautions
            if caution.person
            and (
                caution.digest not in read
                or (caution.signal == "DANGER" and (caution.digest, step.step_id) not in self.acknowledged)
            )
        )

    @property
    def standing(self) -> tuple[str, ...]:
        """Ids of the hazards that stand now: begun by a step and not yet ended by one."""
        hazards: dict[str, bool] = {}
        for step in self.plan.steps:
            status = self.steps[step.key].status
            # A step that is open again was done once: what it has switched on is on until a later step ends it.
            if (
                step.begins
                and step.key not in self.over
                and status in (Status.BEGUN, Status.DONE, Status.FAILED, Status.HELD, Status.REOPENED)
            ):
                hazards[step.begins] = True
            if step.ends and status is Status.DONE:
                hazards.pop(step.ends, None)
        return tuple(hazards)

    # -- order -----------------------------------------------------------------------------------------------------

    def passable(self, key: str) -> bool:
        """Whether later steps may go past this one as it stands.

        A failed step may be passed once its defect is written down, unless it is a hold point or a required test.
        """
        state = self.steps[key]
        if state.settled:
            return True
        return state.status is Status.FAILED and self.written(key) and not self.plan.step(key).must

    def written(self, key: str) -> bool:
        """Whether a defect of this step is written down."""
        return any(defect.step == key for defect in self.defects.values())

    def blocked(self, key: str) -> str:
        """Why this step cannot be worked on now, as a sentence; empty when it can."""
        if self.closed:
            return "this job is closed"
        if self.suspended is not None:
            return "this job is suspended: take it up again first"
        if self.identify:
            return "read the serial number off the unit first: other units are being worked on"
        if self.gate:
            return f"answer the conditions first: {self.gate[0]}"
        if self.shortage:
            return f"something is missing: {self.shortage[0]}; decide to start without it, or fetch it"
        if self.not_so and self.rules:
            return f"answered with no: {self.not_so[0]}; put it right and answer again, or decide to start all the same"
        waiting = self.comes_first(key)
        if waiting is not None:
            hold = "the hold point " if waiting.hold else ""
            return f"step {waiting.number} comes first: {hold}{self.text(waiting.key)}"
        return ""

    def comes_first(self, key: str) -> PlanStep | None:
        """The earliest step that has to be settled before this one by the order rule of the plan."""
        here = self.plan.step(key)
        for step in self.plan.steps[: self.plan.places[key]]:
            binding = step.hold or (
                self.plan.order == "strict" or (self.plan.order == "free" and step.section != here.section)
            )
            if binding and not self.passable(step.key):
                return step
        return None

    def next_to_do(self, after: str = "") -> str:
        """Key of the next step waiting for hands, from the one after `after` round to the start; empty when none."""
        start = self.plan.places[after] + 1 if after else 0
        ring = (*self.plan.steps[start:], *self.plan.steps[:start])
        return next((step.key for step in ring if self.steps[step.key].status in TO_DO), "")

    # -- what is open ----------------------------------------------------------------------------------------------

    def open_items(self) -> tuple[str, ...]:
        """Everything that stands between this job and being complete, one line each."""
        return tuple(item.text for item in self.open_list())

    def open_list(self) -> Iterator[OpenItem]:
        """The same with the kind of each: a step or test, a defect, a joint, or the kit and conditions of the start."""
        for step in self.plan.steps:
            state = self.steps[step.key]
            if state.status in (Status.DONE, Status.NOT_APPLICABLE):
                continue
            reason = f" ({state.reason})" if state.reason else ""
            text = f"step {step.number} {state.status}{reason}: {self.text(step.key)}"
            if state.failed and state.status is not Status.FAILED:
                # Whoever signs that it stays as it is signs for what was seen.
                text += f"; it had failed: {state.failed}"
            yield OpenItem(kind="test" if step.must else "step", text=text, step=step.key)
        for key, gone in self.gone.items():
            if gone.open:
                yield OpenItem(kind="test" if gone.step.must else "step", text=gone.text, gone=key, step=key)
        for defect in self.defects.values():
            if not self.defect_over(defect):
                yield OpenItem(kind="defect", text=f"defect {defect.id} {defect.status}: {defect.text}")
        for joint, (times, attempts) in self.joints.items():
            if text := too_often(joint, times, attempts):
                yield OpenItem(kind="joint", text=text)
        for item in self.not_back:
            yield OpenItem(kind="kit", text=f"not counted back in: {item}", not_back=item)
        for item in self.excused:
            yield OpenItem(kind="kit", text=f"started without: {item}", without=item)
