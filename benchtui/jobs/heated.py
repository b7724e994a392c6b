"""How often a joint was heated, against what its part bears: sheets count solderings, a bench counts reworks."""

from __future__ import annotations


def too_often(joint: str, times: int, attempts: int, *, since: str = "") -> str:
    """Why a joint was reworked too often, as a line; empty when its part bears it, or when that is not known.

    Args:
        joint: Its name.
        times: How often it was reworked.
        attempts: How often its part bears to be soldered, the first time counted; 0 where that is not known.
        since: From when on, where its part is not the first one there; with a blank before it.
    """
    if not attempts or times + 1 <= attempts:
        return ""
    word = "once" if times == 1 else f"{times} times"
    return f"{joint} was reworked {word}{since}, and its part bears {attempts - 1 or 'none'}"
