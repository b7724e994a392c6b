"""From a fault model and a target to the numbers of a hunt: what bears on this symptom of this control."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from benchtui.errors import BenchError
from benchtui.faults.proofs import proof_minutes
from benchtui.faults.table import Cure, Look, Place, Table, clamp
from benchtui.faults.words import likelihood

if TYPE_CHECKING:
    from collections.abc import Collection, Mapping, Sequence

    from benchtui.faults.model import Fault, FaultModel, Outcome, Repair, Sign, Symptom, Test, Workaround
    from benchtui.faults.target import Target

UNKNOWN = "unknown"
"""Id of the cause that no model lists; always a candidate, cured by nothing but the work-around."""

NO_WORKAROUND = 480.0
"""Minutes charged for giving up when the model has no work-around that fits: a working day. Our own estimate."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Layout:
    """A model cut down to one target, with its numbers; indices agree with those of the table.

    Attributes:
        target: What the hunt is about.
        faults: The faults that bear on it. The table has one more, the unknown cause, at the end.
        tests: The tests that fit and say something.
        repairs: The repairs that can cure one of the faults.
        workaround: The cheapest work-around, loss included; None when there is none.
        table: The numbers.
        remedies: For each fault the repair that would be chosen: the surest, then the shortest, then the first. Faults
            that no repair cures are not among them.
    """

    target: Target
    faults: tuple[Fault, ...]
    tests: tuple[Test, ...]
    repairs: tuple[Repair, ...]
    workaround: Workaround | None
    table: Table
    remedies: Mapping[str, str]

    def test_index(self, id: str) -> int:
        """Index of a test. Raises BenchError when it is not part of this hunt."""
        return _index([test.id for test in self.tests], id, "test")

    def repair_index(self, id: str) -> int:
        """Index of a repair. Raises BenchError when it is not part of this hunt."""
        return _index([repair.id for repair in self.repairs], id, "repair")

    def test(self, id: str) -> Test | None:
        """A test by its id; None when it is not part of this hunt."""
        return next((each for each in self.tests if each.id == id), None)

    def outcome(self, test: str, id: str) -> Outcome | None:
        """An answer to a test by their ids; None for "cannot tell", and for a test that is not part of this hunt."""
        own = self.test(test)
        return next((each for each in own.outcomes if each.id == id), None) if own else None

    def repair(self, id: str) -> Repair | None:
        """A repair by its id; None when it is not part of this hunt."""
        return next((each for each in self.repairs if each.id == id), None)


def lay_out(
    model: FaultModel,
    target: Target,
    *,
    symptom: Symptom | None = None,
    weights: Mapping[str, float] | None = None,
    always: Sequence[str] = (),
    signs: Sequence[str] = (),
) -> Layout:
    """Pick what bears on a target and turn it into numbers.

    Args:
        model: The fault model.
        target: What the hunt is about.
        symptom: What the player reports; None leaves the weights as they stand.
        weights: Weights by fault id that replace the model's own, as learnt from the record.
        always: Ids of tests to keep even when they tell no fault from another, such as those that safety asks for.
        signs: Ids of what was noticed at once, which makes some faults likelier.

    Raises:
        BenchError: No fault of the model bears on the target.
    """
    faults = tuple(fault for fault in model.faults if fault_fits(fault, target))
    if not faults:
        raise BenchError(
            f"the fault model {model.fault_model!r} says nothing about {target.title}",
            hint="choose another scope",
        )
    kept = {*always, *(id for test in model.tests for outcome in test.outcomes for id in outcome.locks)}
    # Where none of those that safety asks for fits the subject, an awkward one is better than none.
    fitting = {test.id for test in model.tests if test_fits(test, target)}
    stranded = () if fitting & set(always) else always
    tests = tuple(
        test
        for test in model.tests
        if (test_fits(test, target) and (test.id in kept or _tells(model, test, faults, target))) or test.id in stranded
    )
    if symptom and symptom.same_as:
        tests = tuple(test for test in tests if test.id != symptom.same_as or test.id in kept)
    repairs = tuple(repair for repair in model.repairs if _repair_fits(repair, target, faults))
    workaround = cheapest_workaround(model, target)
    noticed = [sign for sign in model.signs if sign.id in signs and sign.likely]
    table = _numbers(model, target, faults, tests, repairs, workaround, symptom, weights or {}, noticed)
    return Layout(
        target=target,
        faults=faults,
        tests=tests,
        repairs=repairs,
        workaround=workaround,
        table=table,
        remedies=_remedies(table),
    )


