"""Random models of a hunt: noisy tests, unsure repairs, a lid, an unknown cause and a work-around.

Every number is drawn from the seed alone, so a seed names a set of models for good.
"""

from __future__ import annotations

from random import Random
from typing import TYPE_CHECKING

from benchtui.faults.table import Cure, Look, Place, Table

if TYPE_CHECKING:
    from collections.abc import Iterator

SIZES = ((5, 4, 2), (5, 5, 2), (4, 4, 3))
"""Faults (the unknown cause among them), tests, outcomes; as in the study that the limits were set by."""


def noisy_models(seed: int, count: int) -> Iterator[Table]:
    """Models of the three sizes in turn."""
    rng = Random(seed)
    for index in range(count):
        yield noisy_model(rng, *SIZES[index % len(SIZES)])


def noisy_model(rng: Random, faults: int, tests: int, outcomes: int) -> Table:
    """One model."""
    known = faults - 1
    weights = [rng.random() ** 1.5 + 0.03 for _ in range(known)]
    unknown = 0.05
    prior = [weight / sum(weights) * (1.0 - unknown) for weight in weights]
    return Table(
        faults=(*(f"f{index}" for index in range(known)), "unknown"),
        prior=(*prior, unknown),
        looks=tuple(_look(rng, index, known, outcomes) for index in range(tests)),
        cures=tuple(
            Cure(
                id=f"r{index}",
                minutes=round(rng.uniform(2.0, 20.0), 1),
                fixes=((index, round(rng.uniform(0.85, 0.99), 2)),),
                place=_inside(rng),
            )
            for index in range(known)
        ),
        fallback=round(rng.uniform(25.0, 60.0), 1),
        places=(Place("lid", round(rng.uniform(3.0, 6.0), 1)),),
    )


def big_table(rng: Random, faults: int, tests: int) -> Table:
    """A model of any size, for timing: two or three outcomes, one repair for each fault, half of all behind the lid."""
    weights = [rng.random() + 0.02 for _ in range(faults)]
    return Table(
        faults=tuple(f"f{index}" for index in range(faults)),
        prior=tuple(weights),
        looks=tuple(_look(rng, index, faults - 1, rng.choice((2, 3))) for index in range(tests)),
        cures=tuple(
            Cure(f"r{index}", round(rng.uniform(2.0, 20.0), 1), ((index, 0.95),), _inside(rng))
            for index in range(faults - 1)
        ),
        fallback=600.0,
        places=(Place("lid", 4.0),),
    )


def _look(rng: Random, index: int, known: int, outcomes: int) -> Look:
    columns = []
    for _ in range(known):
        likely = rng.randrange(outcomes)
        chance = rng.uniform(0.80, 0.97)
        rest = (1.0 - chance) / (outcomes - 1)
        columns.append([chance if outcome == likely else rest for outcome in range(outcomes)])
    columns.append([1.0 / outcomes] * outcomes)  # nothing is known of the unknown cause
    return Look(
        id=f"t{index}",
        minutes=round(rng.uniform(0.5, 3.0), 1),
        rows=tuple(zip(*columns, strict=True)),
        place=_inside(rng),
    )


def _inside(rng: Random) -> int:
    return 0 if rng.random() < 0.4 else -1
