"""How a hunt may end, as a list to pick from."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from benchtui.ui.view.rows import Row

if TYPE_CHECKING:
    from benchtui.faults.huntstate import HuntState

FOUND: Final = "Found, in your words"
DONE: Final = "Done"
STANDS_IN: Final = "What stands in for it now"
"""What is asked at the close; the last one in place of the others where a work-around serves."""


def end_rows(state: HuntState) -> list[Row]:
    """The ways in which a hunt can be closed before its repair was tried."""
    rows = [
        Row(id="not reproduced", text="It does not show any more", under="kept open with the conditions"),
        Row(id="open", text="Leave it open", under="with what is known"),
        Row(id="work-around", text="A work-around serves for now", under="an open item of the unit until undone"),
        Row(id="fixed", text="It works again"),
    ]
    if (
        state.no_power or state.locks
    ):  # nobody has seen it work; and a short may be inside: it is neither gone nor mended before it was measured
        rows = [row for row in rows if row.id in ("open", "work-around")]
    return rows
