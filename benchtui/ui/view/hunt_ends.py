"""How a hunt may end, and what is asked at its close."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from benchtui.ui.view.rows import Row

if TYPE_CHECKING:
    from benchtui.faults.huntstate import HuntState

FOUND: Final = "Found, in your words"
DONE: Final = "Done"
STANDS_IN: Final = "What stands in for it now"
"""Asked in place of these two where a work-around serves: nothing was found then, and the fault is named by itself."""

PARTS: Final = "Parts that went in"
WHERE: Final = "When and where it showed"


def tried_end(state: HuntState) -> str:
    """The end that follows from what was tried and serves; empty where the builder has to say how it ends."""
    if state.phase != "close":
        return ""
    return "fixed" if state.pending in state.repaired else "work-around"


def end_rows(state: HuntState) -> list[Row]:
    """The ways in which a hunt can be closed before its repair was tried."""
    rows = [
        Row(id="not reproduced", text="It does not show any more", under="kept open with the conditions"),
        Row(id="open", text="Leave it open", under="with what is known"),
        Row(id="work-around", text="A work-around serves for now", under="an open item of the unit until undone"),
        Row(id="fixed", text="It works again"),
    ]
    # Without power nobody has seen it work; and a short is neither gone nor mended before it was measured.
    if state.no_power or state.locks:
        rows = [row for row in rows if row.id in ("open", "work-around")]
    return rows
