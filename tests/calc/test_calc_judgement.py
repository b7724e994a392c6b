"""What a good technician would add to a result: each verdict with its figure, and what is refused."""

from __future__ import annotations

from typing import Any

import pytest
from helpers.calculate import ask, outputs, refused, verdicts

SAID = [
    # calculator, inputs, level, words of the verdict
    ("divider", {"supply": "24 V", "top": "1k", "bottom": "1k", "rating": "0.25 W"}, "warning",
     "Up to 144 mW in a 250 mW resistor is over half its rating."),
    ("divider", {"supply": "5 V", "top": "47k", "bottom": "47k"}, "note",
     "The source resistance reaches 23.5 kΩ; converter inputs ask for 10 kΩ or less."),
    ("divider", {"supply": "5 V", "top": "10k", "target": "1.8 V"}, "note",
     "The nearest E24 value for bottom is 5.6 kΩ; with it the output is 1.795 V."),
    ("pot", {"element": "10k", "load": "10k"}, "note", "The short rule 4/27 × b would say 14.8 %"),
    ("pot", {"element": "10k", "residual": "300 ohm"}, "note", "may stop at 3.81 and 123 of 127"),
    ("pot", {"element": "100k"}, "note", "At mid travel the wiper's source resistance is 25 kΩ"),
    ("shared-ground", {"controls": "16", "element": "10k", "joint": "50 ohm"}, "warning",
     "No control of this bank goes below 9.41 of 127"),
    ("led", {"supply": "5 V to 5.5 V", "forward_voltage": "1.8 V to 2.2 V", "current": "10 mA", "pin_limit": "8 mA"},
     "warning", "More current than the pin may give: 11.21 mA against the pin's 8 mA."),
    ("led", {"supply": "5 V", "forward_voltage": "2 V", "current": "5 mA", "pin_limit": "8 mA"}, "note",
     "never straight to a 3.3 V pin"),
    ("led", {"supply": "3.3 V", "forward_voltage": "3.2 V", "current": "5 mA"}, "note",
     "Only 100 mV may be left across the resistor"),
    ("led", {"supply": "3.3 V ±5 %", "forward_voltage": "3.2 V ±5 %", "current": "5 mA"}, "warning",
     "the LED may stay dark"),
    ("led", {"supply": "5 V ±10 %", "forward_voltage": "1.8 V to 2.2 V", "current": "5 mA to 5.2 mA"}, "warning",
     "No resistor keeps the current within 5 mA to 5.2 mA"),
    ("pull_up", {"supply": "5 V", "resistor": "10k"}, "note",
     "The contact carries 500 µA, less than the 1 mA at which switch makers promise dependable contact"),
    ("pull_up", {"supply": "3.3 V", "sink_current": "4 mA", "resistor": "470 ohm"}, "warning",
     "470 Ω is too strong: the least is 725 Ω in the worst case."),
    ("i2c_pull_up", {"supply": "5 V", "capacitance": "400 pF", "mode": "fast"}, "warning", "There is no answer"),
    ("i2c_pull_up", {"supply": "5 V", "capacitance": "500 pF", "mode": "standard"}, "warning",
     "500 pF is more than the 400 pF this mode allows."),
    ("wire", {"gauge": "28 AWG", "length": "1 m", "current": "1 A"}, "warning",
     "The harness may get warmer than its insulation: 1 A against 500 mA"),
    ("wire", {"gauge": "24 AWG", "length": "3 m", "current": "0.5 A", "max_drop": "0.2 V"}, "warning",
     "The drop is too large: 253 mV of 200 mV allowed."),
    ("wire", {"gauge": "30 AWG", "length": "50 m", "current": "0.3 A", "supply": "3.3 V"}, "warning",
     "nothing is left at the far end"),
    ("wire", {"gauge": "32 AWG", "length": "1 m", "current": "0.1 A"}, "note",
     "No harness current is given for 32 AWG"),
    ("ampacity", {"gauge": "14 AWG", "rule": "nec-310.16"}, "warning",
     "Fixed wiring is for a licensed person and the local code; inside this product the figure serves at 60 V DC"),
    ("ampacity", {"gauge": "14 AWG", "rule": "nec-310.16", "insulation": 90}, "note",
     "the fuse or breaker of this wire is at most 15 A"),
    ("ampacity", {"gauge": "20 AWG", "rule": "nasa-bundle"}, "warning", "common 105 °C hook-up wire may carry 1.85 A"),
    ("torque", {"thread": "M3", "class_": "8.8", "part_limit": "0.6 N m"}, "warning",
     "The part's own limit of 0.6 N·m wins over the formula's 1.313 N·m."),
    ("torque", {"thread": "M3", "class_": "8.8"}, "note", "it lies anywhere from 1.422 kN to 2.954 kN"),
    ("torque", {"thread": "M3", "class_": "8.8"}, "warning", "above the proof load"),
    ("torque", {"thread": "M5", "class_": "A2-70", "nut_factor": "0.3"}, "warning",
     "7.18 N·m is 92 % of the published minimum breaking torque 7.8 N·m; work at 5.07 N·m at most."),
    ("torque", {"thread": "M5", "class_": "A2-70"}, "note", "Stainless screws gall"),
    ("torque", {"thread": "M7x0.75", "torque": "0.5 N m"}, "warning", "Type part-limit: nothing else says"),
    ("torque", {"thread": "M3", "torque": "0.5 N m", "part_limit": "102 kgf cm"}, "note", "a lost decimal point"),
    ("thread_strip", {"thread": "M4", "engagement": "2 mm"}, "warning", "The thread strips first"),
    ("resistor_marking", {"bands": "brown black black brown brown"}, "note",
     "From the other end it is 110 Ω: look for the wider gap"),
    ("debounce", {"resistance": "10k", "capacitance": "10 nF", "bounce": "5 ms"}, "note",
     "firmware must finish the job"),
    ("discharge", {"capacitance": "100 uF", "resistance": "10k", "from_": "300 V", "to": "15 V"}, "warning",
     "treat it as live meanwhile. A mains supply is not opened for this"),
    ("adc", {"bits": 12, "clock": "14 MHz", "cycles": 1.5, "sample_capacitance": "8 pF", "source_resistance": "10k"},
     "warning", "sample longer"),
    ("usb_budget", {"port": "bus hub", "loads": "120 mA"}, "warning", "Up to 120 mA is more than the 100 mA"),
    ("usb_budget", {"port": "500 mA", "loads": "120 mA", "capacitance": "22 uF"}, "warning", "more than the 10 µF"),
    ("usb_cable", {"gauge": "28 AWG", "current": "1 A"}, "warning", "Only 4.37 V may be left at the unit"),
    ("usb_c_sense", {"pull_down": "5.1k ±30 %", "source_current": "80 uA ±30 %"}, "warning", "may be read as"),
    ("battery", {"voltage": "14.8 V", "capacity": "10 Ah"}, "warning", "airline approval"),
    ("sound_exposure", {"level": "100 dB"}, "warning", "Hearing does not come back"),
    ("sound_exposure", {"level": "95 dB", "rule": "osha"}, "note", "The stricter NIOSH figure is"),
    ("tip_temperature", {"alloy": "SAC305", "part_limit": "300 degC"}, "warning", "the two do not meet"),
    ("tip_temperature", {"alloy": "SAC305", "part_limit": "260 degC"}, "warning", "do not hand-solder this part"),
    ("tolerance_fit", {"panel": "4 mm ±0.3 mm", "washers": "0.7 mm + 0.5 mm", "nut": "2 mm", "bushing_length": "7 mm"},
     "warning", "The nut may not be full of thread"),
]  # fmt: skip


