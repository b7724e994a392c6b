"""A field for text that lets nothing in that a terminal would obey, by typing or by pasting."""

from __future__ import annotations

from textual.widgets import Input

from benchtui.ui.view.text import clean


class CleanField(Input):
    """An input whose text never holds control or direction-changing characters; a mark stands in their place."""

    def validate_value(self, value: str) -> str:
        """Make the text harmless before it is shown or used."""
        return clean(value)
