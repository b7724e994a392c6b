"""Colour and letter codes of resistors, IEC 60062:2016."""

from __future__ import annotations

from typing import Final

SOURCE: Final = "IEC 60062:2016 colour, letter and digit codes"
MEMORY: Final = "temperature-coefficient colours and the letters of the three-character chip code are from memory"

DIGITS: Final = ("black", "brown", "red", "orange", "yellow", "green", "blue", "violet", "grey", "white")
"""Colour of each digit."""

EXPONENTS: Final = {"pink": -3, "silver": -2, "gold": -1} | {colour: digit for digit, colour in enumerate(DIGITS)}
"""Power of ten of the multiplier band."""

TOLERANCES: Final = {
    "brown": 0.01, "red": 0.02, "orange": 0.0005, "yellow": 0.0002, "green": 0.005, "blue": 0.0025, "violet": 0.001,
    "grey": 0.0001, "gold": 0.05, "silver": 0.1,
}  # fmt: skip
"""Share by colour of the tolerance band. Grey is 0.05 % before the 2016 edition; orange and yellow are new in it."""
NO_BAND: Final = 0.2
"""Tolerance of a resistor with three bands."""

COEFFICIENTS: Final = {"black": 250, "brown": 100, "red": 50, "orange": 15, "yellow": 25, "green": 20, "blue": 10,
                       "violet": 5, "grey": 1}  # fmt: skip
"""Temperature coefficient in 10⁻⁶/K by colour of the sixth band (from memory)."""

ALIASES: Final = {
    "gray": "grey", "purple": "violet", "bk": "black", "bn": "brown", "rd": "red", "og": "orange", "or": "orange",
    "ye": "yellow", "gn": "green", "bu": "blue", "vt": "violet", "gy": "grey", "wh": "white", "gd": "gold",
    "sr": "silver",
    "blk": "black", "brn": "brown", "org": "orange", "yel": "yellow", "grn": "green", "vio": "violet",
    "gry": "grey", "wht": "white", "gld": "gold", "slv": "silver",
}  # fmt: skip
"""Other names of the colours: the letter codes of IEC 60757, and what people write."""

LETTERS: Final = {"L": 1e-3, "R": 1.0, "K": 1e3, "M": 1e6, "G": 1e9}
"""Letter that stands for the decimal point, and what it multiplies by."""

TOLERANCE_LETTERS: Final = {
    "E": 0.00005, "L": 0.0001, "P": 0.0002, "W": 0.0005, "B": 0.001, "C": 0.0025, "D": 0.005, "F": 0.01, "G": 0.02,
    "H": 0.03, "J": 0.05, "K": 0.1, "M": 0.2, "N": 0.3,
}  # fmt: skip
"""Share by letter; B C D F G J K M are in every edition, the others from memory."""

CHIP_LETTERS: Final = {"Z": -3, "Y": -2, "X": -1, "S": -1, "A": 0, "B": 1, "H": 1, "C": 2, "D": 3, "E": 4, "F": 5}
"""Power of ten by letter of the three-character chip code: two digits of an E96 position and a letter (from memory)."""
