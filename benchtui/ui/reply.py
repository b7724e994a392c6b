"""What an act of the builder brings: a sentence, what to ask for next, where to go."""

from __future__ import annotations

from dataclasses import dataclass
from functools import wraps
from typing import TYPE_CHECKING, Concatenate, ParamSpec, TypeVar

from benchtui.errors import BenchError

if TYPE_CHECKING:
    from collections.abc import Callable

P = ParamSpec("P")
S = TypeVar("S")


@dataclass(frozen=True, slots=True)
class Reply:
    """What comes back from an act."""

    text: str = ""
    problem: bool = False
    ask: str = ""
    """Name of what to ask for next: reading, why again, override, strap, power, sign, part, fail, leave out."""
    open: str = ""
    """Name of a job to go to: the procedure that was called."""
    at_end: bool = False
    """Every step was gone through."""


def refused(error: BenchError) -> Reply:
    """What is said of a refusal: the sentence, and what to do about it."""
    return Reply(f"{error.message}{f': {error.hint}' if error.hint else ''}", problem=True)


def answered(act: Callable[Concatenate[S, P], Reply]) -> Callable[Concatenate[S, P], Reply]:
    """Turn a refusal into a reply."""

    @wraps(act)
    def answer(self: S, /, *args: P.args, **kwargs: P.kwargs) -> Reply:
        try:
            return act(self, *args, **kwargs)
        except BenchError as error:
            return refused(error)

    return answer
