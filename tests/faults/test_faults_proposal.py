"""The move in sight: its minutes, its reason, and what each answer to it would mean."""

from __future__ import annotations

from dataclasses import replace

import pytest
from helpers.small_fault_model import small_hunt

from benchtui.faults.allowed import position_now, rank
from benchtui.faults.moves import clock_minutes


def test_looking_further_ahead_saves_minutes_and_losses_alike() -> None:
    """Else the price of a work-around that is chosen less often would come off the minutes, down to nothing."""
    state = small_hunt()
    position = position_now(state)
    for option in rank(state).options:
        if option.kind == "stop":
            continue
        plan = clock_minutes(state, position, option)
        further = clock_minutes(state, position, replace(option, minutes=option.minutes * 0.8))
        assert further == pytest.approx(max(plan * 0.8, option.spends))
