"""Whether a record lies on this machine's own disk, or in a folder that other machines reach over a network.

SQLite's write-ahead log needs memory that all programs with the file open share, so that it is for one machine alone
(documentation of SQLite, "Write-Ahead Logging", 1). In a shared folder the rollback journal is used.
"""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Final

MOUNTS: Final = Path("/proc/self/mountinfo")
"""Where Linux lists what is mounted (proc(5))."""

_OVER_A_NETWORK: Final = frozenset(
    {"9p", "afs", "ceph", "cifs", "davfs", "fuse.davfs", "fuse.sshfs", "ncpfs", "nfs", "nfs3", "nfs4"}
    | {"smb2", "smb3", "smbfs"}
)
"""Types of file systems that lie on another machine."""

_REMOTE: Final = 4
"""DRIVE_REMOTE, as Windows' GetDriveTypeW answers."""


def is_shared(path: Path) -> bool:
    """Whether a file lies in a folder of another machine; False where the system does not say, as on macOS."""
    if sys.platform == "win32":
        import ctypes

        drive = path.resolve().drive
        return drive.startswith("\\\\") or ctypes.windll.kernel32.GetDriveTypeW(drive + "\\") == _REMOTE
    return _type(path.resolve()) in _OVER_A_NETWORK


def _type(path: Path) -> str:
    """The type of the file system that a file lies on; empty when it is not known."""
    try:
        lines = MOUNTS.read_text(encoding="utf-8", errors="surrogateescape").splitlines()
    except OSError:
        return ""
    found, depth = "", 0
    for line in lines:
        left, _, right = line.partition(" - ")
        place = Path(_plain(left.split()[4]))
        # Of two that are mounted at one place, the later one is seen.
        if len(place.parts) >= depth and path.is_relative_to(place):
            found, depth = right.split()[0], len(place.parts)
    return found


def _plain(escaped: str) -> str:
    """A path as it is; blanks and the like are written as octal numbers in the list."""
    for sign in (" ", "\t", "\n", "\\"):
        escaped = escaped.replace(f"\\{ord(sign):03o}", sign)
    return escaped
