"""Plans of the content as its files stand now, each laid out once as long as nothing it is made of changes."""

from __future__ import annotations

import hashlib
from contextlib import suppress
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from benchtui.errors import BenchError, JobError, did_you_mean
from benchtui.jobs.expand import expand, expand_checklist
from benchtui.jobs.plan import CALL, HOLD, TEST

if TYPE_CHECKING:
    from collections.abc import Hashable

    from benchtui.content.library import Library
    from benchtui.design.model import Design
    from benchtui.jobs.applies import UnitFacts
    from benchtui.jobs.plan import Plan, PlanStep


class Plans:
    """Lays procedures and checklists out over designs.

    Args:
        library: Procedures, checklists, cautions and designs.
    """

    def __init__(self, library: Library) -> None:
        self.library = library
        self._made: dict[Hashable, Any] = {}

    def plan(self, id: str, *, design_id: str = "", subject: str = "", unit: UnitFacts | None = None) -> Plan:
        """The plan of a procedure or checklist.

        Args:
            id: Id of the procedure or checklist.
            design_id: Design to lay it out over, for one that is made for any.
            subject: The one control, bank or connector it is about, for a procedure about one.
            unit: What is fixed about the unit, to leave out steps that are not for it.

        Raises:
            JobError: There is no such procedure or checklist.
            ContentError: Its file, or that of its design, has problems.
        """
        kinds = {entry.id: entry.kind for entry in self.library.entries() if entry.kind in ("procedure", "checklist")}
        if id not in kinds:
            raise JobError(f"there is no procedure or checklist {id!r}", hint=did_you_mean(id, kinds))
        kind = kinds[id]
        content = self.library.checklist(id) if kind == "checklist" else self.library.procedure(id)
        design = self.design(design_id if content.design in ("", "any") else content.design)
        cautions = self.library.cautions()
        digest = hashlib.sha256(self.library.path_of(kind, id).read_bytes()).hexdigest()
        for_some = any(getattr(step, "applies", None) for step in getattr(content, "steps", ()))
        facts = unit if for_some else None
        # Everything the plan is made of; texts stand for files, so that an edited file is laid out anew.
        key = (kind, digest, design.digest if design else "", subject, facts, tuple(cautions.values()))
        if key not in self._made:
            self._made[key] = (
                expand_checklist(self.library.checklist(id), design, cautions, digest=digest, subject=subject)
                if kind == "checklist"
                else expand(self.library.procedure(id), design, cautions, digest=digest, subject=subject, unit=facts)
            )
        return self._named_calls(self._made[key])

    def once_a_sitting(self) -> frozenset[str]:
        """Ids of the procedures that are about the bench and not about a unit."""
        found = []
        for entry in self.library.entries("procedure") if self.library else ():
            with suppress(BenchError):  # a file with mistakes, or gone by now, is said so where it is opened
                if self.library.procedure(entry.id).once == "sitting":
                    found.append(entry.id)
        return frozenset(found)

    def _named_calls(self, plan: Plan) -> Plan:
        """The plan with the title and minutes of each procedure that a step calls in the place of its id.

        A call of what proves something is left out no more than a test of the plan itself.
        """
        if not any(step.act == "call" for step in plan.steps):
            return plan
        titles = {entry.id: entry.title for entry in self.library.entries("procedure")}

        def named(step: PlanStep) -> PlanStep:
            text = called_text(titles[step.call], step.minutes) if step.call in titles else step.text
            return replace(step, text=text, required=step.required or proves(self.library, step.call))

        return replace(plan, steps=tuple(named(step) if step.act == "call" else step for step in plan.steps))

    def design(self, id: str) -> Design | None:
        """A design, read anew only when its file was edited; None where a text is about none.

        Raises:
            ContentError: Its file has problems, or there is none.
        """
        if id in ("", "any"):
            return None
        from benchtui.design import load_design

        path = self.library.path_of("design", id)
        status = path.stat()
        key = (path, status.st_mtime_ns, status.st_size)
        if key not in self._made:
            self._made[key] = load_design(path)
        design: Design = self._made[key]
        return design


def proves(library: Library, id: str, *, within: frozenset[str] = frozenset()) -> bool:
    """Whether a procedure has a hold point or a required test of the unit, itself or in one that it calls.

    Args:
        library: Procedures by id.
        id: Its id; one that is not there, or cannot be read, is no reason to stop the work.
        within: Ids of those it was called from.
    """
    try:
        procedure = library.procedure(id)
    except BenchError:
        return False
    if procedure.once == "sitting":  # it is about the bench
        return False
    calls = {step.call for step in procedure.steps if step.call} - within - {id}
    return any(step.hold or step.required for step in procedure.steps) or any(
        proves(library, call, within=within | {id}) for call in calls
    )


def duty(library: Library, id: str, step_id: str) -> str:
    """Why a step of a procedure, as its text stands now, may not be left out, as `PlanStep.duty`; empty where it may.

    Args:
        library: Procedures by id.
        id: Id of the procedure; one that is not there, or cannot be read, says nothing.
        step_id: Id of the step in it.
    """
    try:
        steps = library.procedure(id).steps
    except BenchError:
        return ""
    for step in steps:
        if step.id == step_id:
            calls = bool(step.call) and proves(library, step.call)
            return HOLD if step.hold else CALL if calls else TEST if step.required else ""
    return ""


def called_text(title: str, minutes: float) -> str:
    """What a step says that calls a procedure: its title, and how long it takes."""
    if not minutes:
        return f"Go to: {title}."
    hours, rest = divmod(round(minutes), 60)
    parts = (f"{hours} h" if hours else "", f"{rest} min" if rest or not hours else "")
    return f"Go to: {title}. It takes about {' '.join(part for part in parts if part)}."
