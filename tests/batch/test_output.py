"""Outputs: whole or absent, under one lock, never beside an input."""

import os
from contextlib import suppress
from pathlib import Path
from typing import Any

import pytest

from auditor.batch import output
from auditor.batch.output import LOCK, WholeFile, locked, prepare, refuse_places, write_whole
from auditor.errors import OutputError
from tests.batch.runs import names


def test_a_file_is_written_with_the_folders_it_needs(tmp_path: Path) -> None:
    assert write_whole(tmp_path / "x" / "y" / "a.xlsx", b"new") == tmp_path / "x" / "y" / "a.xlsx"
    assert names(tmp_path) == ["x/y/a.xlsx"]


def test_nothing_is_left_of_a_file_that_fails_midway(tmp_path: Path) -> None:
    (tmp_path / "a.jsonl").write_bytes(b"old")
    with suppress(KeyboardInterrupt), WholeFile(tmp_path / "a.jsonl") as file:
        file.write(b"half")
        raise KeyboardInterrupt
    assert names(tmp_path) == ["a.jsonl"]
    assert (tmp_path / "a.jsonl").read_bytes() == b"old"


@pytest.mark.parametrize("step", ["fsync", "replace"])
def test_a_full_disk_leaves_nothing_and_is_said(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, step: str
) -> None:
    def full(*_: Any) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(output.os, step, full)
    with pytest.raises(OutputError, match=r"a\.xlsx was not written: No space left on device"):
        write_whole(tmp_path / "a.xlsx", b"new")
    assert names(tmp_path) == []


def test_a_limit_on_file_sizes_leaves_nothing_and_is_said(tmp_path: Path) -> None:
    resource = pytest.importorskip("resource")
    before = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (1000, before[1]))
    try:
        with pytest.raises(OutputError, match="was not written: File too large"):
            write_whole(tmp_path / "a.xlsx", b"x" * 5000)
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, before)
    assert names(tmp_path) == []


def test_a_target_that_a_program_holds_open_gets_another_name(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    replace = os.replace

    def held(source: Path, target: Path) -> None:
        if target.name in ("a.audited.xlsx", "b.audited.xlsx"):
            raise PermissionError(13, "used by another process")
        replace(source, target)

    monkeypatch.setattr(output.os, "replace", held)
    monkeypatch.setattr(output.time, "sleep", lambda seconds: None)
    (tmp_path / "b.audited-new.xlsx").write_bytes(b"of an earlier run")
    assert write_whole(tmp_path / "a.audited.xlsx", b"new").name == "a.audited-new.xlsx"
    assert write_whole(tmp_path / "b.audited.xlsx", b"new").name == "b.audited-new-2.xlsx"


def test_a_file_where_the_folder_should_be(tmp_path: Path) -> None:
    (tmp_path / "out").write_bytes(b"")
    with pytest.raises(OutputError, match="out is a file; --out wants a folder"):
        prepare(tmp_path / "out")
    with pytest.raises(OutputError, match=r"cannot be written \(Not a directory\)"):
        prepare(tmp_path / "out" / "deeper")


def test_one_run_at_a_time_and_no_lock_outlives_it(tmp_path: Path) -> None:
    with locked(tmp_path):
        with pytest.raises(OutputError, match="is being written by another run"), locked(tmp_path):
            pass
        assert names(tmp_path) == [LOCK]
    assert names(tmp_path) == []
    with locked(tmp_path):
        pass


def test_what_a_killed_run_left_is_removed_and_nothing_else(tmp_path: Path) -> None:
    (tmp_path / "x").mkdir()
    (tmp_path / "not ours").mkdir()
    for name in (LOCK, ".auditor-77-1.tmp", "x/.auditor-78-2.tmp", "not ours/.auditor-79-1.tmp", "a.xlsx"):
        (tmp_path / name).write_bytes(b"half")
    with locked(tmp_path, [tmp_path / "x"]):
        pass
    assert names(tmp_path) == ["a.xlsx", "not ours/.auditor-79-1.tmp"]


def test_places_beside_inputs_or_outside_are_refused(tmp_path: Path) -> None:
    jobs, out = tmp_path / "jobs", tmp_path / "out"
    jobs.mkdir()
    out.mkdir()
    refuse_places(out, [out, out / "jobs"], [jobs])
    refuse_places(jobs / "audited", [jobs / "audited"], [jobs])
    with pytest.raises(OutputError, match="holds the workbooks themselves"):
        refuse_places(jobs, [jobs], [jobs])
    (out / "back").symlink_to(jobs)
    with pytest.raises(OutputError, match="holds the workbooks themselves"):
        refuse_places(out, [out / "back"], [jobs])
    (out / "away").symlink_to(tmp_path)
    with pytest.raises(OutputError, match="leads out of"):
        refuse_places(out, [out / "away"], [jobs])
