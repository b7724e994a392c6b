"""Why a reading or an answer is given once more, and which reasons need a defect written down before.

After a failure only a slip of the hand is a reason by itself: nothing was done to the unit. What was adjusted or
changed makes other proofs void too, and those are known only from the defect and what its rework touched.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from benchtui.jobs.steps import Status

if TYPE_CHECKING:
    from benchtui.jobs.steps import StepState

SLIPPED: Final = "probe slipped"

WHYS: Final = {"1": SLIPPED, "2": "adjusted", "3": "part changed"}
"""Usual reasons for another reading, by what is typed for them."""

WHY_AGAIN: Final = f"Why again? {', '.join(f'{key} {why}' for key, why in WHYS.items())}, or"
"""Asked before another reading or answer is kept."""

WHY_AFTER_FAILURE: Final = (
    "It failed. Why again? 1 probe slipped or wrong key; anything adjusted or changed: 2, the defect comes first"
)
"""The same after one that failed."""

DEFECT_FIRST: Final = "what was done to the unit is written down first"


def has_failed(known: StepState) -> bool:
    """Whether a step failed and nothing has passed since, so that another try stands against a failure."""
    failed = bool(known.reading and known.reading.verdict == "fail")
    return known.status is Status.FAILED or bool(known.failed) or failed


def why_asked(known: StepState) -> str:
    """The question before another reading or answer of a step is kept."""
    return WHY_AFTER_FAILURE if has_failed(known) else WHY_AGAIN


def why_given(typed: str) -> str:
    """The reason that was typed, by its number or in words; empty when nothing was."""
    return WHYS.get(typed.strip(), typed.strip())