@pytest.mark.parametrize(("name", "texts", "level", "words"), SAID, ids=lambda value: str(value)[:40])
def test_the_verdict_is_said_with_its_figure(name: str, texts: dict[str, Any], level: str, words: str) -> None:
    said = verdicts(name.replace("_", "-"), level, **texts)
    assert any(words in one for one in said), said


REFUSED = [
    ("torque", {"thread": "M7x0.75", "class_": "8.8"}, "class: M7x0.75 is the thread of a control's bushing"),
    ("torque", {"thread": "1/4-32", "proof": "85 ksi"}, "proof: 1/4-32 is the thread of a control's bushing"),
    ("torque", {"thread": "M3", "class_": "8.8", "into": "fader-frame"},
     "class: a screw's strength is no guide for a fader's frame; leave it out and type part-limit"),
    ("torque", {"thread": "M3", "class_": "4.8", "into": "insert"}, "no guide for a threaded insert"),
    ("torque", {"thread": "M3", "yield_": "240 MPa", "into": "plastic"}, "yield: a screw's strength is no guide"),
    ("torque", {"thread": "M7", "preload": "100 N"}, "thread: M7 is 0.75 on controls and 1 as a screw; type the pitch"),
    ("ampacity", {"gauge": "24 AWG", "rule": "nec-310.16"},
     "gauge: 24 AWG has no row in this table, and none is guessed; the table has 14 AWG to 4/0 AWG"),
    ("ampacity", {"gauge": "24 AWG", "rule": "nec-400.5"}, "gauge: 24 AWG has no row"),
    ("ampacity", {"gauge": "0.5 mm2", "rule": "iec-60364"}, "gauge: 0.5 mm² has no row"),
    ("ampacity", {"gauge": "12 AWG", "rule": "nec-310.16", "ambient": "60 degC"}, "ambient: is so warm"),
    ("ampacity", {"gauge": "12 AWG", "rule": "nec-310.16", "insulation": "85 degC"},
     "insulation: Table 310.16 has no column for 85 °C; it has 60, 75 and 90"),
    ("ampacity", {"gauge": "12 AWG", "rule": "nasa-single", "ambient": "80 degC"}, "this table holds up to 70 °C"),
    ("led", {"supply": "3.3 V", "forward_voltage": "2 V", "current": "5 mA", "leds": 2},
     "forward-voltage: leaves no voltage for the resistor: 2 × 2 V is not below 3.3 V"),
    ("divider", {"supply": "5 V", "top": "10k"}, "bottom: is needed"),
    ("divider", {"supply": "5 V", "target": "6 V"}, "target: must lie between 0 and the supply"),
    ("divider", {"supply": "5 ohm", "top": "1k", "bottom": "1k"}, "supply: '5 ohm' is a resistance"),
    ("divider", {"supply": "5 V", "top": "0 ohm", "bottom": "1k"}, "top: must be above 0"),
    ("divider", {"suply": "5 V"}, "divider has no input 'suply'; did you mean supply?"),
    ("pull-up", {"supply": "1.8 V", "vih": "2 V", "leakage": "1 uA"}, "vih: must lie below the supply"),
    ("wire", {"length": "3 m"}, "gauge: is needed"),
    ("wire", {"gauge": "24 AWG", "current": "1 A", "max_drop": "5 %"}, "supply: is needed to turn a percentage"),
    ("resistor-marking", {"code": "4K7", "bands": "red red red"}, "bands: type one of code, bands and value"),
    ("resistor-marking", {"bands": "red blu brown gold"}, "'blu' is not a colour of the code; did you mean blue?"),
    ("resistor-marking", {"bands": "gold gold gold gold"}, "bands: these bands mean nothing from either end"),
    ("resistor-marking", {"code": "4m7"}, "code: is m milli or mega?"),
    ("discharge", {"capacitance": "1 uF", "resistance": "1k", "from_": "5 V", "to": "9 V"}, "to: must lie below"),
    ("convert", {"value": "5 V", "to": "N m"}, "value: '5 V' cannot be given in N m, which measures a torque"),
    ("usb-budget", {"port": "600 mA", "loads": "10 mA"}, "port: '600 mA' is not a choice"),
    ("led", {"supply": "5 V", "forward_voltage": "2 V", "current": "5 mA", "leds": "2 ±1"}, "leds: takes no tolerance"),
    ("nonsense", {}, "there is no calculator 'nonsense'"),
    ("devider", {}, "there is no calculator 'devider'; did you mean 'divider'?"),
]  # fmt: skip


