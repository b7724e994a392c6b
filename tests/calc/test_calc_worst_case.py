"""What a builder relies on at the edge: limits with a tolerance, text answers over the tolerances, screws that stretch.

Sources stand beside each check; torque figures without one follow from T = K d F by hand.
"""

from __future__ import annotations

import random

import pytest
from helpers.calculate import ask, outputs, verdicts

from benchtui.calc import catalogue
from benchtui.calc.run import run, spread_of
from benchtui.errors import CalcError


def _text(key: str, name: str, **texts: object) -> str:
    found: str = ask(name, **texts)["outputs"][key]["text"]
    return found


# -- text answers hold over the tolerances ---------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "texts", "key", "answer"),
    [
        ("usb-budget", {"port": "500-mA", "loads": "450 mA ±20 %"}, "verdict", "fits or too much"),
        ("usb-budget", {"port": "500-mA", "loads": "400 mA ±20 %"}, "verdict", "fits"),
        ("i2c-pull-up", {"supply": "3.3 V ±10 %", "capacitance": "300 pF ±10 %"}, "feasible",
         "not over all tolerances"),
        ("i2c-pull-up", {"supply": "3.3 V", "capacitance": "300 pF"}, "feasible", "yes"),
        ("pull-up", {"supply": "5 V ±10 %", "vih": "3.5 V", "leakage": "1 mA", "sink_current": "4 mA"}, "feasible",
         "not over all tolerances"),
        ("debounce", {"resistance": "10k ±20 %", "capacitance": "1 uF ±20 %", "bounce": "12 ms"}, "settled",
         "not over all tolerances"),
        ("battery", {"voltage": "14.8 V", "capacity": "10 Ah ±10 %"}, "flight-rule",
         "cabin only, terminals covered; airline approval, at most two (100 to 160 W·h) or not as passenger baggage "
         "(above 160 W·h)"),
    ],
)  # fmt: skip
def test_a_text_answer_is_never_better_than_the_worst_case(
    name: str, texts: dict[str, str], key: str, answer: str
) -> None:
    assert _text(key, name, **texts) == answer


# -- a limit printed with a tolerance is kept at its lower end -------------------------------------------------------


def test_the_iron_stays_below_the_lowest_the_part_may_stand() -> None:
    """ "300 °C (±5) 3 s" is how data sheets print a hand-soldering limit (common practice)."""
    found = ask("tip-temperature", alloy="SAC305", part_limit="300 degC ±5 degC")["outputs"]["setting"]
    assert found["value"] == 295
    assert found.get("max", 295) == 295


def test_the_torque_stays_below_the_lowest_the_part_may_stand() -> None:
    found = ask("torque", thread="M3", class_="8.8", part_limit="0.5 N m ±0.1 N m")["outputs"]
    for key in ("torque", "suggested-torque"):
        assert found[key]["value"] == pytest.approx(0.4)
        assert found[key].get("max", 0.4) <= 0.4 * (1 + 1e-9)


# -- screws ----------------------------------------------------------------------------------------------------------


def test_a_suggestion_neither_breaks_nor_stretches_the_screw() -> None:
    """Stretching by hand: M5 A2-70, 450 MPa × 14.18 mm² = 6382 N; K 0.12, scatter 25 %: 3.063 N·m."""
    found = outputs("torque", thread="M5", class_="A2-70", finish="anti-seize", torque="6 N m")
    assert found["suggested-torque"] == pytest.approx(3.063, rel=1e-3)
    said = verdicts("torque", "warning", thread="M5", class_="A2-70", finish="anti-seize", torque="6 N m")
    assert any("3.063 N·m" in one for one in said)
    assert not any("5.07" in one for one in said)


@pytest.mark.parametrize(
    ("texts", "words"),
    [
        ({"yield": "640 MPa", "nut_factor": "0.2", "torque": "3 N m"}, "stretches for good"),
        ({"yield": "640 MPa", "utilisation": "95 %"}, "the preload may reach"),
        ({"torque": "9 N m"}, "even class 12.9 breaks"),
        ({"class_": "8.8", "torque": "3 N m"}, "The screw breaks"),
    ],
)
def test_a_screw_that_cannot_bear_it_is_named(texts: dict[str, str], words: str) -> None:
    assert any(words in one for one in verdicts("torque", "warning", thread="M3", **texts))


