"""Worlds in which a fault is present: what a test answers there, and whether a repair cures."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

from benchtui.design import load_design
from benchtui.faults import hunt
from benchtui.faults.from_design import model_for
from benchtui.faults.layout import fault_fits, outcome_column, symptom_fits, symptom_rate
from benchtui.faults.probing import Bench
from benchtui.faults.reading import load_model
from benchtui.faults.target import Target, target_of
from benchtui.faults.words import likelihood

if TYPE_CHECKING:
    from random import Random

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
def model_of(scope: str, subject: str) -> FaultModel:
    """The model for one target of the demo desk, the faults of its circuit put in."""
    design, bench = demo()
    return model_for(shipped_model(), design, target_of(design, scope=scope, subject=subject), bench=bench)


@dataclass(frozen=True, slots=True)
class World:
    """A demo desk with one fault. It answers by the circuit, tolerances and meter included, where that can tell."""

    model: FaultModel
    target: Target
    fault: str
    symptom: str = ""

    def start(self, *, told: bool = True) -> HuntState:
        """A hunt on this unit that knows nothing but, when told, what the player reports."""
        return hunt.start(self.model, target=self.target, symptom=self.symptom if told else "")

    def answer(self, test: str, rng: Random) -> str:
        """What a test comes out with."""
        found = next(each for each in self.model.tests if each.id == test)
        column = outcome_column(self.model, found, self.fault, self.target)
        return rng.choices([outcome.id for outcome in found.outcomes], column)[0]

    def cured(self, repair: str, rng: Random) -> bool:
        """Whether a repair makes it work again."""
        found = next(each for each in self.model.repairs if each.id == repair)
        return rng.random() < likelihood(found.cures[self.fault]) if self.fault in found.cures else False


SCOPES = ("unit", "bank", "control")


def scope_weight(model: FaultModel, scope: str) -> float:
    """Weight of the faults that belong to an extent first of all."""
    return sum(fault.weight for fault in model.faults if fault.scopes[0] == scope)


def draw_world(scope: str, rng: Random) -> World:
    """A fault drawn by weight, on a control or bank of a kind drawn by `KIND_SHARES`, with what the player reports."""
    design, _ = demo()
    if scope == "any":  # in proportion to the weight of the faults of each extent
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
    fault = rng.choices(faults, [each.weight for each in faults])[0]
    reports = [each for each in model.symptoms if symptom_fits(each, target)]
    rates = [symptom_rate(model, each, fault.id, target) for each in reports]
    return World(model, target, fault.id, rng.choices(reports, rates)[0].id if reports else "")
