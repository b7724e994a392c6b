"""What must hold for any numbers: units do not matter, bands hold every draw, solved values give their target."""

from __future__ import annotations

import random
from itertools import pairwise
from math import isclose
from typing import Any

import pytest
from helpers.calculate import ask, outputs
from helpers.calculator_examples import EXAMPLES
from hypothesis import given, settings
from hypothesis import strategies as st

from benchtui.calc import catalogue
from benchtui.calc.run import read_all, run, spread_of
from benchtui.errors import CalcError
from benchtui.units.registry import from_kind
from benchtui.units.table import units_of

IDS = [f"{name}-{index}" for index, (name, _) in enumerate(EXAMPLES)]
EACH = pytest.mark.parametrize(("name", "texts"), EXAMPLES, ids=IDS)
SPREAD = [(name, texts) for name, texts in EXAMPLES if name not in ("convert", "resistor-marking")]
"""Marks and units have no function of several inputs, so no band of one."""
SLACK = 1e-9
COARSE = {"count", "number", "ratio", "sound-level", "word", "choice"}
"""Kinds with no other unit to type them in."""


def test_every_calculator_has_an_example() -> None:
    assert {name for name, _ in EXAMPLES} == set(catalogue.names())


@EACH
def test_any_compatible_unit_gives_the_same_answer(name: str, texts: dict[str, str]) -> None:
    calculator = catalogue.get(name)
    plain = run(calculator, texts)
    draw = random.Random(name)
    for _ in range(4):
        other = dict(texts)
        for key, given_input in plain.inputs.items():
            if given_input.amount is None or key not in texts:
                continue
            kind = "area" if given_input.kind == "conductor" else given_input.kind
            names = (
                sorted(unit for unit in units_of(kind) if not unit.startswith(("/", "1/")))
                if kind not in COARSE
                else []
            )
            if not names:
                continue
            unit = draw.choice(names)
            other[key] = f"{from_kind(given_input.amount.value, units_of(kind)[unit], kind):.15g} {unit}"
        again = run(calculator, other)
        for key, value in plain.outputs.items():
            if value.value is None:
                assert again.outputs[key].text == value.text
            else:
                assert again.outputs[key].value == pytest.approx(value.value, rel=1e-9, abs=1e-15), (key, other)


def _toleranced(name: str, texts: dict[str, str], share: float) -> dict[str, str]:
    """The same case with a tolerance on every input that can carry one."""
    calculator = catalogue.get(name)
    exact = read_all(calculator, texts)
    steady = {entry.key for entry in calculator.inputs if entry.steady}
    return {
        key: text if exact[key].amount is None or exact[key].kind == "count" or key in steady
        else f"{text} ±{5 if exact[key].kind == 'temperature' else share * 100:g}"
        + ("" if exact[key].kind == "temperature" else " %")
        for key, text in texts.items()
    }  # fmt: skip


@pytest.mark.parametrize("share", [0.01, 0.05, 0.2])
@pytest.mark.parametrize(("name", "texts"), SPREAD, ids=lambda value: str(value)[:40])
def test_bands_hold_every_draw(name: str, texts: dict[str, str], share: float) -> None:
    calculator = catalogue.get(name)
    # A count or a share near 1 cannot carry 20 %; the case is then tried with less.
    wide = _toleranced(name, texts, share)
    try:
        given_inputs = read_all(calculator, wide)
        result = run(calculator, wide)
    except CalcError:
        wide = _toleranced(name, texts, 0.01)
        given_inputs = read_all(calculator, wide)
        result = run(calculator, wide)
    spread = spread_of(calculator, given_inputs)
    draw = random.Random(f"{name}{share}")
    for _ in range(150):
        point = spread.at.moved(
            {
                key: draw.choice([low, high, draw.uniform(low, high), draw.uniform(low, high)])
                for key, (low, high) in spread.spans.items()
            }
        )
        for key, value in calculator.function(point).items():
            if isinstance(value, str):
                continue
            one = result.outputs[key]
            assert one.value is not None
            low = one.value if one.min is None else one.min
            high = one.value if one.max is None else one.max
            room = SLACK * max(abs(low), abs(high), 1e-12)
            assert low - room <= value <= high + room, (key, dict(point.numbers))


@EACH
def test_the_answer_lies_inside_its_own_band(name: str, texts: dict[str, str]) -> None:
    for key, value in run(catalogue.get(name), _toleranced(name, texts, 0.01)).outputs.items():
        if value.min is not None and value.max is not None and value.value is not None:
            assert value.min <= value.value <= value.max, key


