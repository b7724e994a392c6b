"""The text of an export as it arrives: on a stick, by mail, through the shell of another system."""

from __future__ import annotations

import codecs
from typing import Final

from benchtui.errors import RecordDamagedError
from benchtui.record.whole import AGAIN

_DATABASE: Final = b"SQLite format 3\0"
"""How a database begins (SQLite file format, 1.3)."""

_MARKS: Final = (
    (codecs.BOM_UTF8, "utf-8-sig"),
    (codecs.BOM_UTF16_LE, "utf-16"),
    (codecs.BOM_UTF16_BE, "utf-16"),
)
"""Marks at the head of a text (Unicode 15.0, 2.13): a shell that sends a text into a file may write it in two bytes."""


def text_of(raw: bytes, name: str) -> str:
    """The text of an export.

    Args:
        raw: The file as it is.
        name: What to call it in words.

    Raises:
        RecordDamagedError: It is a record, or no text.
    """
    if raw.startswith(_DATABASE):
        raise RecordDamagedError(
            f"{name} is a record, and no export of one; nothing was taken in",
            hint=f"make the export first: benchtui record export FILE --record {name}",
        )
    encoding = next((encoding for mark, encoding in _MARKS if raw.startswith(mark)), "utf-8")
    try:
        return raw.decode(encoding)
    except UnicodeDecodeError as error:
        raise RecordDamagedError(f"{name} is no text, and so no export; nothing was taken in", hint=AGAIN) from error