@pytest.mark.parametrize(("name", "texts", "words"), REFUSED, ids=lambda value: str(value)[:40])
def test_refused_in_one_sentence_with_the_key(name: str, texts: dict[str, Any], words: str) -> None:
    said = refused(name, **texts)
    assert words in said
    assert said.startswith("benchtui: ") and "\n" not in said


def test_the_parts_limit_clamps_the_setting_and_the_preload_follows() -> None:
    free, held = outputs("torque", thread="M3", class_="8.8"), outputs(
        "torque", thread="M3", class_="8.8", part_limit="0.6 N m"
    )  # fmt: skip
    assert held["torque"] == held["suggested-torque"] == 0.6
    assert held["formula-torque"] == free["torque"]
    assert held["preload"] == pytest.approx(free["preload"] * 0.6 / free["torque"])
    alone = outputs("torque", thread="M7x0.75", into="bushing", part_limit="0.59 N m")
    assert alone["torque"] == pytest.approx(0.59)


def test_a_setting_is_never_above_the_parts_limit() -> None:
    for limit in (250, 300, 350, 400):
        found = outputs("tip-temperature", alloy="SAC305", part_limit=f"{limit} degC")
        assert found["setting"] == min(limit, 370)


def test_led_worst_case_is_highest_supply_with_lowest_forward_voltage() -> None:
    found = ask("led", supply="4.75 V to 5.5 V", forward_voltage="1.8 V to 2.2 V", current="5 mA")["outputs"]
    fitted = found["preferred"]["value"]
    assert found["actual-current"]["max"] == pytest.approx((5.5 - 1.8) / fitted)
    assert found["actual-current"]["min"] == pytest.approx((4.75 - 2.2) / fitted)


