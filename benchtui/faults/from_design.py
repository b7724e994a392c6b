"""A fault model for one target of one design: the hand-written model with the circuit's own faults put in.

Where the circuit knows the spots of a class ("bad joint at the signal lug"), the class gives way to its spots. They
inherit from it what no circuit can tell (how it behaves when tapped, what mends it, how it is reported), and get their
likelihoods for everything that can be measured from the fault dictionary. Together they weigh what the classes weighed:
one half is shared out as the trade weighs each class, the other by the rates of all parts and joints. Classes without a
spot stay as they are: lead, computer, firmware, mechanics.

The result is a plain `FaultModel`: the record keeps it as it was, and nothing downstream knows where it came from.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final, TypeVar

from benchtui.design.parts import DIVIDERS
from benchtui.faults.dictionary import MEASURES, OF_ONE, PRESENT, answer
from benchtui.faults.layout import fault_fits, finding_rate, for_kinds
from benchtui.faults.on_bench import Case
from benchtui.faults.on_monitor import goes_wrong
from benchtui.faults.one_by_one import repairs_at, tests_at
from benchtui.faults.plugs import like_plugs
from benchtui.faults.points import common_wires
from benchtui.faults.probing import Bench
from benchtui.faults.put_back import back_in_place
from benchtui.faults.spots import Rates
from benchtui.faults.spots_of_bank import of_bank
from benchtui.faults.spots_of_control import of_control
from benchtui.faults.target import control_title, read_at, target_of
from benchtui.faults.terms import PRESSED
from benchtui.faults.words import likelihood, listed

if TYPE_CHECKING:
    from collections.abc import Collection, Mapping, Sequence

    from benchtui.design.model import Design
    from benchtui.faults.model import Fault, FaultModel, Repair, Symptom, Test, Workaround
    from benchtui.faults.spots import Spot
    from benchtui.faults.target import Target

T = TypeVar("T")

MISFIT: Final = 0.02
"""What a spot keeps of its weight when a control is said to be bad that it leaves alone: a slip. Our own choice."""

WHICH_FOLLOWS: Final = (
    'When one follows, say which as a line, such as "moving F3 moves F4": that tells a select line stuck low from one '
    "stuck high."
)
"""What the answers of a test of the neighbours leave out."""

BENT: Final = 0.3
"""How much seldomer a lead that is open for good answers to a tap or to warmth than a loose one. Estimate."""

UNSEEN: Final = 0.05
"""Chance of a finding up to which a spot leaves a test healthy: what slips make of it. Our own choice."""

PLAIN: Final = 0.2
"""Chance of being seen below which a spot is not one that anybody sees by trying the controls. Our own choice."""

TRADE: Final = 0.5
"""Part of a class's weight that is the trade's own; the rest is shared out by the parts count. Our own choice."""

PLACED: Final = frozenset({"F20", "F21", "F22", "F24", "F25", "F26", "F27", "F30", "F33", "F34", "F35", "F45", "F49"})
"""Classes of a single control whose every place the circuit knows: where it knows none, there is no such fault. A
button of a matrix has no lead of its own that could break, for example: its row and its column have."""


def model_for(model: FaultModel, design: Design, target: Target, *, bench: Bench | None = None) -> FaultModel:
    """The model with the faults of a design's circuit for one target.

    Args:
        model: The hand-written model.
        design: The design.
        target: What the hunt is about.
        bench: Circuits already built for this design; a new one when None.

    Returns:
        The model itself, the control of a bank named in its tests, when the circuit has no spots for this target.
    """
    classes = {fault.id: fault for fault in model.faults if fault_fits(fault, target)}
    found = [spot for spot in spots(design, target, model) if spot.class_id in classes and spot.rate > 0.0]
    model = replace(
        model,
        tests=tuple(
            back_in_place(design, target, _told_for(design, target, each))
            for test in model.tests
            for each in tests_at(design, target, test, found)
        ),
        workarounds=tuple(each for each in model.workarounds if _can_stand_in(design, target, each)),
    )
    known = {(test.id, outcome.id) for test in model.tests for outcome in test.outcomes}
    model = replace(model, patterns=tuple(rule for rule in model.patterns if (rule.test, rule.outcome) in known))
    if not found:
        return model
    bench = bench or Bench(design)
    replaced = {spot.class_id for spot in found}
    weights = _weights(found, classes)
    gone = replaced | (PLACED if target.scope == "control" else frozenset())
    faults = [fault for fault in model.faults if fault.id not in gone]
    faults += [
        _fault(spot, classes[spot.class_id], weight * _fits(bench, target, spot))
        for spot, weight in zip(found, weights, strict=True)
    ]
    tests = {test.id: _test(model, test, found, target, bench, gone) for test in model.tests}
    mending = (_repair(repair, found, gone) for repair in model.repairs)
    each_place = (each for repair in mending for each in repairs_at(design, target, repair, found, tests))
    return replace(
        model,
        faults=tuple(faults),
        tests=tuple(tests.values()),
        repairs=tuple(each for each in each_place if each.cures),
        symptoms=tuple(_symptom(symptom, found, gone, _unseen(symptom, tests, found)) for symptom in model.symptoms),
        signs=tuple(replace(sign, likely=_by_spot(sign.likely, found, gone)) for sign in model.signs),
    )


def spots(design: Design, target: Target, model: FaultModel) -> tuple[Spot, ...]:
    """The spots of a target that the circuit can tell something about.

    Args:
        design: The design.
        target: One control or a bank; other targets have none.
        model: For the rates of parts and joints.
    """
    rates = Rates(model)
    if target.scope == "control":
        return tuple(of_control(design, design.control(target.subject), rates))
    if target.scope == "bank":
        return tuple(of_bank(design, target.subject, rates))
    return ()


def _fits(bench: Bench, target: Target, spot: Spot) -> float:
    """What a spot of a bank keeps of its weight when one control is known to be bad: is that one bad under it?"""
    if not target.bad:
        return 1.0
    case = Case(bench, target, spot)
    chances = {control.id: goes_wrong(case, control) for control in case.controls()}
    if max(chances.values(), default=0.0) < PLAIN:
        return 1.0  # nothing that the circuit shows
    return max(chances[target.control], MISFIT)


def _weights(found: Sequence[Spot], classes: Mapping[str, Fault]) -> tuple[float, ...]:
    """Weight of each spot, before anything is known: between what its class weighs and what the parts count says.

    The rate of a mated connector tells how seldom it fails of itself, not how often somebody leaves it half home; the
    trade's weight of the class knows that, but not how many connectors this design has.
    """
    total = sum(classes[id].weight for id in {spot.class_id for spot in found})
    rates: dict[str, float] = {}
    for spot in found:
        rates[spot.class_id] = rates.get(spot.class_id, 0.0) + spot.rate
    every = sum(rates.values())
    return tuple(
        TRADE * classes[spot.class_id].weight * spot.rate / rates[spot.class_id]
        + (1.0 - TRADE) * total * spot.rate / every
        for spot in found
    )


def _fault(spot: Spot, its_class: Fault, weight: float) -> Fault:
    return replace(
        its_class,
        id=spot.id,
        title=spot.title,
        short=spot.short,
        weight=weight,
        source=f"{spot.source}; with half of the weight that the estimates give its class",
        spot=spot.where,
    )


def _test(
    model: FaultModel, test: Test, found: Sequence[Spot], target: Target, bench: Bench, replaced: Collection[str]
) -> Test:
    """The test with a likelihood for each spot: from the circuit where it can tell, else that of the class."""
    test = for_kinds(test, target.kinds)
    finds = _left(test.finds, replaced)
    shares: list[dict[str, float]] = [_left(outcome.shares, replaced) for outcome in test.outcomes]
    known = test.measures in MEASURES
    if test.at:  # made on that one, as if it were hunted on
        target = target_of(bench.design, scope="control", subject=test.at)
    for spot in found:
        computed = answer(bench, target, spot, test.measures, test.kinds) if known else None
        if computed is None:
            rate = finding_rate(model, test, spot.class_id, target)
            finds[spot.id] = str(max(rate * BENT, model.rare) if spot.lasting and test.flexes else rate)
            for outcome, parts in zip(test.outcomes, shares, strict=True):
                if spot.class_id in outcome.shares:
                    parts[spot.id] = outcome.shares[spot.class_id]
            continue
        findings = sum(computed.get(outcome.id, 0.0) for outcome in test.outcomes if outcome.finding)
        whole = sum(computed.get(outcome.id, 0.0) for outcome in test.outcomes)
        finds[spot.id] = f"{findings / whole:.6f}"
        for outcome, parts in zip(test.outcomes, shares, strict=True):
            parts[spot.id] = round(computed.get(outcome.id, 0.0), 6)
    return replace(
        test,
        finds=finds,
        outcomes=tuple(replace(outcome, shares=parts) for outcome, parts in zip(test.outcomes, shares, strict=True)),
        exceptions=tuple(
            replace(exception, finds=_left(exception.finds, replaced), shares={}) for exception in test.exceptions
        ),
    )


def _can_stand_in(design: Design, target: Target, workaround: Workaround) -> bool:
    """Whether a work-around has what it needs: as many other controls, not behind the same multiplexer."""
    if workaround.takes != "bank" or target.scope not in ("bank", "kind"):
        return True
    own = [design.control(id) for id in target.neighbours]
    chips = {each.multiplexer for each in own if each.multiplexer}
    groups = [DIVIDERS if kind in DIVIDERS else PRESSED if kind in PRESSED else (kind,) for kind in target.kinds]
    others = [each for each in design.controls if each not in own and each.multiplexer not in chips]
    return all(
        sum(each.kind in group for each in others) >= sum(each.kind in group for each in own) for group in groups
    )


def _told_for(design: Design, target: Target, test: Test) -> Test:
    """The test in the words of this target: of a bank, the control it is made on is named, or its common wires are."""
    if target.scope == "bank" and test.measures == "wire-ohms" and (buses := common_wires(design, target.subject)):
        plug = design.bank(target.subject).connector
        return replace(
            test,
            title="Common wires, flexed",
            do=f"USB out, {plug} unplugged. Measure each common wire of {{it}} from its pin of {plug} to its last lug,"
            " while flexing the harness gently.",
            undo="",
            detail=(
                "Type the readings in the order shown, OL when one is open. "
                f"There {'is one' if len(buses) == 1 else f'are {len(buses)}'}.",
            ),
        )
    if test.measures == "corners" and target.scope != "control":
        return replace(test, outcomes=tuple(each for each in test.outcomes if each.id != "another"))
    if test.measures == "others" and "multiplexer" in target.features:
        return replace(test, detail=(*test.detail, WHICH_FOLLOWS))
    own = read_at(design, target, test.kinds)
    if "second-plug" in test.needs and own is not None and (plugs := like_plugs(design, own.connector)):
        which = f"{listed(list(plugs))} {'has' if len(plugs) == 1 else 'have'}"
        test = replace(test, detail=(*test.detail, f"{which} the same part and the same pin-out as {own.connector}."))
    if test.at:
        return test
    if target.scope not in ("bank", "kind") or test.measures not in {*OF_ONE, "wire-ohms"} or own is None:
        return test
    it = control_title(own)
    said = "the one that is said to be bad" if target.bad and own.id == target.control else "the last on its feed"
    return replace(
        test,
        do=_named(test.do, it),
        detail=(
            f"Here the answer is about {own.id} alone, {said}.",
            *(_named(line, it) for line in test.detail),
        ),
        undo=_named(test.undo, it),
        outcomes=tuple(replace(each, text=_named(each.text, it)) for each in test.outcomes),
    )


def _named(text: str, it: str) -> str:
    """A text of the model about one control, whatever the hunt is about."""
    return text.replace("{it}", it).replace("{each}", it)


def _left(values: Mapping[str, T], replaced: Collection[str]) -> dict[str, T]:
    """A mapping by fault without the classes that gave way to their spots."""
    return {fault: value for fault, value in values.items() if fault not in replaced}


def _by_spot(values: Mapping[str, T], found: Sequence[Spot], gone: Collection[str]) -> dict[str, T]:
    """A mapping by fault in which the spots stand for their classes."""
    return _left(values, gone) | {spot.id: values[spot.class_id] for spot in found if spot.class_id in values}


def _repair(repair: Repair, found: Sequence[Spot], gone: Collection[str]) -> Repair:
    return replace(repair, cures=_by_spot(repair.cures, found, gone))


def _unseen(symptom: Symptom, tests: Mapping[str, Test], found: Sequence[Spot]) -> Collection[str]:
    """Spots that the test which would see the symptom comes out healthy under."""
    test = tests.get(symptom.seen_by)
    return [each.id for each in found if test and float(test.finds[each.id]) <= UNSEEN]


def _symptom(symptom: Symptom, found: Sequence[Spot], gone: Collection[str], unseen: Collection[str]) -> Symptom:
    likely = _by_spot(symptom.likely, found, gone) | dict.fromkeys(unseen, "never")
    if symptom.passing:
        likely.update({spot.id: "never" for spot in found if spot.lasting})
    elif not symptom.same_as:  # what comes and goes is often there just when somebody looks
        for spot in [each for each in found if each.loose and each.id in likely]:
            likely[spot.id] = f"{PRESENT * likelihood(likely[spot.id]):.4f}"
    return replace(symptom, likely=likely)
