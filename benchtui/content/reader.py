"""Nodes to frozen dataclasses: one generic reader for every kind of content file.

The dataclass is the schema. Field names become keys (`for_` is "for", `first_aid` is "first-aid"), types say how a text
is converted, a field without a default must be there, and a field `place: Place` is filled with where the object
stands. Every problem of a file is found in one pass; each says where, what and what to do.
"""

from __future__ import annotations

import dataclasses
import math
import types
import typing
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Annotated, Any, Final, Literal, TypeVar

import yaml

from benchtui.content.nodes import place_of
from benchtui.errors import Place, Problem, UnitError, did_you_mean, nearest_word
from benchtui.units import Amount, parse

T = TypeVar("T")

_DEEPEST: Final = 30


@dataclass(frozen=True, slots=True)
class Unit:
    """Annotation of an `Amount` field: the kind of quantity it holds, a key of `benchtui.units.KINDS`."""

    kind: str


@dataclass(frozen=True, slots=True)
class Heading:
    """Annotation of a tuple field that has to be answered: entries, or the word `none`. Silence is refused."""


@dataclass(frozen=True, slots=True)
class Keyed:
    """Annotation of a tuple of dataclasses written as a mapping: the key fills the field `id` of each."""

    field: str = "id"


@dataclass(frozen=True, slots=True)
class Scalar:
    """Annotation of a dataclass field that may also be written as a bare text: it fills the named field."""

    field: str


def read(cls: type[T], node: yaml.Node, *, file: str) -> tuple[T | None, list[Problem]]:
    """Read a node as a dataclass.

    Args:
        cls: The dataclass; nested dataclasses, tuples, mappings, literals, numbers, texts and amounts are understood.
        node: What `nodes.compose` gave.
        file: Name to report problems under.

    Returns:
        The object, None when it cannot be built, and every problem found.
    """
    reader = _Reader(file)
    value = reader.build(cls, node, ())
    found = sorted(reader.problems)
    return (None if value is _BAD else value), found


class _Bad:
    """Stands for a value that could not be read; its problem has been noted."""


_BAD: Final = _Bad()


@dataclass(frozen=True, slots=True)
class _Field:
    name: str
    key: str
    type: Any
    required: bool


@cache
def _fields(cls: type) -> tuple[_Field, ...]:
    """Fields of a dataclass with resolved types; cached, for resolving costs more than reading."""
    hints = typing.get_type_hints(cls, include_extras=True)
    found = []
    for field in dataclasses.fields(cls):
        if not field.init:
            continue
        required = field.default is dataclasses.MISSING and field.default_factory is dataclasses.MISSING
        key = field.metadata.get("key") or field.name.rstrip("_").replace("_", "-")
        found.append(_Field(field.name, key, hints[field.name], required))
    return tuple(found)


