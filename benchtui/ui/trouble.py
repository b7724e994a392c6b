"""A record or file that fails while a screen comes up: it is said there, and the screen stays and goes on.

What an act of the builder meets is said by the act. A screen that comes up, is drawn or counts a wait down reads and
writes too, and nobody asked it to: an error there would otherwise end the program.
"""

from __future__ import annotations

from functools import wraps
from typing import TYPE_CHECKING, Concatenate, ParamSpec, Protocol, TypeVar

from benchtui.errors import BenchError

if TYPE_CHECKING:
    from collections.abc import Callable

P = ParamSpec("P")


class Telling(Protocol):
    """Can say what went wrong."""

    def cannot(self, error: BenchError) -> None:
        """Say it."""


S = TypeVar("S", bound=Telling)


def told(handler: Callable[Concatenate[S, P], None]) -> Callable[Concatenate[S, P], None]:
    """Let what fails in a handler be said on its screen."""

    @wraps(handler)
    def handle(self: S, /, *args: P.args, **kwargs: P.kwargs) -> None:
        try:
            handler(self, *args, **kwargs)
        except BenchError as error:
            self.cannot(error)

    return handle
