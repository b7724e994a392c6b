"""The small drawings, as they are printed."""

from __future__ import annotations

from helpers.calculator_examples import EXAMPLES

from benchtui.calc import catalogue
from benchtui.calc.pictures import wire_section
from benchtui.calc.run import run
from benchtui.ui.view.text import line, width_of


def _picture(name: str, **texts: str) -> list[str]:
    return list(run(catalogue.get(name), {key.replace("_", "-"): text for key, text in texts.items()}).picture)


def test_a_loaded_divider() -> None:
    assert _picture("divider", supply="5 V", top="10k", bottom="4k7", load="100k") == [
        "   5 V ──┐",
        "        ┌┴┐",
        "        │ │ 10 kΩ",
        "        └┬┘",
        "         ├──────────┬── 1.549 V",
        "        ┌┴┐        ┌┴┐",
        "        │ │ 4.7 kΩ │ │ 100 kΩ",
        "        └┬┘        └┬┘ load",
        "ground ──┴──────────┘",
    ]


def test_a_string_of_leds() -> None:
    assert _picture("led", supply="12 V", forward_voltage="2 V", current="5 mA", leds="2", strings="3") == [
        "12 V ─┤ 1.6 kΩ ├─▷|─▷|─ ground",
        "5 mA in each string",
        "3 of these side by side: 15 mA",
    ]


def test_bands_carry_their_names_and_meanings() -> None:
    assert _picture("resistor-marking", bands="yellow violet red gold") == [
        "    │",
        "┌───┴────┐",
        "│ yellow │ 4",
        "│ violet │ 7",
        "│  red   │ ×10^2",
        "│  gold  │ ±5 %",
        "└───┬────┘",
        "    │",
    ]


def test_every_picture_fits_the_answer_column_at_80_columns() -> None:
    for name, texts in EXAMPLES:
        for row in run(catalogue.get(name), texts).picture:
            assert width_of(line(row)) <= 37, (name, row)


def test_sections_of_wires() -> None:
    assert wire_section(0.0002, 7) == ["  ● ●", " ● ● ●", "  ● ●", "7 strands of ⌀ 0.2 mm"]
    assert sum(line.count("●") for line in wire_section(0.0002, 19)) == 19
    assert sum(line.count("●") for line in wire_section(0.0002, 26)) == 26
    assert wire_section(0.000511)[-1] == "⌀ 0.511 mm"
    assert wire_section(0.00005, 105)[-1] == "105 strands of ⌀ 0.05 mm"
