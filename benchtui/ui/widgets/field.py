"""A field for text that lets nothing in that a terminal would obey, by typing or by pasting."""

from __future__ import annotations

from textual.geometry import Size
from textual.reactive import Reactive
from textual.widgets import Input

from benchtui.ui.view.text import clean


class CleanField(Input):
    """An input whose text never holds control or direction-changing characters; a mark stands in their place."""

    # The library lays the whole screen out anew whenever the length of the text changes, which takes longer than the
    # sum. Our fields have a width of their own, whatever is typed, so that only the field itself has to be drawn.
    virtual_size = Reactive(Size(0, 0))

    def validate_value(self, value: str) -> str:
        """Make the text harmless before it is shown or used."""
        return clean(value)
