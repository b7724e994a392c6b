"""The numbers of a hunt: faults with their weights, tests with likelihoods, repairs with what they cure.

Everything the engine needs and nothing a person reads. Faults, tests and repairs are known by their index; sets of
them are bit masks, so that a position in a hunt is a handful of plain values.
"""

from __future__ import annotations

from copy import copy
from dataclasses import dataclass, field
from itertools import pairwise
from math import log2
from typing import TYPE_CHECKING

from benchtui.errors import BenchError

if TYPE_CHECKING:
    from collections.abc import Iterator

LARGE = 4000
"""Tests × faults above which a table also keeps the noise of each test, so that all of them can be scanned quickly."""

CLAMP = 0.01
"""No likelihood is nearer to 0 or 1 than this, so that one slip of the probe never rules a fault out for good."""


@dataclass(frozen=True, slots=True)
class Place:
    """Somewhere that must be opened before work can be done in it, such as under the lid.

    Attributes:
        id: Name in the model.
        minutes: Time to open it and to shut it again, paid once.
        inside: Index of the place that must be open first, smaller than its own index; -1 for none.
        shut: How much of the minutes is for shutting it.
    """

    id: str
    minutes: float
    inside: int = -1
    shut: float = 0.0


@dataclass(frozen=True, slots=True)
class Look:
    """A test as numbers.

    Attributes:
        id: Name in the model.
        minutes: Time it takes, without opening anything.
        rows: Probability of an outcome given a fault, as rows[outcome][fault]; each column adds up to 1.
        place: Index of the place it happens in; -1 when nothing needs opening.
        upset: Rank among moves of nearly equal worth: the lower, the less it opens, unplugs or disturbs.
    """

    id: str
    minutes: float
    rows: tuple[tuple[float, ...], ...]
    place: int = -1
    upset: int = 0


@dataclass(frozen=True, slots=True)
class Cure:
    """A repair as numbers, with the trying-again that follows it.

    Attributes:
        id: Name in the model.
        minutes: Time of the repair and of trying the input again.
        fixes: Pairs of fault index and probability that the repair cures that fault. Only those that it can cure.
        place: Index of the place it happens in; -1 when nothing needs opening.
        upset: As for `Look`.
    """

    id: str
    minutes: float
    fixes: tuple[tuple[int, float], ...]
    place: int = -1
    upset: int = 0


@dataclass(frozen=True, slots=True)
class Table:
    """All numbers of one hunt.

    Attributes:
        faults: Names, the unknown cause among them.
        prior: Starting weight of each fault; need not add up to 1.
        looks: The tests.
        cures: The repairs.
        places: What can be opened; an outer place stands before those inside it.
        fallback: Minutes charged for giving up and using the work-around, the loss it brings included. It always works.
    """

    faults: tuple[str, ...]
    prior: tuple[float, ...]
    looks: tuple[Look, ...]
    cures: tuple[Cure, ...]
    fallback: float
    places: tuple[Place, ...] = ()
    shared: bool = field(init=False)
    """Whether some fault is cured by more than one repair."""
    noise: tuple[tuple[float, ...], ...] = field(init=False)
    """For a large table, the entropy in bits of each test's outcome given each fault; empty for a small one."""

    def __post_init__(self) -> None:
        count = len(self.faults)
        if len(self.prior) != count or not any(self.prior):
            raise BenchError("a hunt needs one weight for each fault, and one above 0")
        for look in self.looks:
            if any(len(row) != count for row in look.rows):
                raise BenchError(f"test {look.id!r} needs one likelihood for each fault in every row")
        for index, place in enumerate(self.places):
            if place.inside >= index:
                raise BenchError(f"place {place.id!r} must stand after the place it lies inside")
        cured = sorted(fault for cure in self.cures for fault, _ in cure.fixes)
        object.__setattr__(self, "shared", any(a == b for a, b in pairwise(cured)))
        large = len(self.looks) * count > LARGE
        object.__setattr__(self, "noise", tuple(noise_of(look.rows) for look in self.looks) if large else ())

    def opening(self, place: int, opened: int) -> tuple[float, int]:
        """Minutes to get into a place from what is open already, and the mask of what is open then."""
        minutes = 0.0
        while place >= 0 and not opened >> place & 1:
            minutes += self.places[place].minutes
            opened |= 1 << place
            place = self.places[place].inside
        return minutes, opened

    def shutting(self, opened: int) -> float:
        """Minutes to shut everything that is open."""
        return sum(place.shut for index, place in enumerate(self.places) if opened >> index & 1)

    def at_fallback(self, minutes: float) -> Table:
        """The same numbers with another charge for giving up; the very same table when that does not change."""
        if minutes == self.fallback:
            return self
        other = copy(self)  # not `replace`: the noise of a large table need not be worked out again
        object.__setattr__(other, "fallback", minutes)
        return other


@dataclass(frozen=True, slots=True)
class Position:
    """Where a hunt stands.

    Attributes:
        weights: Present belief in each fault; need not add up to 1.
        opened: Mask of the places that are open.
        looks: Mask of the tests that may still be used.
        cures: Mask of the repairs that may still be tried.
        left: Minutes that may still be spent before the work-around must begin.
    """

    weights: tuple[float, ...]
    opened: int
    looks: int
    cures: int
    left: float = float("inf")


def noise_of(rows: tuple[tuple[float, ...], ...]) -> tuple[float, ...]:
    """Entropy of a test's outcome given each fault, in bits: what the test would not tell even then."""
    return tuple(-sum(p * log2(p) for p in column if p > 0.0) for column in zip(*rows, strict=True))


def start(table: Table, *, left: float = float("inf")) -> Position:
    """The position in which nothing has been done."""
    return Position(
        weights=normal(table.prior),
        opened=0,
        looks=(1 << len(table.looks)) - 1,
        cures=(1 << len(table.cures)) - 1,
        left=left,
    )


def normal(weights: tuple[float, ...]) -> tuple[float, ...]:
    """The same weights adding up to 1."""
    total = sum(weights)
    if total <= 0.0:
        raise BenchError("the answers given so far rule out every fault, the unknown one too")
    return tuple(weight / total for weight in weights)


def bits(mask: int) -> Iterator[int]:
    """Indices of the bits that are set, lowest first."""
    while mask:
        low = mask & -mask
        yield low.bit_length() - 1
        mask ^= low


def clamp(value: float) -> float:
    """A probability kept off 0 and 1, see `CLAMP`."""
    return min(max(value, CLAMP), 1.0 - CLAMP)
