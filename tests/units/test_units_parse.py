"""What a person types at a bench: what is read, what is refused, and with which words."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from benchtui.errors import UnitError
from benchtui.units import KINDS, convert, exact, format_value, parse

ACCEPTED = [
    # typed, kind, value in the unit of the kind
    ("4k7", "resistance", 4700),
    ("4K7", "resistance", 4700),
    ("4R7", "resistance", 4.7),
    ("0R1", "resistance", 0.1),
    ("2M2", "resistance", 2.2e6),
    ("10k", "resistance", 10e3),
    ("10 K", "resistance", 10e3),
    ("100 R", "resistance", 100),
    ("10 kohm", "resistance", 10e3),
    ("10 kΩ", "resistance", 10e3),  # U+03A9, Greek capital omega
    ("10 k\u2126", "resistance", 10e3),  # U+2126, ohm sign
    ("10KOhm", "resistance", 10e3),
    ("47 mohm", "resistance", 0.047),
    ("100n", "capacitance", 100e-9),
    ("4n7", "capacitance", 4.7e-9),
    ("10 µF", "capacitance", 10e-6),  # U+00B5, micro sign
    ("10 μF", "capacitance", 10e-6),  # U+03BC, Greek mu
    ("10uF", "capacitance", 10e-6),
    ("3V3", "voltage", 3.3),
    ("3.3 V", "voltage", 3.3),
    (".5V", "voltage", 0.5),
    ("5. V", "voltage", 5),
    ("-5 V", "voltage", -5),
    ("−5 V", "voltage", -5),
    ("2e-3 A", "current", 0.002),
    ("20 mA", "current", 0.02),
    ("1 1/2 in", "length", 0.0381),
    ("#24", "conductor", 2.0473030814712212e-07),
    ("24 gauge", "conductor", 2.0473030814712212e-07),
    ("1/4 in", "length", 0.00635),
    ('3/8"', "length", 0.009525),
    ("7 mm", "length", 0.007),
    ("1-1/2 in", "length", 0.0381),
    ("1½ in", "length", 0.0381),
    ("¼ W", "power", 0.25),
    ("6'", "length", 1.8288),
    ("40 mils", "length", 0.001016),
    ("2 meg", "resistance", 2e6),
    ("10 kilohms", "resistance", 1e4),
    ("5 VDC", "voltage", 5),
    ("0.5 N.m", "torque", 0.5),
    ("8 ft.lbs", "torque", 10.846543586651201),
    ("10 oz", "force", 2.7801385095378124),
    ("25 ℃", "temperature", 25),
    ("77 degrees F", "temperature", 25),
    ("2 weeks", "time", 1209600),
    ("40 mil", "length", 0.001016),
    ("12 lbf in", "torque", 12 * 0.1129848290276167),
    ("12 lbf·in", "torque", 12 * 0.1129848290276167),
    ("12 in-lb", "torque", 12 * 0.1129848290276167),
    ("0.5 N·m", "torque", 0.5),
    ("0.5 Nm", "torque", 0.5),
    ("50 N cm", "torque", 0.5),
    ("7 kgf·cm", "torque", 7 * 0.0980665),
    ("0.5 mm²", "conductor", 0.5e-6),
    ("0.5 mm2", "conductor", 0.5e-6),
    ("0.5 mm^2", "conductor", 0.5e-6),
    ("24 AWG", "conductor", math.pi / 4 * (0.127e-3 * 92 ** (12 / 39)) ** 2),
    ("AWG 2/0", "conductor", math.pi / 4 * (0.127e-3 * 92 ** (37 / 39)) ** 2),
    ("0.51 mm", "conductor", math.pi / 4 * 0.51e-3**2),
    ("85 ksi", "pressure", 85 * 6894757.293168361),
    ("640 MPa", "pressure", 640e6),
    ("640 N/mm²", "pressure", 640e6),
    ("20 degC", "temperature", 20),
    ("20 °C", "temperature", 20),
    ("68 degF", "temperature", 20),
    ("300 K", "temperature", 26.85),
    ("50 K", "temperature-difference", 50),
    ("90 degF", "temperature-difference", 50),
    ("5 %", "ratio", 0.05),
    ("0.05", "ratio", 0.05),
    ("8", "count", 8),
    ("0.0172 ohm mm²/m", "resistivity", 17.2e-9),
    ("0.39 %/K", "temperature-coefficient", 0.0039),
    ("0.004 1/degC", "temperature-coefficient", 0.004),
    ("0.001 1/h", "rate", 0.001 / 3600),
    ("17.241 ohm*mm2/km", "resistivity", 17.241e-9),
    ("2200 mAh", "charge", 2.2),
    ("37 Wh", "energy", 37),
    ("0.001/h", "rate", 0.001 / 3600),
    ("20 min", "time", 1200),
    ("94 dB(A)", "sound-level", 94),
    ("2.5 kg", "mass", 2.5),
    ("400 g", "mass", 0.4),
    ("5.8 mW/degC", "power-slope", 0.0058),
    ("140 K/W", "thermal-resistance", 140),
    ("50 µC", "electric-charge", 50e-6),
    ("2.42 mJ", "stored-energy", 2.42e-3),
]


@pytest.mark.parametrize(("typed", "kind", "value"), ACCEPTED)
def test_read(typed: str, kind: str, value: float) -> None:
    amount = parse(typed, kind)
    assert amount.value == pytest.approx(value, rel=1e-12)
    assert amount.exact
    assert amount.text == typed


BANDS = [
    ("5 V ±5 %", "voltage", 4.75, 5.25),
    ("5V±5%", "voltage", 4.75, 5.25),
    ("5 V +/- 0.25 V", "voltage", 4.75, 5.25),
    ("5 V ±0.25", "voltage", 4.75, 5.25),
    ("5 V ±250 mV", "voltage", 4.75, 5.25),
    ("10 kohm 20%", "resistance", 8e3, 12e3),
    ("10k ±20 %", "resistance", 8e3, 12e3),
    ("4k7 ±5 %", "resistance", 4465, 4935),
    ("4.75 V to 5.25 V", "voltage", 4.75, 5.25),
    ("20 mA to 25 mA", "current", 0.02, 0.025),
    ("4 to 20 mA", "current", 0.004, 0.02),
    ("20 degC ±5 degC", "temperature", 15, 25),
    ("5 % ±1 %", "ratio", 0.04, 0.06),
]


@pytest.mark.parametrize(("typed", "kind", "low", "high"), BANDS)
def test_read_with_its_tolerance(typed: str, kind: str, low: float, high: float) -> None:
    amount = parse(typed, kind)
    assert (amount.low, amount.high) == (pytest.approx(low), pytest.approx(high))
    assert amount.value == pytest.approx((low + high) / 2)
    assert not amount.exact


REFUSED = [
    ("", "voltage", "nothing is typed"),
    ("3,3 V", "voltage", "is the comma in '3,3 V' a decimal point?"),
    ("1,000 ohm", "resistance", "is the comma in '1,000 ohm' a decimal point?"),
    ("5", "voltage", "'5' has no unit"),
    ("5 ohm", "voltage", "'5 ohm' is a resistance, and a voltage is wanted"),
    ("5 Volt", "voltage", "'Volt' is not a unit used here for a voltage"),
    ("5 lightyear", "length", "'lightyear' is not a unit of a length"),
    ("V", "voltage", "'V' does not begin with a number"),
    ("5 kK", "resistance", "'kK' is not a unit of a resistance"),
    ("1 000 ohm", "resistance", "'1 000 ohm' has more than one number"),
    ("1.5.2 V", "voltage", "'1.5.2 V' has more than one number"),
    ("5² V", "voltage", "'5² V' has a power of a number"),
    ("9^9 V", "voltage", "'9^9 V' has a power of a number"),
    ("1/0 in", "length", "'1/0 in' divides by nought"),
    ("2.5", "count", "'2.5' is not a whole number"),
    ("5 V ±120 %", "voltage", "a tolerance of 120 % leaves no amount"),
    ("20 degC ±5 %", "temperature", "a temperature has no percentage"),
    ("5 V to 4 V", "voltage", "in '5 V to 4 V' the first end is above the second"),
    ("1e400 V", "voltage", "'1e400 V' is too large to be real"),
    ("50 AWG", "conductor", "50 AWG is outside the range 40 to 4/0"),
    ("0.5", "conductor", "'0.5' has no unit"),
    ("5 \x00V", "voltage", "that has a character that cannot be seen"),
    ("5\u202e V", "voltage", "that has a character that cannot be seen"),
]


@pytest.mark.parametrize(("typed", "kind", "message"), REFUSED)
def test_refused_with_one_sentence(typed: str, kind: str, message: str) -> None:
    with pytest.raises(UnitError) as caught:
        parse(typed, kind)
    assert caught.value.message == message
    assert "\n" not in str(caught.value)


HOSTILE = [
    "9**9**9", "9**9**9 V", "10**10**10", "2**99999999", "1" * 1_000_000, "k" * 1_000_000, "+".join(["1"] * 3000),
    "-" * 2000, "__import__('os').system('ls')", "lambda: 1", "().__class__", "nan", "nan V", "inf V", "1e400",
    "1e9999 V", "(-1)**0.5 V", "[1,2] V", "{}", "5 V; drop table", "\n5 V", "🦊 V", "5 🦊", "٣ V", "٤k٧",
    "0x10 V", "1_000 V", "5 V" * 20, "±5 %", "5 ± V", "5 V ±", "5 V ±±5 %", "to", " to ", "5 V to",
    "to 5 V", "/ V", "1/ V", "/2 V", "1//2 V", "%", "5 %%", "AWG", "/0 AWG", "e5 V", "5e V", "5e+ V", ". V", "- V",
    "+-5 V", "--5 V", "\\", "'", '"', "\ud800 V",
]  # fmt: skip


@pytest.mark.parametrize("kind", sorted(KINDS))
def test_hostile_text_is_refused(kind: str) -> None:
    for text in HOSTILE:
        try:
            amount = parse(text, kind)
        except UnitError as error:
            assert len(error.message) < 200
        else:
            assert math.isfinite(amount.value), (text, amount)


@pytest.mark.parametrize("text", [one for one in HOSTILE if one not in ("5e V", "5 V; drop table")])
def test_none_of_it_is_a_voltage(text: str) -> None:
    with pytest.raises(UnitError):
        parse(text, "voltage")


NUMBERS = st.floats(min_value=1e-9, max_value=1e9, allow_nan=False)


@settings(max_examples=300, deadline=None, derandomize=True)
@given(value=NUMBERS, kind=st.sampled_from(sorted(set(KINDS) - {"count", "conductor"})))
def test_what_is_printed_is_read_back(value: float, kind: str) -> None:
    text = format_value(value, kind, digits=6)
    assert parse(text, kind).value == pytest.approx(value, rel=2e-5)
    assert str(exact(value, kind)) == format_value(value, kind)


@settings(max_examples=500, deadline=None, derandomize=True)
@given(text=st.text(max_size=80), kind=st.sampled_from(sorted(KINDS)))
def test_any_text_is_an_amount_or_a_sentence(text: str, kind: str) -> None:
    try:
        amount = parse(text, kind)
    except UnitError as error:
        assert "\n" not in error.message
    else:
        assert math.isfinite(amount.low) and math.isfinite(amount.high)
        assert amount.low <= amount.value <= amount.high


CONVERTED = [
    ("12 lbf in", "N m", 1.3558179483314004),
    ("25 degC", "degF", 77),
    ("0 K", "degC", -273.15),
    ("24 AWG", "mm²", 0.20473),
    ("24 AWG", "mm", 0.51056),
    ("0.5 mm²", "AWG", 20.1495),
    ("1 mil", "mm", 0.0254),
    ("5 %", "ppm", 50_000),
]


@pytest.mark.parametrize(("text", "to", "value"), CONVERTED)
def test_one_unit_in_another(text: str, to: str, value: float) -> None:
    assert convert(text, to).value == pytest.approx(value, rel=1e-4)


def test_a_conversion_between_kinds_is_refused() -> None:
    with pytest.raises(UnitError, match="cannot be given in N m, which measures a torque"):
        convert("5 V", "N m")
    with pytest.raises(UnitError, match="is not a unit known here"):
        convert("5 V", "furlong")


@pytest.mark.parametrize(
    ("typed", "kind", "low", "high"),
    [
        ("5 ± 0.25 V", "voltage", 4.75, 5.25),
        ("25±5 °C", "temperature", 20, 30),
        ("25 degC ±5 K", "temperature", 20, 30),
        ("25 °C ±9 °F", "temperature", 20, 30),
        ("4.75-5.25 V", "voltage", 4.75, 5.25),
        ("4.75–5.25 V", "voltage", 4.75, 5.25),
        ("4.75..5.25 V", "voltage", 4.75, 5.25),
        ("4.75 V - 5.25 V", "voltage", 4.75, 5.25),
        ("10 uF +80/-20 %", "capacitance", 8e-6, 18e-6),
        ("10uF -20% +80%", "capacitance", 8e-6, 18e-6),
        ("10k -5 % +10 %", "resistance", 9.5e3, 11e3),
    ],
)
def test_bands_as_people_and_sheets_write_them(typed: str, kind: str, low: float, high: float) -> None:
    amount = parse(typed, kind)
    assert (amount.low, amount.high) == (pytest.approx(low), pytest.approx(high))


def test_a_comma_is_asked_back_both_ways() -> None:
    with pytest.raises(UnitError) as caught:
        parse("2,200 ohm", "resistance")
    assert caught.value.hint == "type 2.200 ohm for a decimal, or 2200 ohm for thousands"
