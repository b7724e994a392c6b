"""A fault model as one text for the record, and back, so that a hunt can be taken up whatever became of its file.

Fields at their default are left out. Fields that a newer version has added are passed over, so that a hunt begun by
another version can still be read.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import MISSING, fields, is_dataclass
from functools import cache
from typing import Any, TypeVar, get_args, get_origin, get_type_hints

from benchtui.errors import JobError, Place
from benchtui.faults.model import FaultModel

T = TypeVar("T")

KEPT = Place("the record")
"""Where a model that was read back is from."""


def model_text(model: FaultModel) -> str:
    """The model as JSON with one spelling, so that its digest identifies it."""
    return json.dumps(_plain(model), ensure_ascii=False, sort_keys=True, separators=(",", ":"))


def read_model_text(text: str) -> FaultModel:
    """The model of a text made by `model_text`.

    Raises:
        JobError: It is none.
    """
    try:
        return _make(FaultModel, json.loads(text))
    except (ValueError, TypeError, KeyError, AttributeError) as error:
        raise JobError(f"the fault model kept in the record cannot be read ({error})") from error


def _plain(value: Any) -> Any:
    if is_dataclass(value) and not isinstance(value, type):
        plain = {}
        for entry in fields(value):
            inner = getattr(value, entry.name)
            default = entry.default_factory() if entry.default_factory is not MISSING else entry.default
            if entry.name != "place" and inner != default:
                plain[entry.name] = _plain(inner)
        return plain
    if isinstance(value, tuple):
        return [_plain(inner) for inner in value]
    if isinstance(value, Mapping):
        return {key: _plain(inner) for key, inner in value.items()}
    return value


@cache
def _hints(cls: type[Any]) -> dict[str, Any]:
    return get_type_hints(cls)


def _make(cls: type[T], raw: Mapping[str, Any]) -> T:
    hints: dict[str, Any] = _hints(cls)  # type: ignore[arg-type]  # a class is hashable
    values = {}
    for entry in fields(cls):  # type: ignore[arg-type]  # only ever a dataclass
        if entry.name == "place":
            values["place"] = KEPT
        elif entry.name in raw:
            values[entry.name] = _value(hints[entry.name], raw[entry.name])
    return cls(**values)


def _value(hint: Any, raw: Any) -> Any:
    if is_dataclass(hint) and isinstance(hint, type):
        return _make(hint, raw)
    origin = get_origin(hint)
    if origin is tuple:
        inner = get_args(hint)[0]
        # A field that held one name in an earlier version and holds several now.
        return tuple(_value(inner, each) for each in ([raw] if isinstance(raw, str) else raw))
    if origin is Mapping:
        inner = get_args(hint)[1]
        return {key: _value(inner, each) for key, each in raw.items()}
    return raw
