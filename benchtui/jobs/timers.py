"""How much of a cure or soak is left, whatever was done to the clock meanwhile.

Where the machine tells which start of it this is (a boot id), the seconds since that start are used: they run on
through sleep and do not care what the clock is set to. After a restart only the clock is left to go by. Where there is
no boot id, the clock is gone by, and the count tells whether it can be right: where they part, somebody is asked.
"""

from __future__ import annotations

import sys
import time
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Callable

    from benchtui.jobs.steps import Timer


APART: Final = 60.0
"""Seconds by which clock and count may differ: a clock that is set right by the network moves by less; our choice."""


@dataclass(frozen=True, slots=True)
class Moment:
    """A point in time by the clock and, where there is one, by the machine's own count since it was started."""

    clock: datetime
    boot: str = ""
    boot_seconds: float = 0.0


def moment(clock: Callable[[], datetime]) -> Moment:
    """Now.

    Args:
        clock: Gives the time of day with its offset.
    """
    boot = _boot_id()
    return Moment(clock(), boot, _boot_seconds() if boot or _counts_without_id() else 0.0)


def elapsed(timer: Timer, now: Moment) -> float:
    """Seconds since the timer was started; never negative."""
    if timer.boot and timer.boot == now.boot:
        return max(0.0, now.boot_seconds - timer.boot_seconds)
    started = datetime.fromisoformat(timer.started)
    return max(0.0, (now.clock - started).total_seconds())


def by_clock_alone(timer: Timer, now: Moment) -> bool:
    """Whether its clock is all there is to tell how long it was: the machine was started anew, or may have been."""
    return (bool(timer.boot and now.boot) and timer.boot != now.boot) or parted(timer, now)


def parted(timer: Timer, now: Moment) -> bool:
    """Whether clock and count tell of other lengths, on a machine that does not say which start of it this is.

    The clock was set, the machine was started anew, or it slept and its count stood still: it cannot tell which.
    """
    if timer.boot or now.boot or not timer.boot_seconds or not now.boot_seconds:
        return False
    counted = now.boot_seconds - timer.boot_seconds
    return counted < 0 or elapsed(timer, now) - counted > APART


def remaining(timer: Timer, now: Moment) -> float:
    """Seconds still to wait; 0 when the wait is over or was ended."""
    return 0.0 if timer.ended else max(0.0, timer.seconds - elapsed(timer, now))


def _counts_without_id() -> bool:
    """Whether the machine counts the seconds since its start and does not say which start it was: macOS, Windows."""
    return sys.platform in ("darwin", "win32")


def _boot_id() -> str:
    try:
        return Path("/proc/sys/kernel/random/boot_id").read_text(encoding="ascii").strip()
    except OSError:
        return ""


def _boot_seconds() -> float:
    if sys.platform == "linux":
        return time.clock_gettime(time.CLOCK_BOOTTIME)
    if sys.platform == "darwin":  # runs on through sleep, which its other count does not (its manual, from memory)
        return time.clock_gettime(time.CLOCK_MONOTONIC)
    return time.monotonic()
