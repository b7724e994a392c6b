"""Reference records: published figures with their source, and how a calculator is asked for each."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import yaml
from helpers.calculate import ask

REFERENCE = Path(__file__).resolve().parents[1] / "reference"

Record = dict[str, Any]

UNITS = {
    "kohm": 1e3, "ohm": 1.0, "V": 1.0, "mV": 1e-3, "uV": 1e-6, "A": 1.0, "mA": 1e-3, "uA": 1e-6, "%": 1e-2, "1": 1.0,
    "W": 1.0, "mW": 1e-3, "Hz": 1.0, "ms": 1e-3, "us": 1e-6, "s": 1.0, "m": 1.0, "mm": 1e-3, "mm2": 1e-6, "mm²": 1e-6,
    "in²": 0.0254**2, "ohm/kft": 1 / 304.8, "degC": 1.0, "°C": 1.0, "uC": 1e-6, "mJ": 1e-3, "dB": 1.0, "1e-6/K": 1e-6,
    "N": 1.0, "kN": 1e3, "N·m": 1.0, "lbf·in": 0.1129848290276167, "lbf": 4.4482216152605, "MPa": 1e6, "-": 1.0,
    "h": 3600.0,
    "J": 1.0, "Wh": 1.0, "Ω": 1.0, "kpsi": 6894757.293168, "ohm*mm2/km": 1e-9, "1/degC": 1.0, "": 1.0,
}  # fmt: skip
"""Units of expected figures in the unit of the calculator's answer, written out here so that units are checked too."""


@dataclass(frozen=True)
class Check:
    """One figure of a record and the call that has to give it.

    Attributes:
        call: Calculator and what is typed.
        output: Output key, with ".min" or ".max" for an end of its band.
        expected: The figure, in `unit`; a text for a text output.
        unit: A key of `UNITS`.
        rel: Relative tolerance instead of the record's.
        plus: What the record adds to the output (a fixed part of another nature), in the same unit.
    """

    call: tuple[str, dict[str, Any]]
    output: str
    expected: Any
    unit: str = ""
    rel: float | None = None
    plus: float = 0.0


def call(name: str, **texts: Any) -> tuple[str, dict[str, Any]]:
    """A call of a calculator; underscores in keys stand for hyphens."""
    return name, texts


Mapper = Callable[[Record], list[Check]]


@cache
def load(name: str) -> tuple[Record, ...]:
    """All records of a file, by its name without ending."""
    return tuple(yaml.safe_load((REFERENCE / f"{name}.yaml").read_text(encoding="utf-8")))


def typed(entry: Any) -> str:
    """A {"value", "unit"} of a record as a person would type it."""
    if isinstance(entry, dict):
        unit = "" if entry["unit"] in ("1", "-") else f" {entry['unit']}"
        return f"{entry['value']!r}{unit}"
    return str(entry)


def expect(record: Record, key: str, asked: tuple[str, dict[str, Any]], output: str, **more: Any) -> Check:
    """The check of one expected entry of a record."""
    entry = record["expected"] if key == "" else record["expected"][key]
    if isinstance(entry, dict):
        return Check(asked, output, entry["value"], entry["unit"], **more)
    return Check(asked, output, entry, **more)


def run_check(record: Record, check: Check) -> None:
    """Ask the command line and compare, within the record's tolerance."""
    key, _, end = check.output.partition(".")
    name, texts = check.call
    found = ask(name, **texts)["outputs"]
    assert key in found, f"{name} gives {sorted(found)}, not {key}"
    answer = found[key]
    if isinstance(check.expected, (str, bool)):
        wanted = {True: "yes", False: "no"}.get(check.expected, check.expected)
        assert answer["text"] == wanted
        return
    value = answer[end or "value"] + check.plus
    wanted = check.expected * UNITS[check.unit]
    tolerance = record["tolerance"]
    rel = check.rel if check.rel is not None else tolerance.get("rel", tolerance.get("relative"))
    absolute = tolerance.get("abs", tolerance.get("absolute", 0.0)) * UNITS[check.unit]
    allowed = max(absolute, (rel or 0.0) * abs(wanted), 1e-11 * abs(wanted))
    assert abs(value - wanted) <= allowed, (
        f"{check.call}: {check.output} is {value}, the source says {wanted} ± {allowed}"
    )


def mapper_of(record: Record, mappers: dict[str, Mapper]) -> Mapper | None:
    """The mapper whose pattern matches the record's id."""
    for pattern, mapper in mappers.items():
        if re.fullmatch(pattern, record["id"]):
            return mapper
    return None


def reason_of(record: Record, reasons: dict[str, str]) -> str:
    """Why a record is no calculator's business; empty when it is one's."""
    return next((reason for pattern, reason in reasons.items() if re.fullmatch(pattern, record["id"])), "")


def both(name: str, mappers: dict[str, Mapper], reasons: dict[str, str]) -> Iterator[tuple[Record, Mapper]]:
    """The records that a calculator is asked for."""
    for record in load(name):
        mapper = mapper_of(record, mappers)
        if mapper is not None and not reason_of(record, reasons):
            yield record, mapper
