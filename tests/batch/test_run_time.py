"""What happens to a run from outside: stopped, killed, doubled, out of room, without permission."""

import os
import re
import shutil
import signal
import subprocess
import time
import zipfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import pytest

from tests.batch.runs import (
    COMMAND,
    as_anyone,
    contents,
    environment,
    folder_of_jobs,
    names,
    results,
    run,
    state,
    verdicts,
)

pytestmark = pytest.mark.skipif(os.name == "nt", reason="signals, pipes and permissions of POSIX")

# Mounts 64 KiB on the first folder in a name space of its own, runs the rest there, and copies what is left.
_IN_SMALL_TMPFS = (
    'out="$1"; kept="$2"; shift 2; mount -t tmpfs -o size=64k tmpfs "$out" || exit 99; "$@"; code=$?; '
    'cp -a "$out" "$kept" && exit $code'
)


def _small_disk() -> tuple[str, ...]:
    """How a small disk can be mounted here without touching anybody else's; empty: it cannot."""
    ways = (("unshare", "--mount"), ("unshare", "--user", "--map-root-user", "--mount"))
    for way in ways if shutil.which("unshare") else ():
        with TemporaryDirectory() as out, TemporaryDirectory() as kept:
            tried = [*way, "sh", "-c", _IN_SMALL_TMPFS, "sh", out, f"{kept}/x", "true"]
            if subprocess.run(tried, check=False, capture_output=True, timeout=20).returncode == 0:
                return (*way, "sh", "-c", _IN_SMALL_TMPFS, "sh")
    return ()


SMALL_DISK = _small_disk()
MANY = [f"{number:02}.xlsx" for number in range(40)]


@contextmanager
def running(source: Path, out: Path, **options: Any) -> Iterator[subprocess.Popen[str]]:
    """The command at work, its first copy written; it hears Ctrl-C, also where these tests run in the background."""
    usual: dict[str, Any] = {"stdout": subprocess.PIPE, "stderr": subprocess.PIPE, "env": environment()}
    command = [*COMMAND, "check", str(source), "--out", str(out)]
    before = signal.signal(signal.SIGINT, signal.SIG_DFL)  # a new process ignores what this one ignores
    try:
        process = subprocess.Popen(command, text=True, **(usual | options))
    finally:
        signal.signal(signal.SIGINT, before)
    with process:
        until(lambda: any(out.glob("*.audited.xlsx")))
        yield process
        process.kill()


def until(happened: Any, seconds: float = 30.0) -> None:
    end = time.monotonic() + seconds
    while not happened():
        assert time.monotonic() < end, "it did not happen"
        time.sleep(0.01)


def test_84_ctrl_c_stops_at_once_and_says_how_far_it_came(tmp_path: Path) -> None:
    source, out = folder_of_jobs(tmp_path / "in", *MANY), tmp_path / "out"
    before = state(source)
    with running(source, out, start_new_session=True) as process:
        os.killpg(process.pid, signal.SIGINT)  # as a terminal does: to the workers as well
        sent = time.monotonic()
        said, told = process.communicate(timeout=20)
        assert time.monotonic() - sent < 5  # the aim is one second; the machine may be busy
    assert process.returncode == 130
    done = int(told.split()[1])
    assert told == (
        f"stopped: {done} of 40 jobs are done and their annotated copies are whole; results.jsonl and "
        "summary.xlsx were not written; run it again for the rest\n"
    )
    assert len(said.splitlines()) == done
    copies = names(out)
    assert done <= len(copies) < 40
    assert {name.endswith(".audited.xlsx") for name in copies} == {True}
    assert state(source) == before


def test_83_killed_midway_and_run_again(tmp_path: Path) -> None:
    source, out = folder_of_jobs(tmp_path / "in", *MANY[:12]), tmp_path / "out"
    with running(source, out) as process:
        process.send_signal(signal.SIGKILL)
        process.wait(20)
    assert not (out / "results.jsonl").exists()
    assert run("check", source, "--out", out).returncode == 0
    again = contents(out)
    assert run("check", source, "--out", tmp_path / "other").returncode == 0
    assert again == contents(tmp_path / "other")
    assert [name for name in again if name.startswith(".")] == []


