"""Serial numbers of units: read back without a slip.

A serial number is PREFIX-NUMBER-CHECK, such as HCD-004-K: letters of the design, a counted number, and a letter that
follows from the rest. Digits stand only in the middle and letters only at the ends, and no letter that looks like a
digit or another letter is used, so a hand-engraved plate is read one way only.

The check letter is that of a pure system of ISO/IEC 7064 with radix 3: the sum of weighted characters is 1 modulo 17.
17 is prime, and so any single wrong character and any two neighbours exchanged are noticed. The standard's own moduli
need letters that are easily confused, which is why ours is another.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from benchtui.errors import JobError

if TYPE_CHECKING:
    from collections.abc import Iterable

LETTERS: Final = "ACDEFHJKMNPRTVWXY"
"""The 17 letters in use. Left out: B G I L O Q S U Z, which are read as 8 6 1 1 0 0 5 V 2."""

_MODULUS: Final = len(LETTERS)
_RADIX: Final = 3
_SHAPE: Final = re.compile(rf"([{LETTERS}]{{1,4}})-?(\d{{3,6}})-?([{LETTERS}])")


def make(prefix: str, number: int) -> str:
    """The serial number of the given number.

    Args:
        prefix: One to four letters of `LETTERS`.
        number: Counted from 1.

    Raises:
        JobError: The prefix has other letters, or the number does not fit.
    """
    if not re.fullmatch(rf"[{LETTERS}]{{1,4}}", prefix):
        raise JobError(f"{prefix!r} cannot begin a serial number", hint=f"use one to four letters of {LETTERS}")
    if not 1 <= number <= 999_999:
        raise JobError(f"a unit cannot have the number {number}", hint="numbers go from 1 to 999999")
    body = f"{prefix}{number:03}"
    return f"{prefix}-{number:03}-{_check_letter(body)}"


def written(typed: str) -> str:
    """A serial number of any maker as it was typed, without blanks around it and marks that nobody sees.

    A soft hyphen or a joiner that came in with a paste makes another number of it, which looks the same.
    """
    return "".join(sign for sign in typed.strip() if sign.isprintable())


def normal(typed: str) -> str:
    """The serial number as it is written, from how it was typed.

    Raises:
        JobError: It has another shape, or its check letter does not fit: something was misread.
    """
    text = "".join(typed.upper().split())
    found = _SHAPE.fullmatch(text)
    if not found:
        raise JobError(f"{typed.strip()!r} is no serial number", hint="it looks like HCD-004-K")
    prefix, number, letter = found.groups()
    if _check_letter(prefix + number) != letter:
        raise JobError(f"{text} was misread: its last letter does not fit", hint="read it off the unit again")
    return f"{prefix}-{number}-{letter}"


def number_of(serial: str) -> int | None:
    """The counted number in a serial number of this shape; None for a serial number given by somebody else."""
    found = _SHAPE.fullmatch(serial)
    return int(found[2]) if found else None


def prefix_of(design_id: str) -> str:
    """Letters for the units of a design: the first of each word, those that can be misread left out."""
    initials = "".join(word[0] for word in design_id.upper().split("-") if word and word[0] in LETTERS)
    others = "".join(letter for letter in design_id.upper() if letter in LETTERS)
    return (initials if len(initials) > 1 else others)[:4] or LETTERS[0]


def next_number(prefix: str, known: Iterable[str]) -> int:
    """The number after the highest ever given with this prefix; numbers of scrapped units are never given again."""
    used = [number for serial in known if serial.startswith(f"{prefix}-") and (number := number_of(serial))]
    return max(used, default=0) + 1


def same_unit(typed: str, serial: str) -> bool:
    """Whether what was read off a unit names it; number and check letter are enough, the prefix may be left out.

    Part of a number is not enough: 001-R is what stands on unit 1, and not the end of unit 2001.
    """
    parts = "".join(serial.upper().split()).split("-")
    read = "".join(typed.upper().split()).replace("-", "")
    if not read or not "".join(parts):
        return False
    ends = ("".join(parts[place:]) for place in range(1, len(parts)))
    return read == "".join(parts) or any(read == end and len(end) >= _ENOUGH for end in ends)


_ENOUGH: Final = 4
"""Characters that tell a unit: three digits and a letter."""


def meant(typed: str, known: Iterable[str]) -> list[str]:
    """The units that can be meant by what was typed: the one that is called just so, else all that it names."""
    units = list(known)
    return [unit for unit in units if unit == typed] or [unit for unit in units if same_unit(typed, unit)]


def _check_letter(body: str) -> str:
    total = 0
    for character in body:
        total = (total + _value(character)) * _RADIX % _MODULUS
    return LETTERS[(1 - total) % _MODULUS]


def _value(character: str) -> int:
    return int(character) if character.isdigit() else LETTERS.index(character)
