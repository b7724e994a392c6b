"""A field for text that lets nothing in that a terminal would obey, by typing or by pasting."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual.geometry import Size
from textual.reactive import Reactive
from textual.widgets import Input

from benchtui.ui.view.text import clean

if TYPE_CHECKING:
    from textual import events


class CleanField(Input):
    """An input whose text never holds control or direction-changing characters; a mark stands in their place."""

    # The library lays the whole screen out anew whenever the length of the text changes, which takes longer than the
    # sum. Our fields have a width of their own, whatever is typed, so that only the field itself has to be drawn.
    virtual_size = Reactive(Size(0, 0))

    def _on_paste(self, event: events.Paste) -> None:
        # The library takes the first line alone and says nothing of the rest; so all of it is put in, on one line.
        event.text = " ".join(event.text.split())
        super()._on_paste(event)
        event.prevent_default()

    def validate_value(self, value: str) -> str:
        """Make the text harmless before it is shown or used."""
        return clean(value)
