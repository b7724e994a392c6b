"""What a hunt is about: one control, a bank, all of a kind or the whole unit, as the fault models need to know it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from benchtui.errors import DesignError
from benchtui.faults.model import KINDS, SCOPES, Scope
from benchtui.faults.plugs import like_plugs
from benchtui.faults.terms import PRESSED
from benchtui.faults.words import WHOLE_UNIT, kind_words

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from benchtui.design.model import Control, Design


@dataclass(frozen=True, slots=True, kw_only=True)
class Target:
    """The subject of a hunt.

    Attributes:
        scope: Extent of the trouble.
        subject: Id of the control or bank, name of the kind, or empty for the whole unit.
        title: For reading: "fader F3", "bank A", "every pot", "the whole unit".
        kinds: Kinds of control concerned; empty for the whole unit, where the kind is not asked.
        features: What the design offers, of `benchtui.faults.model.FEATURES`.
        control: The control that a test of one control is made on; empty for the whole unit. Of a bank it is the one
            that is said to be worst, or else the one furthest from its feed.
        bad: Whether that control is known to be bad.
        neighbours: Controls to be tried again after a repair.
    """

    scope: Scope
    subject: str = ""
    title: str
    kinds: tuple[str, ...] = ()
    features: frozenset[str] = frozenset()
    control: str = ""
    bad: bool = False
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
            "bad": self.bad,
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
            bad=bool(data.get("bad", False)),
            neighbours=tuple(data.get("neighbours", ())),
        )


def bare_target(scope: Scope, *, kind: str = "", features: frozenset[str] = frozenset()) -> Target:
    """A target without a design: enough for the numbers of a model, for its scores and for tests."""
    name = kind.replace("-", " ")
    titles = {"unit": WHOLE_UNIT, "bank": f"the bank ({name})", "control": f"the {name}", "kind": f"every {name}"}
    return Target(
        scope=scope,
        subject=kind,
        title=titles[scope],
        kinds=(kind,) if kind else (),
        features=features,
    )


def target_of(design: Design, *, scope: str, subject: str = "", control: str = "") -> Target:
    """What a hunt on this design is about.

    Args:
        design: The design of the unit.
        scope: unit, bank, control or kind.
        subject: Id of a control or bank, or a kind of control; ignored for the whole unit.
        control: Of a bank or kind, the control that is worst; empty when nobody knows.

    Raises:
        DesignError: There is no such scope, control, bank or kind in the design, or the control is not one of them.
    """
    if scope == "unit":
        return Target(scope="unit", title=WHOLE_UNIT, features=_features(design, ()))
    if scope == "control":
        own = design.control(subject)
        return Target(
            scope="control",
            subject=own.id,
            title=control_title(own),
            kinds=(own.kind,),
            features=_features(design, (own.id,)),
            control=own.id,
            neighbours=_neighbours(design, own.id),
        )
    if scope == "bank":
        members = [each for each in design.controls if each.bank == subject]
        if not members:
            raise DesignError(f"there is no bank {subject!r} in {design.id}", hint=_offer(design, "bank"))
        return Target(
            scope="bank",
            subject=subject,
            title=f"bank {subject}",
            kinds=tuple(dict.fromkeys(each.kind for each in members)),
            features=_features(design, tuple(each.id for each in members)),
            control=_worst(members, control),
            bad=bool(control),
            neighbours=tuple(each.id for each in members),
        )
    if scope == "kind":
        members = [each for each in design.controls if each.kind == subject]
        if not members:
            raise DesignError(f"there is no {subject} in {design.id}", hint=_offer(design, "kind"))
        return Target(
            scope="kind",
            subject=subject,
            title=f"every {kind_words(subject)}{' of the matrix' if subject == 'button-matrix' else ''}",
            kinds=(subject,),
            features=_features(design, tuple(each.id for each in members)),
            control=_worst(members, control),
            bad=bool(control),
            neighbours=tuple(each.id for each in members),
        )
    raise DesignError(f"there is no scope {scope!r}", hint=f"one of {', '.join(SCOPES)}")


def control_title(control: Control) -> str:
    """A control for reading: "fader F3"."""
    return f"{kind_words(control.kind)} {control.id}"


def read_at(design: Design, target: Target, kinds: Sequence[str] = ()) -> Control | None:
    """The control that a test of one control is made on: of a bank the worst, or one of the kinds; None for a unit.

    Args:
        design: The design.
        target: What the hunt is about.
        kinds: Kinds of control that the test is for; empty for any.
    """
    if not target.control:
        return None
    own = design.control(target.control)
    if not kinds or own.kind in kinds or target.scope == "control":
        return own
    others = [design.control(id) for id in target.neighbours]
    # None of them: a test that a hold mode of the firmware allows.
    return next((each for each in reversed(others) if each.kind in kinds), own)


def _worst(members: Sequence[Control], control: str) -> str:
    """The control that is said to be worst, or the last of a bank: chains are built in the order of the file."""
    if not control:
        return members[-1].id
    found = next((each for each in members if each.id.lower() == control.lower()), None)
    if found is None:
        raise DesignError(f"{control} is not one of these", hint=f"there are {', '.join(each.id for each in members)}")
    return found.id


def _features(design: Design, controls: tuple[str, ...]) -> frozenset[str]:
    found = set()
    members = [control for control in design.controls if not controls or control.id in controls]
    if any(control.multiplexer for control in members):
        found.add("multiplexer")
    if any(control.kind == "button-matrix" for control in members):
        found.add("matrix")
    if any(control.kind == "lamp" for control in design.controls):
        found.add("lamps")
    if any(like_plugs(design, plug) for plug in dict.fromkeys(control.connector for control in members)):
        found.add("second-plug")
    if any(
        control.part.mount is not None and (control.part.mount.thread or control.part.mount.nut) for control in members
    ):
        found.add("nut")
    if any(control.kind in PRESSED or "push" in control.pins for control in members):
        found.add("press")
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
