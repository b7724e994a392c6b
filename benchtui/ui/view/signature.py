"""What a signature stands for, in words: steps that were skipped before it and defects that are open are named."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from benchtui.jobs.steps import Status

if TYPE_CHECKING:
    from benchtui.jobs.jobstate import JobState

MOST: Final = 8
"""Steps that are named one by one."""


def meaning(state: JobState, key: str) -> str:
    """What a signature at a step stands for, as it is written down with it.

    Args:
        state: The job.
        key: Key of the step.
    """
    out = ", ".join(filter(None, (left_out_before(state, key), defects_open(state))))
    return f"done as described, but for {out}" if out else "done as described"


def beside(state: JobState, key: str) -> str:
    """What has to be said before it is given: "step 4 skipped; defect D1 open"; empty for nothing."""
    left = left_out_before(state, key)
    return "; ".join(filter(None, (f"{left} skipped" if left else "", defects_open(state))))


def sign_label(state: JobState, key: str) -> str:
    """What to ask before a signature: what stands beside it is said first."""
    out = beside(state, key)
    return f"{out[:1].upper()}{out[1:]}. Signed all the same by" if out else "Signed by"


def defects_open(state: JobState) -> str:
    """The defects that are open yet: "defect D1 open"; empty for none."""
    open_now = [defect.id for defect in state.defects.values() if not state.defect_over(defect)]
    return f"defect{'s' if len(open_now) > 1 else ''} {', '.join(open_now)} open" if open_now else ""


def left_out_before(state: JobState, key: str) -> str:
    """The steps skipped before a step: "steps 4, 6"; empty for none, and for no step."""
    before = state.plan.steps[: state.plan.places[key]] if key else ()
    out = [step.number for step in before if state[step.key].status is Status.SKIPPED]
    if not out:
        return ""
    named = ", ".join(map(str, out[:MOST])) + (f" and {len(out) - MOST} more" if len(out) > MOST else "")
    return f"step{'s' if len(out) > 1 else ''} {named}"
