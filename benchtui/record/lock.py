"""One writer at a time: a lock on a small file beside the record, held as long as the writer lives.

The system lets go of the lock when the program ends, however it ends; what the file says only names the holder.
"""

from __future__ import annotations

import os
import socket
import sys
from contextlib import suppress
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from pathlib import Path

_TIMES: Final = 5
"""How often the lock is tried for when its file is deleted under our hands."""


class WriterLock:
    """The right to write to a record. Take it with `try_take`, give it back with `release`."""

    def __init__(self, record: Path) -> None:
        self.path = record.with_name(record.name + ".lock")
        self.unsure = False
        """The folder knows no locks, so that another program may write as well."""
        self._handle: int | None = None

    def try_take(self) -> bool:
        """Take the lock if nobody holds it.

        Raises:
            OSError: The lock file cannot be made, as in a folder that may not be written to.
        """
        for _ in range(_TIMES):
            handle = os.open(self.path, os.O_RDWR | os.O_CREAT, 0o644)
            try:
                taken, self.unsure = _lock(handle)
                there = self._is(handle)
                if taken and there:
                    _sign(handle)
                    self._handle = handle
                    return True
            finally:
                if self._handle != handle:
                    os.close(handle)
            if there:
                break
            # A lock on a file that was deleted meanwhile keeps nobody out: the one that is there now counts.
        return False

    def held(self) -> bool:
        """Whether the lock is still ours: taken, and its file not deleted or exchanged since.

        Raises:
            OSError: The lock file was deleted and cannot be made again.
        """
        if self._handle is None:
            return False
        if self._is(self._handle):
            return True
        self.release()
        return self.try_take()

    def _is(self, handle: int) -> bool:
        """Whether the lock file that others see is the one of this handle."""
        try:
            return os.path.samestat(self.path.stat(), os.fstat(handle))
        except FileNotFoundError:
            return False

    def holder(self) -> str:
        """Who holds it, in words."""
        try:
            pid, _, host = self.path.read_text(encoding="utf-8").strip().partition(" ")
        except (OSError, UnicodeDecodeError):
            return "another program"
        here = host == socket.gethostname()
        return f"another program (process {pid}{'' if here else f' on {host}'})" if pid else "another program"

    def release(self) -> None:
        """Give the lock back; harmless when it is not held."""
        if self._handle is not None:
            os.close(self._handle)
            self._handle = None


def _sign(handle: int) -> None:
    """Say in the file who holds it; on a full disk it stays empty, and is held all the same."""
    with suppress(OSError):
        os.ftruncate(handle, 0)
        os.write(handle, f"{os.getpid()} {socket.gethostname()}\n".encode())


if sys.platform == "win32":
    import msvcrt

    def _lock(handle: int) -> tuple[bool, bool]:
        """Whether the lock is taken, and whether that is unsure."""
        # A byte far beyond the text, so that the holder's name stays readable for the others.
        os.lseek(handle, 1 << 20, os.SEEK_SET)
        try:
            msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
        except OSError:
            return False, False
        os.lseek(handle, 0, os.SEEK_SET)
        return True, False

else:
    import errno
    import fcntl

    def _lock(handle: int) -> tuple[bool, bool]:
        """Whether the lock is taken, and whether that is unsure."""
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError as error:
            # Some shared folders know no locks; there SQLite's own checks and the unique numbers are what is left.
            unsure = error.errno in (errno.ENOLCK, errno.ENOTSUP, errno.EINVAL)
            return unsure, unsure
        return True, False
