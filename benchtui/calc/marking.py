"""Reading and writing the marks on resistors: coloured bands, letter and digit codes, chip codes."""

from __future__ import annotations

import re
from dataclasses import dataclass
from math import floor, log10
from typing import Final

from benchtui.calc.tables import colours
from benchtui.calc.tables.series import decade, nearest
from benchtui.errors import CalcError, nearest_word

_LETTERED: Final = re.compile(r"(\d{0,4})([LRKMGk])(\d{0,3})([A-Z]?)")
_CHIP: Final = re.compile(r"(\d\d)([ZYXSABHCDEF])")


@dataclass(frozen=True, slots=True)
class Marked:
    """What a mark says.

    Attributes:
        resistance: In ohm.
        tolerance: As a share; None when the mark does not say.
        coefficient: Temperature coefficient in 1/K; None when the mark does not say.
        other: The same bands read from the other end, when that is possible too.
        turned: Whether the bands had to be read from the other end.
        how: What kind of mark it was taken for.
        figures: Significant figures of the mark; 0 where it has no fixed number.
    """

    resistance: float
    tolerance: float | None = None
    coefficient: float | None = None
    other: Marked | None = None
    turned: bool = False
    how: str = ""
    figures: int = 0


def read_code(text: str) -> Marked:
    """Read "4K7", "R47", "470R", "4K7J", "103", "1002" or the chip code "29B".

    Raises:
        CalcError: It is no such code.
    """
    code = re.sub(r"(?<=\d)\.(\d{1,3})([kKMGR])$", r"\2\1", text.strip())  # "4.7k"
    if re.fullmatch(r"\d{1,4}m\d{0,3}", code):
        raise CalcError("is m milli or mega?", key="code", hint=f"type {code.upper()} for mega, or the value in ohm")
    if (match := _LETTERED.fullmatch(code.replace("r", "R"))) and (match[1] or match[3]):
        tolerance = colours.TOLERANCE_LETTERS.get(match[4]) if match[4] else None
        if match[4] and tolerance is None:
            raise CalcError(
                f"{match[4]} is no tolerance letter", key="code", hint="they are B C D F G J K M and others"
            )
        number = f"{match[1] or '0'}.{match[3] or '0'}"
        return Marked(_tidy(float(number) * colours.LETTERS[match[2].upper()]), tolerance, how="letter and digit code")
    if match := _CHIP.fullmatch(code.upper()):
        position = int(match[1])
        if not 1 <= position <= 96:
            raise CalcError("the first two digits of a chip code are 01 to 96", key="code")
        value = decade("E96")[position - 1] * 10.0 ** colours.CHIP_LETTERS[match[2]]
        return Marked(_tidy(value), 0.01, how="three-character chip code: E96 position and multiplier")
    if re.fullmatch(r"0{1,4}", code):
        return Marked(0.0, how="a link of no ohms")
    if re.fullmatch(r"\d{3,4}", code):
        figures = len(code) - 1
        return Marked(
            _tidy(float(f"{code[:-1]}e{code[-1]}")), how=f"{figures} digits and a power of ten", figures=figures
        )
    raise CalcError(f"{code[:20]!r} is not a resistor code", key="code", hint="type it like 4K7, R47, 103, 1002 or 29B")


def read_bands(text: str) -> Marked:
    """Read three to six colour names, from the end nearest the lead.

    Raises:
        CalcError: A name is unknown, or the bands mean nothing from either end.
    """
    names = band_names(re.sub(r"\s+(none|no band|empty)$", "", text.strip(), flags=re.I))
    if names == ["black"]:
        return Marked(0.0, how="a link of no ohms")
    if not 3 <= len(names) <= 6:
        count = "one band means" if len(names) == 1 else f"{len(names)} bands mean"
        raise CalcError(f"{count} nothing", key="bands", hint="type three to six colours, like yellow violet red gold")
    forward, backward = _from_one_end(names), _from_one_end(names[::-1])
    if forward is None and backward is None:
        raise CalcError("these bands mean nothing from either end", key="bands", hint="look at the colours in daylight")
    if forward is None:
        assert backward is not None
        return Marked(
            backward.resistance, backward.tolerance, backward.coefficient, turned=True, how="read from the other end"
        )
    different = backward is not None and names != names[::-1]
    return Marked(
        forward.resistance,
        forward.tolerance,
        forward.coefficient,
        other=backward if different else None,
        how=f"{len(names)} bands",
    )


def band_names(text: str) -> list[str]:
    """The colours typed, by their usual names.

    Raises:
        CalcError: One of them is no colour of the code.
    """
    names = [colours.ALIASES.get(name, name) for name in re.split(r"[\s,;/|+-]+", text.strip().lower()) if name]
    for name in names:
        if name not in colours.EXPONENTS:
            near = nearest_word(name, colours.EXPONENTS)
            hint = f"did you mean {near}?" if near else f"colours are {', '.join(colours.EXPONENTS)}"
            raise CalcError(f"{name[:20]!r} is not a colour of the code", key="bands", hint=hint)
    return names


