"""The unit names a person may type, per kind of quantity.

A name with a plain scale is the kind's own unit with a metric prefix (or a whole number of it, such as minutes), and is
multiplied out here. A name without one needs physics (inches, pounds-force, degrees Fahrenheit) and is asked of pint by
the expression beside it. A test proves each plain scale equal to pint's.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Final

from benchtui.units.kinds import KINDS


@dataclass(frozen=True, slots=True)
class UnitName:
    """One unit of one kind, under any of its spellings."""

    pint: str
    """The unit as an expression pint understands."""
    scale: float | None
    """Factor to the unit of the kind, or None when pint has to be asked."""


_POWER: Final = {"p": -12, "n": -9, "u": -6, "m": -3, "c": -2, "": 0, "k": 3, "M": 6, "G": 9}
_PINT_PREFIX: Final = {
    "p": "pico", "n": "nano", "u": "micro", "m": "milli", "c": "centi", "": "", "k": "kilo", "M": "mega", "G": "giga",
}  # fmt: skip

# kind: (prefixes, spellings of the bare unit, pint's word, power of the prefix)
_METRIC: Final = {
    "resistance": (" u m k M G", "ohm Ohm ohms R", "ohm", 1),
    "voltage": ("n u m k", "V volt volts", "volt", 1),
    "current": ("p n u m", "A amp amps", "ampere", 1),
    "power": ("n u m k", "W watt watts", "watt", 1),
    "capacitance": ("p n u m", "F farad", "farad", 1),
    "time": ("n u m", "s sec second seconds", "second", 1),
    "frequency": ("k M G", "Hz hz", "hertz", 1),
    "length": ("n u m c k", "m metre metres meter", "meter", 1),
    "area": ("u m c k", "m2", "meter**2", 2),
    "force": ("m k", "N newton", "newton", 1),
    "torque": ("m c k", "Nm", "newton*meter", 1),
    "pressure": ("k M G", "Pa", "pascal", 1),
    "temperature-difference": ("m", "K", "kelvin", 1),
    "resistivity": ("n u m", "ohmm", "ohm*meter", 1),
    "resistance-per-length": ("u m k", "ohm/m", "ohm/meter", 1),
    "energy": ("m k", "Wh", "watt*hour", 1),
    "charge": ("u m k", "Ah", "ampere*hour", 1),
    "stored-energy": ("u m k", "J", "joule", 1),
    "electric-charge": ("p n u m", "C", "coulomb", 1),
    "thermal-resistance": ("m k", "K/W", "kelvin/watt", 1),
    "power-slope": ("u m", "W/K", "watt/kelvin", 1),
}

# kind: {spellings: (pint expression, plain scale or None)}
_MORE: Final[dict[str, dict[str, tuple[str, float | None]]]] = {
    "resistance": {
        "K Kohm KOhm kilohm kilohms kiloohm kiloohms": ("kiloohm", 1e3),
        "meg Meg megohm megohms": ("megaohm", 1e6),
    },
    "voltage": {"VDC Vdc": ("volt", 1.0)},
    "time": {
        "min minute minutes": ("minute", 60.0),
        "h hour hours": ("hour", 3600.0),
        "d day days": ("day", 86400.0),
        "week weeks": ("7*day", 604800.0),
        "year years": ("365.25*day", 31557600.0),
    },
    "length": {
        'in inch inches Inch IN "': ("inch", None),
        "ft foot feet '": ("foot", None),
        "mil mils thou": ("inch/1000", None),
        "micron microns": ("micrometer", 1e-6),
        "yd yard yards": ("yard", None),
    },
    "area": {
        "in2 sqin": ("inch**2", None),
        "ft2 sqft": ("foot**2", None),
        "sqmm": ("millimeter**2", 1e-6),
        "cmil circularmil circularmils cmils": ("circular_mil", None),
        "kcmil MCM": ("1000*circular_mil", None),
    },
    "force": {
        "lbf lb lbs poundforce": ("pound_force", None),
        "kip kips": ("1000*pound_force", None),
        "ozf oz ounceforce": ("ounce_force", None),
        "kgf kp kilogramforce": ("kilogram_force", None),
        "gf gramforce": ("gram_force", None),
    },
    "torque": {
        "Ncm": ("newton*centimeter", 1e-2),
        "Nmm": ("newton*millimeter", 1e-3),
        "lbfin inlbf lbin inlb inlbs lbsin poundforceinch inchpoundforce": ("pound_force*inch", None),
        "lbfft ftlbf lbft ftlb ftlbs lbsft poundforcefoot footpoundforce": ("pound_force*foot", None),
        "ozfin inozf ozin inoz ounceforceinch inchounceforce": ("ounce_force*inch", None),
        "kgfcm kgcm": ("kilogram_force*centimeter", None),
        "gfcm gcm": ("gram_force*centimeter", None),
        "kgfm kgm": ("kilogram_force*meter", None),
    },
    "pressure": {
        "N/mm2": ("newton/millimeter**2", 1e6),
        "N/m2": ("newton/meter**2", 1.0),
        "psi lbf/in2": ("pound_force/inch**2", None),
        "ksi kpsi": ("1000*pound_force/inch**2", None),
        "bar": ("bar", 1e5),
        "kgf/mm2 kp/mm2": ("kilogram_force/millimeter**2", None),
    },
    "temperature": {
        "degC C celsius Celsius degreesC degreesCelsius": ("degree_Celsius", 1.0),
        "degF F fahrenheit Fahrenheit degreesF degreesFahrenheit": ("degree_Fahrenheit", None),
        "K kelvin": ("kelvin", None),
    },
    "temperature-difference": {
        "degC C": ("delta_degree_Celsius", 1.0),
        "degF F": ("delta_degree_Fahrenheit", None),
    },
    "ratio": {"%": ("percent", 0.01), "ppm": ("ppm", 1e-6)},
    "resistivity": {
        "ohmmm2/m": ("ohm*millimeter**2/meter", 1e-6),
        "ohmmm2/km": ("ohm*millimeter**2/kilometer", 1e-9),
        "ohmcm": ("ohm*centimeter", 1e-2),
        "uohmcm": ("microohm*centimeter", 1e-8),
        "ohmcmil/ft": ("ohm*circular_mil/foot", None),
    },
    "resistance-per-length": {
        "ohm/km": ("ohm/kilometer", 1e-3),
        "mohm/ft": ("milliohm/foot", None),
        "ohm/ft": ("ohm/foot", None),
        "ohm/kft ohm/1000ft": ("ohm/foot/1000", None),
    },
    "energy": {"J": ("joule", None), "kJ": ("kilojoule", None)},
    "stored-energy": {"Wh": ("watt*hour", None)},
    "electric-charge": {"Ah": ("ampere*hour", None), "mAh": ("milliampere*hour", None)},
    "thermal-resistance": {"degC/W C/W": ("kelvin/watt", 1.0)},
    "power-slope": {"mW/degC mW/C": ("milliwatt/kelvin", 1e-3), "W/degC W/C": ("watt/kelvin", 1.0)},
    "charge": {"C As": ("coulomb", None)},
    "rate": {
        "/s 1/s persecond Hz": ("1/second", 1.0),
        "/min 1/min perminute": ("1/minute", None),
        "/h 1/h perhour": ("1/hour", None),
        "/day 1/day perday": ("1/day", None),
        "FIT": ("1e-9/hour", None),
        "/Mh /1e6h": ("1e-6/hour", None),
    },
    "angle": {"deg degree degrees": ("degree", 1.0), "rad": ("radian", None)},
    "mass": {
        "kg": ("kilogram", 1.0),
        "g gram grams": ("gram", 1e-3),
        "mg": ("milligram", 1e-6),
        "ug": ("microgram", 1e-9),
        "lb": ("pound", None),
        "oz": ("ounce", None),
    },
    "temperature-coefficient": {
        "/K 1/K /degC 1/degC": ("1/kelvin", 1.0),
        "%/K %/degC": ("percent/kelvin", 1e-2),
        "ppm/K ppm/degC": ("ppm/kelvin", 1e-6),
    },
    "sound-level": {"dB dBA dB(A)": ("dimensionless", 1.0)},
    "count": {},
    "number": {"%": ("percent", 0.01)},
}


@cache
def units_of(kind: str) -> dict[str, UnitName]:
    """Every spelling of every unit of a kind, spelled without spaces, dots and asterisks ("lbf in" is "lbfin")."""
    if kind not in KINDS:
        raise KeyError(kind)
    names: dict[str, UnitName] = {}
    if kind in _METRIC:
        prefixes, spellings, word, power = _METRIC[kind]
        for prefix in ("", *prefixes.split()):
            unit = UnitName(_prefixed(prefix, word, power), 10.0 ** (_POWER[prefix] * power))
            for spelling in spellings.split():
                names[prefix + spelling] = unit
    for joined, (pint, scale) in _MORE.get(kind, {}).items():
        for spelling in joined.split():
            names[spelling] = UnitName(pint, scale)
    return names


def _prefixed(prefix: str, word: str, power: int) -> str:
    long = _PINT_PREFIX[prefix]
    head, star, rest = word.partition("*")
    if power == 2:
        return f"({long}{head})**2"
    return long + head + star + rest


def kinds_with(unit: str) -> tuple[str, ...]:
    """The kinds in which a spelling (without spaces) names a unit."""
    return tuple(kind for kind in KINDS if kind != "conductor" and unit in units_of(kind))