def test_root_sum_square_lies_inside_the_worst_case() -> None:
    """Three independent 5 % parts: √(Σ (half the swing)²), computed here by hand."""
    found = run(catalogue.get("divider"), {"supply": "5 V ±5 %", "top": "10k ±5 %", "bottom": "4k7 ±5 %"}).outputs
    swing_supply = (5.25 - 4.75) * 4.7 / 14.7 / 2
    swing_top = 5 * (4.7 / (9.5 + 4.7) - 4.7 / (10.5 + 4.7)) / 2
    swing_bottom = 5 * (4.935 / 14.935 - 4.465 / 14.465) / 2
    by_hand = (swing_supply**2 + swing_top**2 + swing_bottom**2) ** 0.5
    assert found["output-rss"].value == pytest.approx(by_hand, rel=1e-12)
    assert found["output"].min is not None and found["output"].max is not None
    assert by_hand < (found["output"].max - found["output"].min) / 2


def test_an_extreme_inside_the_tolerance_is_found() -> None:
    """The top resistor is hottest when it equals the bottom one: supply² / (4 bottom), inside 5 to 20 kΩ."""
    found = run(catalogue.get("divider"), {"supply": "5 V", "top": "5k to 20k", "bottom": "10k"}).outputs["top-power"]
    assert found.max == pytest.approx(25 / (4 * 10e3), rel=1e-9)
    error = run(catalogue.get("pot"), {"element": "10k", "load": "20k", "travel": "0 % to 100 %"}).outputs
    assert error["error"].max == pytest.approx(error["worst-error"].value, rel=1e-9)


OHMS = st.floats(min_value=100, max_value=1e6)


@settings(max_examples=60, deadline=None, derandomize=True)
@given(supply=st.floats(1, 50), share=st.floats(0.05, 0.95), known=OHMS, load=OHMS, top=st.booleans())
def test_a_solved_divider_gives_its_target(supply: float, share: float, known: float, load: float, top: bool) -> None:
    target = supply * share
    texts = {"supply": f"{supply!r} V", "target": f"{target!r} V", "load": f"{load!r} ohm"}
    key, other = ("top", "bottom") if top else ("bottom", "top")
    if top and known * share / (1 - share) >= load:
        return
    solved = outputs("divider", **texts, **{key: f"{known!r} ohm"})[other]
    texts.pop("target")
    found = outputs("divider", **texts, **{key: f"{known!r} ohm", other: f"{solved!r} ohm"})
    assert found["output"] == pytest.approx(target, rel=1e-9)


def _best_by_trying(share: float, load: float | None) -> float:
    """Smallest error of any E24 pair within two decades of each other, by trying them all."""
    from benchtui.calc.tables.series import between

    values = between(100, 1e6, "E24")
    best = 1.0
    for top in values:
        for bottom in values:
            if top * bottom / (top + bottom) > 10e3:
                continue
            below = bottom if load is None else bottom * load / (bottom + load)
            best = min(best, abs(below / (top + below) - share))
    return best


@pytest.mark.parametrize("share", [0.1, 0.36, 0.5, 0.66, 0.9])
@pytest.mark.parametrize("load", [None, "47k"])
def test_no_pair_of_the_series_is_better_than_the_chosen_one(share: float, load: str | None) -> None:
    texts: dict[str, Any] = {"supply": "1 V", "target": f"{share} V"} | ({"load": load} if load else {})
    found = outputs("divider", **texts)
    assert abs(found["ratio"] - share) <= _best_by_trying(share, 47e3 if load else None) + 1e-12


@settings(max_examples=40, deadline=None, derandomize=True)
@given(current=st.floats(0.01, 2), drop=st.floats(0.01, 0.5), gauge=st.integers(10, 30))
def test_the_longest_wire_drops_what_is_allowed(current: float, drop: float, gauge: int) -> None:
    texts = {"gauge": f"{gauge} AWG", "current": f"{current!r} A"}
    length = outputs("wire", **texts, max_drop=f"{drop!r} V")["length"]
    assert outputs("wire", **texts, length=f"{length!r} m")["drop"] == pytest.approx(drop, rel=1e-9)