def test_nothing_is_suggested_for_a_screw_of_unknown_strength() -> None:
    assert "suggested-torque" not in outputs("torque", thread="M3", torque="1 N m")


@pytest.mark.parametrize("thread", ["M16x1", "M22x1", "M9x1", "1/4-40", "M7x0.75", "3/8-32"])
def test_a_property_class_is_refused_for_threads_that_controls_are_mounted_by(thread: str) -> None:
    """Bushing threads of panel controls: makers' data sheets of pots, toggles and pushbuttons (common practice)."""
    with pytest.raises(CalcError, match="control's bushing"):
        run(catalogue.get("torque"), {"thread": thread, "class": "8.8" if thread[0] == "M" else "grade-5"})


def test_large_inch_screws_are_weaker() -> None:
    """SAE J429: grade 2 above 3/4 in 33 ksi proof, grade 5 above 1 in 74 ksi (from memory)."""
    small, large = (outputs("torque", thread=thread, class_="grade-2") for thread in ("3/4-10", "7/8-9"))
    assert small["proof-load"] / small["stress-area"] == pytest.approx(379e6)
    assert large["proof-load"] / large["stress-area"] == pytest.approx(228e6)
    assert outputs("torque", thread="1 1/8 in", class_="grade-5", nut_factor="0.2", preload="1 kN")["nut-factor"] == 0.2


@pytest.mark.parametrize(("thread", "pitch"), [("M4.5", 0.75), ("M27", 3.0), ("M30", 3.5), ("M36", 4.0)])
def test_coarse_pitches_of_the_rarer_sizes(thread: str, pitch: float) -> None:
    """ISO 261 coarse series; stress area π/4 (d − 0.9382 P)² (ISO 898-1)."""
    size = float(thread[1:])
    area = outputs("torque", thread=thread)["stress-area"] * 1e6
    assert area == pytest.approx(0.785398 * (size - 0.938194 * pitch) ** 2, rel=1e-4)


# -- stripping -------------------------------------------------------------------------------------------------------


def test_a_soft_hole_is_never_called_deep_enough_by_the_rule_for_equal_materials() -> None:
    texts = {"thread": "M10", "engagement": "10 mm", "shear_strength": "130 MPa"}
    assert verdicts("thread-strip", "ok", **texts) == []
    assert any("of one material" in one for one in verdicts("thread-strip", "note", **texts))


# -- wire ------------------------------------------------------------------------------------------------------------


def test_insulation_below_that_of_the_table_is_refused() -> None:
    """IEC 60364-5-52 Table B.52.4 is for 70 °C, NEC 400.5(A) for 60 °C and more."""
    for texts in (
        {"rule": "iec-60364", "gauge": "1.5 mm2", "method": "C", "insulation": "60 degC"},
        {"rule": "nec-400.5", "gauge": "18 AWG", "insulation": "45 degC"},
    ):
        with pytest.raises(CalcError, match="this table is for insulation"):
            run(catalogue.get("ampacity"), texts)


def test_the_fuse_rule_of_building_wire_is_not_put_on_a_cord() -> None:
    """NEC 240.4(D) is for conductors other than flexible cords, which 240.5 governs."""
    assert "overcurrent-limit" not in outputs("ampacity", rule="nec-400.5", gauge="18 AWG")
    assert outputs("ampacity", rule="nec-310.16", gauge="14 AWG")["overcurrent-limit"] == 15


def test_a_gauge_by_the_drop_alone() -> None:
    """100 ft of 120 V at 20 A and 3 %: 8 AWG in even sizes by the trade's tables, 9 AWG where odd ones count."""
    texts = {"length": "100 ft", "current": "20 A", "supply": "120 V", "max_drop": "3 %"}
    assert _text("gauge", "wire", **texts, rule="drop-alone") == "9 AWG"
    both = ask("wire", **texts)["outputs"]
    assert both["gauge-by-drop"]["text"] == "9 AWG"
    assert both["gauge"]["text"] == "4 AWG"
    with pytest.raises(CalcError, match="no row of the harness table"):
        run(catalogue.get("wire"), {"length": "10 m", "current": "40 A", "supply": "12 V", "max-drop": "3 %"})


