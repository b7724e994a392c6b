"""What is decided of a unit by name: what may stay as it is, and what two benches disagree on."""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchtui.errors import JobError
from benchtui.jobs.disagree import check_one_unit
from benchtui.jobs.missing import lasting_lines
from benchtui.jobs.moves import needed
from benchtui.jobs.unit_events import ConcessionGiven, ConflictDecided, DecisionWithdrawn, UnitMade, UnitStateSet
from benchtui.record.event import Draft

if TYPE_CHECKING:
    from collections.abc import Container

    from benchtui.jobs.run_units import Units
    from benchtui.record.event import Event
    from benchtui.record.store import Store


def may_concede(units: Units, unit: str) -> tuple[str, ...]:
    """Lines of what is missing that may be signed to stay as they are: what can hardly be made good."""
    view = units.view(unit)
    return tuple(line for line in lasting_lines(view, units.needs(view.design)) if line not in view.conceded)


def concede(units: Units, unit: str, item: str, *, reason: str, by: str) -> Event:
    """Sign that something missing stays as it is; it stands on the unit for life (ISO 9001:2015 8.7.1 d).

    Args:
        units: The units of the record.
        unit: Serial number.
        item: The line, as `missing` gives it.
        reason: Why that is right.
        by: Who signs.

    Raises:
        JobError: It is not open, or has to be made good; or a reason or a name is missing.
    """
    if item not in may_concede(units, unit):
        raise JobError(f"this cannot be signed to stay as it is: {item}", hint="make it good")
    needed(reason, "a reason", "say why it can stay as it is")
    needed(by, "a name", "type who signs")
    signed = ConcessionGiven(item=item, reason=reason.strip(), by=by.strip())
    return units.store.append(signed.KIND, unit=unit, data=signed.to_data())


def decide(units: Units, unit: str, conflict: str, *, reason: str, by: str) -> Event:
    """Decide what two benches disagree on; the reason stands on the unit for life.

    A unit that only one of them had scrapped is held by it: from there it is scrapped, or goes back into work.

    Args:
        units: The units of the record.
        unit: Serial number.
        conflict: Id of the event that did not fit, as in `UnitView.conflicts`.
        reason: What was found out, and why the work may go on.
        by: Who decides.

    Raises:
        JobError: There is no such conflict, or it was decided already; or a reason or a name is missing; or two
            units have one number, which no decision mends: the message says what to do.
    """
    view = units.view(unit)
    found = next((each for each in view.conflicts if each.id == conflict), None)
    if found is None:
        raise JobError(f"{unit} has no conflict {conflict!r} to decide", hint="its page names each of them")
    needed(reason, "a reason", "say what was found out, and why the work may go on")
    needed(by, "a name", "type who decides")
    if found.kind == UnitMade.KIND:
        check_one_unit(unit, reason)
    decided = ConflictDecided(conflict=conflict, reason=reason.strip(), by=by.strip(), about=found.message)
    drafts = [Draft(kind=decided.KIND, unit=unit, job=found.job, data=decided.to_data())]
    if found.kind == UnitStateSet.KIND and view.state == "scrapped":
        held = UnitStateSet(state="held", reason=f"decided: {reason.strip()}", by=by.strip(), decided=conflict)
        drafts.append(Draft(kind=held.KIND, unit=unit, data=held.to_data()))
    return units.store.append_all(drafts)[0]


def withdraw(units: Units, unit: str, decision: str, *, reason: str, by: str) -> Event:
    """Withdraw a decision: what it was about is to be decided again, and the decision stays to be seen.

    Args:
        units: The units of the record.
        unit: Serial number.
        decision: Id of the decision, as in `UnitView.decided`, or of the conflict it was about.
        reason: Why it was wrong.
        by: Who withdraws it.

    Raises:
        JobError: There is no such decision, or it was withdrawn already; or a reason or a name is missing.
    """
    view = units.view(unit)
    decision = _decision_on(units.store, unit, decision, view.withdrawn) or decision
    if decision not in view.decided:
        raise JobError(
            f"{unit} has no decision {decision!r}", hint="give the number of the decision, or of what it was about"
        )
    if decision in view.withdrawn:
        raise JobError(f"this decision was withdrawn already: {view.withdrawn[decision]}")
    needed(reason, "a reason", "say why it is not so")
    needed(by, "a name", "type who withdraws it")
    made = next(each for each in units.store.events(unit=unit, kinds=[ConflictDecided.KIND]) if each.id == decision)
    withdrawn = DecisionWithdrawn(
        decision=decision,
        conflict=str(made.data.get("conflict", "")),
        reason=reason.strip(),
        by=by.strip(),
        about=view.decided[decision],
    )
    draft = Draft(kind=withdrawn.KIND, unit=unit, job=made.job, data=withdrawn.to_data())
    # A unit that was good to go by this decision is so no more (ISO 9001:2015 8.7.1).
    return units.store.append_all([*units.found_bad(unit, "a decision was withdrawn"), draft])[-1]


def _decision_on(store: Store, unit: str, conflict: str, withdrawn: Container[str]) -> str:
    """Id of the last decision on a conflict that was not withdrawn; empty when there is none."""
    made = store.events(unit=unit, kinds=[ConflictDecided.KIND])
    found = [each.id for each in made if each.data.get("conflict") == conflict and each.id not in withdrawn]
    return found[-1] if found else ""