@settings(max_examples=40, deadline=None, derandomize=True)
@given(current=st.floats(0.01, 2), drop=st.floats(0.05, 0.5), length=st.floats(0.1, 10))
def test_the_solved_gauge_is_the_thinnest_that_will_do(current: float, drop: float, length: float) -> None:
    texts = {"current": f"{current!r} A", "length": f"{length!r} m"}
    calculator = catalogue.get("wire")
    try:
        run(calculator, texts | {"max-drop": f"{drop!r} V"})
    except CalcError as error:
        # Refused only where even the thickest wire drops too much, or the harness table carries no such current.
        thickest = outputs("wire", **texts, gauge="4/0 AWG")["drop"]
        assert thickest > drop or error.key == "current"
        return
    found = outputs("wire", **texts, max_drop=f"{drop!r} V")
    assert found["drop"] <= drop * (1 + 1e-9)
    number = int(found["gauge"].split()[0])
    if number >= 4 and number % 2 == 0 and number + 2 <= 30:
        thinner = outputs("wire", **texts, gauge=f"{number + 2} AWG")
        limit = outputs("ampacity", gauge=f"{number + 2} AWG", rule="nasa-bundle", insulation=105)["current"]
        assert thinner["drop"] > drop or current > limit


@settings(max_examples=40, deadline=None, derandomize=True)
@given(torque=st.floats(0.05, 20), friction=st.floats(0.05, 0.4))
def test_torque_and_preload_turn_into_each_other(torque: float, friction: float) -> None:
    texts = {"thread": "M5", "thread_friction": f"{friction!r}"}
    preload = outputs("torque", **texts, torque=f"{torque!r} N m")["preload"]
    assert outputs("torque", **texts, preload=f"{preload!r} N")["torque"] == pytest.approx(torque, rel=1e-9)
    known = outputs("torque", thread="M5", torque=f"{torque!r} N m", preload=f"{preload!r} N")["nut-factor"]
    assert known == pytest.approx(outputs("torque", **texts, torque="1 N m")["nut-factor"], rel=1e-9)


@settings(max_examples=40, deadline=None, derandomize=True)
@given(low=st.floats(2, 8), width=st.floats(2, 8), supply=st.floats(3.2, 12))
def test_a_resistor_for_a_current_window_keeps_inside_it(low: float, width: float, supply: float) -> None:
    texts = {
        "supply": f"{supply!r} V ±5 %",
        "forward_voltage": "1.8 V to 2.2 V",
        "current": f"{low!r} to {low + width!r} mA",
    }

    answer = ask("led", **texts)
    current = answer["outputs"]["actual-current"]
    if not any(verdict["level"] == "warning" for verdict in answer["verdicts"]):
        assert current["min"] >= low * 1e-3 * (1 - 1e-9)
        assert current["max"] <= (low + width) * 1e-3 * (1 + 1e-9)


def test_more_solved_values_put_back() -> None:
    resistance = outputs("debounce", time="20 ms", capacitance="1 uF", fraction=0.66)["resistance"]
    assert outputs("debounce", resistance=f"{resistance!r} ohm", capacitance="1 uF", fraction=0.66)["time-to"] == (
        pytest.approx(0.02, rel=1e-9)
    )
    loop = outputs("midi-loop", supply="5 V", led_voltage="1.4 V", current="5 mA")["resistance"]
    assert outputs("midi-loop", supply="5 V", led_voltage="1.4 V", resistance=f"{loop!r} ohm")["current"] == (
        pytest.approx(0.005, rel=1e-9)
    )
    area = outputs("wire", resistance="0.25 ohm", length="40 m")["area"]
    assert outputs("wire", gauge=f"{area * 1e6!r} mm2", length="40 m")["resistance"] == pytest.approx(0.25, rel=1e-9)
    cable = outputs("usb-cable", resistance_per_length="0.2 ohm/m", current="0.5 A", min_voltage="4.5 V")
    assert cable["far-voltage"] == pytest.approx(4.5, rel=1e-9)
    spares = outputs("spares", rate="0.001/h", time="500 h", quantity=10, confidence="95 %")
    fewer = outputs("spares", rate="0.001/h", time="500 h", quantity=10, spares=int(spares["spares"]) - 1)
    assert spares["confidence"] >= 0.95 > fewer["confidence"]