def _remedies(table: Table) -> dict[str, str]:
    chosen: dict[str, tuple[float, float, str]] = {}
    for cure in table.cures:
        for index, chance in cure.fixes:
            rival = (-chance, cure.minutes, cure.id)
            if rival < chosen.get(table.faults[index], (1.0, 0.0, "")):
                chosen[table.faults[index]] = rival
    return {fault: cure for fault, (_, _, cure) in chosen.items()}


def fault_fits(fault: Fault, target: Target) -> bool:
    """Whether a fault can be behind trouble of this extent and kind."""
    return (
        target.scope in fault.scopes
        and _kinds_meet(fault.kinds, target.kinds)
        and all(need in target.features for need in fault.needs)
    )


def symptom_fits(symptom: Symptom, target: Target) -> bool:
    """Whether a symptom can be reported of this target."""
    return target.scope in symptom.scopes and _kinds_meet(symptom.kinds, target.kinds)


def test_fits(test: Test, target: Target) -> bool:
    """Whether a test can be made on this target."""
    if any(need not in target.features for need in test.needs) or (test.scopes and target.scope not in test.scopes):
        return False
    if not target.kinds or not test.kinds:
        return True
    held = test.hold if "hold-mode" in target.features else ()
    return any(kind in test.kinds or kind in held for kind in target.kinds)


def cheapest_workaround(
    model: FaultModel,
    target: Target,
    *,
    left: float = float("inf"),
    without: Collection[str] = (),
    locked: bool = False,
) -> Workaround | None:
    """The work-around with the least minutes, loss included, that fits the target and the time.

    Args:
        model: The fault model.
        target: What the hunt is about.
        left: Minutes there are for it.
        without: Ids of those that cannot be had here.
        locked: Whether the unit may not be powered, because a short may be inside.
    """
    fitting = [
        workaround
        for workaround in model.workarounds
        if target.scope in workaround.scopes
        and _kinds_meet(workaround.kinds, target.kinds)
        and workaround.power != ("on" if locked else "off")
        and workaround.minutes <= left
        and workaround.id not in without
    ]
    return min(fitting, key=lambda each: each.minutes + each.worth, default=None)


def giving_up(workaround: Workaround | None) -> float:
    """Minutes charged for giving up: those of the work-around with what it loses, or `NO_WORKAROUND`."""
    return workaround.minutes + workaround.worth if workaround else NO_WORKAROUND


def finding_rate(model: FaultModel, test: Test, fault: str, target: Target) -> float:
    """Probability that a test comes out with a finding under a fault."""
    text = test.finds.get(fault)
    for exception in test.exceptions:
        if set(target.kinds) & set(exception.kinds) and fault in exception.finds:
            text = exception.finds[fault]
    return clamp(model.rare) if text is None else likelihood(text)


def outcome_column(model: FaultModel, test: Test, fault: str, target: Target) -> tuple[float, ...]:
    """Probability of each outcome of a test under a fault; adds up to 1."""
    own = for_kinds(test, target.kinds)
    return _spread(own, fault, finding_rate(model, own, fault, target))


def for_kinds(test: Test, kinds: Sequence[str]) -> Test:
    """The test with the shares of its outcomes as they are for some kinds of control."""
    other = [each.shares for each in test.exceptions if each.shares and set(kinds) & set(each.kinds)]
    if not other:
        return test
    outcomes = (
        replace(
            outcome,
            shares={**outcome.shares, **{f: part for each in other for f, part in each.get(outcome.id, {}).items()}},
        )
        for outcome in test.outcomes
    )
    return replace(test, outcomes=tuple(outcomes))


def _spread(test: Test, fault: str, found: float) -> tuple[float, ...]:
    """Share the probability of a finding, and of none, among the outcomes of either sort."""
    column = [0.0] * len(test.outcomes)
    for finding, mass in ((True, found), (False, 1.0 - found)):
        side = [index for index, outcome in enumerate(test.outcomes) if outcome.finding is finding]
        parts = [test.outcomes[index].shares.get(fault, test.outcomes[index].share) for index in side]
        total = sum(parts)
        for index, part in zip(side, parts, strict=True):
            column[index] = mass * (part / total if total else 1.0 / len(side))
    return tuple(column)


