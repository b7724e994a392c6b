"""Two different events of one origin and number: both are kept, the second line of events as a branch of its origin.

It happens when an older copy of a record was put back and the work went on from there under the old name. The names of
the branches follow from the events alone, so that every record that holds the same events gives them the same names,
whichever was taken in first: at each fork the event of the lowest digest goes on under the name, and each other one
begins a branch called ROOT~ and the first letters of its own digest.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import groupby
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

LETTERS = 12
"""Letters of the digest that name a branch."""


@dataclass(frozen=True, slots=True, order=True)
class Link:
    """One event of a root, as far as its place in the chain goes."""

    number: int
    digest: str
    previous: str


def named(root: str, links: Iterable[Link]) -> Mapping[str, str]:
    """Digest of each event to the origin it is kept under."""
    found: dict[str, str] = {}
    before: tuple[int, set[str]] = (0, set())
    for number, group in groupby(sorted(links), key=lambda link: link.number):
        names: set[str] = set()
        near = before[1] if before[0] == number - 1 else set()
        for link in group:
            # The one before it is not here, as after the export of one unit: it goes under the root, unless
            # another event stands where its own would.
            wanted = found.get(link.previous, "" if root in near else root)
            if not wanted or wanted in names:
                wanted = branch(root, link.digest)
            names.add(wanted)
            found[link.digest] = wanted
        before = (number, names)
    return found


def branch(root: str, digest: str) -> str:
    """The name of the branch that begins with the event of this digest."""
    return f"{root}~{digest[:LETTERS]}"