MONOTONE = [
    # calculator, input, output, rising
    ("divider", "supply", "output", True), ("divider", "top", "output", False), ("divider", "bottom", "output", True),
    ("divider", "load", "output", True), ("divider", "bottom", "current", False),
    ("pot", "load", "worst-error", False), ("pot", "residual", "lowest-code", True),
    ("pot", "residual", "highest-code", False), ("shared-ground", "joint", "lowest-code", True),
    ("shared-ground", "element", "lowest-code", False), ("led", "supply", "resistor", True),
    ("led", "forward-voltage", "resistor", False), ("led", "current", "preferred", False),
    ("derating", "ambient", "allowed-power", False), ("pull-up", "capacitance", "maximum", False),
    ("pull-up", "sink-current", "minimum", False), ("i2c-pull-up", "capacitance", "maximum", False),
    ("wire", "length", "drop", True), ("wire", "current", "drop", True), ("wire", "temperature", "resistance", True),
    ("temperature-resistance", "to", "resistance-at", True), ("ampacity", "ambient", "current", False),
    ("torque", "utilisation", "torque", True), ("thread-strip", "engagement", "strip-force", True),
    ("rc", "resistance", "time-constant", True), ("rc", "capacitance", "corner-frequency", False),
    ("rc", "time", "voltage-at", True), ("debounce", "fraction", "time-to", True),
    ("discharge", "to", "time", False), ("adc", "source-resistance", "settling-error", True),
    ("thermal-noise", "bandwidth", "rms", True), ("usb-cable", "current", "length", False),
    ("midi-loop", "resistance", "current", False), ("battery", "load", "runtime", False),
    ("sound-exposure", "level", "allowed-time", False), ("tip-temperature", "melting", "setting", True),
    ("tolerance-fit", "panel", "thread-left", False), ("spares", "rate", "confidence", False),
    ("soak", "reliability", "runs", True), ("preferred", "value", "next-up", True),
]  # fmt: skip


@pytest.mark.parametrize(("name", "key", "output", "rising"), MONOTONE, ids=lambda value: str(value))
def test_monotone_where_physics_is(name: str, key: str, output: str, rising: bool) -> None:
    calculator = catalogue.get(name)
    texts = next(texts for one, texts in EXAMPLES if one == name)
    texts = texts | ({"utilisation": "70 %"} if key == "utilisation" else {})
    exact = read_all(calculator, texts)
    spread = spread_of(calculator, exact)
    middle = spread.at[key]
    found: list[float] = []
    for step in range(-10, 11):
        place = middle + step if exact[key].kind in ("temperature", "sound-level") else middle * (1 + step / 120)
        value = calculator.function(
            spread_of(calculator, exact | {key: _moved(exact[key], place)}).at
            if calculator.choose else spread.at.moved({key: place})
        )[output]  # fmt: skip
        assert not isinstance(value, str)
        found.append(value)
    pairs = list(pairwise(found))
    assert all(a <= b or isclose(a, b) for a, b in pairs) if rising else all(a >= b or isclose(a, b) for a, b in pairs)
    assert found[0] != found[-1]


def _moved(given_input: Any, place: float) -> Any:
    from dataclasses import replace

    return replace(given_input, amount=replace(given_input.amount, value=place, low=place, high=place))


FILLERS = {
    "pressure": "640 MPa", "force": "1 kN", "torque": "1 N m", "ratio": "50 %", "resistance": "1 kohm ±5 %",
    "length": "3 mm", "current": "5 mA ±10 %", "voltage": "2 V ±5 %", "number": "0.2", "temperature": "60 degC",
    "power": "0.1 W", "time": "1 ms", "capacitance": "1 nF ±20 %", "count": "2",
}  # fmt: skip
THREADS = ("M3", "0.19 in", "1/4-20", "M7x0.75", "1 1/8 in")


def _any_fields(name: str, draw: random.Random) -> dict[str, str]:
    """Some fields of a calculator, each filled in with what is right by itself, whether or not it goes together."""
    texts: dict[str, str] = {}
    for entry in catalogue.get(name).inputs:
        known = [given[entry.key] for calculator, given in EXAMPLES if calculator == name and entry.key in given]
        filler = FILLERS.get(entry.kind.split("|")[0].removeprefix("sum:"))
        threads = THREADS if entry.key == "thread" else ()
        picked = draw.choice(["", *known, *entry.choices, *threads, *([filler] if filler else [])])
        if picked:
            texts[entry.key] = picked
    return texts


def _try_any_fields(name: str, count: int) -> None:
    draw = random.Random(name)
    for _ in range(count):
        texts = _any_fields(name, draw)
        try:
            run(catalogue.get(name), texts)
        except CalcError as error:
            assert "\n" not in str(error), texts


@pytest.mark.parametrize("name", sorted({name for name, _ in EXAMPLES}))
def test_whatever_fields_are_filled_in_there_is_an_answer_or_a_sentence(name: str) -> None:
    _try_any_fields(name, 60)


@pytest.mark.long
@pytest.mark.parametrize("name", sorted({name for name, _ in EXAMPLES}))
def test_whatever_fields_are_filled_in_three_thousand_times(name: str) -> None:
    _try_any_fields(name, 3000)
