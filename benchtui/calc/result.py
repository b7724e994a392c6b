"""The answer of a calculator, for people and for machines."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from benchtui.units import KINDS, format_number, format_value, format_worst

if TYPE_CHECKING:
    from collections.abc import Mapping

    from benchtui.calc.calculator import Point, Spread, Verdict
    from benchtui.calc.entry import Given


@dataclass(frozen=True, slots=True)
class Value:
    """One output; a text or a choice has no number.

    Attributes:
        kind: A key of `units.KINDS`, "text", or "unit" for a value in a unit that was asked for.
        text: For reading, without the band.
        value: In `unit`.
        unit: Unit of `value`, `min` and `max`.
        min: Lowest value over the inputs' tolerances; None when no input has one.
        max: Highest value.
    """

    kind: str
    text: str
    value: float | None = None
    unit: str = ""
    min: float | None = None
    max: float | None = None

    @property
    def band(self) -> str:
        """The worst case as text; empty when there is none."""
        if self.min is None or self.max is None:
            return ""
        if self.kind == "unit":
            low = format_number(self.min, digits=6, toward=-1)
            return f"{low} to {format_number(self.max, digits=6, toward=1)} {self.unit}"
        return format_worst(self.min, self.max, self.kind)


def value_of(number: float | str, kind: str, band: tuple[float, float] | None, *, digits: int = 4) -> Value:
    """An output as a `Value`, with so many significant figures."""
    if isinstance(number, str):
        return Value("text", number)
    # An output that the toleranced inputs do not move has no band.
    low, high = band if band and band[0] < band[1] else (None, None)
    return Value(
        kind, format_value(number, kind, digits=digits), _tidy(number), KINDS[kind].unit, _tidy(low), _tidy(high)
    )


def value_in(number: float | str, unit: str, band: tuple[float, float] | None) -> Value:
    """An output in a unit that was asked for, which need not be that of any kind."""
    assert not isinstance(number, str)
    low, high = band if band and band[0] < band[1] else (None, None)
    return Value("unit", f"{format_number(number, digits=6)} {unit}", _tidy(number), unit, _tidy(low), _tidy(high))


@dataclass(frozen=True, slots=True)
class Case:
    """One case, as a calculator's `judge` and `picture` see it."""

    spread: Spread
    given: Mapping[str, Given]
    outputs: Mapping[str, Value]

    @property
    def at(self) -> Point:
        """Inputs and chosen parts at their nominal values."""
        return self.spread.at

    def __contains__(self, key: str) -> bool:
        return key in self.given or key in self.outputs

    def text(self, key: str) -> str:
        """An input or an output for reading."""
        if key in self.given:
            return str(self.given[key])
        return self.outputs[key].text

    def out(self, key: str) -> float:
        """An output at the nominal values."""
        value = self.outputs[key].value
        assert value is not None
        return value

    def low(self, key: str) -> float:
        """Lowest value of an output."""
        value = self.outputs[key]
        return self.out(key) if value.min is None else value.min

    def high(self, key: str) -> float:
        """Highest value of an output."""
        value = self.outputs[key]
        return self.out(key) if value.max is None else value.max


@dataclass(frozen=True, slots=True)
class Result:
    """A calculator's answer."""

    calculator: str
    inputs: Mapping[str, Given]
    outputs: Mapping[str, Value]
    verdicts: tuple[Verdict, ...]
    working: tuple[str, ...]
    sources: tuple[str, ...]
    cautions: tuple[str, ...]
    picture: tuple[str, ...] = ()

    def as_json(self) -> dict[str, Any]:
        """The result as plain data: percentages are fractions, a text output has its text alone."""
        return {
            "calculator": self.calculator,
            "inputs": {key: _given_json(given) for key, given in self.inputs.items()},
            "outputs": {key: _value_json(value) for key, value in self.outputs.items()},
            "verdicts": [{"level": verdict.level, "text": verdict.text} for verdict in self.verdicts],
            "working": list(self.working),
            "sources": list(self.sources),
            "cautions": list(self.cautions),
        }


def _given_json(given: Given) -> dict[str, Any]:
    if given.amount is None:
        return {"text": given.word}
    return {"text": given.text, "value": given.value, "unit": given.unit}


def _value_json(value: Value) -> dict[str, Any]:
    if value.value is None:
        return {"text": value.text}
    found: dict[str, Any] = {"value": value.value, "unit": value.unit}
    if value.min is not None and value.max is not None:
        found["min"], found["max"] = value.min, value.max
    found["text"] = value.text
    return found


def _tidy(number: float | None) -> float | None:
    """Fifteen digits drop the noise of the last bit: 0.30000000000000004 is 0.3."""
    return None if number is None else float(f"{number:.15g}")
