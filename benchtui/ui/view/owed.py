"""What a unit owes before its release beyond the job in hand, told while there is time for it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchtui.ui.view.rows import Row

if TYPE_CHECKING:
    from collections.abc import Iterable


def owed_rows(missing: Iterable[str]) -> list[Row]:
    """Tests of other jobs that rework made void, and waits that were cut short; nothing where there are none.

    Args:
        missing: The list of the gate before a release, so that no page says less than it.
    """
    owed = [text for text in missing if text.startswith("to be tested again") or "its wait was cut short" in text]
    return (
        [Row(text="The unit owes besides, before its release"), *(Row(text=f"  {text}") for text in owed)]
        if owed
        else []
    )