def _numbers(
    model: FaultModel,
    target: Target,
    faults: tuple[Fault, ...],
    tests: tuple[Test, ...],
    repairs: tuple[Repair, ...],
    workaround: Workaround | None,
    symptom: Symptom | None,
    learnt: Mapping[str, float],
    signs: Sequence[Sign] = (),
) -> Table:
    weights = [learnt.get(fault.id, fault.weight) for fault in faults]
    for sign in signs:
        weights = [
            weight * likelihood(sign.likely.get(fault.id, sign.otherwise))
            for weight, fault in zip(weights, faults, strict=True)
        ]
    if symptom is not None:
        weights = [
            weight * symptom_rate(model, symptom, fault.id, target)
            for weight, fault in zip(weights, faults, strict=True)
        ]
    # The unknown cause keeps its share whatever the symptom: a rare symptom makes it no likelier.
    total = sum(weights)
    prior = [weight / total * (1.0 - model.unknown) for weight in weights] + [model.unknown]
    places = tuple(
        Place(
            access.id,
            access.minutes + access.close,
            next((i for i, a in enumerate(model.access) if a.id == access.inside), -1),
            access.close,
        )
        for access in model.access
    )
    place_of = {place.id: index for index, place in enumerate(places)}
    known = {fault.id: index for index, fault in enumerate(faults)}
    return Table(
        faults=(*(fault.id for fault in faults), UNKNOWN),
        prior=tuple(prior),
        looks=tuple(_look(model, test, faults, target, place_of.get(test.access, -1)) for test in tests),
        cures=tuple(
            Cure(
                id=repair.id,
                minutes=repair.minutes + proof_minutes(repair, tests) + model.try_again,
                fixes=tuple(sorted((known[id], likelihood(text)) for id, text in repair.cures.items() if id in known)),
                place=place_of.get(repair.access, -1),
                upset=2 if repair.power == "off" else 1,
            )
            for repair in repairs
        ),
        fallback=giving_up(workaround),
        places=places,
    )


def _look(model: FaultModel, test: Test, faults: tuple[Fault, ...], target: Target, place: int) -> Look:
    columns = [outcome_column(model, test, fault.id, target) for fault in faults]
    # Of a cause that nobody has thought of nothing is known: a finding is as likely as none.
    columns.append(_spread(test, UNKNOWN, 0.5))
    return Look(
        id=test.id,
        minutes=test.minutes,
        rows=tuple(zip(*columns, strict=True)),
        place=place,
        upset=(1 if test.disturbs else 0) + (2 if test.power == "off" else 0),
    )


def symptom_rate(model: FaultModel, symptom: Symptom, fault: str, target: Target) -> float:
    """Probability that the player reports this symptom under a fault."""
    if fault in symptom.likely:
        return likelihood(symptom.likely[fault])
    if not symptom.same_as:
        return likelihood(symptom.otherwise)
    test = next(test for test in model.tests if test.id == symptom.same_as)
    if not symptom.finding:
        return finding_rate(model, test, fault, target)
    column = outcome_column(model, test, fault, target)
    return clamp(column[[outcome.id for outcome in test.outcomes].index(symptom.finding)])


def _tells(model: FaultModel, test: Test, faults: tuple[Fault, ...], target: Target) -> bool:
    """Whether the test treats at least two of the faults differently."""
    return len({outcome_column(model, test, fault.id, target) for fault in faults}) > 1


def _repair_fits(repair: Repair, target: Target, faults: tuple[Fault, ...]) -> bool:
    return (
        _kinds_meet(repair.kinds, target.kinds)
        and (not repair.scopes or target.scope in repair.scopes)
        and any(fault.id in repair.cures for fault in faults)
    )


def _kinds_meet(fits: Sequence[str], kinds: Sequence[str]) -> bool:
    return not fits or not kinds or any(kind in fits for kind in kinds)


def _index(ids: list[str], id: str, what: str) -> int:
    if id not in ids:
        raise BenchError(f"the {what} {id!r} is not part of this hunt")
    return ids.index(id)