class _Reader:
    """One pass over one file."""

    def __init__(self, file: str) -> None:
        self.file = file
        self.problems: list[Problem] = []

    def note(self, node: yaml.Node, path: tuple[str, ...], message: str, hint: str = "") -> _Bad:
        where = ".".join(path).replace(".[", "[")
        self.problems.append(Problem(place_of(node, self.file), f"{where}: {message}" if where else message, hint))
        return _BAD

    # One method per shape of type; `value` chooses.

    def value(self, hint: Any, node: yaml.Node, path: tuple[str, ...]) -> Any:
        if len(path) > _DEEPEST:
            return self.note(node, path, "this lies too deep")
        marks: tuple[Any, ...] = ()
        if typing.get_origin(hint) is Annotated:
            hint, *rest = typing.get_args(hint)
            marks = tuple(rest)
        origin = typing.get_origin(hint)
        if origin in (typing.Union, types.UnionType):
            [hint] = [each for each in typing.get_args(hint) if each is not type(None)]
            return self.value(Annotated[hint, *marks] if marks else hint, node, path)
        if hint is Amount:
            return self.amount(next(mark for mark in marks if isinstance(mark, Unit)), node, path)
        if origin is tuple:
            return self.sequence(typing.get_args(hint)[0], marks, node, path)
        if origin in (dict, Mapping):
            return self.mapping(typing.get_args(hint)[1], node, path)
        if origin is Literal:
            return self.choice(typing.get_args(hint), node, path)
        if dataclasses.is_dataclass(hint):
            bare = next((mark for mark in marks if isinstance(mark, Scalar)), None)
            return self.build(typing.cast("type", hint), node, path, bare=bare)
        return self.scalar(hint, node, path)

    def build(self, cls: type, node: yaml.Node, path: tuple[str, ...], *, bare: Scalar | None = None) -> Any:
        fields = _fields(cls)
        values: dict[str, Any] = {}
        strange: list[str] = []
        if bare is not None and isinstance(node, yaml.ScalarNode):
            values[bare.field] = self.scalar(str, node, path)
        elif isinstance(node, yaml.MappingNode):
            path = _named(path, node)
            values, strange = self.entries(fields, node, path)
        else:
            keys = ", ".join(field.key for field in fields if field.required and field.type is not Place)
            return self.note(node, path, f"expected keys, found {_shape(node)}", f"write {keys}" if keys else "")
        bad = any(value is _BAD for value in values.values())
        for field in fields:
            if field.type is Place:
                values[field.name] = place_of(node, self.file)
            elif field.name not in values and field.required:
                bad = True
                if not any(nearest_word(key, [each.key for each in fields]) == field.key for key in strange):
                    hint = "write `none` if there are none: silence is no answer" if _is_heading(field.type) else ""
                    self.note(node, path, f"key {field.key!r} is missing", hint)
        return _BAD if bad else cls(**values)

    def entries(
        self, fields: tuple[_Field, ...], node: yaml.MappingNode, path: tuple[str, ...]
    ) -> tuple[dict[str, Any], list[str]]:
        """What the keys of a mapping hold, by field name, and the keys that are unknown."""
        known = {field.key: field for field in fields if field.type is not Place}
        values: dict[str, Any] = {}
        strange: list[str] = []
        for key_node, value_node in node.value:
            key = self.key(key_node, path)
            if key is None:
                continue
            if key not in known:
                cut = node.flow_style and isinstance(value_node, yaml.ScalarNode) and not value_node.value
                hint = "inside { } a comma ends a text: put it in quotes" if cut else _known_keys(key, known)
                self.note(key_node, path, f"unknown key {key!r}", hint)
                strange.append(key)
            elif known[key].name in values:
                self.note(key_node, path, f"key {key!r} is given twice", "keep one of them")
            else:
                values[known[key].name] = self.value(known[key].type, value_node, (*path, key))
        return values, strange

    def key(self, node: yaml.Node, path: tuple[str, ...]) -> str | None:
        """The text of a key; None, with a problem noted, when it is a list or keys itself."""
        if isinstance(node, yaml.ScalarNode):
            return str(node.value)
        self.note(node, path, f"expected a key, found {_shape(node)}")
        return None

    def sequence(self, item: Any, marks: tuple[Any, ...], node: yaml.Node, path: tuple[str, ...]) -> Any:
        heading = any(isinstance(mark, Heading) for mark in marks)
        keyed = next((mark for mark in marks if isinstance(mark, Keyed)), None)
        if isinstance(node, yaml.ScalarNode) and heading and node.value == "none":
            return ()
        if keyed is not None and isinstance(node, yaml.MappingNode):
            return self.keyed(item, keyed, node, path)
        if not isinstance(node, yaml.SequenceNode):
            shape = "keys" if keyed else "a list"
            hint = "begin each entry with '- '" + (", or write `none`" if heading else "")
            return self.note(node, path, f"expected {shape}, found {_shape(node)}", "" if keyed else hint)
        if not node.value:
            hint = "write `none` if there are none: silence is no answer" if heading else "write its entries"
            return self.note(node, path, "the list is empty", hint)
        values = [self.value(item, each, (*path, f"[{number}]")) for number, each in enumerate(node.value, 1)]
        return _BAD if any(value is _BAD for value in values) else tuple(values)

    def keyed(self, item: Any, keyed: Keyed, node: yaml.MappingNode, path: tuple[str, ...]) -> Any:
        values: list[Any] = []
        seen: set[str] = set()
        for key_node, value_node in node.value:
            key = self.key(key_node, path)
            if key is None:
                values.append(_BAD)
                continue
            if key in seen:
                values.append(self.note(key_node, path, f"key {key!r} is given twice", "ids are never reused"))
                continue
            seen.add(key)
            if isinstance(value_node, yaml.MappingNode):
                # The key becomes the object's id, as if it had been written inside.
                inner = yaml.ScalarNode("tag:yaml.org,2002:str", keyed.field, key_node.start_mark, key_node.end_mark)
                value_node = yaml.MappingNode(
                    value_node.tag, [(inner, key_node), *value_node.value], key_node.start_mark, value_node.end_mark
                )
            values.append(self.value(item, value_node, (*path, f"[{key}]")))
        return _BAD if any(value is _BAD for value in values) else tuple(values)

    def mapping(self, item: Any, node: yaml.Node, path: tuple[str, ...]) -> Any:
        if not isinstance(node, yaml.MappingNode):
            return self.note(node, path, f"expected keys, found {_shape(node)}")
        values: dict[str, Any] = {}
        for key_node, value_node in node.value:
            key = self.key(key_node, path)
            if key is None:
                values[""] = _BAD
            elif key in values:
                values[key] = self.note(key_node, path, f"key {key!r} is given twice", "keep one of them")
            else:
                values[key] = self.value(item, value_node, (*path, key))
        return _BAD if any(value is _BAD for value in values.values()) else values

    def choice(self, choices: tuple[Any, ...], node: yaml.Node, path: tuple[str, ...]) -> Any:
        text = self.text(node, path)
        if text is _BAD:
            return _BAD
        for choice in choices:
            if str(choice) == text:
                return choice
        words = ", ".join(map(str, choices))
        near = nearest_word(text, map(str, choices))
        return self.note(
            node, path, f"expected one of {words}; found {text!r}", f"did you mean {near!r}?" if near else ""
        )

    def amount(self, unit: Unit, node: yaml.Node, path: tuple[str, ...]) -> Any:
        text = self.text(node, path)
        if text is _BAD:
            return _BAD
        try:
            return parse(text, unit.kind)
        except UnitError as error:
            return self.note(node, path, error.message, error.hint)

    def scalar(self, hint: Any, node: yaml.Node, path: tuple[str, ...]) -> Any:
        text = self.text(node, path)
        if text is _BAD or hint is str:
            return text
        if hint is bool:
            if text in ("yes", "no"):
                return text == "yes"
            return self.note(node, path, f"expected yes or no, found {text!r}")
        if hint is int:
            try:
                return int(text) if text.isascii() and text.lstrip("-").isdecimal() else int("x")
            except ValueError:
                return self.note(node, path, f"expected a whole number, found {text!r}")
        if hint is float:
            try:
                number = float(text) if text.isascii() and "_" not in text else math.nan
            except ValueError:
                number = math.nan
            return number if math.isfinite(number) else self.note(node, path, f"expected a number, found {text!r}")
        raise TypeError(f"no way to read {hint!r} at {'.'.join(path)}")  # a mistake in a dataclass, not in a file

    def text(self, node: yaml.Node, path: tuple[str, ...]) -> Any:
        if not isinstance(node, yaml.ScalarNode):
            return self.note(node, path, f"expected a text, found {_shape(node)}")
        text = str(node.value).strip()
        return text or self.note(node, path, "there is nothing here", "write it, or leave the key out")


def _is_heading(hint: Any) -> bool:
    return typing.get_origin(hint) is Annotated and any(isinstance(mark, Heading) for mark in typing.get_args(hint))


def _named(path: tuple[str, ...], node: yaml.MappingNode) -> tuple[str, ...]:
    """The path with the object's own id in place of its number in the list."""
    if path and path[-1].startswith("["):
        for key, value in node.value:
            if getattr(key, "value", "") == "id" and isinstance(value, yaml.ScalarNode):
                return (*path[:-1], f"[{value.value}]")
    return path


def _shape(node: yaml.Node) -> str:
    if isinstance(node, yaml.MappingNode):
        return "keys"
    if isinstance(node, yaml.SequenceNode):
        return "a list"
    return f"the text {node.value!r}" if node.value else "nothing"


def _known_keys(key: str, known: Mapping[str, Any]) -> str:
    return did_you_mean(key, known, otherwise=f"known keys are {', '.join(known)}")
