"""All calculators by name. A family of them is a module in `families/`, found by looking there.

Asking for one calculator loads its family only: a sum on the command line must not pay for the others.
"""

from __future__ import annotations

from functools import cache
from importlib import import_module
from pathlib import Path
from pkgutil import iter_modules
from typing import TYPE_CHECKING

from benchtui.calc import families
from benchtui.errors import CalcError, did_you_mean

if TYPE_CHECKING:
    from collections.abc import Mapping

    from benchtui.calc.calculator import Calculator


@cache
def everything() -> Mapping[str, Calculator]:
    """Every calculator by name, in the order of their groups."""
    found: list[Calculator] = []
    for module in iter_modules(families.__path__):
        found.extend(_calculators_in(module.name))
    return {calculator.name: calculator for calculator in sorted(found, key=lambda one: one.group)}


def names() -> tuple[str, ...]:
    """The names of all calculators."""
    return tuple(everything())


def get(name: str) -> Calculator:
    """The calculator of that name.

    Raises:
        CalcError: There is none; the hint names the nearest.
    """
    for module in _mentioning(name):
        for calculator in _calculators_in(module):
            if calculator.name == name:
                return calculator
    known = everything()
    if name in known:
        return known[name]
    hint = did_you_mean(name.lower(), known, otherwise="type: benchtui calc, to list them", cutoff=0.5)
    raise CalcError(f"there is no calculator {name[:40]!r}", hint=hint)


def _calculators_in(module: str) -> tuple[Calculator, ...]:
    found: tuple[Calculator, ...] = import_module(f"{families.__name__}.{module}").CALCULATORS
    return found


def _mentioning(name: str) -> list[str]:
    """The family modules whose source has the name in quotes; reading them is far quicker than importing them.

    Only a short cut: where the sources cannot be read, or none has it, every family is loaded.
    """
    quoted = f'"{name}"'
    return [
        source.stem
        for folder in families.__path__
        for source in sorted(Path(folder).glob("[a-z]*.py"))
        if quoted in source.read_text(encoding="utf-8")
    ]
