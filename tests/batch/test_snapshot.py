"""A file is read as it was at one moment, or not at all."""

import os
from pathlib import Path

import pytest

from auditor.batch import snapshot
from auditor.batch.snapshot import read_snapshot
from auditor.errors import UnusableFileError


def changing(monkeypatch: pytest.MonkeyPatch, times: int, *, keep_time: bool) -> None:
    """Another program rewrites the file after each of so many reads, in the same tick of the clock or not."""
    read, left = Path.read_bytes, [times]

    def then_changed(path: Path) -> bytes:
        content = read(path)
        if left[0]:
            left[0] -= 1
            before = path.stat()
            path.write_bytes(bytes(reversed(content)))
            later = 0 if keep_time else 1
            os.utime(path, ns=(before.st_atime_ns, before.st_mtime_ns + later))
        return content

    monkeypatch.setattr(Path, "read_bytes", then_changed)


@pytest.mark.parametrize("keep_time", [True, False])
def test_a_file_that_changes_once_is_read_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, keep_time: bool
) -> None:
    (tmp_path / "a.xlsx").write_bytes(b"12345")
    changing(monkeypatch, 1, keep_time=keep_time)
    assert read_snapshot(tmp_path / "a.xlsx") == b"54321"


@pytest.mark.parametrize("keep_time", [True, False])
def test_a_file_that_keeps_changing_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, keep_time: bool
) -> None:
    (tmp_path / "a.xlsx").write_bytes(b"12345")
    changing(monkeypatch, 9, keep_time=keep_time)
    with pytest.raises(
        UnusableFileError, match=r"a\.xlsx: the file is being written by another program; audit"
    ):
        read_snapshot(tmp_path / "a.xlsx")


def test_a_file_that_is_gone(tmp_path: Path) -> None:
    with pytest.raises(UnusableFileError, match=r"a\.xlsx: the file is gone; it was moved or deleted"):
        read_snapshot(tmp_path / "a.xlsx")


def test_a_file_that_is_too_large(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(snapshot, "GREATEST_FILE", 4_000_000)
    (tmp_path / "a.xlsx").write_bytes(b"x" * 5_000_000)
    with pytest.raises(UnusableFileError, match="the file has 5 MB; at most 4 MB are read"):
        read_snapshot(tmp_path / "a.xlsx")
