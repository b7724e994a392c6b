"""What a hunt is about: one control, a bank, all of a kind or the whole unit, as the fault models need to know it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from benchtui.errors import DesignError
from benchtui.faults.model import KINDS, SCOPES, Scope

if TYPE_CHECKING:
    from collections.abc import Mapping

    from benchtui.design.model import Design


@dataclass(frozen=True, slots=True, kw_only=True)
class Target:
    """The subject of a hunt.

    Attributes:
        scope: Extent of the trouble.
        subject: Id of the control or bank, name of the kind, or empty for the whole unit.
        title: For reading: "fader F3", "bank A", "every pot", "the whole unit".
        kinds: Kinds of control concerned; empty for the whole unit, where the kind is not asked.
        features: What the design offers, of `benchtui.faults.model.FEATURES`.
        control: A control that stands for the subject when test points are to be shown; empty for the whole unit.
        neighbours: Controls to be tried again after a repair.
    """

    scope: Scope
    subject: str = ""
    title: str
    kinds: tuple[str, ...] = ()
    features: frozenset[str] = frozenset()
    control: str = ""
    neighbours: tuple[str, ...] = ()

    @property
    def kind(self) -> str:
        """The kind of control, when there is just one; else empty."""
        return self.kinds[0] if len(self.kinds) == 1 else ""

    def to_data(self) -> dict[str, Any]:
        """The target as plain JSON values."""
        return {
            "scope": self.scope,
            "subject": self.subject,
            "title": self.title,
            "kinds": list(self.kinds),
            "features": sorted(self.features),
            "control": self.control,
            "neighbours": list(self.neighbours),
        }

    @classmethod
    def from_data(cls, data: Mapping[str, Any]) -> Target:
        """The target that `to_data` took apart."""
        return cls(
            scope=data["scope"],
            subject=data.get("subject", ""),
            title=data["title"],
            kinds=tuple(data.get("kinds", ())),
            features=frozenset(data.get("features", ())),
            control=data.get("control", ""),
            neighbours=tuple(data.get("neighbours", ())),
        )


def bare_target(scope: Scope, *, kind: str = "", features: frozenset[str] = frozenset()) -> Target:
    """A target without a design: enough for the numbers of a model, for its scores and for tests."""
    name = kind.replace("-", " ")
    titles = {"unit": "the whole unit", "bank": f"the bank ({name})", "control": f"the {name}", "kind": f"every {name}"}
    return Target(
        scope=scope,
        subject=kind,
        title=titles[scope],
        kinds=(kind,) if kind else (),
        features=features,
    )


def target_of(design: Design, *, scope: str, subject: str = "") -> Target:
    """What a hunt on this design is about.

    Args:
        design: The design of the unit.
        scope: unit, bank, control or kind.
        subject: Id of a control or bank, or a kind of control; ignored for the whole unit.

    Raises:
        DesignError: There is no such scope, control, bank or kind in the design.
    """
    if scope == "unit":
        return Target(scope="unit", title="the whole unit", features=_features(design, ()))
    if scope == "control":
        control = design.control(subject)
        return Target(
            scope="control",
            subject=control.id,
            title=f"{control.kind.replace('-', ' ')} {control.id}",
            kinds=(control.kind,),
            features=_features(design, (control.id,)),
            control=control.id,
            neighbours=_neighbours(design, control.id),
        )
    if scope == "bank":
        members = [control for control in design.controls if control.bank == subject]
        if not members:
            raise DesignError(f"there is no bank {subject!r} in {design.id}", hint=_offer(design, "bank"))
        return Target(
            scope="bank",
            subject=subject,
            title=f"bank {subject}",
            kinds=tuple(dict.fromkeys(control.kind for control in members)),
            features=_features(design, tuple(control.id for control in members)),
            control=members[0].id,
            neighbours=tuple(control.id for control in members),
        )
    if scope == "kind":
        members = [control for control in design.controls if control.kind == subject]
        if not members:
            raise DesignError(f"there is no {subject} in {design.id}", hint=_offer(design, "kind"))
        return Target(
            scope="kind",
            subject=subject,
            title=f"every {subject.replace('-', ' ')}",
            kinds=(subject,),
            features=_features(design, tuple(control.id for control in members)),
            control=members[0].id,
            neighbours=tuple(control.id for control in members),
        )
    raise DesignError(f"there is no scope {scope!r}", hint=f"one of {', '.join(SCOPES)}")


def _features(design: Design, controls: tuple[str, ...]) -> frozenset[str]:
    found = set()
    members = [control for control in design.controls if not controls or control.id in controls]
    if any(control.multiplexer for control in members):
        found.add("multiplexer")
    if any(control.kind == "button-matrix" for control in members):
        found.add("matrix")
    if any(control.kind == "lamp" for control in design.controls):
        found.add("lamps")
    if design.file.firmware.hold:
        found.add("hold-mode")
    return frozenset(found)


def _neighbours(design: Design, subject: str, count: int = 2) -> tuple[str, ...]:
    """The controls nearest on the panel among those that share the bank, then any."""
    here = design.control(subject)
    others = [control for control in design.controls if control.id != subject]
    others.sort(
        key=lambda control: (
            control.bank != here.bank,
            (control.x_mm - here.x_mm) ** 2 + (control.y_mm - here.y_mm) ** 2,
            control.id,
        )
    )
    return tuple(control.id for control in others[:count])


def _offer(design: Design, what: str) -> str:
    if what == "kind":
        kinds: set[str] = {control.kind for control in design.controls}
        known: list[str] = [name for name in KINDS if name in kinds]
    else:
        known = sorted({str(control.bank) for control in design.controls if control.bank})
    return f"there are {', '.join(known)}" if known else f"it has no {what}"
