"""Contrast of every pair of colours that carries text (WCAG 2.2, 1.4.3 and 1.4.6)."""

from __future__ import annotations

import pytest

from benchtui.ui.themes import THEMES


def luminance(colour: str) -> float:
    """Relative luminance by the formula of WCAG 2.2."""
    parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    red, green, blue = (part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_the_formula_agrees_with_the_standard() -> None:
    # WCAG 2.2: black on white is 21 to 1.
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0)


@pytest.mark.parametrize("name", THEMES)
@pytest.mark.parametrize("role", ["text", "strong", "value", "key"])
def test_step_and_value_have_seven_to_one(name: str, role: str) -> None:
    colours = THEMES[name].variables
    assert contrast(colours[f"bench-{role}"], colours["bench-paper"]) >= 7


@pytest.mark.parametrize("name", THEMES)
@pytest.mark.parametrize("role", ["quiet", "title", "pass", "near", "fail"])
@pytest.mark.parametrize("ground", ["paper", "bar"])
def test_all_other_text_has_four_and_a_half_to_one(name: str, role: str, ground: str) -> None:
    colours = THEMES[name].variables
    assert contrast(colours[f"bench-{role}"], colours[f"bench-{ground}"]) >= 4.5


@pytest.mark.parametrize("name", THEMES)
@pytest.mark.parametrize("signal", ["danger", "warning", "caution", "notice"])
def test_signal_words_have_seven_to_one_on_their_panels(name: str, signal: str) -> None:
    colours = THEMES[name].variables
    assert contrast(colours[f"bench-{signal}-word"], colours[f"bench-{signal}"]) >= 7


@pytest.mark.parametrize("name", THEMES)
def test_frames_have_three_to_one(name: str) -> None:
    colours = THEMES[name].variables
    assert contrast(colours["bench-rule"], colours["bench-paper"]) >= 3
