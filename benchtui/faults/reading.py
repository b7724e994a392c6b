"""A fault model from its file, with every problem in it as file:line:column.

The shape is read by `benchtui.content.reader`; this module adds what one field cannot know of another: ids that must
exist, likelihoods that must be likelihoods, a fault that nothing cures, a test that hides a hazard.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchtui.content.hazards import hazard_problems
from benchtui.content.nodes import load
from benchtui.content.reader import read
from benchtui.errors import Problem, UnitError, did_you_mean
from benchtui.faults.model import FEATURES, KINDS, FaultModel, Repair, Test, Workaround
from benchtui.faults.words import TAG, likelihood

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping
    from pathlib import Path
    from typing import Any

    from benchtui.content.cautions import Caution
    from benchtui.errors import Place


AT_ITSELF = "leave it out: where a move is made follows from the design"
"""What is said of a place that a file names."""


def load_model(path: Path) -> FaultModel:
    """Read a fault model.

    Raises:
        ContentError: The file has problems; the error carries all of them.
    """
    return load(path, read_model)


def read_model(node: Any, *, file: str) -> tuple[FaultModel | None, list[Problem]]:
    """A fault model from a composed YAML node.

    Args:
        node: The document.
        file: Name to report problems under.

    Returns:
        The model, None when its shape is wrong, and every problem found.
    """
    model, problems = read(FaultModel, node, file=file)
    found = list(problems)
    if model is not None:
        found.extend(check_model(model))
        moves: list[Test | Repair] = [*model.tests, *model.repairs]
        found += [Problem(each.place, f"{each.id}: at", AT_ITSELF) for each in moves if each.at]
    return model, sorted(found)


def check_model(model: FaultModel) -> list[Problem]:
    """What is wrong in a model whose shape is right."""
    return [
        *_numbers(model),
        *_unique(model),
        *_names(model),
        *_outcomes(model),
        *_coverage(model),
        *_hazards(model),
        *_placeholders(model),
    ]


def problems_with_cautions(model: FaultModel, cautions: Mapping[str, Caution]) -> Iterator[Problem]:
    """Hazards that are named but do not exist, or that a text betrays but nothing names.

    Args:
        model: The fault model.
        cautions: The cautions of the library, by id.
    """
    acts: list[tuple[Place, str, str, tuple[str, ...], tuple[str, ...]]] = [
        (each.place, f"access {each.id}", each.do, each.uses, each.hazards) for each in model.access
    ]
    for what, moves in (("test", model.tests), ("repair", model.repairs)):
        acts.extend(
            (each.place, f"{what} {each.id}", " ".join((each.do, *each.detail)), each.uses, each.hazards)
            for each in moves
        )
    acts.extend(
        (each.place, f"work-around {each.id}", " ".join((each.do, *each.detail)), (), each.hazards)
        for each in model.workarounds
    )
    for place, where, text, uses, hazards in acts:
        yield from hazard_problems(place=place, where=where, text=text, uses=uses, hazards=hazards, cautions=cautions)


def problems_with_procedures(model: FaultModel, procedures: Iterable[str]) -> Iterator[Problem]:
    """Repairs that name a rework procedure which the library does not have."""
    known = list(procedures)
    for repair in model.repairs:
        yield from _known(repair.place, f"repair {repair.id}: procedure", [repair.procedure], known)


def _numbers(model: FaultModel) -> Iterator[Problem]:
    for name, value in (("unknown", model.unknown), ("rare", model.rare)):
        if not 0.0 < value <= 0.5:
            yield Problem(model.place, f"{name}: expected a share above 0 and up to 0.5, got {value:g}")
    for fault in model.faults:
        if fault.weight <= 0.0:
            yield Problem(fault.place, f"fault {fault.id}: the weight must be above 0")
        if not fault.scopes:
            yield Problem(fault.place, f"fault {fault.id}: name at least one scope")
    for what, items in _timed(model):
        for id, minutes, place in items:
            if minutes < 0.0:
                yield Problem(place, f"{what} {id}: minutes cannot be below 0")
    if model.workmanship < 1.0:
        yield Problem(model.place, "workmanship: hand-made joints are not better than inspected ones, so 1 or more")
    for rate in model.rates:
        if rate.rate < 0.0 or any(share < 0.0 for share in rate.modes.values()):
            yield Problem(rate.place, f"rate {rate.what}: rates and shares cannot be below 0")
        if rate.modes and abs(sum(rate.modes.values()) - 1.0) > 0.015:
            yield Problem(rate.place, f"rate {rate.what}: the shares of its modes must add up to 1")
    for sign in model.signs:
        yield from _likelihoods(sign.place, f"sign {sign.id}: likely", sign.likely)
        yield from _likelihoods(sign.place, f"sign {sign.id}", {"otherwise": sign.otherwise})
    for symptom in model.symptoms:
        yield from _likelihoods(symptom.place, f"symptom {symptom.id}: likely", symptom.likely)
        yield from _likelihoods(symptom.place, f"symptom {symptom.id}", {"otherwise": symptom.otherwise})
        if not 0.0 < symptom.shows <= 1.0:
            yield Problem(symptom.place, f"symptom {symptom.id}: shows is a share above 0 and up to 1")
    for test in model.tests:
        yield from _likelihoods(test.place, f"test {test.id}: finds", test.finds)
        for exception in test.exceptions:
            yield from _likelihoods(exception.place, f"test {test.id}: exceptions: finds", exception.finds)
    for repair in model.repairs:
        yield from _likelihoods(repair.place, f"repair {repair.id}: cures", repair.cures)


def _timed(model: FaultModel) -> Iterator[tuple[str, Iterable[tuple[str, float, Place]]]]:
    yield "symptom", [(each.id, each.minutes, each.place) for each in model.symptoms]
    yield "access", [(each.id, each.minutes, each.place) for each in model.access]
    yield "test", [(each.id, min(each.minutes, each.minutes_again), each.place) for each in model.tests]
    yield "repair", [(each.id, each.minutes, each.place) for each in model.repairs]
    yield "work-around", [(each.id, each.minutes, each.place) for each in model.workarounds]


def _likelihoods(place: Place, where: str, values: Mapping[str, str]) -> Iterator[Problem]:
    for key, text in values.items():
        try:
            likelihood(text)
        except UnitError as error:
            yield Problem(place, f"{where}: {key}: {error.message}", error.hint)


def _unique(model: FaultModel) -> Iterator[Problem]:
    moves: set[str] = set()
    for items in (
        model.access,
        model.signs,
        model.symptoms,
        model.faults,
        model.tests,
        model.repairs,
        model.workarounds,
    ):
        own: set[str] = set()
        shared = items in (model.tests, model.repairs, model.workarounds)
        for item in items:
            if item.id in own or (shared and item.id in moves):
                yield Problem(item.place, f"the id {item.id!r} is used twice", "ids are never reused")
            own.add(item.id)
        if shared:  # a move is named by its id alone, whichever list it is from
            moves |= own


def _names(model: FaultModel) -> Iterator[Problem]:
    faults = {fault.id for fault in model.faults}
    tests = {test.id for test in model.tests}
    places = {access.id for access in model.access}
    for access in model.access:
        yield from _known(access.place, f"access {access.id}: inside", [access.inside], places)
    for sign in model.signs:
        yield from _known(sign.place, f"sign {sign.id}: first", sign.first, tests)
        yield from _known(sign.place, f"sign {sign.id}: likely", sign.likely, faults)
        if not any(test.id in sign.first for test in model.tests if test.power != "on"):
            yield Problem(sign.place, f"sign {sign.id}: first: name a test that is made with the power off")
    for symptom in model.symptoms:
        where = f"symptom {symptom.id}"
        yield from _known(symptom.place, f"{where}: likely", symptom.likely, faults)
        yield from _known(symptom.place, f"{where}: same-as", [symptom.same_as], tests)
        yield from _known(symptom.place, f"{where}: seen-by", [symptom.seen_by], tests)
        yield from _known(symptom.place, f"{where}: kinds", symptom.kinds, KINDS)
        if symptom.finding:
            answers = [o.id for test in model.tests if test.id == symptom.same_as for o in test.outcomes]
            yield from _known(symptom.place, f"{where}: finding", [symptom.finding], answers)
    for fault in model.faults:
        yield from _known(fault.place, f"fault {fault.id}: kinds", fault.kinds, KINDS)
        yield from _known(fault.place, f"fault {fault.id}: needs", fault.needs, FEATURES)
    for test in model.tests:
        where = f"test {test.id}"
        yield from _known(test.place, f"{where}: access", [test.access], places)
        yield from _known(test.place, f"{where}: kinds", (*test.kinds, *test.hold), KINDS)
        yield from _known(test.place, f"{where}: needs", test.needs, FEATURES)
        yield from _known(test.place, f"{where}: points", test.points, (*KINDS, "any"))
        yield from _known(test.place, f"{where}: finds", test.finds, faults)
        for exception in test.exceptions:
            yield from _known(exception.place, f"{where}: exceptions: kinds", exception.kinds, KINDS)
            yield from _known(exception.place, f"{where}: exceptions: finds", exception.finds, faults)
            yield from _known(
                exception.place, f"{where}: exceptions: shares", exception.shares, [each.id for each in test.outcomes]
            )
            for parts in exception.shares.values():
                yield from _known(exception.place, f"{where}: exceptions: shares", parts, faults)
        for outcome in test.outcomes:
            yield from _known(outcome.place, f"{where}: outcome {outcome.id}: shares", outcome.shares, faults)
            yield from _known(outcome.place, f"{where}: outcome {outcome.id}: settles", outcome.settles, tests)
            yield from _known(outcome.place, f"{where}: outcome {outcome.id}: locks", outcome.locks, tests)
            mended = [outcome.mended] if outcome.mended else []
            yield from _known(
                outcome.place, f"{where}: outcome {outcome.id}: mended", mended, [each.id for each in model.repairs]
            )
        yield from _known(test.place, f"{where}: after", test.after, tests)
    for repair in model.repairs:
        where = f"repair {repair.id}"
        yield from _known(repair.place, f"{where}: access", [repair.access], places)
        yield from _known(repair.place, f"{where}: kinds", repair.kinds, KINDS)
        yield from _known(repair.place, f"{where}: cures", repair.cures, faults)
        yield from _known(repair.place, f"{where}: prove", repair.prove, tests)
    for workaround in model.workarounds:
        yield from _known(workaround.place, f"work-around {workaround.id}: kinds", workaround.kinds, KINDS)
    for rule in model.patterns:
        yield from _known(rule.place, f"pattern {rule.shape}: test", [rule.test], tests)
        answers = [outcome.id for test in model.tests if test.id == rule.test for outcome in test.outcomes]
        yield from _known(rule.place, f"pattern {rule.shape}: outcome", [rule.outcome], answers)
    yield from _points(model)


def _points(model: FaultModel) -> Iterator[Problem]:
    from benchtui.design.testpoints import POINTS
    from benchtui.faults.dictionary import MEASURES

    for test in model.tests:
        yield from _known(test.place, f"test {test.id}: measures", [test.measures], MEASURES)
        for kind, points in test.points.items():
            yield from _known(test.place, f"test {test.id}: points: {kind}", points, POINTS)


def _known(place: Place, where: str, names: Iterable[str], known: Iterable[str]) -> Iterator[Problem]:
    choices = list(known)
    for name in names:
        if name and name not in choices:
            hint = did_you_mean(name, choices, otherwise=f"known are {', '.join(choices[:12])}")
            yield Problem(place, f"{where}: there is no {name!r}", hint)


def _outcomes(model: FaultModel) -> Iterator[Problem]:
    from benchtui.faults.dictionary import MEASURES

    for test in model.tests:
        if test.measures in MEASURES:
            wanted = MEASURES[test.measures][1]
            for outcome in test.outcomes:
                yield from _known(outcome.place, f"test {test.id}: outcome of {test.measures!r}", [outcome.id], wanted)
        for finding in (True, False):
            side = [outcome for outcome in test.outcomes if outcome.finding is finding]
            if not side:
                which = "a finding" if finding else "no finding"
                yield Problem(test.place, f"test {test.id}: it needs an outcome that means {which}")
            elif sum(outcome.share for outcome in side) <= 0.0:
                yield Problem(test.place, f"test {test.id}: the shares of its outcomes add up to nothing")
        for outcome in test.outcomes:
            kinds = [part for each in test.exceptions for part in each.shares.get(outcome.id, {}).values()]
            if (
                outcome.share < 0.0
                or min(kinds, default=0.0) < 0.0
                or any(part < 0.0 for part in outcome.shares.values())
            ):
                yield Problem(outcome.place, f"test {test.id}: outcome {outcome.id}: a share cannot be below 0")


def _coverage(model: FaultModel) -> Iterator[Problem]:
    cured = {fault for repair in model.repairs for fault in repair.cures}
    seen = {fault for test in model.tests for fault in test.finds}
    for fault in model.faults:
        if fault.id not in cured:
            yield Problem(fault.place, f"fault {fault.id}: no repair cures it", "add it under `cures` of a repair")
        if fault.id not in seen:
            yield Problem(fault.place, f"fault {fault.id}: no test finds it", "add it under `finds` of a test")
    for repair in model.repairs:
        if not repair.cures:
            yield Problem(repair.place, f"repair {repair.id}: it cures nothing")
    scopes = {scope for fault in model.faults for scope in fault.scopes}
    for scope in sorted(scopes - {scope for each in model.workarounds for scope in each.scopes}):
        yield Problem(model.place, f"there is no work-around for trouble of the scope {scope!r}")


def _hazards(model: FaultModel) -> Iterator[Problem]:
    """Live work inside an enclosure, and ohms with the power off, carry their caution."""
    for test in model.tests:
        if test.access and test.power == "on" and "power-on-open-lid" not in test.uses:
            yield Problem(
                test.place, f"test {test.id}: it works inside with the power on", "add power-on-open-lid to its uses"
            )
        if test.power == "off" and any("meter" in tool for tool in test.tools) and "ohms-range" not in test.uses:
            yield Problem(test.place, f"test {test.id}: it measures with the power off", "add ohms-range to its uses")
    for repair in model.repairs:
        if "iron" in repair.tools and "iron" not in repair.uses:
            yield Problem(repair.place, f"repair {repair.id}: it needs the iron", "add iron to its uses")


def _placeholders(model: FaultModel) -> Iterator[Problem]:
    texts: list[tuple[Place, str, str]] = []
    for symptom in model.symptoms:
        texts.append((symptom.place, f"symptom {symptom.id}", symptom.again))
    texts += [(test.place, test.id, test.undo) for test in model.tests]
    items: list[Test | Repair | Workaround] = [*model.tests, *model.repairs, *model.workarounds]
    for item in items:
        texts.append((item.place, item.id, " ".join((item.do, *item.detail))))
    for place, where, text in texts:
        rest = text.replace("{it}", "").replace("{each}", "")
        if "{" in rest or "}" in rest:
            yield Problem(place, f"{where}: the placeholders here are {{it}}, the subject, and {{each}}, its controls")
        for tag in TAG.findall(text):
            yield from _known(place, where, [kind.strip() for kind in tag.split(",") if kind.strip()], KINDS)
