"""A fault model of three faults, made in code, for tests of what a hunt does with any model."""

from __future__ import annotations

from typing import Any

from benchtui.errors import Place
from benchtui.faults import hunt
from benchtui.faults.hunt import HuntState
from benchtui.faults.model import (
    Access,
    Fault,
    FaultModel,
    Outcome,
    PatternRule,
    Repair,
    Sign,
    Symptom,
    Test,
    Workaround,
)
from benchtui.faults.target import bare_target

HERE = Place("small")

OUTCOMES = (
    Outcome(id="ok", text="fine", finding=False, reading="inside", place=HERE),
    Outcome(id="bad", text="not fine", finding=True, reading="outside", place=HERE),
)


def fault(id: str, weight: float, **more: Any) -> Fault:
    return Fault(
        id=id,
        title=f"Fault {id}",
        short=f"fault {id}",
        reported="?",
        scopes=("control",),
        weight=weight,
        place=HERE,
        **more,
    )


def look(id: str, minutes: float, finds: dict[str, str], **more: Any) -> Test:
    more = {"outcomes": OUTCOMES, "disturbs": False, **more}
    return Test(id=id, title=f"Test {id}", do="Look at {it}.", minutes=minutes, finds=finds, place=HERE, **more)


def repair(id: str, minutes: float, cures: dict[str, str], **more: Any) -> Repair:
    return Repair(id=id, title=f"Repair {id}", do="Mend {it}.", minutes=minutes, cures=cures, place=HERE, **more)


def small_model(**changes: Any) -> FaultModel:
    """Faults A, B, C; a quick test outside for A, one inside for B; a repair for each, B and C under the lid."""
    parts: dict[str, Any] = {
        "fault_model": "small",
        "title": "Small",
        "revision": 1,
        "design": "any",
        "purpose": "tests",
        "source": "estimate",
        "unknown": 0.05,
        "rare": 0.03,
        "try_again": 0.5,
        "conditions": (),
        "access": (Access(id="lid", title="the lid", do="Open it.", minutes=4, not_within=10, place=HERE),),
        "signs": (Sign(id="smells", text="It smells", first=("T2",), why="A short may burn.", place=HERE),),
        "symptoms": (
            Symptom(
                id="dead",
                title="Dead",
                scopes=("control",),
                again="Move {it}.",
                likely={"A": "usually", "B": "usually", "C": "never"},
                place=HERE,
            ),
            Symptom(
                id="sometimes", title="Now and then", scopes=("control",), again="Shake {it}.", shows=0.3, place=HERE
            ),
            Symptom(id="odd", title="Odd", scopes=("control",), again="Look.", same_as="T1", place=HERE),
        ),
        "faults": (fault("A", 3), fault("B", 2), fault("C", 1)),
        "tests": (
            look("T1", 1, {"A": "usually"}),
            look("T2", 2, {"B": "always"}, access="lid", power="off"),
            look("T3", 1, {"C": "often"}, access="lid", disturbs=True),
        ),
        "repairs": (
            repair("mend-a", 5, {"A": "usually"}, power="either"),
            repair("mend-b", 9, {"B": "usually"}, access="lid"),
            repair("mend-c", 20, {"C": "usually"}, access="lid", prove=("T3",)),
        ),
        "workarounds": (
            Workaround(
                id="spare",
                title="Use the spare",
                do="Map {it}.",
                minutes=2,
                loses="one control",
                worth=60,
                scopes=("control",),
                place=HERE,
            ),
        ),
        "patterns": (PatternRule(shape="moves", test="T1", outcome="bad", place=HERE),),
        "place": HERE,
    }
    return FaultModel(**{**parts, **changes})


def small_hunt(model: FaultModel | None = None, **more: Any) -> HuntState:
    """A hunt on one fader with the small model."""
    return hunt.start(model or small_model(), target=bare_target("control", kind="fader"), **more)
