"""Laying a procedure or checklist out over a design: one plan step for each subject, every text filled in.

Everything that depends on the design is worked out here, once: the repeats, the texts, the limits of each reading and
the wires of each control. What comes out needs neither the design nor the files any more.
"""

from __future__ import annotations

import re
from dataclasses import replace
from typing import TYPE_CHECKING, Final

from benchtui.content.cautions import derived
from benchtui.content.rules import apart
from benchtui.design.leaded import uses_over
from benchtui.errors import DesignError, JobError
from benchtui.jobs.applies import UnitFacts, not_for
from benchtui.jobs.parts import AT_LARGE, BOARD
from benchtui.jobs.plan import Before, Choice, Hidden, Plan, PlanStep
from benchtui.jobs.plan_parts import caution_of as caution_of
from benchtui.jobs.plan_parts import limits_of, own_limits, subject_of, wire_of

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from benchtui.content.cautions import Caution as ContentCaution
    from benchtui.content.checklist import Checklist, Item
    from benchtui.content.procedure import Procedure, Reading, Step
    from benchtui.design.model import Design
    from benchtui.design.model import Subject as DesignSubject
    from benchtui.jobs.plan import Limits, Wire

STATIC: Final = "static-sensitive-part"
"""Use of a step that handles loose parts which static can kill."""

BILL: Final = "bill"
"""Word under `parts` that stands for the design's own bill."""

_WIRES: Final = re.compile(r"\{wire|\{lug|\bwires?\b|\bas listed\b", re.I)
"""Words of a text that speak of the wires of its subject, so that the wiring list stands beside the step."""

_CUT: Final = re.compile(r"\bcut\b", re.I)
"""Word of a text that asks for the length of each wire beside its ends."""

_CHOSEN: Final = "the "
"""Begins a rule for the one subject chosen when the job starts: "the control", "the fader", "the bank"."""


def expand(
    procedure: Procedure,
    design: Design | None,
    cautions: Mapping[str, ContentCaution],
    *,
    digest: str = "",
    subject: str = "",
    unit: UnitFacts | None = None,
) -> Plan:
    """Lay a procedure out over a design.

    Args:
        procedure: What is to be done.
        design: What it is done to; None for a procedure that needs none.
        cautions: Every caution by id.
        digest: SHA-256 of the procedure's file.
        subject: Id of the control, bank, connector or bus that "the control" and the like stand for.
        unit: What is fixed about the unit, to leave out steps that are not for it.

    Raises:
        JobError: A step needs a design, or a subject, and none was chosen, or the subject is of another kind.
        DesignError: The design cannot answer: no such subject, rule, test point or placeholder.
    """
    layout = _Layout(design, cautions, subject)
    layout.refuse_another_kind(procedure)
    steps: list[PlanStep] = []
    hidden: list[Hidden] = []
    section = ""
    for step in procedure.steps:
        section = step.section or section
        because = not_for(step.applies, unit or UnitFacts()) if step.applies else ""
        if because:
            hidden.append(Hidden(step_id=step.id, text=step.text, because=because))
        else:
            steps += layout.steps_of(step, section)
    return layout.finish(
        Plan(
            kind="procedure",
            id=procedure.id,
            title=procedure.title,
            revision=procedure.revision,
            digest=digest,
            proven=procedure.proven,
            subject=subject,
            procedure_kind=procedure.kind,
            purpose=layout.fill(procedure.purpose, None),
            order=procedure.order,
            minutes=procedure.minutes,
            touched=layout.touched(procedure),
            put_back=procedure.put_back,
            before=layout.before(procedure),
            after=tuple(layout.fill(line, None) for line in procedure.after),
            hidden=tuple(hidden),
        ),
        steps,
    )


def expand_checklist(
    checklist: Checklist,
    design: Design | None,
    cautions: Mapping[str, ContentCaution],
    *,
    digest: str = "",
    subject: str = "",
) -> Plan:
    """Lay a checklist out over a design; arguments and errors as for `expand`."""
    layout = _Layout(design, cautions, subject)
    # The aim stands over the lines as the heading of a section does, so that it is in sight at each of them.
    steps = [step for item in checklist.items for step in layout.steps_of_item(item, checklist.aim)]
    return layout.finish(
        Plan(
            kind="checklist",
            id=checklist.id,
            title=checklist.title,
            revision=checklist.revision,
            digest=digest,
            proven=checklist.proven,
            subject=subject,
            procedure_kind=checklist.style,
            purpose=layout.fill(checklist.when, None),
            order="strict" if checklist.style == "read-do" else "any",
            minutes=checklist.minutes,
        ),
        steps,
    )


