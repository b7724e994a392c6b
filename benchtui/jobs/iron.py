"""The cautions of the soldering iron, for work that no step of a procedure describes: putting a defect right."""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchtui.content.cautions import derived
from benchtui.design.leaded import IRON, uses_over
from benchtui.jobs.plan_parts import caution_of

if TYPE_CHECKING:
    from collections.abc import Mapping

    from benchtui.content.cautions import Caution as ContentCaution
    from benchtui.design.model import Design
    from benchtui.jobs.plan import Caution


def iron_cautions(cautions: Mapping[str, ContentCaution], design: Design | None) -> tuple[Caution, ...]:
    """What is to be read before a joint is heated, gravest first; lead is among it where the design's solder holds it.

    Args:
        cautions: Every caution by id.
        design: What the joint is on; None where its file cannot be read.
    """
    return tuple(map(caution_of, derived(uses_over(design, (IRON,)), (), cautions)))