def test_86_a_second_run_into_the_same_folder_is_refused(tmp_path: Path) -> None:
    source, out = folder_of_jobs(tmp_path / "in", *MANY), tmp_path / "out"
    with running(source, out) as process:
        second = run("check", source, "--out", out)
        process.send_signal(signal.SIGINT)
        process.communicate(timeout=20)
    assert (second.returncode, second.stdout) == (2, "")
    assert second.stderr == (
        f"{out} is being written by another run; wait for it or choose another folder with --out\n"
    )


def test_82_no_room_for_a_large_output(tmp_path: Path) -> None:
    def little_room() -> None:
        import resource

        resource.setrlimit(resource.RLIMIT_FSIZE, (9_000, 9_000))  # results are small, copies are not

    source, out = folder_of_jobs(tmp_path / "in", "a.xlsx", "b.xlsx"), tmp_path / "out"
    before = state(source)
    done = run("check", source, "--out", out, preexec_fn=little_room)
    assert done.returncode == 3
    assert [line for line in done.stdout.splitlines() if line.startswith("note")] == [
        f"note        {job}.xlsx: {job}.audited.xlsx was not written: File too large; its audit "
        "stands all the same"
        for job in "ab"
    ]
    assert done.stdout.splitlines()[-1] == (
        "2 jobs: 2 pass. Not finished: summary.xlsx was not written: File too large; make room and run "
        "it again"
    )
    assert done.stderr == ""
    assert names(out) == []
    assert state(source) == before


def disk_that_fills_up(tmp_path: Path) -> None:
    """Room for two copies."""
    source, out, kept = folder_of_jobs(tmp_path / "in", *MANY[:6]), tmp_path / "out", tmp_path / "kept"
    before = state(source)
    out.mkdir()
    check = [*COMMAND, "check", str(source), "--out", str(out)]
    done = subprocess.run(
        [*SMALL_DISK, str(out), str(kept), *check],
        check=False,
        capture_output=True,
        text=True,
        env=environment(),
        timeout=120,
    )
    assert (done.returncode, done.stderr) == (3, "")
    said = done.stdout.splitlines()
    copies = sorted(path.name for path in kept.iterdir())
    assert 0 < len(copies) < 6
    assert all(name.endswith(".audited.xlsx") for name in copies)  # and no file half written
    assert [zipfile.ZipFile(kept / name).testzip() for name in copies] == [None] * len(copies)
    judged = [line.split()[1] for line in said if line.startswith("pass")]
    assert [line for line in said if line.startswith("note")] == [  # which copies find room is chance
        f"note        {job}: {Path(job).stem}.audited.xlsx was not written: No space left on device; "
        "its audit stands all the same"
        for job in judged
        if f"{Path(job).stem}.audited.xlsx" not in copies
    ]
    assert re.search(
        r"(?:results\.jsonl|summary\.xlsx) was not written: No space left on device; make room and "
        r"run it again$",
        said[-1],
    )
    assert state(source) == before


if SMALL_DISK:  # elsewhere the limit of the test above stands for the disk
    test_82_a_disk_that_fills_up = disk_that_fills_up


def test_81_a_file_that_vanishes_after_it_was_listed(tmp_path: Path) -> None:
    source, out = folder_of_jobs(tmp_path / "in", *MANY[:30]), tmp_path / "out"
    with running(source, out) as process:
        (source / MANY[29]).unlink()
        said, _ = process.communicate(timeout=60)
    assert process.returncode == 3
    assert list(verdicts(out).values()) == ["pass"] * 29 + ["unreadable"]
    assert (
        f"unreadable  {MANY[29]}  the file is gone; it was moved or deleted while the folder was read\n"
        in said
    )


def test_80_a_file_that_changes_all_the_time(tmp_path: Path) -> None:
    source, out = folder_of_jobs(tmp_path / "in", "a.xlsx", "b.xlsx"), tmp_path / "out"
    writer = (
        "import sys, time\n"
        "content = open(sys.argv[1], 'rb').read()\n"
        "while True:\n"
        "    with open(sys.argv[1], 'wb') as file:\n"
        "        for byte in (content[:900], content[900:]):\n"
        "            file.write(byte); file.flush(); time.sleep(0.0025)\n"
    )
    with subprocess.Popen([COMMAND[0], "-c", writer, str(source / "a.xlsx")]) as process:
        time.sleep(0.2)
        run("check", source, "--out", out)
        process.kill()
    found = {each["file"]: each for each in results(out)}
    assert found["b.xlsx"]["verdict"] == "pass"
    if found["a.xlsx"]["verdict"] == "unreadable":
        assert "being written by another program" in found["a.xlsx"]["problem"]
    else:  # it was read whole between two changes
        assert found["a.xlsx"]["rows_read"] == 4