def _from_one_end(names: list[str]) -> Marked | None:
    """The meaning in this direction; None when a band cannot stand where it does."""
    figures = 2 if len(names) <= 4 else 3
    digits = names[:figures]
    if any(name not in colours.DIGITS for name in digits) or digits[0] == "black":
        return None
    rest = names[figures:]
    tolerance = colours.TOLERANCES.get(rest[1]) if len(rest) > 1 else colours.NO_BAND
    coefficient = colours.COEFFICIENTS.get(rest[2]) if len(rest) > 2 else None
    if tolerance is None or (len(rest) > 2 and coefficient is None):
        return None
    number = int("".join(str(colours.DIGITS.index(name)) for name in digits))
    value = float(f"{number}e{colours.EXPONENTS[rest[0]]}")
    return Marked(value, tolerance, None if coefficient is None else coefficient * 1e-6)


def is_preferred(value: float, series: str) -> bool:
    """Whether a value is a member of a series."""
    return value > 0 and abs(nearest(value, series) / value - 1) < 1e-6


def code_of(value: float) -> str:
    """The letter and digit code of a value: 4700 gives "4K7", 0.47 "R47", 100 "100R"."""
    if value == 0:
        return "0R"
    letter, scale = next(
        (letter, scale) for letter, scale in (("G", 1e9), ("M", 1e6), ("K", 1e3), ("R", 1.0), ("L", 1e-3), ("L", 0.0))
        if _three(value) >= scale
    )  # fmt: skip
    if letter == "L" and _three(value) >= 1e-2:
        letter, scale = "R", 1.0
    number = _three(value) / (scale or 1e-3)
    whole, _, part = f"{float(f'{number:.6g}'):.10g}".partition(".")
    return f"{'' if whole == '0' else whole}{letter}{part}"


def small_chip_code_of(value: float, tolerance: float | None) -> str | None:
    """The three-character chip code, "68X" for 49.9 ohm: for 1 % parts of E96; None where there is none.

    Source: IEC 60062:2016 Annex A; the letters are from memory.
    """
    if tolerance != 0.01 or value <= 0 or not is_preferred(value, "E96"):
        return None
    exponent = floor(log10(value * (1 + 1e-9)))
    position = decade("E96").index(round(value / 10.0 ** (exponent - 2))) + 1
    letters = {power: letter for letter, power in reversed(colours.CHIP_LETTERS.items())}
    letter = letters.get(exponent - 2)
    return None if letter is None else f"{position:02d}{letter}"


def chip_code_of(value: float, tolerance: float | None) -> str:
    """The digits on a chip resistor: two and a power of ten from 5 % up, three below or where two are too few.

    R stands for the point of a small one.
    """
    if value == 0:
        return "0"
    two = abs(float(f"{value:.1e}") / value - 1) < 1e-6
    figures = 2 if two and (tolerance is None or tolerance >= 0.05) else 3
    rounded = float(f"{value:.{figures - 1}e}")
    if rounded < 10 ** (figures - 1):
        whole, _, part = f"{rounded:.6g}".partition(".")
        return f"{'' if whole == '0' else whole}R{part or '0'}"
    mantissa, _, exponent = f"{value:.{figures - 1}e}".partition("e")
    return f"{mantissa.replace('.', '')}{int(exponent) - figures + 1}"


def bands_of(value: float, tolerance: float, coefficient: float | None = None) -> list[str]:
    """The bands of a value: two figures for tolerances of 5 % and more, three below or when two are too few.

    Raises:
        CalcError: The value or the tolerance cannot be written in bands.
    """
    if value == 0:
        return ["black"]
    colour = "" if tolerance == colours.NO_BAND else _colour(colours.TOLERANCES, tolerance)
    if colour is None:
        raise CalcError(
            "no band stands for this tolerance", key="tolerance", hint="type 20, 10, 5, 2, 1, 0.5 % or less"
        )
    two = f"{value:.1e}"
    figures = 2 if abs(float(two) / value - 1) < 1e-6 and tolerance >= 0.05 and coefficient is None else 3
    mantissa = f"{_three(value):.{figures - 1}e}"
    exponent = int(mantissa.partition("e")[2]) - figures + 1
    digits = mantissa.partition("e")[0].replace(".", "")
    multiplier = _colour(colours.EXPONENTS, exponent)
    if multiplier is None:
        raise CalcError("is too large or too small for bands", key="value")
    names = [*(colours.DIGITS[int(digit)] for digit in digits), multiplier]
    if colour:
        names.append(colour)
    if coefficient is not None and (sixth := _colour(colours.COEFFICIENTS, round(coefficient * 1e6))):
        names.append(sixth)
    return names


def meanings_of(names: list[str]) -> list[str]:
    """What each band stands for, in words short enough for a drawing."""
    if names == ["black"]:
        return ["0 Ω"]
    figures = 2 if len(names) <= 4 else 3
    meanings = [str(colours.DIGITS.index(name)) for name in names[:figures]]
    meanings.append(f"×10^{colours.EXPONENTS[names[figures]]}")
    if len(names) > figures + 1:
        meanings.append(f"±{colours.TOLERANCES[names[figures + 1]] * 100:g} %")
    if len(names) > figures + 2:
        meanings.append(f"{colours.COEFFICIENTS[names[figures + 2]]} ppm/K")
    return meanings


def _colour(table: dict[str, int] | dict[str, float], wanted: float) -> str | None:
    return next((name for name, value in table.items() if abs(value - wanted) <= 1e-9), None)


def _three(value: float) -> float:
    """The value to three figures, which is all that marks can carry."""
    return round(value, 2 - floor(log10(value)))


def _tidy(value: float) -> float:
    return float(f"{value:.12g}")