class _Layout:
    """One laying-out: the design, and what was asked of it already."""

    def __init__(self, design: Design | None, cautions: Mapping[str, ContentCaution], chosen: str) -> None:
        self.design = design
        self.cautions = cautions
        self.chosen = chosen
        if design is not None and chosen:
            design.subject(chosen)  # a control of another design is a mistake, and not a procedure without steps
        self._facts: dict[str, Mapping[str, str]] = {}
        self._neighbours: dict[str, tuple[str, ...]] = {}

    def finish(self, plan: Plan, steps: list[PlanStep]) -> Plan:
        """The plan with its steps numbered and its design named."""
        plan = replace(plan, steps=tuple(replace(step, number=n) for n, step in enumerate(steps, start=1)))
        if self.design is None:
            return plan
        return replace(
            plan,
            design_id=self.design.id,
            design_title=self.design.title,
            design_revision=str(self.design.revision),
            design_digest=self.design.digest,
        )

    def refuse_another_kind(self, procedure: Procedure) -> None:
        """A procedure for lamps is not laid out for a fader: what is left of it would look like a short procedure.

        Raises:
            JobError: The chosen subject is of no kind that the procedure is about.
        """
        rules = dict.fromkeys(step.for_ for step in procedure.steps if step.for_.startswith(_CHOSEN))
        if self.design is None or not self.chosen or not rules:
            return
        kind = self.design.subject(self.chosen).kind
        if kind in procedure.about if procedure.about else any(self._subjects(rule, "") for rule in rules):
            return
        wanted: tuple[str, ...] = procedure.about or tuple(rule.removeprefix(_CHOSEN) for rule in rules)
        raise JobError(
            f"{procedure.title}: {self.chosen} is of the kind {kind}, and this is about one of: {', '.join(wanted)}",
            hint="choose another subject, or another procedure",
        )

    # -- steps -----------------------------------------------------------------------------------------------------

    def steps_of(self, step: Step, section: str) -> Iterator[PlanStep]:
        """The plan steps of one step, one for each subject."""
        subjects, uses = self._subjects(step.for_, step.id), uses_over(self.design, step.uses)
        fits = self._fits(step)
        if step.fits.startswith("each ") and not fits:
            return  # the design has nothing of that kind, so there is no bag of it
        for place, subject in enumerate(subjects, start=1):
            limits = self._limits(step.reading, subject) if step.reading else None
            standing = tuple(id for id in (step.begins, step.ends) if id)
            found = derived(uses, (*step.hazards, *standing), self.cautions)
            yield PlanStep(
                key=_key(step.id, subject),
                step_id=step.id,
                number=0,
                act=step.act,
                section=section,
                text=self.fill(step.text, subject),
                subject=subject_of(subject),
                brief=self.fill(step.brief, subject),
                detail=tuple(self.fill(line, subject) for line in step.detail),
                accept=self.fill(step.accept, subject),
                cautions=tuple(map(caution_of, found)),
                limits=limits,
                choices=tuple(Choice(text=self.fill(c.text, subject), verdict=c.verdict) for c in step.choices),
                seconds=step.time.value if step.time else 0.0,
                hold=step.hold,
                required=step.required,
                witness=step.witness,
                minutes=step.minutes,
                wires=self._wires(step, subject),
                begins=step.begins,
                ends=step.ends,
                source=step.source,
                call=step.call,
                why=self.fill(step.why, subject),
                repeat=(place, len(subjects)),
                uses=uses,
                twice=step.twice,
                apart=apart(step.twice, limits.kind) if step.twice and limits else 0.0,
                tries=step.tries,
                stop=step.stop,
                no_break=step.no_break,
                trace="text" if step.note else step.trace if fits or not step.fits else "",
                part=self.fill(step.note, subject) or step.part,
                fits=fits,
                voids=step.voids,
                loose=step.loose,
                about=step.about,
                touches=self._touches(subject.id if subject else step.reading.subject if step.reading else ""),
                static=STATIC in step.uses,
            )

    def steps_of_item(self, item: Item, aim: str) -> Iterator[PlanStep]:
        """The plan steps of one line of a checklist."""
        subjects, uses = self._subjects(item.for_, item.id), uses_over(self.design, item.uses)
        for place, subject in enumerate(subjects, start=1):
            yield PlanStep(
                key=_key(item.id, subject),
                step_id=item.id,
                number=0,
                act="observe",
                section=self.fill(aim, None),
                text=self.fill(item.text, subject),
                subject=subject_of(subject),
                response=self.fill(item.response, subject),
                cautions=tuple(map(caution_of, derived(uses, item.hazards, self.cautions))),
                source=item.source,
                critical=item.critical,
                repeat=(place, len(subjects)),
                uses=uses,
                touches=self._touches(subject.id if subject else ""),
                static=STATIC in item.uses,
            )

    def before(self, procedure: Procedure) -> Before:
        """The preliminary page, with the design's own bill in the place of `bill`."""
        page = procedure.before
        return Before(
            conditions=tuple(self.fill(line, None) for line in page.conditions),
            tools=tuple(self.fill(line, None) for line in page.tools),
            parts=tuple(part for line in page.parts for part in self._parts(line)),
            materials=tuple(self.fill(line, None) for line in page.materials),
        )

    def _parts(self, line: str) -> tuple[str, ...]:
        if line != BILL or self.design is None:
            return (self.fill(line, None),)
        from benchtui.design.bill import bill_lines

        return tuple(bill_lines(self.design))

    # -- what the design answers -----------------------------------------------------------------------------------

    def _subjects(self, rule: str, step: str) -> tuple[DesignSubject | None, ...]:
        if not rule:
            return (None,)
        if self.design is None:
            raise JobError(f"step {step!r} is done {rule}, so choose a design first")
        if not rule.startswith(_CHOSEN):
            return tuple(self.design.subjects(rule))
        if not self.chosen:
            raise JobError(
                f"this is about one {rule.removeprefix(_CHOSEN)}: choose which", hint="choose it when the job starts"
            )
        kin = {self.chosen}
        if rule in ("the bank", "the bus", "the connector"):
            kin.update(self._touches(self.chosen))
        return tuple(found for found in self._all(rule.removeprefix(_CHOSEN)) if found.id in kin)

    def _fits(self, step: Step) -> tuple[str, ...]:
        """Ids of where the parts of a traced step go; none where the step does not say, or the design has none."""
        if not step.fits or step.fits in AT_LARGE | BOARD:
            return (step.fits,) if step.fits else ()
        if not step.fits.startswith(_CHOSEN):
            return tuple(subject.id for subject in self._subjects(step.fits, step.id) if subject is not None)
        # "the multiplexer" is the one that the chosen control runs through, or the only one. Where neither tells which
        # it is, no place is asked for, since a wrong one would stand in the record.
        found = [subject.id for subject in self._all(step.fits.removeprefix(_CHOSEN))] if self.design else []
        if self.chosen and len(found) > 1:
            found = [id for id in found if id in {self.chosen, *self._touches(self.chosen)}]
        return tuple(found) if len(found) == 1 else ()

    def _all(self, kind: str) -> tuple[DesignSubject, ...]:
        """Every subject of a kind; none where the design has no such thing."""
        assert self.design is not None
        try:
            return tuple(self.design.subjects(f"each {kind}"))
        except DesignError:
            return ()

    def fill(self, text: str, subject: DesignSubject | None) -> str:
        """A text with its placeholders filled.

        Raises:
            DesignError: There is no such placeholder, or it says nothing about this subject.
        """
        if "{" not in text and "}" not in text:
            return text
        if self.design is None:
            raise JobError("this is laid out over a design, so choose one first")
        from benchtui.design.facts import facts, fill

        where = subject.id if subject else ""
        if where not in self._facts:
            self._facts[where] = facts(self.design, subject)
        filled: str = fill(text, self._facts[where])
        return filled

    def _limits(self, reading: Reading, subject: DesignSubject | None) -> Limits:
        if reading.quantity:
            return own_limits(reading)
        if self.design is None:
            raise JobError(f"the reading {reading.point!r} follows from a design, so choose one first")
        from benchtui.design.testpoints import expected

        about = reading.subject or (subject.id if subject else None)
        found = expected(self.design, reading.point, about, position=reading.position or None)
        return limits_of(found)

    def _wires(self, step: Step, subject: DesignSubject | None) -> tuple[Wire, ...]:
        """The wires of a step: those of its subject, where its texts speak of wires or lugs."""
        if self.design is None or subject is None or not any(map(_WIRES.search, step.texts)):
            return ()
        from benchtui.design.wiring import wires, wires_at

        try:
            single = any(control.id == subject.id for control in self.design.controls)
            runs = (wires_at if single else wires)(self.design, subject.id)
        except DesignError:
            return ()  # a multiplexer has no wires of its own
        cut = any(map(_CUT.search, step.texts))
        return tuple(wire_of(run, with_length=cut) for run in runs)

    def _touches(self, subject: str) -> tuple[str, ...]:
        """A subject and what it runs through: a control and its bank, plug and feeds, a connector and its controls."""
        if not subject or self.design is None:
            return ()
        from benchtui.design.reach import neighbours

        if subject not in self._neighbours:
            self._neighbours[subject] = neighbours(self.design, subject)
        return self._neighbours[subject]

    def touched(self, procedure: Procedure) -> tuple[str, ...]:
        """Ids of what the work of a procedure touches, where it says so itself."""
        if not procedure.touches:
            return ()
        from benchtui.design.reach import reached

        return tuple(reached(self.design, procedure.touches, self.chosen))


def _key(step: str, subject: DesignSubject | None) -> str:
    return f"{step}@{subject.id}" if subject else step
