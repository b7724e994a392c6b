"""Places that were looked at, so that one goes back through them: row J3 of what the open standards ask."""

from __future__ import annotations

from typing import Final

LONGEST: Final = 50
"""Places kept; the oldest drop out."""


class Trail:
    """The way back. A place is put down when one leaves it for another, and taken up again when one goes back."""

    def __init__(self) -> None:
        self._places: list[str] = []

    def left(self, place: str) -> None:
        """A place was left for another one; the same place twice in a row is one."""
        if place and self._places[-1:] != [place]:
            self._places.append(place)
            del self._places[:-LONGEST]

    def leads_back(self, here: str) -> bool:
        """Whether there is a place to go back to other than the one in sight."""
        return any(place != here for place in self._places)

    def back(self, here: str) -> str:
        """The place that was left last, which is not the one in sight; empty when there is none.

        Args:
            here: The place in sight.
        """
        while self._places:
            place = self._places.pop()
            if place != here:
                return place
        return ""
