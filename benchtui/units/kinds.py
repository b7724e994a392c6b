"""What can be measured here: each kind of quantity with the unit it is kept in and the words used for it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of quantity."""

    name: str
    """Key used in data files and code, such as "resistance"."""
    unit: str
    """Unit every value of this kind is kept in, as written in machine-readable results."""
    phrase: str
    """Words for a sentence: "a resistance"."""
    examples: str
    """What a person may type."""
    symbol: str = ""
    """Symbol printed after a number."""
    prefixes: str = ""
    """Metric prefixes used when printing, largest first, "." standing for none; empty means never scaled."""


def _kinds(*kinds: Kind) -> dict[str, Kind]:
    return {kind.name: kind for kind in kinds}


KINDS: Final = _kinds(
    Kind("resistance", "ohm", "a resistance", "4k7 or 10 kohm ±5 %", "Ω", "GMk."),
    Kind("voltage", "V", "a voltage", "3.3 V or 250 mV", "V", "k.mµn"),
    Kind("current", "A", "a current", "20 mA or 0.5 A", "A", ".mµnp"),
    Kind("power", "W", "a power", "250 mW or 0.5 W", "W", "k.mµn"),
    Kind("capacitance", "F", "a capacitance", "100n or 10 µF", "F", ".mµnp"),
    Kind("time", "s", "a time", "5 ms or 20 min", "s", ".mµn"),
    Kind("frequency", "Hz", "a frequency", "1 kHz", "Hz", "GMk."),
    Kind("length", "m", "a length", "7 mm or 1 1/2 in", "m", "k.mµ"),
    Kind("area", "m**2", "an area", "0.5 mm² or 0.01 in²", "m²"),
    Kind("force", "N", "a force", "10 N or 5 lbf", "N", "k.m"),
    Kind("torque", "N*m", "a torque", "0.5 N m or 12 lbf in", "N·m", "k."),
    Kind("pressure", "Pa", "a stress or pressure", "640 MPa or 85 ksi", "Pa", "GMk."),
    Kind("temperature", "degC", "a temperature", "20 degC or 68 degF", "°C"),
    Kind("temperature-difference", "K", "a temperature difference", "30 K", "K"),
    Kind("ratio", "dimensionless", "a share", "5 % or 0.05", "%"),
    Kind("count", "dimensionless", "a whole number", "8"),
    Kind("number", "dimensionless", "a number", "0.2"),
    Kind("resistivity", "ohm*m", "a resistivity", "0.0172 ohm mm²/m", "Ω·m", ".mµn"),
    Kind("resistance-per-length", "ohm/m", "a resistance per length", "84 mohm/m", "Ω/m", "k.mµ"),
    Kind("energy", "W*h", "an energy", "37 W h", "W·h", "k.m"),
    Kind("charge", "A*h", "a charge", "2200 mA h", "A·h", "k.m"),
    Kind("rate", "Hz", "a rate", "0.001/h or 5 per hour", "/s"),
    Kind("angle", "deg", "an angle", "300 deg", "°"),
    Kind("mass", "kg", "a mass", "2.5 kg or 400 g", "g", "k.mµ"),
    Kind("temperature-coefficient", "1/K", "a temperature coefficient", "0.00393/K or 0.39 %/K", "/K"),
    Kind("power-slope", "W/K", "a loss of power per degree", "5.8 mW/K", "W/K", ".mµ"),
    Kind("thermal-resistance", "K/W", "a thermal resistance", "140 K/W", "K/W", "k.m"),
    Kind("stored-energy", "J", "a stored energy", "5 J or 2.4 mJ", "J", "k.mµn"),
    Kind("electric-charge", "C", "an electric charge", "50 µC", "C", ".mµnp"),
    Kind("sound-level", "dimensionless", "a sound level", "94 dB", "dB"),
    Kind("conductor", "m**2", "a wire size", "24 AWG, 0.5 mm² or a diameter such as 0.51 mm", "m²"),
)
