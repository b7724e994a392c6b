"""The file a record was opened in: whether its name still stands for it.

A file goes on being written to when it was moved, deleted or exchanged under the program that has it open. What is
written then is in no file that anybody will open again, so it has to be noticed at each act.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchtui.record.logs import log_of

if TYPE_CHECKING:
    from pathlib import Path


class Place:
    """A record and its log as the disk numbers them, taken when both are open."""

    def __init__(self, path: Path) -> None:
        self._path, self._log = path, log_of(path)
        self._numbers = _number(self._path), _number(self._log)

    def lost(self) -> str:
        """What became of the record, as a sentence; empty as long as both files are those that were opened."""
        record, log = self._numbers
        if _number(self._path) != record:
            what = "exchanged for another file" if self._path.exists() else "moved or deleted"
            return f"{self._path} was {what} while it is open here"
        if log is not None and _number(self._log) != log:
            return f"the log of {self._path} was moved or deleted while it is open here"
        return ""


def _number(path: Path) -> tuple[int, int] | None:
    try:
        status = path.stat()
    except OSError:
        return None
    return status.st_dev, status.st_ino
