"""A plan as one text for the record, and back.

Fields at their default are left out. Fields that a newer version has added are passed over, so that a job begun by
another version can still be read.
"""

from __future__ import annotations

import json
from dataclasses import MISSING, fields, is_dataclass
from typing import Any, TypeVar

from benchtui.errors import JobError
from benchtui.jobs.plan import Before, Caution, Choice, Hidden, Limits, Plan, PlanStep, Subject, Wire

T = TypeVar("T")


def plan_text(plan: Plan) -> str:
    """The plan as JSON with one spelling, so that its digest identifies it."""
    return json.dumps(_plain(plan), ensure_ascii=False, sort_keys=True, separators=(",", ":"))


def read_plan(text: str) -> Plan:
    """The plan of a text made by `plan_text`.

    Raises:
        JobError: It is none.
    """
    try:
        raw = json.loads(text)
        return _make(
            Plan,
            raw,
            before=_make(Before, raw.get("before", {})),
            steps=tuple(map(_step, raw.get("steps", ()))),
            hidden=tuple(_make(Hidden, entry) for entry in raw.get("hidden", ())),
        )
    except (ValueError, TypeError, KeyError, AttributeError) as error:
        raise JobError(f"the plan kept in the record cannot be read ({error})") from error


def _step(raw: dict[str, Any]) -> PlanStep:
    return _make(
        PlanStep,
        raw,
        subject=_make(Subject, raw["subject"]) if raw.get("subject") else None,
        limits=_make(Limits, raw["limits"]) if raw.get("limits") else None,
        cautions=tuple(_make(Caution, entry) for entry in raw.get("cautions", ())),
        choices=tuple(_make(Choice, entry) for entry in raw.get("choices", ())),
        wires=tuple(_make(Wire, entry) for entry in raw.get("wires", ())),
    )


def _make(cls: type[T], raw: dict[str, Any], **built: object) -> T:
    known = {entry.name for entry in fields(cls) if entry.init}  # type: ignore[arg-type]
    values = {name: _frozen(value) for name, value in raw.items() if name in known}
    return cls(**{**values, **built})


def _plain(value: Any) -> Any:
    if is_dataclass(value) and not isinstance(value, type):
        plain = {}
        for entry in fields(value):
            own = getattr(value, entry.name)
            default = entry.default_factory() if entry.default_factory is not MISSING else entry.default
            if entry.init and own != default:
                plain[entry.name] = _plain(own)
        return plain
    return [_plain(entry) for entry in value] if isinstance(value, tuple) else value


def _frozen(value: Any) -> Any:
    return tuple(map(_frozen, value)) if isinstance(value, list) else value
