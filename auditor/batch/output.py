"""Write outputs: a file gets its final name only when every byte is on the disk."""

import os
import time
from collections.abc import Iterable, Iterator
from contextlib import contextmanager, suppress
from itertools import count
from pathlib import Path

from auditor.errors import OutputError

RESULTS = "results.jsonl"
SUMMARY = "summary.xlsx"
LOCK = ".auditor.lock"
TEMPORARY = ".auditor-"
TRIES = 5
_number = count(1)


def prepare(out: Path) -> None:
    """Make the out folder, and make sure that it can be written before any work is done.

    Raises
    ------
    OutputError : it is a file, or cannot be written
    """
    try:
        out.mkdir(parents=True, exist_ok=True)
        probe = _temporary(out)
        probe.write_bytes(b"")
        probe.unlink()
    except FileExistsError:
        raise OutputError(f"{out} is a file; --out wants a folder") from None
    except OSError as fault:
        raise OutputError(
            f"{out} cannot be written ({fault.strerror}); choose another folder with --out"
        ) from None


def refuse_places(out: Path, folders: Iterable[Path], inputs: Iterable[Path]) -> None:
    """Nothing is written beside an input, nor through a link out of the out folder.

    Parameters
    ----------
    folders : the folders that outputs go to
    inputs : the folders that hold workbooks

    Raises
    ------
    OutputError : names the folder
    """
    top, taken = os.path.realpath(out), {os.path.realpath(folder) for folder in inputs}
    for folder in folders:
        real = os.path.realpath(folder)
        if real in taken:
            raise OutputError(
                f"{folder} holds the workbooks themselves, and nothing is written beside them; choose "
                f"another folder with --out, such as {out / 'audited'}"
            )
        if os.path.commonpath([top, real]) != top:
            raise OutputError(f"{folder} leads out of {out}; remove the link or choose another folder")


@contextmanager
def locked(out: Path, folders: Iterable[Path] = ()) -> Iterator[None]:
    """Hold the out folder for one run; what a run that was killed left half-written is removed.

    Parameters
    ----------
    folders : the folders that outputs go to

    Raises
    ------
    OutputError : another run holds it
    """
    places = {out, *folders}
    lock = out / LOCK
    handle = _held_lock(lock, out)
    try:
        _remove_temporaries(places)
        yield
    finally:
        _remove_temporaries(places)
        if os.name == "nt":  # an open file cannot be removed there
            os.close(handle)
        with suppress(OSError):
            lock.unlink()
        if os.name != "nt":
            os.close(handle)


def _held_lock(lock: Path, out: Path) -> int:
    """The lock file, open and locked. The system lets go of it when a run ends, however it ends."""
    while True:
        try:
            handle = os.open(lock, os.O_RDWR | os.O_CREAT, 0o666)
        except OSError as fault:
            raise OutputError(
                f"{out} cannot be written ({fault.strerror}); choose another folder with --out"
            ) from None
        if not _is_locked(handle):
            os.close(handle)
            raise OutputError(
                f"{out} is being written by another run; wait for it or choose another folder with --out"
            )
        try:
            if os.path.samestat(os.fstat(handle), os.stat(lock)):
                return handle
        except FileNotFoundError:
            pass
        os.close(handle)  # its last holder removed it meanwhile; the name stands for another file now


def _is_locked(handle: int) -> bool:
    """Whether the file could be locked; where a file system knows no locks, it counts as locked."""
    try:
        if os.name == "nt":
            import msvcrt

            msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)  # type: ignore[attr-defined,unused-ignore]
        else:
            import fcntl

            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except (BlockingIOError, PermissionError):
        return False
    except OSError:
        pass
    return True


def _temporary(folder: Path) -> Path:
    return folder / f"{TEMPORARY}{os.getpid()}-{next(_number)}.tmp"


def _remove_temporaries(folders: Iterable[Path]) -> None:
    for folder in folders:
        for left in folder.glob(f"{TEMPORARY}*.tmp"):
            with suppress(OSError):
                left.unlink()


class WholeFile:
    """A file written piece by piece in a `with` block, that stands under its name only when the block
    ends well.

    A target that another program holds open is tried again for a second; then the file takes a new
    name beside it, and `path` says which.

    Raises
    ------
    OutputError : it could not be written; nothing half-written is left
    """

    def __init__(self, path: Path) -> None:
        self.path = path
        self._temporary = _temporary(path.parent)

    def __enter__(self) -> "WholeFile":
        with self._as_output_error():
            self.path.parent.mkdir(parents=True, exist_ok=True)
            self._file = self._temporary.open("wb")
        return self

    def write(self, content: bytes) -> None:
        with self._as_output_error():
            self._file.write(content)

    def __exit__(self, kind: object, *_: object) -> None:
        try:
            with self._as_output_error() if kind is None else suppress(OSError):
                with self._file:
                    self._file.flush()
                    os.fsync(self._file.fileno())
                if kind is None:
                    self.path = _put_in_place(self._temporary, self.path)
        finally:
            with suppress(OSError):
                self._temporary.unlink(missing_ok=True)

    @contextmanager
    def _as_output_error(self) -> Iterator[None]:
        try:
            yield
        except OSError as fault:
            raise OutputError(f"{self.path.name} was not written: {fault.strerror or fault}") from None


def write_whole(path: Path, content: bytes) -> Path:
    """Write a file in full or not at all (see `WholeFile`).

    Returns
    -------
    the path that was written

    Raises
    ------
    OutputError : nothing could be written; nothing half-written is left
    """
    with WholeFile(path) as file:
        file.write(content)
    return file.path


def _put_in_place(temporary: Path, path: Path) -> Path:
    for attempt in range(TRIES):
        try:
            os.replace(temporary, path)
            return path
        except PermissionError:
            if attempt < TRIES - 1:
                time.sleep(0.2)
    for number in range(1, 100):
        other = path.with_name(f"{path.stem}-new{f'-{number}' * (number > 1)}{path.suffix}")
        if not other.exists():
            os.replace(temporary, other)
            return other
    raise OSError(f"{path.name} is held open by another program")
