"""Cautions that come before something no step describes, such as a rework with the iron: read with their own key."""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchtui.ui.screens.cautious import ReadBefore
from benchtui.ui.view.cautions import acknowledge_line, in_full, in_order, on_page
from benchtui.ui.view.head import plain_head
from benchtui.ui.view.text import BLANK

if TYPE_CHECKING:
    from collections.abc import Sequence

    from benchtui.jobs.plan import Caution
    from benchtui.ui.view.text import Line


class HeedScreen(ReadBefore):
    """Leaves with whether all of them were read.

    Args:
        title: What they come before.
        cautions: What is to be read.
    """

    HELP = "What is to be read before this work begins. The key for it is named once it could be read."

    def __init__(self, title: str, cautions: Sequence[Caution]) -> None:
        super().__init__()
        self.title_said = title
        self.left = in_order(cautions)

    def head(self, width: int) -> list[Line]:
        return plain_head(self.title_said, width)

    def body(self, width: int, height: int) -> list[Line]:
        shown = on_page(self.left, width, max(height - 2, 1), self.shapes)
        lines: list[Line] = []
        for number, caution in enumerate(shown, 1):
            place = f"{number} of {len(self.left)}" if len(self.left) > 1 else ""
            lines += in_full(caution, width, self.shapes, place=place)
        armed = self.gate.open() and not self.drawn(shown)
        more = len(self.left) - len(shown)
        then = f"{more} more come{'' if more > 1 else 's'}" if more else "the work opens"
        return [*lines, BLANK, acknowledge_line(then, armed=armed, count=len(shown))]

    @property
    def caution(self) -> Caution | None:
        return self.left[0] if self.left else None

    def caution_read(self, caution: Caution) -> None:
        read = self._drawn or (caution,)
        self.left = [each for each in self.left if each not in read]
        if not self.left:
            self.dismiss(True)
            return
        self.mind_caution()
        self.redraw()
