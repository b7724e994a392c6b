"""How far from the exact optimum the moves are, on random noisy models. The limits are the ones promised for 200."""

from __future__ import annotations

from statistics import mean

import pytest
from helpers.noisy_models import noisy_models

from benchtui.faults.deepen import Exact, policy_minutes
from benchtui.faults.picking import tempered
from benchtui.faults.table import Table, start


def excess(table: Table, *, deep: str) -> float:
    """Share by which following the engine costs more than the optimum."""
    here = start(table)
    best = Exact(table).value(here)
    return policy_minutes(table, here, depth=deep) / best - 1.0  # type: ignore[arg-type]


def test_deepening_is_close_to_the_optimum_and_one_step_not_far() -> None:
    models = list(noisy_models(20, 30))
    deep = [excess(table, deep="played out") for table in models]  # without the exact solution, the harder case
    assert mean(deep) <= 0.003
    assert max(deep) <= 0.03
    assert min(deep) >= -1e-9  # nothing beats the optimum: the yardstick itself is sound
    # Thirty are few; the promised 1 % is for 200, see below.
    assert mean(excess(table, deep="one step") for table in models) <= 0.02


def test_what_caution_costs() -> None:
    # What is proposed goes by the ranking but for two rules: near ties to the gentler move, no iron to a guess.
    models = list(noisy_models(22, 20))
    asked = [
        policy_minutes(table, start(table), depth="played out", choose=tempered) / Exact(table).value(start(table))
        - 1.0
        for table in models
    ]
    assert mean(asked) <= 0.02
    assert max(asked) <= 0.15


def test_small_tables_are_solved_exactly() -> None:
    for table in noisy_models(21, 6):
        assert excess(table, deep="exact") == pytest.approx(0.0, abs=1e-9)


@pytest.mark.long
@pytest.mark.parametrize("seed", [0, 1, 2, 3])
def test_two_hundred_models(seed: int) -> None:
    models = list(noisy_models(seed, 200))
    deep = [excess(table, deep="played out") for table in models]
    one = [excess(table, deep="one step") for table in models]
    assert mean(deep) <= 0.003
    assert max(deep) <= 0.03
    assert mean(one) <= 0.01
