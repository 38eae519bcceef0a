"""Outputs: whole or not there. A file gets its final name only when every byte is on the disk."""

import os
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from auditor.errors import OutputError

TEMPORARY = ".auditor-"
TRIES = 5
LOCK = ".auditor.lock"


def prepare(out: Path) -> None:
    """Make the out folder, and make sure that it can be written before any work is done.

    Raises
    ------
    OutputError : it is a file, or cannot be written
    """
    try:
        out.mkdir(parents=True, exist_ok=True)
        probe = out / f"{TEMPORARY}{os.getpid()}.probe"
        probe.write_bytes(b"")
        probe.unlink()
    except FileExistsError:
        raise OutputError(f"{out} is a file; --out wants a folder") from None
    except OSError as fault:
        raise OutputError(
            f"{out} cannot be written ({fault.strerror}); choose another folder with --out"
        ) from None


@contextmanager
def locked(out: Path) -> Iterator[None]:
    """Hold the out folder for one run; what a killed run left half-written is removed.

    Raises
    ------
    OutputError : another run holds it
    """
    lock = out / LOCK
    handle = os.open(lock, os.O_RDWR | os.O_CREAT, 0o666)
    try:
        try:
            _lock(handle)
        except OSError:
            raise OutputError(
                f"{out} is being written by another run; wait for it or choose another folder with --out"
            ) from None
        for stale in out.rglob(f"{TEMPORARY}*"):
            if stale.is_file():
                stale.unlink(missing_ok=True)
        yield
    finally:
        os.close(handle)
        with suppress(OSError):
            lock.unlink()


def _lock(handle: int) -> None:
    if os.name == "nt":
        import msvcrt

        msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)  # type: ignore[attr-defined,unused-ignore]
    else:
        import fcntl

        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)


def write_whole(path: Path, content: bytes) -> Path:
    """Write a file in full or not at all.

    A target that another program holds open is tried again for a second; then the file takes a new
    name beside it.

    Returns
    -------
    the path that was written

    Raises
    ------
    OutputError : nothing could be written; nothing half-written is left
    """
    temporary = path.with_name(f"{TEMPORARY}{os.getpid()}.tmp")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with temporary.open("wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        return _put(temporary, path)
    except OSError as fault:
        raise OutputError(f"{path.name} was not written: {fault.strerror or fault}") from None
    finally:
        with suppress(OSError):
            temporary.unlink(missing_ok=True)


def _put(temporary: Path, path: Path) -> Path:
    for attempt in range(TRIES):
        try:
            os.replace(temporary, path)
            return path
        except PermissionError:
            if attempt < TRIES - 1:
                time.sleep(0.2)
    for number in range(2, 100):
        other = path.with_name(f"{path.stem}-{number}{path.suffix}")
        if not other.exists():
            os.replace(temporary, other)
            return other
    raise OSError(f"{path.name} is held open by another program")