def test_76_77_78_permissions(tmp_path: Path) -> None:
    source = folder_of_jobs(tmp_path / "in", "a.xlsx", "closed.xlsx", "shut/b.xlsx")
    before = state(source)
    (source / "closed.xlsx").chmod(0)
    (source / "shut").chmod(0)
    source.chmod(0o555)
    (tmp_path / "fixed").mkdir(mode=0o555)
    try:
        done = run("check", source, "--out", tmp_path / "out", preexec_fn=as_anyone())
        fixed = run("check", source, "--out", tmp_path / "fixed", preexec_fn=as_anyone())
    finally:
        source.chmod(0o755)
        (source / "shut").chmod(0o755)
        (source / "closed.xlsx").chmod(0o644)
    assert done.returncode == 3
    lines = done.stdout.splitlines()
    assert lines[1:3] == [
        "unreadable  closed.xlsx  there is no permission to read the file; ask its owner for it",
        "skipped     shut  cannot be looked into: Permission denied",
    ]
    assert list(verdicts(tmp_path / "out")) == ["a.xlsx", "closed.xlsx"]
    assert state(source) == before
    assert (fixed.returncode, fixed.stdout) == (2, "")
    assert fixed.stderr == (
        f"{tmp_path / 'fixed'} cannot be written (Permission denied); choose another folder with --out\n"
    )


def test_87_88_few_file_handles_no_home_and_the_plainest_locale(tmp_path: Path) -> None:
    def few_handles() -> None:
        import resource

        resource.setrlimit(resource.RLIMIT_NOFILE, (64, 64))

    source = folder_of_jobs(tmp_path / "in", "Küche.xlsx", *MANY[:3])
    bare = {"LANG": "C", "LC_ALL": "C", "PATH": os.environ["PATH"], "PYTHONPATH": environment()["PYTHONPATH"]}
    done = run("check", source, "--out", tmp_path / "out", env=bare, preexec_fn=few_handles)
    usual = run("check", source, "--out", tmp_path / "usual", env=environment(TZ="Pacific/Auckland"))
    assert (done.returncode, done.stderr) == (0, "")
    assert "pass        Küche.xlsx  2 devices on 1 run\n" in done.stdout
    assert contents(tmp_path / "out") == contents(tmp_path / "usual")
    assert usual.returncode == 0


@pytest.mark.parametrize("zone", ["Asia/Kathmandu", "Pacific/Kiritimati", "no such zone"])
def test_88_no_room_for_temporary_files_and_any_time_zone(tmp_path: Path, zone: str) -> None:
    """Every place that Python would put a temporary file in, but for the system's own, is read-only."""
    source = folder_of_jobs(tmp_path / "in", *MANY[:2])
    (source / "list.csv").write_bytes(b"Tag,Fed from,Length (ft),Watts\nK1,C1.1,120,1\n")
    fixed = tmp_path / "fixed"
    fixed.mkdir(mode=0o555)
    places = dict.fromkeys(("TMPDIR", "TEMP", "TMP", "HOME"), str(fixed))
    done = run(
        "check",
        source,
        "--out",
        tmp_path / "out",
        cwd=fixed,
        env=environment(TZ=zone, **places),
        preexec_fn=as_anyone(),
    )
    assert (done.returncode, done.stderr) == (0, "")
    run("check", source, "--out", tmp_path / "usual")
    assert contents(tmp_path / "out") == contents(tmp_path / "usual")
    assert names(fixed) == []


def test_85_a_workbook_that_takes_too_long(tmp_path: Path) -> None:
    source, out = folder_of_jobs(tmp_path / "in", "a.xlsx", "z.xlsx"), tmp_path / "out"
    rows = "".join(f"P{n},C1.1,K{n},20\n" for n in range(400_000))
    (source / "endless.csv").write_text("Pull,From,To,Length (ft)\n" + rows, "utf-8")
    done = run("check", source, "--out", out, "--seconds", "8")
    assert (done.returncode, done.stderr) == (3, "")
    assert (
        "unreadable  endless.csv  the file took longer than the 8 s that one workbook may take; allow "
        "more with --seconds\n"
    ) in done.stdout
    assert list(verdicts(out).values()) == ["pass", "unreadable", "pass"]
    assert names(out) == ["a.audited.xlsx", "results.jsonl", "summary.xlsx", "z.audited.xlsx"]