def test_bands_read_from_the_wrong_end() -> None:
    """A gold band cannot come first, so the reading is turned; a marking that reads both ways names the other value."""
    turned = ask("resistor-marking", bands="gold red violet yellow")
    assert turned["outputs"]["resistance"]["value"] == 4700
    assert any("read from the other end" in one["text"] for one in turned["verdicts"])
    # 1.28 kΩ is in no series up to E96; turned round the same bands are 11.8 kΩ, a value of E96 (IEC 60063).
    (wrong,) = verdicts("resistor-marking", "warning", bands="brown red grey brown brown")
    assert "from the other end it is" in wrong
    right = verdicts("resistor-marking", "note", bands="red violet black red brown")
    assert any("From the other end" in one for one in right)


@pytest.mark.parametrize(
    "value", ["1 ohm", "4.7 ohm", "10 ohm", "330 ohm", "4.7k", "10k", "47k", "100k", "2.2M", "0.47 ohm"]
)
@pytest.mark.parametrize("tolerance", ["5 %", "1 %"])
def test_marks_written_are_read_back(value: str, tolerance: str) -> None:
    """4 and 5 bands and the letter code, both ways."""
    written = outputs("resistor-marking", value=value, tolerance=tolerance)
    read = outputs("resistor-marking", bands=written["bands"])
    assert read["resistance"] == pytest.approx(written["resistance"])
    assert read["tolerance"] == pytest.approx(written["tolerance"])
    assert outputs("resistor-marking", code=written["code"])["resistance"] == pytest.approx(written["resistance"])
    assert len(written["bands"].split()) == (4 if tolerance == "5 %" else 5)


def test_three_and_six_bands_are_written_and_read() -> None:
    three = outputs("resistor-marking", value="4.7k", tolerance="20 %")["bands"]
    assert three == "yellow violet red"
    assert outputs("resistor-marking", bands=three)["tolerance"] == 0.2
    six = outputs("resistor-marking", value="15k", tolerance="1 %", coefficient="50 ppm/K")["bands"]
    assert six == "brown green black red brown red"
    assert outputs("resistor-marking", bands=six)["temperature-coefficient"] == pytest.approx(50e-6)


@pytest.mark.parametrize(
    ("value", "code"), [("100 ohm", "01A"), ("10k", "01C"), ("1.96k", "29B"), ("49.9 ohm", "68X"), ("976k", "96D")]
)
def test_small_chip_codes_of_one_per_cent_parts(value: str, code: str) -> None:
    """IEC 60062:2016 Annex A; letters from memory. The first three are the shared records code96_1, 2 and 4."""
    found = outputs("resistor-marking", value=value, tolerance="1 %")
    assert found["small-chip-code"] == code
    assert outputs("resistor-marking", code=code)["resistance"] == pytest.approx(found["resistance"])
    assert "small-chip-code" not in outputs("resistor-marking", value=value, tolerance="5 %")


@pytest.mark.parametrize(
    ("value", "tolerance", "code"),
    [("4.7k", "5 %", "472"), ("4.7k", "1 %", "4701"), ("4.7 ohm", "5 %", "4R7"), ("10 ohm", "5 %", "100"),
     ("47 ohm", "1 %", "47R0"), ("0.47 ohm", "5 %", "R47"), ("2.2M", "5 %", "225"), ("976k", "1 %", "9763")],
)  # fmt: skip
def test_chip_codes_both_ways(value: str, tolerance: str, code: str) -> None:
    found = outputs("resistor-marking", value=value, tolerance=tolerance)
    assert found["chip-code"] in (code, code.removesuffix("0"))
    assert outputs("resistor-marking", code=found["chip-code"])["resistance"] == pytest.approx(found["resistance"])