def test_the_current_that_a_drop_allows() -> None:
    found = outputs("wire", gauge="12 AWG", length="100 ft", max_drop="3.6 V", supply="120 V")
    assert found["most-current"] == pytest.approx(11.33, rel=2e-3)
    assert found["drop"] == pytest.approx(3.6)


def test_a_size_found_from_a_resistance_gives_that_resistance() -> None:
    assert outputs("wire", length="10 m", resistance="0.5 ohm", strands="7")["resistance"] == pytest.approx(0.5)


# -- lamps, dividers, loops ------------------------------------------------------------------------------------------


def test_the_resistors_own_tolerance_counts_in_a_current_window() -> None:
    texts = {"supply": "3.3 V ±5 %", "forward_voltage": "1.9 V to 2.3 V", "current": "3 mA to 6 mA"}
    assert verdicts("led", "ok", **texts)
    assert not any("keeps the current" in one for one in verdicts("led", "ok", **texts, resistor_tolerance="5 %"))


def test_a_target_is_judged_over_the_tolerances() -> None:
    texts = {"supply": "5 V ±5 %", "part_tolerance": "1 %"}
    assert any("may leave" in one for one in verdicts("divider", "warning", **texts, target="3.2 V to 3.3 V"))
    assert any("The output may reach 3.4" in one for one in verdicts("divider", "note", **texts, target="3.3 V"))
    assert any("stays within" in one for one in verdicts("divider", "ok", **texts, target="3 V to 3.6 V"))


def test_a_loop_resistance_is_judged_as_it_will_be_fitted() -> None:
    found = {"supply": "3.3 V ±5 %", "led_voltage": "1.2 V to 1.7 V"}
    asked = verdicts("midi-loop", "warning", **found, current="5 mA")
    fitted = verdicts("midi-loop", "warning", **found, resistance="370 ohm")
    assert asked == fitted != []


# -- bands -----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "texts"),
    [
        ("led", {"supply": "5 V", "forward-voltage": "2 V to 4.8 V", "current": "5 mA"}),
        ("led", {"supply": "12 V ±20 %", "forward-voltage": "3.2 V ±50 %", "current": "10 mA", "leds": "3"}),
        ("derating", {"rated-power": "0.6 W", "ambient": "80 degC ±40 degC", "thermal-resistance": "240 K/W"}),
        ("spares", {"rate": "0.001/h ±50 %", "time": "500 h ±50 %", "quantity": "16"}),
    ],
)
def test_no_draw_leaves_the_band_where_the_function_bends(name: str, texts: dict[str, str]) -> None:
    from benchtui.calc.run import read_all

    calculator = catalogue.get(name)
    spread = spread_of(calculator, read_all(calculator, texts))
    found = run(calculator, texts).outputs
    draw = random.Random(name)
    for _ in range(3000):
        point = spread.at.moved({key: draw.uniform(low, high) for key, (low, high) in spread.spans.items()})
        for key, value in calculator.function(point).items():
            if isinstance(value, str) or found[key].min is None:
                continue
            low, high = found[key].min, found[key].max
            assert low is not None
            assert high is not None
            assert low - 1e-6 * abs(low) <= value <= high + 1e-6 * abs(high), key


# -- convert ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("value", "to", "answer"),
    [("25 degC ±5 K", "degF", (77, 68, 86)), ("25 °C ±9 °F", "degF", (77, 68, 86)), ("20 degC", "degF", (68,)),
     ("68 degF ±5 K", "degC", (20, 15, 25))],
)  # fmt: skip
def test_a_temperature_with_a_tolerance_stays_a_temperature(value: str, to: str, answer: tuple[float, ...]) -> None:
    """NIST SP 811 Appendix B.8: t/°F = 1.8 t/°C + 32."""
    found = ask("convert", value=value, to=to)["outputs"]["value"]
    assert found["value"] == pytest.approx(answer[0], abs=1e-9)
    assert [found[key] for key in ("min", "max") if key in found] == pytest.approx(list(answer[1:]), abs=1e-9)


def test_a_temperature_with_a_percentage_is_refused() -> None:
    with pytest.raises(CalcError, match="a temperature has no percentage"):
        run(catalogue.get("convert"), {"value": "25 degC ±5 %", "to": "degF"})
