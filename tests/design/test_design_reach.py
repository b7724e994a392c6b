"""What hangs together in a design: work on a plug, feed or chip touches every control that runs through it."""

from __future__ import annotations

import pytest

from benchtui.content.library import Library
from benchtui.content.procedure import Extent
from benchtui.design import load_design
from benchtui.design.reach import neighbours, reached
from benchtui.paths import content_roots

DESK = load_design(Library.open(content_roots()).path_of("design", "hollin-cue-desk"))
FADERS = tuple(f"F{number}" for number in range(1, 9))


def test_a_control_runs_through_its_bank_plug_feeds_and_chip() -> None:
    assert neighbours(DESK, "F3") == ("F3", "A", "GA", "J1", "M1", "VA")


def test_what_several_controls_run_through_bears_each_of_them() -> None:
    assert set(FADERS) <= set(neighbours(DESK, "J1"))
    assert set(neighbours(DESK, "GA")) == {"GA", *FADERS}
    through_chip = {control.id for control in DESK.controls if control.multiplexer == "M1"}
    assert set(neighbours(DESK, "M1")) == {"M1", *through_chip}
    assert {"A", "GA", "VA", "J1", "M1", *FADERS} == set(neighbours(DESK, "A"))
    assert "J1" in neighbours(DESK, "J1.1-4")


@pytest.mark.parametrize(
    ("extents", "subject", "touched"),
    [
        (("control",), "F3", ("F3",)),
        (("bank",), "F3", tuple(sorted(("A", *FADERS)))),
        (("bus",), "F3", tuple(sorted(("GA", "VA", *FADERS)))),
        (("control",), "A", ("A",)),
        (("unit",), "F3", ("all",)),
        (("connector",), "", ("all",)),
        (("multiplexer",), "B1", ("all",)),
        (("nothing",), "F3", ("none",)),
    ],
)
def test_what_work_touches_is_told_by_id_or_is_everything(
    extents: tuple[Extent, ...], subject: str, touched: tuple[str, ...]
) -> None:
    # Where the design does not tell which plug or chip it was, everything is tested again.
    assert reached(DESK, extents, subject) == touched


def test_a_plug_and_a_chip_touch_all_that_runs_through_them() -> None:
    assert {"J1", *FADERS} <= set(reached(DESK, ("connector",), "F3"))
    assert {"M1", "F1", "K1"} <= set(reached(DESK, ("multiplexer",), "F3"))
    assert reached(None, ("connector",), "F3") == ("all",)
