"""Texts that use a thing without naming it: a small part that is fitted is soldered, unless the sentence says not."""

from __future__ import annotations

import pytest

from benchtui.content.hazards import hidden_uses


def said(text: str) -> list[str]:
    return [use for use, _ in hidden_uses(text)]


@pytest.mark.parametrize(
    "text",
    [
        "Fit 100 nF from the wiper to ground.",
        "Fit a capacitor of 100 nF at the pin.",
        "Replace the resistor of {control}.",
        "Swap the pull-up for one of 4.7 kΩ.",
        "Remove the diode of {control}. Read its band first.",
        "Open the lid. Add 10 µF across the supply.",
        "Take out the multiplexer.",
        "Put in 220 ohm instead.",
        "Replace the pull-down; unplug the harness first.",
    ],
)
def test_a_part_that_is_fitted_needs_the_iron(text: str) -> None:
    assert said(text) == ["iron"]
    assert dict(hidden_uses(text))["iron"] == "fitting a part, which is soldered"


@pytest.mark.parametrize(
    "text",
    [
        "Plug the multiplexer into its socket, and replace it if a pin is bent.",
        "Fit a resistor of 1 kΩ between two clips.",
        "Remove the multiplexer from its socket.",
        "Do not replace the resistor.",
        "Never fit a capacitor after the multiplexer.",
        "Measure the resistor of lamp {control} on the carrier.",
        "Take the reading across the resistor.",
        "Replace the cap of {control}. Measure the resistor.",
        "Put the resistors into their tray.",
        "Fit the knob, 5 mm off the panel.",
        "Replace the lead. It reads 0.1 Ω or less.",
    ],
)
def test_what_is_plugged_clipped_or_only_measured_does_not(text: str) -> None:
    assert said(text) == []


def test_the_iron_is_told_once() -> None:
    assert said("Desolder the old one and fit a new resistor of 270 Ω.") == ["iron"]
