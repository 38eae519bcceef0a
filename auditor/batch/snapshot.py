"""A file's bytes as they were at one moment, while other programs may write, move or delete it."""

import os
import time
from pathlib import Path

from auditor.errors import AuditorError, UnusableFileError

GREATEST_FILE = 256 * 1024 * 1024  # bytes; project convention
RECENT_NS = 2_000_000_000  # a file touched so lately may be in the middle of being written
SETTLE_S = 0.05  # so long such a file must hold still


def read_snapshot(path: Path, name: str = "", *, listed: bool = True) -> bytes:
    """A file's bytes as they were at one moment.

    Parameters
    ----------
    name : what messages call the file; empty: its own name
    listed : whether the file was there a moment ago; False: the user named it

    Raises
    ------
    AuditorError : the user named a file that is not there
    UnusableFileError : gone, no permission, too large, or changing while it was read
    """
    name = name or path.name
    if not listed and not path.exists():
        raise AuditorError(f"{path}: no such file; give a workbook")
    try:
        for _ in range(2):
            content = _read_still(path, name)
            if content is not None:
                return content
    except FileNotFoundError:
        raise UnusableFileError(
            f"{name}: the file is gone; it was moved or deleted while the folder was read"
        ) from None
    except PermissionError:
        raise UnusableFileError(
            f"{name}: there is no permission to read the file; ask its owner for it"
        ) from None
    except OSError as fault:
        raise UnusableFileError(f"{name}: the file cannot be read: {fault.strerror}") from None
    raise UnusableFileError(
        f"{name}: the file is being written by another program; audit it again when that is done"
    )


def _read_still(path: Path, name: str) -> bytes | None:
    """The bytes, or None when the file changed meanwhile; a file touched just now must hold still."""
    before = os.stat(path)
    if before.st_size > GREATEST_FILE:
        raise UnusableFileError(
            f"{name}: the file has {before.st_size / 1e6:,.0f} MB; at most {GREATEST_FILE / 1e6:,.0f} "
            "MB are read"
        )
    content = path.read_bytes()
    if abs(time.time_ns() - before.st_mtime_ns) < RECENT_NS:
        time.sleep(SETTLE_S)
        if path.read_bytes() != content:
            return None
    after = os.stat(path)
    still = (before.st_size, before.st_mtime_ns) == (len(content), after.st_mtime_ns)
    return content if still else None
