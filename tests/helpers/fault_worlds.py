"""Worlds in which a fault is present: a desk with it, a technician who answers the tests, and what really mends it."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from functools import cache
from pathlib import Path
from random import Random
from typing import TYPE_CHECKING

from helpers.desk_on_bench import Desk
from helpers.technician import Technician
from helpers.trade_truth import PASSING, REMEDIES, REPORTS

from benchtui.design import load_design
from benchtui.faults import hunt
from benchtui.faults.from_design import model_for, spots
from benchtui.faults.layout import fault_fits, symptom_fits
from benchtui.faults.probing import Bench
from benchtui.faults.reading import load_model
from benchtui.faults.target import Target, target_of

if TYPE_CHECKING:
    from benchtui.design.model import Design
    from benchtui.faults.hunt import HuntState
    from benchtui.faults.model import FaultModel

MODEL = Path(__file__).resolve().parents[2] / "procedures" / "common" / "dead-input.yaml"
KIND_SHARES = {
    "pot": 25,
    "fader": 25,
    "button-matrix": 12,
    "button-direct": 10,
    "encoder": 10,
    "toggle": 8,
    "ribbon": 5,
    "lamp": 5,
}
"""How often a kind of control is hunted on, per cent; as in the trade notes 3.4."""


@cache
def shipped_model() -> FaultModel:
    """The shipped model of dead inputs."""
    return load_model(MODEL)


@cache
def demo() -> tuple[Design, Bench]:
    """The demo desk and its circuits."""
    design = load_design(MODEL.parents[1] / "hollin-cue-desk" / "design.yaml")
    return design, Bench(design)


@cache
def model_of(scope: str, subject: str, control: str = "") -> FaultModel:
    """The model for one target of the demo desk, the faults of its circuit put in.

    Args:
        scope: unit, bank, control or kind.
        subject: Of what.
        control: Of a bank, the control that is said to be worst.
    """
    design, bench = demo()
    target = target_of(design, scope=scope, subject=subject, control=control)
    return model_for(shipped_model(), design, target, bench=bench)


_tests_only: dict[int, tuple[FaultModel, FaultModel]] = {}


def tests_only(model: FaultModel) -> FaultModel:
    """The model in which no test is also a repair."""
    if id(model) not in _tests_only:
        plain = tuple(
            replace(test, outcomes=tuple(replace(outcome, mended="") for outcome in test.outcomes))
            for test in model.tests
        )
        _tests_only[id(model)] = (model, replace(model, tests=plain))
    return _tests_only[id(model)][1]


@dataclass(frozen=True, slots=True)
class World:
    """A demo desk with one fault, and the person at it."""

    model: FaultModel
    target: Target
    fault: str
    symptom: str = ""
    seed: str = ""
    technicians: dict[str, Technician] = field(default_factory=dict)

    def start(self, *, told: bool = True, ends: bool = True) -> HuntState:
        """A hunt on this unit.

        Args:
            told: Whether it knows what the player reports.
            ends: Whether a test that clears the trouble is the repair, and ends it.
        """
        design, _ = demo()
        model = self.model if ends else tests_only(self.model)
        return hunt.start(model, design, target=self.target, symptom=self.symptom if told else "")

    def technician(self) -> Technician:
        """A person at a desk that has just been brought in: the same desk each time."""
        design, _ = demo()
        rng = Random(self.seed)
        spot = next((each for each in spots(design, self.target, self.model) if each.id == self.fault), None)
        return Technician(self.model, self.target, self.fault, Desk(design, spot, rng), rng)

    def clean_minutes(self) -> float:
        """Minutes of one clean try for the trouble that is reported."""
        symptom = next((each for each in self.model.symptoms if each.id == self.symptom), None)
        return symptom.minutes if symptom and symptom.minutes else self.model.try_again

    @property
    def class_id(self) -> str:
        """The class of the fault."""
        return self.fault.partition("@")[0]

    def cured(self, repair: str) -> bool:
        """Whether a repair makes it work again; the same for everybody who tries it."""
        # A repair at one place mends nothing at another: of sixteen diodes the one that failed wants replacing.
        base, _, place = repair.partition("@")
        return self._there(place, base) and Random(f"{self.seed} {base}").random() < self._chance(base)

    def _chance(self, repair: str) -> float:
        return REMEDIES[self.class_id].get(repair, 0.0)

    def _there(self, place: str, repair: str) -> bool:
        """Whether a repair is made where the fault is; only those made at one place at a time can miss it."""
        apart = any(each.one_by_one for each in self.model.repairs if each.id.partition("@")[0] == repair)
        own = self.target.subject if self.target.scope == "control" else ""
        return not apart or not own + place or (place or own) == self.fault.partition("@")[2].partition(".")[0]

    def right(self, repair: str) -> bool:
        """Whether a repair is a remedy for this fault."""
        base, _, place = repair.partition("@")
        return self._there(place, base) and self._chance(base) >= 0.5


SCOPES = ("unit", "bank", "control")


def scope_weight(model: FaultModel, scope: str) -> float:
    """Weight of the faults that belong to an extent first of all."""
    return sum(fault.weight for fault in model.faults if fault.scopes[0] == scope)


def draw_world(scope: str, rng: Random, *, by_class: bool = False) -> World:
    """A fault of the demo desk with what the player reports.

    Args:
        scope: unit, bank or control; "any" for all in proportion to the weight of their faults.
        rng: Draws it; kinds of control by `KIND_SHARES`.
        by_class: Whether a class is drawn by the trade notes' weights and then its place by the rates of parts and
            joints; else each place by the weight that the program gives it.
    """
    design, _ = demo()
    if scope == "any":
        scope = rng.choices(SCOPES, [scope_weight(shipped_model(), each) for each in SCOPES])[0]
    subject = ""
    if scope != "unit":
        fitted = {kind: share for kind, share in KIND_SHARES.items() if any(c.kind == kind for c in design.controls)}
        kind = rng.choices(list(fitted), list(fitted.values()))[0]
        control = rng.choice([each for each in design.controls if each.kind == kind])
        subject = control.id if scope == "control" else control.bank
    target = target_of(design, scope=scope, subject=subject)
    model = model_of(scope, subject)
    faults = [fault for fault in model.faults if fault_fits(fault, target)]
    if by_class:
        present = {fault.id.partition("@")[0] for fault in faults}
        classes = [each for each in shipped_model().faults if each.id in present]
        chosen = rng.choices(classes, [each.weight for each in classes])[0].id
        faults = [fault for fault in faults if fault.id.partition("@")[0] == chosen]
    fault = rng.choices(faults, [each.weight for each in faults])[0]
    shares = REPORTS[fault.id.partition("@")[0]]
    if fault.id.endswith(".open"):  # a lead that is open for good
        shares = {report: share for report, share in shares.items() if report not in PASSING}
    reports = [each.id for each in model.symptoms if symptom_fits(each, target) and each.id in shares]
    symptom = rng.choices(reports, [shares[each] for each in reports])[0] if reports else ""
    seed = f"desk {rng.random()}"
    world = World(model, target, fault.id, symptom, seed)
    if scope == "bank" and "@" in fault.id and (worst := world.technician().worst()):
        target = target_of(design, scope=scope, subject=subject, control=worst)
        world = World(model_of(scope, subject, worst), target, fault.id, symptom, seed)
    return world
